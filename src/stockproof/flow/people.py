"""A person sent to something and turning from it to the next, and work broken off when its animal is gone."""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.memory import animal_of
from stockproof.flow.notes import note, spend_person
from stockproof.flow.touched import touch, touch_part, touch_zone

__all__ = ["leave_space", "move_gate", "nearest", "rest", "send", "stop_tasks_of"]

NEVER = math.inf


@compiled
def nearest(m: Any, w: Any, skill: int, place: int) -> int:
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
def send(m: Any, w: Any, p: int, k: int, a: int, place: int) -> bool:
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
def rest(m: Any, w: Any, p: int) -> None:
    """A person has nothing on."""
    spend_person(w, p, t.IDLE)
    w.person[p].act, w.person[p].animal = -1, -1
    due(m, w, m.first_person_slot + p, NEVER)
    touch(w, t.OF_PEOPLE)


@compiled
def move_gate(w: Any, work: Any, to: float) -> None:
    """A hand-worked access gate leaves its end at once when opened, and is shut when let go into its latch."""
    if work.gate_part >= 0:
        w.part[work.gate_part].at = to
        touch_part(w, work.gate_part)


@compiled
def leave_space(m: Any, w: Any, p: int, task: int) -> None:
    """Step out of the space one works in and shut its gate behind oneself; or just be free."""
    person = w.person[p]
    if person.space < 0:
        rest(m, w, p)
        return
    note(w, notes.PERSON_OUT, p, person.space)
    w.in_space[person.space] -= 1
    person.space = -1
    touch(w, t.OF_SPACES)
    spend_person(w, p, t.CLOSING)
    due(m, w, m.first_person_slot + p, w.now + m.task[task].gate_s)


@compiled
def stop_tasks_of(m: Any, w: Any, a: int) -> None:
    """Break off all work on an animal that is no longer to be had."""
    if animal_of(w, a).running == 0:
        return
    touch_zone(w, animal_of(w, a).zone)
    for r in range(m.running):
        run = w.run[r]
        if run.task < 0 or run.animal != a:
            continue
        task, p = run.task, run.person
        run.task = -1
        animal_of(w, a).running &= ~(1 << task)
        due(m, w, m.first_running_slot + r, NEVER)
        note(w, notes.TASK_STOPPED, a, task)
        if p >= 0:
            leave_space(m, w, p, task)
