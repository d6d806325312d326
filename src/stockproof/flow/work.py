"""People at work: who turns to what, walks where, works on which animal, presses which control, fetches which batch.

Acts stand in one list by priority. An idle person who can do an act that is wanted now goes to it; the nearest goes
first. Work that no person does (a weight settling, a tag being read) starts by itself.
"""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import NOBODY, ZERO
from stockproof.flow.facts import all_so, job_animal, refresh, zone_done
from stockproof.flow.memory import animal_of, stamp
from stockproof.flow.moves import put_in, take, take_out, watch_front
from stockproof.flow.notes import note, spend_person
from stockproof.flow.people import leave_space, move_gate, rest, stop_tasks_of
from stockproof.flow.touched import touch, touch_part, touch_zone

__all__ = ["break_event", "dispatch", "goes_down", "person_event", "release_presses", "running_event"]

NEVER = math.inf


@compiled
def dispatch(m: Any, w: Any) -> None:
    """Start everything that can start: unmanned work, then acts in order of priority."""
    for k in range(m.autos):
        if all_so(m, w, t.OF_TASKS + m.auto[k]):
            _start_auto(m, w, m.auto[k])
    _start_break(m, w)
    if w.on_break:
        return
    refresh(m, w)
    for k in range(m.acts):
        if w.idle == 0:
            return
        if w.unmet[m.list_of_act[k]] == 0:
            _offer(m, w, k)
            refresh(m, w)


@compiled
def _offer(m: Any, w: Any, k: int) -> None:
    kind = m.act[k].kind
    if kind == t.ACT_TASK:
        _offer_task(m, w, k)
    elif kind == t.ACT_PRESS:
        _offer_press(m, w, k)
    else:
        _offer_job(m, w, k)


@compiled
def _start_auto(m: Any, w: Any, task: int) -> None:
    a = w.zone[m.task[task].zone].front
    while a >= 0:
        if _task_open(m, w, task, a):
            _start_task(m, w, task, a, NOBODY)
        if m.zone[m.task[task].zone].single_file:
            return
        a = animal_of(w, a).next


@compiled
def _task_open(m: Any, w: Any, task: int, a: int) -> bool:
    """Whether work on this animal is wanted and may begin now."""
    animal, work = animal_of(w, a), m.task[task]
    if animal.doing != t.STANDING_STILL or not (animal.todo >> task) & 1 or (animal.running >> task) & 1:
        return False
    if (animal.running & work.not_with) != 0 or (animal.todo & work.after) != 0 or w.zone[work.zone].down != 0:
        return False
    if w.reloading[task] != 0:
        return False
    return all_so(m, w, t.OF_TASKS + task)


@compiled
def _unlocked(m: Any, w: Any, task: int) -> bool:
    """Whether the lock of the access gate a task needs, if it has one, is open."""
    lock = m.task[task].gate_needs
    return bool(lock < 0 or (w.part[lock].moving == 0 and w.part[lock].at == 1.0))


@compiled
def _nearest(m: Any, w: Any, skill: int, place: int) -> int:
    """The idle person with a skill (bit) who stands nearest to a place and may stand there, or -1."""
    best, best_m = -1, NEVER
    for p in range(m.people):
        person = w.person[p]
        if person.doing != t.IDLE or not (m.skills[p] >> skill) & 1:
            continue
        if place >= 0 and not (m.stands[p] >> place) & 1:
            continue
        way_m = 0.0 if place < 0 else m.distance_m[person.place, place]
        if way_m < best_m:
            best, best_m = p, way_m
    return best


@compiled
def _send(m: Any, w: Any, p: int, k: int, a: int, place: int) -> bool:
    """Set a person on an act; gives whether they are there already."""
    person = w.person[p]
    person.act, person.animal = k, a
    person.acts += 1
    way_m = 0.0 if place < 0 else m.distance_m[person.place, place]
    if way_m == 0.0:
        return True
    person.place = place
    spend_person(w, p, t.ON_THE_WAY)
    note(w, notes.PERSON_GOES, p, place)
    due(m, w, m.first_person_slot + p, w.now + way_m / m.walking_m_per_s)
    return False


@compiled
def person_event(m: Any, w: Any, p: int) -> None:
    """A person has got there, has reacted, or is through with what they did."""
    person = w.person[p]
    if person.doing == t.ON_BREAK:
        _end_break(m, w)
        return
    if person.doing == t.IDLE:
        touch(w, t.OF_PEOPLE)  # time to look again at a control that did not help
        return
    act = m.act[person.act]
    if act.kind == t.ACT_TASK:
        _task_step(m, w, p)
    elif act.kind == t.ACT_PRESS:
        _press_step(m, w, p)
    else:
        _job_step(m, w, p)


# Work on animals


@compiled
def _offer_task(m: Any, w: Any, k: int) -> None:
    task = m.act[k].index
    z = m.task[task].zone
    if not _unlocked(m, w, task):
        return
    a = w.zone[z].front
    while a >= 0 and w.idle > 0:
        if _task_open(m, w, task, a) and not _promised(m, w, k, a):
            p = _nearest(m, w, m.task[task].skill, m.task[task].place)
            if p < 0:
                return
            if _send(m, w, p, k, a, m.task[task].place):
                _task_step(m, w, p)
        a = animal_of(w, a).next


@compiled
def _promised(m: Any, w: Any, k: int, a: int) -> bool:
    """Whether somebody is on the way to this very act, or to one that may not go on beside it."""
    not_with = m.task[m.act[k].index].not_with
    for p in range(m.people):
        person = w.person[p]
        if person.animal != a or person.act < 0 or m.act[person.act].kind != t.ACT_TASK:
            continue
        if person.act == k or (not_with >> m.act[person.act].index) & 1:
            return True
    return False


@compiled
def _task_step(m: Any, w: Any, p: int) -> None:
    """The next step of a person's work on an animal: in through the gate, the work, out and shut."""
    person = w.person[p]
    task = m.act[person.act].index
    work = m.task[task]
    if person.doing == t.RELOADING:
        w.reloading[task] = 0
        rest(m, w, p)
        return
    if person.doing == t.CLOSING:
        move_gate(w, work, 0.0)
        rest(m, w, p)
        return
    if person.doing == t.OPENING:
        person.space = work.space
        w.in_space[work.space] += 1
        touch(w, t.OF_SPACES)
        note(w, notes.PERSON_IN, p, work.space)
    elif not _task_open(m, w, task, person.animal):
        rest(m, w, p)
        return
    elif work.space >= 0 and person.space != work.space:
        if not _unlocked(m, w, task):
            rest(m, w, p)
            return
        spend_person(w, p, t.OPENING)
        move_gate(w, work, 1.0)
        due(m, w, m.first_person_slot + p, w.now + work.gate_s)
        return
    if not _still_there(m, w, task, person.animal):
        leave_space(m, w, p, task)
        return
    spend_person(w, p, t.AT_WORK)
    due(m, w, m.first_person_slot + p, NEVER)
    _start_task(m, w, task, person.animal, p)


@compiled
def _still_there(m: Any, w: Any, task: int, a: int) -> bool:
    return bool(animal_of(w, a).zone == m.task[task].zone and _task_open(m, w, task, a))


@compiled
def _start_task(m: Any, w: Any, task: int, a: int, p: int) -> None:
    r = 0
    while r < m.running and w.run[r].task >= 0:
        r += 1
    if r == m.running:
        w.status = t.OUT_OF_SLOTS
        return
    run = w.run[r]
    run.task, run.animal, run.person = task, a, p
    animal_of(w, a).running |= 1 << task
    due(m, w, m.first_running_slot + r, w.now + take(m, w, m.task[task].law, a, animal_of(w, a).returns))
    note(w, notes.TASK_BEGINS, a, task)
    touch_zone(w, animal_of(w, a).zone)


@compiled
def running_event(m: Any, w: Any, r: int) -> None:
    """A piece of work on an animal is done."""
    run = w.run[r]
    task, a, p = run.task, run.animal, run.person
    run.task = -1
    animal = animal_of(w, a)
    animal.running &= ~(1 << task)
    animal.todo &= ~(1 << task)
    w.done[task] += 1
    touch_zone(w, animal.zone)
    note(w, notes.TASK_ENDS, a, task)
    if zone_done(m, w, animal.zone, a):
        stamp(m, w, a, animal.zone, t.DONE_IN)
    if p >= 0:
        _after_task(m, w, p, task, a)


@compiled
def _after_task(m: Any, w: Any, p: int, task: int, a: int) -> None:
    """Reload when it is time; else go on with the next work in the same space; else step out."""
    work = m.task[task]
    if work.reload_every > 0 and w.done[task] % work.reload_every == 0:
        w.reloading[task] = 1
        if w.person[p].space >= 0:
            w.in_space[w.person[p].space] -= 1
            w.person[p].space = -1
            touch(w, t.OF_SPACES)
            move_gate(w, work, 0.0)
        spend_person(w, p, t.RELOADING)
        note(w, notes.RELOADS, p, task)
        due(m, w, m.first_person_slot + p, w.now + take(m, w, work.reload, NOBODY, w.done[task]))
        return
    if w.person[p].space >= 0:
        mine = w.person[p].act
        w.person[p].act = -1  # the work just done stands in nobody's way
        for k in range(m.acts):
            if _next_here(m, w, p, k, work.space, a):
                w.person[p].act = k
                _start_task(m, w, m.act[k].index, a, p)
                return
        w.person[p].act = mine
    leave_space(m, w, p, task)


@compiled
def _next_here(m: Any, w: Any, p: int, k: int, space: int, a: int) -> bool:
    """Whether an act is work on this animal that a person can go on to without leaving the space."""
    if m.act[k].kind != t.ACT_TASK:
        return False
    task = m.act[k].index
    if m.task[task].space != space or not (m.skills[p] >> m.task[task].skill) & 1 or _promised(m, w, k, a):
        return False
    return bool(_task_open(m, w, task, a))


@compiled
def goes_down(m: Any, w: Any, z: int) -> None:
    """The animal held in a zone goes down: all work on it stops until it is up again."""
    a = w.zone[z].front
    if a < 0 or animal_of(w, a).doing != t.STANDING_STILL:
        return
    w.zone[z].down = 1
    w.downs += 1
    animal_of(w, a).doing = t.LYING
    animal_of(w, a).went_down = 1
    touch_zone(w, z)
    note(w, notes.GOES_DOWN, a, z)
    stop_tasks_of(m, w, a)


# Controls


@compiled
def _offer_press(m: Any, w: Any, k: int) -> None:
    q = m.act[k].index
    press, state = m.press[q], w.press[q]
    if state.active != 0 or state.next_s > w.now:
        return
    p = _nearest(m, w, press.skill, press.place)
    if p < 0:
        return
    state.active = 1
    if _send(m, w, p, k, NOBODY, press.place):
        _press_step(m, w, p)


@compiled
def _press_step(m: Any, w: Any, p: int) -> None:
    """React, press, let go."""
    person = w.person[p]
    q = m.act[person.act].index
    press, state = m.press[q], w.press[q]
    if person.doing == t.PRESSING:
        _let_go(m, w, p, q)
    elif not all_so(m, w, t.OF_PRESSES + q):
        state.active = 0
        rest(m, w, p)
    elif person.doing == t.REACTING:
        spend_person(w, p, t.PRESSING)
        note(w, notes.PRESSES, p, q)
        if press.control >= 0:
            w.pressed[press.control] += 1
            w.unscanned = 1
        else:
            _move_by_hand(m, w, press)
        due(m, w, m.first_person_slot + p, w.now + (press.longest_s if press.held else press.press_s))
    else:
        spend_person(w, p, t.REACTING)
        due(m, w, m.first_person_slot + p, w.now + _reaction(m, w, q))


@compiled
def _reaction(m: Any, w: Any, q: int) -> float:
    """The delay is the same act's on the same animal, whatever else the build has changed."""
    state = w.press[q]
    a = NOBODY
    if m.main_zone >= 0:
        zone = w.zone[m.main_zone]
        a = zone.comer if zone.comer >= 0 else zone.front
    if state.animal != a:
        state.animal, state.of_animal = a, 0
    state.of_animal += 1
    return take(m, w, m.press[q].reaction, a, state.of_animal)


@compiled
def _move_by_hand(m: Any, w: Any, press: Any) -> None:
    part = w.part[press.hand_part]
    part.to, part.moving, part.motion = press.hand_to, 1, -1
    part.since_s, part.until_s = w.now, w.now + press.press_s
    part.cycles += 1
    due(m, w, m.first_part_slot + press.hand_part, part.until_s)
    touch_part(w, press.hand_part)


@compiled
def _let_go(m: Any, w: Any, p: int, q: int) -> None:
    state, press = w.press[q], m.press[q]
    if press.control >= 0:
        w.pressed[press.control] -= 1
        w.unscanned = 1
    state.active = 0
    state.next_s = w.now + press.again_s
    state.count += 1
    note(w, notes.LETS_GO, p, q)
    rest(m, w, p)
    due(m, w, m.first_person_slot + p, state.next_s)


@compiled
def release_presses(m: Any, w: Any) -> None:
    """Let go every held control whose end is seen."""
    for p in range(m.people):
        if w.person[p].doing == t.PRESSING:
            q = m.act[w.person[p].act].index
            if m.press[q].held and all_so(m, w, t.OF_RELEASES + q):
                _let_go(m, w, p, q)


# Jobs


@compiled
def _offer_job(m: Any, w: Any, k: int) -> None:
    j = m.act[k].index
    job = m.job[j]
    if w.job[j].active != 0:
        return
    a = job_animal(m, w, j)
    p = _nearest(m, w, job.skill, job.start_place)
    if p < 0:
        return
    w.job[j].active, w.job[j].animal = 1, a
    if _send(m, w, p, k, a, job.start_place):
        _job_step(m, w, p)


@compiled
def _job_step(m: Any, w: Any, p: int) -> None:
    """Begin at the place, or end with the effect."""
    person = w.person[p]
    j = m.act[person.act].index
    job, state = m.job[j], w.job[j]
    if person.doing == t.FETCHING:
        _job_effect(m, w, j)
        note(w, notes.JOB_ENDS, p, j)
        state.active = 0
        state.spent_s += w.now - person.since_s
        if job.end_place >= 0:
            person.place = job.end_place
        rest(m, w, p)
        return
    state.count += 1
    took_s = take(m, w, job.law, max(NOBODY, state.animal), state.count)
    if job.kind == t.BRING:
        size = math.floor(take(m, w, job.batch, NOBODY, state.count) + 0.5)
        room = m.zone[job.zone].places - w.zone[job.zone].count
        state.size = max(1, min(size, min(room, w.zone[job.source].count)))
        took_s += state.size * job.per_head_s
    elif job.kind == t.EMPTY:
        took_s += w.zone[job.zone].count * job.per_head_s
    spend_person(w, p, t.FETCHING)
    note(w, notes.JOB_BEGINS, p, j)
    due(m, w, m.first_person_slot + p, w.now + took_s)


@compiled
def _job_effect(m: Any, w: Any, j: int) -> None:
    job, state = m.job[j], w.job[j]
    touch_zone(w, job.zone)
    if job.kind == t.BRING:
        for _ in range(min(state.size, w.zone[job.source].count)):
            a = w.zone[job.source].front
            stamp(m, w, a, job.source, t.LEFT)
            take_out(w, a)
            stamp(m, w, a, job.zone, t.BEGAN_IN)
            put_in(m, w, a, job.zone)
        watch_front(m, w, job.source)
        w.zone[job.zone].batch = w.zone[job.zone].count
    elif job.kind == t.EMPTY:
        _empty(w, job.zone)
    elif job.kind == t.PUSH:
        if animal_of(w, state.animal).doing == t.BALKING:
            animal_of(w, state.animal).doing = t.STANDING_STILL
            watch_front(m, w, job.zone)
    elif job.kind == t.ATTEND:
        animal_of(w, state.animal).doing = t.STANDING_STILL
        animal_of(w, state.animal).todo &= ~m.zone[job.zone].tasks
        w.zone[job.zone].down = 0
        note(w, notes.GETS_UP, state.animal, job.zone)
    elif animal_of(w, state.animal).doing == t.REFUSING:
        _lead_round(m, w, state.animal, job.source)


@compiled
def _empty(w: Any, z: int) -> None:
    """The animals of an end pen are walked away; they have been counted as they came in."""
    zone = w.zone[z]
    a = zone.front
    while a >= 0:
        after = animal_of(w, a).next
        animal_of(w, a).next, animal_of(w, a).prev = -1, -1
        a = after
    zone.front, zone.back, zone.count = -1, -1, 0


@compiled
def _lead_round(m: Any, w: Any, a: int, end: int) -> None:
    """A refuser is led round the crush, untreated."""
    z = animal_of(w, a).zone
    stamp(m, w, a, z, t.LEFT)
    take_out(w, a)
    stamp(m, w, a, end, t.BEGAN_IN)
    put_in(m, w, a, end)
    watch_front(m, w, z)


# Breaks


@compiled
def break_event(m: Any, w: Any) -> None:
    """A break is due: nobody new is let into the work zones."""
    w.break_due = 1
    touch(w, t.OF_BREAKS)


@compiled
def _start_break(m: Any, w: Any) -> None:
    """A break begins when those who are held have been let go and everybody is free."""
    if w.break_due == 0 or w.on_break or w.idle < m.people:
        return
    for z in range(m.zones):
        if m.zone[z].work_zone and (w.zone[z].count > 0 or w.zone[z].coming >= 0):
            return
    w.on_break = 1
    note(w, notes.BREAK_BEGINS, w.break_index, ZERO)
    for p in range(m.people):
        spend_person(w, p, t.ON_BREAK)
    due(m, w, m.first_person_slot, w.now + m.break_length_s[w.break_index])


@compiled
def _end_break(m: Any, w: Any) -> None:
    w.break_s += m.break_length_s[w.break_index]
    w.break_index += 1
    w.on_break, w.break_due = 0, 0
    touch(w, t.OF_BREAKS)
    note(w, notes.BREAK_ENDS, w.break_index - 1, ZERO)
    for p in range(m.people):
        rest(m, w, p)
    if w.break_index < m.breaks:
        due(m, w, m.break_slot, max(w.now, m.break_start_s[w.break_index]))
