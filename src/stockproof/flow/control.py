"""The real control netlist in the loop: what sensors see goes in, motions come out, timers run.

The scan, the plant's truths and the motion law are the ground's own; nothing here says again what a sensor sees or
what a gate does. After each event the netlist is scanned until its memory no longer changes.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import ZERO
from stockproof.flow.facts import decided_way
from stockproof.flow.memory import animal_of
from stockproof.flow.moves import bail_moved, part_at
from stockproof.flow.notes import close_motion, note, note_motion
from stockproof.motion.kernel import LawArrays, OilState, begin, new_state, stop
from stockproof.netlist.kernel import commit, restart, scan
from stockproof.plant.model import TruthKind, Undriven

__all__ = ["control", "part_event", "start_program", "timer_event"]

NEVER = math.inf
ON = np.uint64(0xFFFF_FFFF_FFFF_FFFF)
OFF = np.uint64(0)
#: Scans in one instant before the logic counts as never settling.
MOST_SCANS = 64

# Enumerations of the ground as plain numbers for the kernel.
OCCUPIED, CROWDED, ASTRIDE, NECK, DOWN = (
    int(k) for k in (TruthKind.OCCUPIED, TruthKind.CROWDED, TruthKind.ASTRIDE, TruthKind.NECK, TruthKind.DOWN)
)
AT_CLOSED, AT_MID, AT_OPEN, PERSON = (
    int(k) for k in (TruthKind.AT_CLOSED, TruthKind.AT_MID, TruthKind.AT_OPEN, TruthKind.PERSON)
)
GRIPPED, SETTLED, DECIDED, READ = (
    int(k) for k in (TruthKind.GRIPPED, TruthKind.SETTLED, TruthKind.DECIDED, TruthKind.READ)
)
SPRINGS_BACK, STAYS_WHERE_SET, BY_WEIGHT = (
    int(k) for k in (Undriven.SPRINGS_BACK, Undriven.STAYS_WHERE_SET, Undriven.BY_WEIGHT)
)


@compiled
def control(m: Any, w: Any, p: Any) -> None:
    """Scan until settled, then carry the commands out; with the same inputs a settled program need not be scanned."""
    w.dirty = 0
    if not _read_sensors(m, w, p):
        return
    nodes = p.nodes
    for _ in range(MOST_SCANS):
        w.scans += 1
        scan(p.op[:nodes], p.a[:nodes], p.b[:nodes], p.values[:nodes])
        _run_timers(m, w, p)
        if not _remember(p):
            _drive(m, w, p)
            return
    w.status = t.NOT_SETTLED


@compiled
def _remember(p: Any) -> bool:
    """Commit the remembered bits; gives whether any changed."""
    changed = False
    for k in range(p.memories):
        if p.values[p.memory_node[k]] != p.values[p.memory_next[k]]:
            changed = True
            break
    if changed:
        commit(p.memory_node[: p.memories], p.memory_next[: p.memories], p.values, p.spare)
    return changed


@compiled
def _read_sensors(m: Any, w: Any, p: Any) -> Any:
    """Write every input; gives whether any has changed since the last scan."""
    changed = w.unscanned != 0
    w.unscanned = 0
    if _read_truths(m, w, p):
        for k in range(p.sensors):
            # a doubtful reading is the exhaustive check's business; here a sensor shows what is so
            node, shown = p.sensor_node[k], p.truth_values[p.sensor_sure[k]]
            if node >= 0 and p.values[node] != shown:
                p.values[node] = shown
                changed = True
    for k in range(m.controls):
        pressed = ON if w.pressed[k] > 0 else OFF
        if p.values[p.control_node[k]] != pressed:
            p.values[p.control_node[k]] = pressed
            changed = True
    return changed


@compiled
def _read_truths(m: Any, w: Any, p: Any) -> bool:
    """Bring the plant's truths up to date; gives whether any changed, and with it what sensors may show."""
    changed = False
    for k in range(p.truths):
        so = ON if _truth(m, w, p, p.truth_kind[k], p.truth_of[k]) else OFF
        if p.truth_values[p.truth_node[k]] != so:
            p.truth_values[p.truth_node[k]] = so
            changed = True
    if changed:
        nodes = p.truth_nodes
        scan(p.truth_op[:nodes], p.truth_a[:nodes], p.truth_b[:nodes], p.truth_values[:nodes])
    return changed


@compiled
def _truth(m: Any, w: Any, p: Any, kind: int, of: int) -> bool:
    """One atomic fact of the plant as it is now."""
    if AT_CLOSED <= kind <= AT_OPEN:
        return _stands(w, p, kind, of)
    if kind == PERSON:
        return bool(w.in_space[of] > 0)
    if kind == GRIPPED:
        return _gripped(m, w, p, of)
    if kind == ASTRIDE:
        way = m.passage_of_boundary[of]
        if way < 0:
            return False
        # an animal whose shoulders are through a bail stands in it
        return bool(w.zone[m.passage[way].target].coming == way or w.zone[m.passage[way].source].phase == t.PAST)
    z = m.zone_of_plant[of] if kind <= READ else -1
    if z < 0:
        return bool(kind > READ)  # the supply is on
    zone = w.zone[z]
    if kind == OCCUPIED:
        return bool(zone.count > 0 or zone.coming >= 0)
    if kind == CROWDED:
        return bool(zone.count + (zone.coming >= 0) > 1)
    if kind == NECK:
        return bool(t.AT_SENSOR <= zone.phase <= t.LET_GO)
    if kind == DOWN:
        return bool(zone.down != 0)
    if kind == DECIDED:
        decided = decided_way(m, w)
        return bool(decided > 0 and m.end_of_way[decided] == z)
    if zone.front < 0:
        return False
    task = m.zone[z].weigh_task if kind == SETTLED else m.zone[z].read_task
    return bool(task >= 0 and not (animal_of(w, zone.front).todo >> task) & 1)


@compiled
def _stands(w: Any, p: Any, kind: int, part: int) -> bool:
    """Where a part is; the middle of a gate that stops there is a place, that of any other all between its ends."""
    state = w.part[part]
    if kind == AT_MID:
        if p.part_stops_midway[part]:
            return bool(state.moving == 0 and state.at == 0.5)
        return bool(state.moving != 0 or 0.0 < state.at < 1.0)
    return bool(state.moving == 0 and state.at == (0.0 if kind == AT_CLOSED else 1.0))


@compiled
def _gripped(m: Any, w: Any, p: Any, part: int) -> bool:
    z = m.zone_of_plant[p.part_zone[part]] if p.part_zone[part] >= 0 else -1
    if z < 0:
        return False
    if p.part_is_bail[part]:
        return bool(w.zone[z].phase == t.NECK_HELD)
    return bool(w.zone[z].count > 0 and w.part[part].moving == 0 and w.part[part].at == 0.0)


@compiled
def _run_timers(m: Any, w: Any, p: Any) -> None:
    """Start the clock of a timer whose condition has just come, stop that of one whose condition has gone."""
    for k in range(m.timers):
        if p.values[p.timer_when[k]] == OFF:
            if p.values[p.timer_elapsed[k]] != OFF or w.leaf_s[m.first_timer_slot + k] < NEVER:
                p.values[p.timer_elapsed[k]] = OFF
                due(m, w, m.first_timer_slot + k, NEVER)
        elif p.values[p.timer_running[k]] == OFF:
            due(m, w, m.first_timer_slot + k, w.now + p.timer_preset_s[k])


@compiled
def _law(m: Any, p: Any) -> Any:
    """The motion law as the ground's kernels take it."""
    motions, levels = m.motions, p.levels
    return LawArrays(
        p.lag_s[:motions],
        p.time_s[:motions, :levels],
        p.oil_m3[:motions],
        p.level_m3[:levels],
        p.level_pressure_pa[:levels],
        p.pump_m3_per_s,
        p.leak_m3_per_s,
        p.cut_in_m3,
        p.cut_out_m3,
        p.start_m3,
    )


@compiled
def _oil(m: Any, w: Any) -> Any:
    """The store of oil as the ground's kernels step it."""
    motions = m.motions
    return OilState(w.oil[:], w.oil_rate[:motions], w.oil_from_s[:motions], w.oil_until_s[:motions])


@compiled
def start_program(m: Any, w: Any, p: Any) -> None:
    """The controller starts, and the store holds its starting oil."""
    p.values[:] = OFF
    p.truth_values[:] = OFF
    restart(p.op[: p.nodes], p.a[: p.nodes], p.memory_node[: p.memories], p.memory_start[: p.memories], p.values)
    nodes = p.truth_nodes
    restart(p.truth_op[:nodes], p.truth_a[:nodes], p.memory_node[:0], p.memory_start[:0], p.truth_values)
    w.unscanned = 1
    scan(p.truth_op[:nodes], p.truth_a[:nodes], p.truth_b[:nodes], p.truth_values[:nodes])
    oil = new_state(_law(m, p))
    w.oil[:] = oil.now


@compiled
def timer_event(w: Any, p: Any, k: int) -> None:
    """A timer has run for its preset."""
    p.values[p.timer_elapsed[k]] = ON
    w.dirty, w.unscanned = 1, 1
    note(w, notes.TIMER_ELAPSES, k, ZERO)


@compiled
def _drive(m: Any, w: Any, p: Any) -> None:
    """Start and stop parts as the motions' outputs say; stops go first, so that a reversal is one instant."""
    for k in range(m.motions):
        on = p.values[p.motion_node[k]] != OFF
        if not on and w.commanded[k] != 0:
            w.commanded[k] = 0
            _undriven(m, w, p, k)
    for k in range(m.motions):
        on = p.values[p.motion_node[k]] != OFF
        if on and w.commanded[k] == 0:
            w.commanded[k] = 1
            _start(m, w, p, k)
        asked = p.motion_request[k] >= 0 and p.values[p.motion_request[k]] != OFF
        if asked and not on and w.refused[k] == 0:
            note(w, notes.PERMIT_REFUSED, k, ZERO)
        w.refused[k] = 1 if asked and not on else 0


@compiled
def _start(m: Any, w: Any, p: Any, k: int) -> None:
    """A motion sets its part going over what is left of the stroke."""
    part = p.motion_part[k]
    state = w.part[part]
    to = p.motion_target[k]
    _halt(m, w, p, part)
    share = abs(to - state.at)
    if share == 0.0:
        return
    arrives_s = begin(_law(m, p), _oil(m, w), k, share, w.now)
    state.to, state.moving, state.motion = to, 1, k
    state.since_s, state.until_s = w.now, arrives_s
    state.logged = note_motion(w, k, share)
    due(m, w, m.first_part_slot + part, arrives_s)
    w.cycles[k] += 1
    w.dirty, w.stirred = 1, 1
    note(w, notes.MOTION_BEGINS, part, k)
    _count_touch(m, w, part, to)


@compiled
def _count_touch(m: Any, w: Any, part: int, to: float) -> None:
    """A gate that begins to close on an animal standing across it."""
    for d in range(m.zones):
        way = w.zone[d].coming
        if way < 0:
            continue
        for k in range(2):
            if m.passage[way].part[k] == part and m.passage[way].position[k] != to:
                w.touches += 1
                note(w, notes.GATE_TOUCHES, part, w.zone[d].comer)


@compiled
def _halt(m: Any, w: Any, p: Any, part: int) -> None:
    """Stop a part where it is."""
    state = w.part[part]
    if state.moving == 0:
        return
    state.at = part_at(w, part)
    if state.motion >= 0:
        stop(_law(m, p), _oil(m, w), state.motion, w.now)
        close_motion(w, state.logged, abs(state.to - state.at))
    state.moving, state.motion, state.logged = 0, -1, -1
    due(m, w, m.first_part_slot + part, NEVER)
    w.dirty, w.stirred = 1, 1


@compiled
def _undriven(m: Any, w: Any, p: Any, k: int) -> None:
    """What the part does once its motion is no longer driven: see `plant.model.Undriven`."""
    part = p.motion_part[k]
    state = w.part[part]
    kind = p.motion_undriven[k]
    if kind == STAYS_WHERE_SET and state.moving != 0:
        return
    if kind in (SPRINGS_BACK, BY_WEIGHT):
        _halt(m, w, p, part)
        back = 1.0 - p.motion_target[k]
        state.to, state.moving, state.motion, state.logged = back, 1, -1, -1
        state.since_s = w.now
        state.until_s = w.now + abs(back - state.at) * p.time_s[k, p.levels - 1]
        due(m, w, m.first_part_slot + part, state.until_s)
        return
    if state.motion == k:
        _halt(m, w, p, part)
        note(w, notes.MOTION_STOPS, part, k)


@compiled
def part_event(m: Any, w: Any, part: int) -> None:
    """A part has come to the end of its travel."""
    state = w.part[part]
    state.at, state.moving = state.to, 0
    close_motion(w, state.logged, 0.0)
    note(w, notes.PART_ARRIVES, part, state.motion)
    state.motion, state.logged = -1, -1
    w.dirty, w.stirred = 1, 1
    for z in range(m.zones):
        if m.zone[z].bail == part:
            bail_moved(m, w, z)
