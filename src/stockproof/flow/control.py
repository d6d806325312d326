"""The real control netlist in the loop: what sensors see goes in, motions come out, timers run.

The scan, the plant's truths and the motion law are the ground's own; nothing here says again what a sensor sees or
what a gate does. After each event the netlist is scanned until its memory no longer changes.
"""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.bails import bail_moved, part_at
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import ZERO
from stockproof.flow.facts import refresh, turn
from stockproof.flow.notes import close_motion, note, note_motion
from stockproof.flow.settle import MOST_SCANS, settle, start_program
from stockproof.flow.touched import lowest_bit, touch, touch_part
from stockproof.motion.kernel import begin, new_state, stop
from stockproof.motion.state import LawArrays, OilState
from stockproof.plant.model import Undriven

__all__ = ["control", "part_event", "put_off", "start_control", "timer_event"]

NEVER = math.inf
# Enumerations of the ground as plain numbers for the kernel.
SPRINGS_BACK, STAYS_WHERE_SET, BY_WEIGHT = (
    int(k) for k in (Undriven.SPRINGS_BACK, Undriven.STAYS_WHERE_SET, Undriven.BY_WEIGHT)
)


@compiled
def control(m: Any, w: Any, p: Any) -> None:
    """Bring the program to rest with its inputs as they are, then carry its commands out."""
    refresh(m, w)
    if w.unscanned == 0:
        return
    w.unscanned = 0
    at = settle(m, w, p)
    w.scans += p.memo[at]
    if p.memo[at] > MOST_SCANS:
        w.status = t.NOT_SETTLED
        return
    at += 1 + m.key_words
    _set_timers(m, w, p, p.memo[at + t.CANCELLED], p.memo[at + t.STARTED])
    for k in range(m.memory_words):
        w.memory[k] = p.memo[at + t.OUTCOME + k]
    _show_signals(m, w, p, at + t.OUTCOME + m.memory_words)
    _drive(m, w, p, p.memo[at + t.DRIVEN], p.memo[at + t.REFUSED])


@compiled
def _set_timers(m: Any, w: Any, p: Any, cancelled: int, started: int) -> None:
    """Stop the clocks of timers whose condition has gone, start those of timers whose condition has just come."""
    w.elapsed &= ~cancelled
    stopped = w.timing & cancelled
    w.timing = (w.timing & ~cancelled) | started
    while stopped != 0:
        due(m, w, m.first_timer_slot + lowest_bit(stopped), NEVER)
        stopped &= stopped - 1
    while started != 0:
        k = lowest_bit(started)
        due(m, w, m.first_timer_slot + k, w.now + p.timer_preset_s[k])
        started &= started - 1


@compiled
def _show_signals(m: Any, w: Any, p: Any, at: int) -> None:
    """Let people see the program's signals as they are now."""
    for k in range(m.signal_words):
        word = t.FIRST_SIGNAL_WORD + k
        changed = w.fact[word] ^ p.memo[at + k]
        while changed != 0:
            turn(m, w, 64 * word + lowest_bit(changed))
            changed &= changed - 1
            touch(w, t.OF_SIGNALS)


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
    return OilState(
        w.oil[:], w.oil_rate[:motions], w.oil_from_s[:motions], w.oil_until_s[:motions], w.oil_left_m3[:motions]
    )


@compiled
def start_control(m: Any, w: Any, p: Any) -> None:
    """The controller starts, and the store holds its starting oil."""
    start_program(w, p)
    oil = new_state(_law(m, p))
    # one by one: copying a whole array would compile the words of its error message too
    for k in range(t.OIL):
        w.oil[k] = oil.now[k]


@compiled
def timer_event(w: Any, k: int) -> None:
    """A timer has run for its preset."""
    w.elapsed |= 1 << k
    w.timing &= ~(1 << k)
    w.unscanned = 1
    note(w, notes.TIMER_ELAPSES, k, ZERO)


@compiled
def _drive(m: Any, w: Any, p: Any, driven: int, refused: int) -> None:
    """Start and stop parts as the motions' outputs say; stops go first, so that a reversal is one instant."""
    for k in range(m.motions):
        if w.commanded[k] != 0 and not (driven >> k) & 1:
            w.commanded[k] = 0
            _undriven(m, w, p, k)
    for k in range(m.motions):
        if (driven >> k) & 1 and w.commanded[k] == 0:
            w.commanded[k] = 1
            _start(m, w, p, k)
        denied = (refused >> k) & 1
        if denied and w.refused[k] == 0:
            note(w, notes.PERMIT_REFUSED, k, ZERO)
        w.refused[k] = denied


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
    put_off(m, w, p)
    w.cycles[k] += 1
    touch_part(w, part)
    note(w, notes.MOTION_BEGINS, part, k)
    _count_touch(m, w, part, to)


@compiled
def put_off(m: Any, w: Any, p: Any) -> None:
    """Without a store what begins or stops changes the oil of parts on their way: they arrive at another time."""
    if p.cut_out_m3 > 0.0:
        return
    for part in range(m.parts):
        state = w.part[part]
        if state.moving == 0 or state.motion < 0 or w.oil_left_m3[state.motion] == 0.0:
            continue
        until_s = w.oil_until_s[state.motion]
        if until_s != state.until_s:
            state.at = part_at(w, part)
            state.since_s, state.until_s = w.now, until_s
            due(m, w, m.first_part_slot + part, until_s)


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
    put_off(m, w, p)
    touch_part(w, part)


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
        touch_part(w, part)
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
    touch_part(w, part)
    for z in range(m.zones):
        if m.zone[z].bail == part:
            bail_moved(m, w, z)
