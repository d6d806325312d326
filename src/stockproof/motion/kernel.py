"""Compiled kernels that step one store of oil between events and time the motions that draw on it.

Between events every draw is a constant rate, so the stored volume is a straight line from break to break
(a motion's first movement or arrival, the pump loading or unloading) and is stepped exactly. Oil goes to
motions in the order they began: one that would empty the store waits or slows until the pump has made
its oil, so stored oil never falls below nothing. Without a store all that moves shares the pump's oil at one pressure,
and the shares change where a motion begins, ends or stops. Pressures and forces are not computed here.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stockproof.motion.compiled import compiled
from stockproof.motion.state import (
    CLOCK_S,
    DRAWN_M3,
    LOADED_S,
    LOADING,
    LOADINGS,
    LOWEST_M3,
    PLACES,
    POWERED,
    PUMPED_M3,
    SHORT_M3,
    SPILT_M3,
    STORED_M3,
    LawArrays,
    OilState,
)

__all__ = [
    "advance",
    "begin",
    "copy_of",
    "new_state",
    "part_arrives_s",
    "pressure_pa",
    "set_power",
    "stop",
    "stored_m3",
]

Floats = NDArray[np.float64]

_NEVER = np.inf
#: Rounding of sums of volumes; a millionth of a drop.
_DUST_M3 = 1e-13
_HALVINGS = 24


@compiled
def new_state(law: LawArrays) -> OilState:
    """Give a store with its starting oil at time 0, powered, nothing moving."""
    motions = law.oil_m3.size
    now = np.zeros(PLACES)
    now[STORED_M3] = law.start_m3
    now[LOWEST_M3] = law.start_m3
    now[POWERED] = 1.0
    if law.start_m3 <= law.cut_in_m3 and law.pump_m3_per_s > 0.0:
        now[LOADING] = 1.0
        now[LOADINGS] = 1.0
    return OilState(now, np.zeros(motions), np.zeros(motions), np.zeros(motions), np.zeros(motions))


@compiled
def copy_of(oil: OilState) -> OilState:
    """Give the same state in arrays of its own."""
    return OilState(oil.now.copy(), oil.rate_m3_per_s.copy(), oil.from_s.copy(), oil.until_s.copy(), oil.left_m3.copy())


@compiled
def begin(law: LawArrays, oil: OilState, motion: int, share: float, at_s: float) -> float:
    """Begin a motion over a share of its stroke and give the time at which the part arrives.

    Infinite where the store is too low, there is no power to refill it, or the part cannot move at all;
    nothing is drawn then. A motion begun again while it runs starts afresh. Without a store it puts off the
    arrival of motions that run: see `part_arrives_s`.
    """
    advance(law, oil, at_s)
    oil.rate_m3_per_s[motion] = 0.0
    if law.cut_out_m3 > 0.0:
        return _place(law, oil, motion, share, at_s)
    oil.from_s[motion] = at_s + law.lag_s[motion]
    oil.until_s[motion] = oil.from_s[motion] + share * law.time_s[motion, -1]
    oil.left_m3[motion] = share * law.oil_m3[motion] if oil.until_s[motion] < _NEVER else 0.0
    _foretell(law, oil)
    return float(oil.until_s[motion])


@compiled
def _place(law: LawArrays, oil: OilState, motion: int, share: float, at_s: float) -> float:
    """Give a motion its time beside those that run."""
    start_s = at_s + law.lag_s[motion]
    took_s = share * _at_level(law.level_m3, law.time_s[motion], oil.now[STORED_M3])
    volume_m3 = share * law.oil_m3[motion]
    if not took_s < _NEVER:
        return _NEVER
    if volume_m3 > 0.0 and _owed_m3(oil, at_s) + volume_m3 > oil.now[STORED_M3]:
        start_s, took_s = _after_waiting(law, oil, motion, volume_m3, start_s, took_s)
        if not took_s < _NEVER:
            return _NEVER
    oil.from_s[motion] = start_s
    oil.until_s[motion] = start_s + took_s
    if took_s > 0.0:
        oil.rate_m3_per_s[motion] = volume_m3 / took_s
    return float(start_s + took_s)


@compiled
def stop(law: LawArrays, oil: OilState, motion: int, at_s: float) -> None:
    """Stop a motion before it arrives: it draws nothing more, and without a store leaves it to the others."""
    advance(law, oil, at_s)
    oil.rate_m3_per_s[motion] = 0.0
    oil.left_m3[motion] = 0.0
    oil.until_s[motion] = min(oil.until_s[motion], at_s)
    if law.cut_out_m3 == 0.0:
        _foretell(law, oil)


@compiled
def set_power(law: LawArrays, oil: OilState, on: bool, at_s: float) -> None:
    """Give or take the pump's power: without a store all stands still.

    With one, motions already running keep their time; what lacks is `SHORT_M3`.
    """
    advance(law, oil, at_s)
    oil.now[POWERED] = 1.0 if on else 0.0
    if law.cut_out_m3 == 0.0:
        _foretell(law, oil)


@compiled
def advance(law: LawArrays, oil: OilState, to_s: float) -> None:
    """Step the store to a later time, exactly, through every break of its straight line."""
    if law.cut_out_m3 == 0.0:
        _pump(law, oil, to_s)
        return
    now = oil.now
    while now[CLOCK_S] < to_s:
        drawn, next_s = _draw_now(oil, now[CLOCK_S], to_s)
        delivered = _delivery(law, now)
        leak = law.leak_m3_per_s if now[STORED_M3] > 0.0 else min(law.leak_m3_per_s, delivered)
        net = delivered - drawn - leak
        if now[LOADING] == 1.0 and now[STORED_M3] >= law.cut_out_m3 and net >= 0.0:
            now[LOADING] = 0.0
            continue
        step_s = next_s - now[CLOCK_S]
        switch = 0
        if net > 0.0 and now[LOADING] == 1.0 and now[STORED_M3] + net * step_s >= law.cut_out_m3:
            step_s, switch = (law.cut_out_m3 - now[STORED_M3]) / net, 1
        elif net < 0.0 and now[LOADING] == 0.0 and now[STORED_M3] + net * step_s <= law.cut_in_m3:
            step_s, switch = max((law.cut_in_m3 - now[STORED_M3]) / net, 0.0), -1
        elif net < 0.0 and drawn == 0.0 and now[STORED_M3] + net * step_s < 0.0:
            step_s = now[STORED_M3] / -net
            switch = 2
        _step(now, step_s, next_s if switch == 0 else now[CLOCK_S] + step_s, delivered, drawn, leak)
        if switch == 1:
            now[STORED_M3] = law.cut_out_m3
            now[LOADING] = 0.0
        elif switch == -1:
            now[STORED_M3] = min(now[STORED_M3], law.cut_in_m3)
            now[LOADING] = 1.0
            now[LOADINGS] += 1.0
        elif switch == 2:
            now[STORED_M3] = 0.0


@compiled
def _pump(law: LawArrays, oil: OilState, to_s: float) -> None:
    """Without a store: let the pump's oil flow until a time, through all that sets off or arrives on the way."""
    now = oil.now
    while now[CLOCK_S] < to_s:
        at_s, next_s, drawn = now[CLOCK_S], to_s, 0.0
        _share_out(law, oil)
        for m in range(oil.left_m3.size):
            if oil.rate_m3_per_s[m] > 0.0:
                drawn += oil.rate_m3_per_s[m]
                next_s = min(next_s, at_s + oil.left_m3[m] / oil.rate_m3_per_s[m])
            elif oil.left_m3[m] > 0.0 and oil.from_s[m] > at_s:
                next_s = min(next_s, oil.from_s[m])
        if not next_s < _NEVER:
            return
        for m in range(oil.left_m3.size):
            if oil.rate_m3_per_s[m] > 0.0:
                there = at_s + oil.left_m3[m] / oil.rate_m3_per_s[m] <= next_s
                oil.left_m3[m] -= oil.rate_m3_per_s[m] * (next_s - at_s)
                if there or oil.left_m3[m] <= _DUST_M3:
                    oil.left_m3[m], oil.rate_m3_per_s[m] = 0.0, 0.0
                    # what was foretold stands: only the last digit could differ
                    oil.until_s[m] = min(oil.until_s[m], next_s)
        _step(now, next_s - at_s, next_s, drawn, drawn, 0.0)


@compiled
def _share_out(law: LawArrays, oil: OilState) -> None:
    """Give all that moves its share: what it takes at the pressure at which they take together what the pump gives.

    Below the lowest level nothing moves; at the highest each moves as it does alone, and the relief valve has the
    rest. Between two levels all rates are straight lines, so the pressure is found without a search.
    """
    supply, below, part = law.pump_m3_per_s * oil.now[POWERED], 0.0, 1.0
    motions, levels = law.time_s.shape
    for m in range(motions):
        moves = supply > 0.0 and oil.left_m3[m] > 0.0 and oil.from_s[m] <= oil.now[CLOCK_S]
        oil.rate_m3_per_s[m] = law.oil_m3[m] if moves else 0.0
    level = levels - 1
    for k in range(levels):
        total = 0.0
        for m in range(motions):
            if oil.rate_m3_per_s[m] > 0.0:
                total += law.oil_m3[m] / law.time_s[m, k]
        if total > 0.0 and total >= supply:
            level, part = k, (supply - below) / (total - below)
            break
        below = total
    for m in range(motions):
        if oil.rate_m3_per_s[m] > 0.0:
            low = law.oil_m3[m] / law.time_s[m, level - 1] if level > 0 else 0.0
            oil.rate_m3_per_s[m] = low + part * (law.oil_m3[m] / law.time_s[m, level] - low)


@compiled
def _foretell(law: LawArrays, oil: OilState) -> None:
    """Without a store: say when every motion under way will arrive if nothing begins or stops before."""
    ahead = copy_of(oil)
    for m in range(oil.left_m3.size):
        if oil.left_m3[m] > 0.0:
            ahead.until_s[m] = _NEVER
    _pump(law, ahead, _NEVER)
    for m in range(oil.left_m3.size):
        oil.until_s[m] = ahead.until_s[m]


@compiled
def stored_m3(oil: OilState) -> float:
    """Oil in the store at the time it was last stepped to."""
    return float(oil.now[STORED_M3])


@compiled
def pressure_pa(law: LawArrays, oil: OilState) -> float:
    """Gauge pressure of the store's gas at the time it was last stepped to; 0 without a store."""
    if law.cut_out_m3 == 0.0:
        return 0.0
    return _at_level(law.level_m3, law.level_pressure_pa, oil.now[STORED_M3])


@compiled
def part_arrives_s(oil: OilState, motion: int) -> float:
    """When a running or finished motion's part arrives (arrived)."""
    return float(oil.until_s[motion])


@compiled
def _at_level(level: Floats, value: Floats, at: float) -> float:
    """Straight line through the table, its ends held beyond it."""
    last = level.size - 1
    if at <= level[0] or last == 0:
        return float(value[0])
    if at >= level[last]:
        return float(value[last])
    k = np.searchsorted(level, at)
    part = (at - level[k - 1]) / (level[k] - level[k - 1])
    if part == 1.0:
        return float(value[k])
    return float(value[k - 1] + part * (value[k] - value[k - 1]))


@compiled
def _draw_now(oil: OilState, at_s: float, to_s: float) -> tuple[float, float]:
    """What running motions draw at a time, and when that changes next (at most `to_s`)."""
    drawn, next_s = 0.0, to_s
    for m in range(oil.rate_m3_per_s.size):
        if oil.rate_m3_per_s[m] == 0.0:
            continue
        if oil.until_s[m] <= at_s:
            oil.rate_m3_per_s[m] = 0.0
        elif oil.from_s[m] > at_s:
            next_s = min(next_s, oil.from_s[m])
        else:
            drawn += oil.rate_m3_per_s[m]
            next_s = min(next_s, oil.until_s[m])
    return drawn, next_s


@compiled
def _delivery(law: LawArrays, now: Floats) -> float:
    return float(law.pump_m3_per_s * now[LOADING] * now[POWERED])


@compiled
def _step(now: Floats, step_s: float, end_s: float, delivered: float, drawn: float, leak: float) -> None:
    change = (delivered - drawn - leak) * step_s
    now[STORED_M3] += change
    now[CLOCK_S] = end_s
    if delivered > 0.0:
        now[LOADED_S] += step_s
    now[PUMPED_M3] += delivered * step_s
    now[DRAWN_M3] += drawn * step_s
    now[SPILT_M3] += leak * step_s
    if now[STORED_M3] < 0.0:
        if now[STORED_M3] < -_DUST_M3:
            now[SHORT_M3] -= now[STORED_M3]
        now[STORED_M3] = 0.0
    now[LOWEST_M3] = min(now[LOWEST_M3], now[STORED_M3])


@compiled
def _owed_m3(oil: OilState, at_s: float) -> float:
    """Oil that running motions will still draw after a time."""
    owed = 0.0
    for m in range(oil.rate_m3_per_s.size):
        if oil.rate_m3_per_s[m] > 0.0:
            owed += oil.rate_m3_per_s[m] * max(0.0, oil.until_s[m] - max(at_s, oil.from_s[m]))
    return owed


@compiled
def _after_waiting(
    law: LawArrays, oil: OilState, motion: int, volume_m3: float, start_s: float, took_s: float
) -> tuple[float, float]:
    """Start and duration with the earliest arrival for which the oil is there all along.

    Tried starts: at once, and each later arrival of a running motion. From a start the draw is as fast as
    the table says or, by bisection, just slow enough that the store is never overdrawn.
    """
    best_start, best_took = start_s, _NEVER
    supply = (law.pump_m3_per_s - law.leak_m3_per_s) * oil.now[POWERED]
    if supply <= 0.0:
        return best_start, best_took
    trial = copy_of(oil)
    for k in range(-1, oil.rate_m3_per_s.size):
        if k >= 0 and (oil.rate_m3_per_s[k] == 0.0 or oil.until_s[k] <= start_s):
            continue
        tried_s = start_s if k < 0 else oil.until_s[k]
        if tried_s + took_s >= best_start + best_took:
            continue
        slowed_s = _slowed_s(law, oil, trial, motion, volume_m3, tried_s, took_s, max(took_s, volume_m3 / supply))
        if tried_s + slowed_s < best_start + best_took:
            best_start, best_took = tried_s, slowed_s
    return best_start, best_took


@compiled
def _slowed_s(
    law: LawArrays,
    oil: OilState,
    trial: OilState,
    motion: int,
    volume_m3: float,
    tried_s: float,
    took_s: float,
    slowest_s: float,
) -> float:
    """Shortest duration from a start that does not overdraw the store; infinite where none is found."""
    if not _overdraws(law, oil, trial, motion, volume_m3, tried_s, took_s):
        return took_s
    if slowest_s == took_s or _overdraws(law, oil, trial, motion, volume_m3, tried_s, slowest_s):
        return _NEVER
    low, high = took_s, slowest_s
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if _overdraws(law, oil, trial, motion, volume_m3, tried_s, middle):
            low = middle
        else:
            high = middle
    return high


@compiled
def _overdraws(
    law: LawArrays, oil: OilState, trial: OilState, motion: int, volume_m3: float, start_s: float, took_s: float
) -> bool:
    """Whether a newcomer with this start and duration would leave some motion without its oil; tried on a copy."""
    for k in range(oil.now.size):
        trial.now[k] = oil.now[k]
    for k in range(oil.rate_m3_per_s.size):
        trial.rate_m3_per_s[k], trial.from_s[k], trial.until_s[k] = oil.rate_m3_per_s[k], oil.from_s[k], oil.until_s[k]
    trial.rate_m3_per_s[motion] = volume_m3 / took_s
    trial.from_s[motion] = start_s
    trial.until_s[motion] = start_s + took_s
    horizon = 0.0
    for m in range(trial.rate_m3_per_s.size):
        if trial.rate_m3_per_s[m] > 0.0:
            horizon = max(horizon, trial.until_s[m])
    trial.now[SHORT_M3] = 0.0
    advance(law, trial, horizon)
    return bool(trial.now[SHORT_M3] > 0.0)
