"""How a bail meets a neck: where the head is, when the catch begins, and whether it comes too early or too late."""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import ZERO, purpose_number, take, uniform
from stockproof.flow.memory import animal_of
from stockproof.flow.notes import note
from stockproof.flow.touched import touch_part, touch_zone

__all__ = ["approach_event", "bail_moved", "cue_time", "part_at"]

NEVER = math.inf
FALL: Any = purpose_number("down")


@compiled
def approach_event(m: Any, w: Any, z: int) -> None:
    """A head at a bail comes to the next place: where the catch begins, poll through the bail, shoulder at it."""
    zone, state = m.zone[z], w.zone[z]
    a = state.comer if state.comer >= 0 else state.front
    touch_zone(w, z)
    begun = state.began_s
    if state.phase == t.COMING:
        state.phase = t.AT_SENSOR
        due(m, w, 3 * z + 2, max(w.now, begun + _nose_time(m, w, z, zone.head_m)))
    elif state.phase == t.AT_SENSOR:
        if part_at(w, zone.bail) <= zone.head_at:
            state.phase = t.STOPPED_EARLY
            animal_of(w, a).early += 1
            w.early += 1
            note(w, notes.TOO_EARLY, a, z)
        else:
            state.phase = t.IN_NECK
            due(m, w, 3 * z + 2, max(w.now, begun + _nose_time(m, w, z, zone.head_m + zone.neck_m)))
    elif state.phase == t.IN_NECK:
        if part_at(w, zone.bail) <= zone.neck_at:
            _hold(m, w, z, a)
        else:
            state.phase = t.PAST
            _blocked(m, w, zone.bail)
            animal_of(w, a).missed += 1
            w.missed += 1
            note(w, notes.TOO_LATE, a, z)


@compiled
def bail_moved(m: Any, w: Any, z: int) -> None:
    """The bail of a zone has come to an end of its travel: it holds, lets go, or lets a stopped head on."""
    state = w.zone[z]
    at = w.part[m.zone[z].bail].at
    a = state.comer if state.comer >= 0 else state.front
    if a < 0:
        return
    touch_zone(w, z)
    if at == 0.0 and state.phase == t.IN_NECK:
        _hold(m, w, z, a)
    elif at == 1.0 and state.phase == t.NECK_HELD:
        state.phase = t.LET_GO
        due(m, w, 3 * z + 2, NEVER)
        note(w, notes.LET_OUT, a, z)
    elif at == 1.0 and state.phase == t.STOPPED_EARLY:
        # the nose stands at the bail: it walks on from there at its own pace
        state.began_s = w.now - _nose_time(m, w, z, 0.0)
        state.phase = t.COMING
        due(m, w, 3 * z + 2, max(w.now, state.began_s + cue_time(m, w, z)))


@compiled
def _hold(m: Any, w: Any, z: int, a: int) -> None:
    """The bail holds the neck; a few animals go down in it after a while."""
    falls = m.down_share > 0.0 and uniform(w.seed, w.replication, a + 1, FALL, ZERO) < m.down_share
    due(m, w, 3 * z + 2, w.now + take(m, w, m.down_after, a, ZERO) if falls else NEVER)
    w.zone[z].phase = t.NECK_HELD
    w.zone[z].held_s = w.now
    animal_of(w, a).caught += 1
    if w.first_held_s < 0.0:
        w.first_held_s = w.now
    note(w, notes.CAUGHT, a, z)


@compiled
def _blocked(m: Any, w: Any, part: int) -> None:
    """A body is in the way of a part: it stays where it is, driven or not."""
    state = w.part[part]
    if state.moving != 0:
        state.at = part_at(w, part)
        state.since_s, state.until_s = w.now, NEVER
        due(m, w, m.first_part_slot + part, NEVER)
        if state.motion >= 0:
            w.oil_left_m3[state.motion] = 0.0  # what it does not take others do
        touch_part(w, part)


@compiled
def _nose_time(m: Any, w: Any, z: int, past_bail_m: float) -> float:
    """Time from the nose at the entry plane until it is so far past the bail (negative: before it). [s]"""
    zone, state = m.zone[z], w.zone[z]
    return float(max(0.0, (zone.length_m + past_bail_m) / zone.body_m * state.took_s))


@compiled
def cue_time(m: Any, w: Any, z: int) -> float:
    """Time from the nose at the entry plane until the catch is begun. [s]"""
    zone = m.zone[z]
    if zone.lead_s > 0.0:
        return float(max(0.0, _nose_time(m, w, z, zone.head_m + 0.5 * zone.neck_m) - zone.lead_s))
    return _nose_time(m, w, z, -zone.sensor_m)


@compiled
def part_at(w: Any, part: int) -> float:
    """Where a part is now, between 0 closed and 1 open."""
    p = w.part[part]
    if p.moving == 0 or p.until_s <= p.since_s:
        return float(p.at)
    done = min(1.0, max(0.0, (w.now - p.since_s) / (p.until_s - p.since_s)))
    return float(p.at + (p.to - p.at) * done)
