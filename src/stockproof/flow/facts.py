"""What can be seen of a running line: each plain condition as one yes or no."""

from __future__ import annotations

from typing import Any

from stockproof.flow import tables as t
from stockproof.flow.compiled import compiled
from stockproof.flow.memory import animal_of

__all__ = ["all_so", "decided_way", "parts_stand", "space_occupied", "zone_done"]

# Frozen into the kernel.
NEEDS = t.NEEDS


@compiled
def all_so(m: Any, w: Any, needs: Any, p: Any) -> bool:
    """Whether every condition of a list is as wanted."""
    for k in range(NEEDS):
        code = needs[k]
        if code == 0:
            return True
        number = abs(code) - 1
        if _fact(m, w, number >> 12, number & 4095, p) != (code > 0):
            return False
    return True


@compiled
def _fact(m: Any, w: Any, kind: int, of: int, p: Any) -> bool:
    if kind >= t.AT_CLOSED and kind <= t.MOVING:
        return _part_fact(w, kind, of)
    if kind == t.SIGNAL:
        return bool(p.values[of] != 0)
    if kind == t.PERSON:
        return bool(w.in_space[of] > 0)
    if kind == t.BREAK_DUE:
        return bool(w.break_due != 0)
    if kind == t.WAY:
        return bool(decided_way(m, w) == of)
    if kind == t.WANTED:
        return _wanted(m, w, of)
    return _zone_fact(m, w, kind, of)


@compiled
def _part_fact(w: Any, kind: int, part: int) -> bool:
    state = w.part[part]
    if kind == t.MOVING:
        return bool(state.moving != 0)
    if state.moving != 0:
        return False
    if kind == t.AT_CLOSED:
        return bool(state.at == 0.0)
    if kind == t.AT_OPEN:
        return bool(state.at == 1.0)
    return bool(state.at == 0.5)


@compiled
def _zone_fact(m: Any, w: Any, kind: int, z: int) -> bool:
    state = w.zone[z]
    if kind == t.OCCUPIED:
        return bool(state.count > 0 or state.coming >= 0)
    if kind == t.ROOM:
        return bool(state.count + (state.coming >= 0) < m.zone[z].places)
    if kind == t.FULL:
        return bool(state.count + (state.coming >= 0) >= m.zone[z].places)
    if kind == t.LOW:
        return bool(state.count + (state.coming >= 0) <= m.zone[z].nominal)
    if kind == t.ENTERING:
        return bool(state.coming >= 0)
    if kind == t.DOWN:
        return bool(state.down != 0)
    if kind in (t.HEAD, t.NECK, t.CATCHING, t.THROUGH, t.HELD, t.EARLY, t.MISSED):
        return _head_fact(state.phase, kind)
    return _front_fact(m, w, kind, z)


@compiled
def _head_fact(phase: int, kind: int) -> bool:
    """How far the head at a zone's bail has come."""
    if kind == t.HEAD:
        return bool(t.AT_SENSOR <= phase <= t.NECK_HELD)
    if kind == t.NECK:
        return bool(t.AT_SENSOR <= phase <= t.LET_GO)
    if kind == t.CATCHING:
        return bool(t.COMING <= phase <= t.IN_NECK)
    if kind == t.THROUGH:
        return bool(phase == t.IN_NECK)
    if kind == t.HELD:
        return bool(phase == t.NECK_HELD)
    if kind == t.EARLY:
        return bool(phase == t.STOPPED_EARLY)
    return bool(phase == t.PAST)


@compiled
def _front_fact(m: Any, w: Any, kind: int, z: int) -> bool:
    a = w.zone[z].front
    if a < 0:
        return False
    animal = animal_of(w, a)
    if kind == t.SETTLED:
        return bool(m.zone[z].weigh_task >= 0 and not (animal.todo >> m.zone[z].weigh_task) & 1)
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
