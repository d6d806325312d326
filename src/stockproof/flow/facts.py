"""What can be seen of a running line: each plain condition as one bit, kept up to date as things are touched.

Sensors and people see the same bits. What a bit means is said here, once.
"""

from __future__ import annotations

from typing import Any

from stockproof.flow import tables as t
from stockproof.flow.compiled import compiled
from stockproof.flow.memory import animal_of
from stockproof.flow.touched import lowest_bit

__all__ = [
    "all_so",
    "decided_way",
    "job_animal",
    "parts_stand",
    "refresh",
    "refresh_all",
    "space_occupied",
    "turn",
    "zone_done",
]

#: What `job_animal` gives where there is nothing to do, and for a job about no animal in particular.
NOT_WANTED, NO_ONE = -1, -2
#: Stages of a head at a bail in which each fact about it is so, as a bit set.
STAGES = {
    t.HEAD: (t.AT_SENSOR, t.IN_NECK, t.NECK_HELD),
    t.NECK: (t.AT_SENSOR, t.IN_NECK, t.NECK_HELD, t.LET_GO),
    t.CATCHING: (t.COMING, t.AT_SENSOR, t.IN_NECK),
    t.THROUGH: (t.IN_NECK,),
    t.HELD: (t.NECK_HELD,),
    t.EARLY: (t.STOPPED_EARLY,),
    t.MISSED: (t.PAST,),
}
STAGE_BITS = tuple(sum(1 << stage for stage in STAGES[kind]) for kind in range(t.FIRST_OF_HEADS, t.FIRST_OF_FRONTS))


@compiled
def all_so(m: Any, w: Any, conditions: int) -> bool:
    """Whether every condition of a list (see `tables.LISTS`) is met."""
    refresh(m, w)
    return bool(w.unmet[conditions] == 0)


@compiled
def refresh(m: Any, w: Any) -> None:
    """Read again the facts of everything that was touched."""
    stale = w.stale
    if stale == 0:
        return
    w.stale = 0
    while stale != 0:
        owner = lowest_bit(stale)
        stale &= stale - 1
        for k in range(m.owner_first[owner], m.owner_first[owner + 1]):
            _read(m, w, m.owner_fact[k])


@compiled
def refresh_all(m: Any, w: Any) -> None:
    """Read every fact again."""
    w.stale = 0
    for fact in range(m.facts):
        _read(m, w, fact)


@compiled
def _read(m: Any, w: Any, fact: int) -> None:
    """Read one fact; where a sensor shows it and it has changed, the program must be scanned."""
    word, bit = fact >> 6, 1 << (fact & 63)
    if ((w.fact[word] & bit) != 0) != _so(m, w, m.fact_kind[fact], m.fact_of[fact]):
        turn(m, w, fact)
        if fact < m.truths:
            w.unscanned = 1


@compiled
def turn(m: Any, w: Any, fact: int) -> None:
    """A fact has become so, or no longer is: every list that waits for it counts."""
    word, bit = fact >> 6, 1 << (fact & 63)
    w.fact[word] ^= bit
    so = (w.fact[word] & bit) != 0
    for k in range(m.fact_first[fact], m.fact_first[fact + 1]):
        conditions = m.fact_list[k]
        w.unmet[abs(conditions) - 1] += -1 if (conditions > 0) == so else 1


@compiled
def _so(m: Any, w: Any, kind: int, of: int) -> bool:
    if kind < t.FIRST_OF_PARTS:
        return _zone_fact(m, w, kind, of)
    if kind < t.FIRST_OF_OTHERS:
        return _part_fact(m, w, kind, of)
    if kind == t.PERSON:
        return bool(w.in_space[of] > 0)
    if kind == t.BREAK_DUE:
        return bool(w.break_due != 0)
    if kind == t.WAY:
        return bool(decided_way(m, w) == of)
    if kind == t.WANTED:
        return _wanted(m, w, of)
    if kind == t.WAITING:
        return _waiting(m, w, of)
    if kind == t.JOB_WANTED:
        return bool(job_animal(m, w, of) != NOT_WANTED)
    if kind == t.ASTRIDE:
        way = m.passage[of]
        # an animal whose shoulders are through a bail stands in it
        return bool(w.zone[way.target].coming == of or w.zone[way.source].phase == t.PAST)
    return bool(kind == t.ALWAYS)


@compiled
def _part_fact(m: Any, w: Any, kind: int, part: int) -> bool:
    """Where a part is; the middle of a gate that stops there is a place, that of any other all between its ends."""
    state = w.part[part]
    if kind == t.MOVING:
        return bool(state.moving != 0)
    if kind == t.BETWEEN:
        return bool(state.moving != 0 or 0.0 < state.at < 1.0)
    if state.moving != 0:
        return False
    if kind == t.AT_CLOSED:
        return bool(state.at == 0.0)
    if kind == t.AT_OPEN:
        return bool(state.at == 1.0)
    if kind == t.PRESSED_ON:
        return bool(state.at == 0.0 and w.zone[m.grip_zone[part]].count > 0)
    return bool(state.at == 0.5)


@compiled
def _zone_fact(m: Any, w: Any, kind: int, z: int) -> bool:
    state = w.zone[z]
    if kind < t.FIRST_OF_HEADS:
        return _room_fact(m, w, kind, z)
    if kind < t.FIRST_OF_FRONTS:
        return bool((STAGE_BITS[kind - t.FIRST_OF_HEADS] >> state.phase) & 1)
    if kind == t.DECIDED:
        decided = decided_way(m, w)
        return bool(decided > 0 and m.end_of_way[decided] == z)
    return _front_fact(m, w, kind, z)


@compiled
def _room_fact(m: Any, w: Any, kind: int, z: int) -> bool:
    """How many are in a zone, those on their way in counted."""
    state = w.zone[z]
    inside = state.count + (state.coming >= 0)
    if kind == t.OCCUPIED:
        return bool(inside > 0)
    if kind == t.CROWDED:
        return bool(inside > 1)
    if kind == t.ROOM:
        return bool(inside < m.zone[z].places)
    if kind == t.FULL:
        return bool(inside >= m.zone[z].places)
    if kind == t.LOW:
        return bool(inside <= m.zone[z].nominal)
    if kind == t.ENTERING:
        return bool(state.coming >= 0)
    return bool(state.down != 0)


@compiled
def _front_fact(m: Any, w: Any, kind: int, z: int) -> bool:
    a = w.zone[z].front
    if a < 0:
        return False
    animal = animal_of(w, a)
    if kind == t.SETTLED:
        return bool(m.zone[z].weigh_task >= 0 and not (animal.todo >> m.zone[z].weigh_task) & 1)
    if kind == t.READ:
        return bool(m.zone[z].read_task >= 0 and not (animal.todo >> m.zone[z].read_task) & 1)
    if kind == t.WORKING:
        return bool(animal.running != 0)
    standing = animal.doing == t.STANDING_STILL
    if kind == t.STANDING:
        return bool(standing)
    if kind == t.TO_HOLD:
        return bool((animal.todo & m.zone[z].hold_tasks) != 0)
    return bool(standing and zone_done(m, w, z, a))  # READY and DONE


@compiled
def _wanted(m: Any, w: Any, task: int) -> bool:
    a = w.zone[m.task[task].zone].front
    if a < 0 or animal_of(w, a).doing != t.STANDING_STILL:
        return False
    return bool(((animal_of(w, a).todo | animal_of(w, a).running) >> task) & 1)


@compiled
def _waiting(m: Any, w: Any, task: int) -> bool:
    """Whether an animal stands in a task's zone that needs it and on which it is not going on."""
    a = w.zone[m.task[task].zone].front
    while a >= 0:
        animal = animal_of(w, a)
        if animal.doing == t.STANDING_STILL and ((animal.todo & ~animal.running) >> task) & 1:
            return True
        a = animal.next
    return False


@compiled
def job_animal(m: Any, w: Any, j: int) -> int:
    """The animal a job is about, `NO_ONE` for a job that is about none in particular, `NOT_WANTED` for no job."""
    job = m.job[j]
    zone = w.zone[job.zone]
    if job.kind == t.BRING:
        wanted = zone.count <= job.at_most and w.zone[job.source].count > 0 and zone.coming < 0 and w.break_due == 0
        return NO_ONE if wanted else NOT_WANTED
    if job.kind == t.EMPTY:
        return NO_ONE if zone.count >= max(1, job.at_most) else NOT_WANTED
    state = t.BALKING if job.kind == t.PUSH else (t.LYING if job.kind == t.ATTEND else t.REFUSING)
    a = zone.front
    while a >= 0:
        if animal_of(w, a).doing == state:
            return int(a)
        if m.zone[job.zone].single_file:
            break
        a = animal_of(w, a).next
    return NOT_WANTED


@compiled
def decided_way(m: Any, w: Any) -> int:
    """The way decided for the animal where ways are decided, 0 while none is."""
    if m.decide_zone < 0:
        return 0
    a = w.zone[m.decide_zone].front
    if a < 0 or (animal_of(w, a).todo >> m.decide_task) & 1:
        return 0
    return int(animal_of(w, a).way)


@compiled
def zone_done(m: Any, w: Any, z: int, a: int) -> bool:
    """Whether no work is left on an animal in this zone."""
    return bool((animal_of(w, a).todo & m.zone[z].tasks) == 0 and animal_of(w, a).running == 0)


@compiled
def parts_stand(m: Any, w: Any, passage: int) -> bool:
    """Whether every part on a passage stands, at rest, where the passage needs it."""
    way = m.passage[passage]
    for k in range(2):
        part = way.part[k]
        if part >= 0 and (w.part[part].moving != 0 or w.part[part].at != way.position[k]):
            return False
    return True


@compiled
def space_occupied(m: Any, w: Any, z: int) -> bool:
    """Whether somebody stands inside this zone."""
    for s in range(m.spaces):
        if w.in_space[s] > 0 and m.space_zone[s] == z:
            return True
    return False
