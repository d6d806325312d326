"""The one event loop: the next thing that is due happens, then everything that follows from it in the same instant.

One call runs a stretch of replications, each from its own seed words into its own rows, so that any split over
threads gives the same bytes. The entry is compiled once for every line there can be.
"""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import tables as t
from stockproof.flow.bails import approach_event
from stockproof.flow.calendar import clear, due, earliest
from stockproof.flow.compiled import cached, compiled, source_stamp
from stockproof.flow.control import control, part_event, start_control, timer_event
from stockproof.flow.draws import NOBODY, ZERO, normal_from, purpose_number, take, uniform
from stockproof.flow.facts import refresh, refresh_all
from stockproof.flow.memory import animal_of
from stockproof.flow.moves import arrive, cross_event, front_event, move_all, put_in
from stockproof.flow.notes import spend_zone
from stockproof.flow.presses import release_presses
from stockproof.flow.tasks import goes_down, running_event
from stockproof.flow.touched import touch_all
from stockproof.flow.work import break_event, dispatch, person_event

__all__ = ["run_replications"]

NEVER = math.inf
#: Rounds of consequences in one instant before a line counts as never coming to rest.
MOST_ROUNDS = 400

WAY_DRAW = purpose_number("way")
TEMPER_DRAW = purpose_number("balk: temper")
DAY_DRAW = purpose_number("balk: day")


@compiled
def _begin(m: Any, w: Any, program: Any) -> None:
    """Put a replication at its first second: nobody in the line, parts at rest, the day drawn."""
    clear(m, w)
    w.status = t.RUNNING_ON
    w.first_in_s, w.first_held_s, w.last_free_s, w.last_penned_s = -1.0, -1.0, 0.0, 0.0
    w.factor[0] = 1.0
    for k in range(1, m.factors):
        w.factor[k] = 1.0
        w.factor[k] = take(m, w, m.factor[k], NOBODY, ZERO)
    w.day_temper = m.balk_day * normal_from(uniform(w.seed, w.replication, ZERO, DAY_DRAW, ZERO))
    for z in range(m.zones):
        zone = w.zone[z]
        zone.front, zone.back, zone.coming, zone.comer = -1, -1, -1, -1
    for p in range(m.people):
        w.person[p].place, w.person[p].act, w.person[p].animal, w.person[p].space = m.home[p], -1, -1, -1
    w.idle = m.people
    for p in range(m.passages):
        w.last_passage_s[p] = -NEVER
    for part in range(m.parts):
        w.part[part].at, w.part[part].motion, w.part[part].logged = m.rest[part], -1, -1
    for r in range(t.RUNNING):
        w.run[r].task = -1
    for q in range(m.presses):
        w.press[q].animal = -2
    w.stop = -1
    for k in range(m.controls):
        w.pressed[k] = m.switched_on[k]
    for k in range(t.LISTS):
        w.unmet[k] = m.unmet[k]
    if m.powered != 0:
        start_control(m, w, program)
    w.dirty = 1
    _make_herd(m, w)
    _let_come(m, w)


@compiled
def _make_herd(m: Any, w: Any) -> None:
    """Each animal as it is by nature: pace, temper, way, and the work it needs."""
    temper = 0.0
    keep = m.balk_persistence
    for a in range(m.head):
        animal = animal_of(w, a)
        animal.next, animal.prev, animal.doing = -1, -1, t.NOT_COME
        animal.pace = take(m, w, m.pace, a, ZERO)
        fresh = normal_from(uniform(w.seed, w.replication, a + 1, TEMPER_DRAW, ZERO))
        temper = fresh if a == 0 else keep * temper + math.sqrt(1.0 - keep * keep) * fresh
        animal.temper = temper
        animal.way = 0
        if m.ways > 0:
            u = uniform(w.seed, w.replication, a + 1, WAY_DRAW, ZERO)
            while animal.way < m.ways - 1 and u >= m.way_share[animal.way]:
                animal.way += 1
            animal.way += 1
        for k in range(m.tasks):
            share = m.task[k].share
            if share >= 1.0 or uniform(w.seed, w.replication, a + 1, m.task[k].choice, ZERO) < share:
                animal.todo |= 1 << k


@compiled
def _let_come(m: Any, w: Any) -> None:
    """All stand in the first zone from the start, or come one by one."""
    if m.open_arrivals != 0:
        due(m, w, m.arrival_slot, take(m, w, m.arrivals, ZERO, ZERO))
    else:
        for a in range(m.head):
            put_in(m, w, a, ZERO)
        w.arrived = m.head
    if m.breaks > 0:
        due(m, w, m.break_slot, m.break_start_s[0])


@compiled
def _happen(m: Any, w: Any, program: Any, leaf: int) -> None:
    """One thing that was due happens."""
    if leaf < m.first_running_slot:
        z = leaf // 3
        kind = leaf - 3 * z
        if kind == 0:
            front_event(m, w, z)
        elif kind == 1:
            cross_event(m, w, z)
        elif w.zone[z].phase == t.NECK_HELD:
            goes_down(m, w, z)
        else:
            approach_event(m, w, z)
    elif leaf < m.first_person_slot:
        running_event(m, w, leaf - m.first_running_slot)
    elif leaf < m.first_part_slot:
        person_event(m, w, leaf - m.first_person_slot)
    elif leaf < m.first_timer_slot:
        part_event(m, w, leaf - m.first_part_slot)
    elif leaf < m.arrival_slot:
        timer_event(w, leaf - m.first_timer_slot)
    elif leaf == m.arrival_slot:
        arrive(m, w)
    else:
        break_event(m, w)


@compiled
def _follow(m: Any, w: Any, program: Any) -> None:
    """Everything that follows in the same instant: logic, animals, people, until nothing more does."""
    if w.dirty != 0 or w.stirred != 0:
        w.dirty, w.stirred, w.unscanned = 0, 0, 1
        touch_all(w)
        refresh_all(m, w)
    for _ in range(MOST_ROUNDS):
        w.rounds += 1
        if m.powered != 0:
            control(m, w, program)
            release_presses(m, w)
        move_all(m, w)
        if m.people > 0 or m.autos > 0:
            dispatch(m, w)
        if w.status != t.RUNNING_ON:
            return
        refresh(m, w)
        if w.unmoved == 0 and (w.unscanned == 0 or m.powered == 0):
            _book(m, w)
            return
    w.status = t.NOT_SETTLED


@compiled
def _book(m: Any, w: Any) -> None:
    """Book the time of work zones by what they are doing or waiting for."""
    for z in range(m.zones):
        if m.zone[z].work_zone:
            spend_zone(w, z, _zone_state(m, w, z))
    if m.main_zone >= 0:
        stop = _stop_kind(m, w)
        if stop != w.stop:
            if w.stop >= 0:
                w.stop_s[w.stop] += w.now - w.stop_since_s
            w.stop, w.stop_since_s = stop, w.now


@compiled
def _zone_state(m: Any, w: Any, z: int) -> int:
    zone = w.zone[z]
    a = zone.front
    if a < 0:
        if zone.coming >= 0:
            return t.COMING_IN
        return t.EMPTY_ZONE
    animal = animal_of(w, a)
    if animal.running != 0:
        return t.AT_WORK_ZONE
    if animal.doing == t.BALKING or animal.doing == t.REFUSING:
        return t.BALKED
    for part in range(m.parts):
        if w.part[part].moving != 0 and m.zone_of_part[part] == z:
            return t.PARTS_MOVE
    if (animal.todo & m.zone[z].tasks) != 0:
        return t.WANTS_PERSON
    if animal.doing == t.CROSSING:
        return t.COMING_IN
    p = m.zone[z].out[animal.way]
    if p >= 0 and w.zone[m.passage[p].target].count >= m.zone[m.passage[p].target].places:
        return t.BLOCKED
    return t.OTHER_WAIT


@compiled
def _stop_kind(m: Any, w: Any) -> int:
    """Why the main work zone stands still, or -1 while it does not or for another reason."""
    zone = w.zone[m.main_zone]
    if w.first_in_s < 0.0:
        return -1
    if w.on_break:
        return 4
    if zone.phase == t.STOPPED_EARLY or zone.phase == t.PAST:
        return 2
    if zone.front >= 0:
        animal = animal_of(w, zone.front)
        if animal.running == 0:
            for k in range(m.tasks):
                if (animal.todo >> k) & 1 and w.reloading[k] != 0:
                    return 5
            p = m.zone[m.main_zone].out[animal.way]
            if p >= 0 and _full_ahead(m, w, p):
                return 3
        return -1
    if zone.coming >= 0:
        return -1
    return _empty_because(m, w)


@compiled
def _full_ahead(m: Any, w: Any, p: int) -> bool:
    """Whether the way ahead is taken up to an end pen that is full."""
    d = m.passage[p].target
    for _ in range(m.zones):
        if w.zone[d].count < m.zone[d].places:
            return False
        if m.zone[d].is_end:
            return True
        front = w.zone[d].front
        if front < 0:
            return False
        way = m.zone[d].out[animal_of(w, front).way]
        if way < 0:
            return False
        d = m.passage[way].target
    return False


@compiled
def _empty_because(m: Any, w: Any) -> int:
    """Why no animal comes: one balks, or those who bring are on their way."""
    for z in range(m.main_zone - 1, -1, -1):
        front = w.zone[z].front
        if front >= 0 and (animal_of(w, front).doing == t.BALKING or animal_of(w, front).doing == t.REFUSING):
            return 1
        if w.zone[z].count > 0:
            break
    for j in range(m.jobs):
        if m.job[j].kind == t.BRING and w.job[j].active != 0:
            return 0
    return -1


@compiled
def _close(m: Any, w: Any) -> None:
    """Book what was going on when the last thing happened."""
    for p in range(m.people):
        person = w.person[p]
        person.spent_s[person.doing] += w.now - person.since_s
        person.since_s = w.now
    for z in range(m.zones):
        zone = w.zone[z]
        zone.spent_s[zone.state] += w.now - zone.since_s
        zone.since_s = w.now
    if w.stop >= 0:
        w.stop_s[w.stop] += w.now - w.stop_since_s


def _make_entry() -> Any:
    stamp = source_stamp()

    @cached
    def run_replications(model: Any, worlds: Any, program: Any) -> int:
        """Run the replications whose worlds are given, one after another.

        Parameters
        ----------
        model : MODEL[1]
        worlds : WORLD[R], zeroed but for seed, replication and the addresses of its arrays
        program : PROGRAM[1]
            With workspace of its own: no two threads may share one.
        """
        # the loop stands here and not in a function of its own: each level over the whole kernel compiles it once more
        m, p = model[0], program[0]
        for r in range(worlds.size):
            w = worlds[r]
            _begin(m, w, p)
            _follow(m, w, p)
            while w.status == t.RUNNING_ON:
                if w.finished == m.head:
                    w.status = t.ALL_THROUGH
                    break
                leaf = earliest(w)
                at_s = w.leaf_s[leaf]
                if at_s == NEVER:
                    w.status = t.STUCK
                    break
                if at_s > m.latest_s:
                    w.status = t.TOO_LONG
                    break
                w.now = at_s
                w.events += 1
                due(m, w, leaf, NEVER)
                _happen(m, w, p, leaf)
                _follow(m, w, p)
            _close(m, w)
        return stamp

    return run_replications


run_replications = _make_entry()
