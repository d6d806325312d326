"""Work that is none of the tasks on an animal: a batch brought, a pen walked away, one that balks, lies or refuses."""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import NOBODY, take
from stockproof.flow.facts import job_animal
from stockproof.flow.memory import animal_of, stamp
from stockproof.flow.moves import put_in, take_out, watch_front
from stockproof.flow.notes import note, spend_person
from stockproof.flow.people import nearest, rest, send
from stockproof.flow.touched import touch_zone

__all__ = ["job_step", "offer_job"]


@compiled
def offer_job(m: Any, w: Any, k: int) -> None:
    j = m.act[k].index
    job = m.job[j]
    if w.job[j].active != 0:
        return
    a = job_animal(m, w, j)
    p = nearest(m, w, job.skill, job.start_place)
    if p < 0:
        return
    w.job[j].active, w.job[j].animal = 1, a
    if send(m, w, p, k, a, job.start_place):
        job_step(m, w, p)


@compiled
def job_step(m: Any, w: Any, p: int) -> None:
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
