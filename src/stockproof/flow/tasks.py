"""Work on animals: who is offered it, in through the gate, the work, on to the next or out again.

Work that no person does (a weight settling, a tag being read) starts by itself.
"""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import NOBODY, take
from stockproof.flow.facts import all_so, zone_done
from stockproof.flow.memory import animal_of, stamp
from stockproof.flow.notes import note, spend_person
from stockproof.flow.people import leave_space, move_gate, nearest, rest, send, stop_tasks_of
from stockproof.flow.touched import touch, touch_zone

__all__ = ["goes_down", "offer_task", "running_event", "start_unmanned", "task_step"]

NEVER = math.inf


@compiled
def start_unmanned(m: Any, w: Any, task: int) -> None:
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
def offer_task(m: Any, w: Any, k: int) -> None:
    task = m.act[k].index
    z = m.task[task].zone
    if not _unlocked(m, w, task):
        return
    a = w.zone[z].front
    while a >= 0 and w.idle > 0:
        if _task_open(m, w, task, a) and not _promised(m, w, k, a):
            p = nearest(m, w, m.task[task].skill, m.task[task].place)
            if p < 0:
                return
            if send(m, w, p, k, a, m.task[task].place):
                task_step(m, w, p)
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
def task_step(m: Any, w: Any, p: int) -> None:
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
