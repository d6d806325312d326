"""Compiled kernels that step one store of oil between events and time the motions that draw on it.

Between events every draw is a constant rate, so the stored volume is a straight line from break to break
(a motion's first movement or arrival, the pump loading or unloading) and is stepped exactly. Oil goes to
motions in the order they began: one that would empty the store waits or slows until the pump has made
its oil, so stored oil never falls below nothing. Without a store, where all share the pump's oil, it goes to
the motion that needs the least pressure first: a running one that needs more stands until there is oil again.
Pressures and forces are not computed here.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stockproof.motion.compiled import compiled

__all__ = [
    "LawArrays",
    "OilState",
    "advance",
    "begin",
    "new_state",
    "part_arrives_s",
    "pressure_pa",
    "set_power",
    "stop",
    "stored_m3",
]

Floats = NDArray[np.float64]

# Places in OilState.now
CLOCK_S = 0  #: time to which the store has been stepped
STORED_M3 = 1  #: oil in the store
LOADING = 2  #: 1 while the pump delivers, 0 while unloaded
POWERED = 3  #: 1 while the pump has power
LOADED_S = 4  #: seconds the pump has delivered so far
LOADINGS = 5  #: times the pump was loaded so far
LOWEST_M3 = 6  #: least stored oil so far
SHORT_M3 = 7  #: oil that was drawn but not there (only after power was lost in mid-motion)
SPILT_M3 = 8  #: oil leaked so far
DRAWN_M3 = 9  #: oil drawn by motions so far
PUMPED_M3 = 10  #: oil delivered by the pump so far
_PLACES = 11

_NEVER = np.inf
#: Rounding of sums of volumes; a millionth of a drop.
_DUST_M3 = 1e-13
_HALVINGS = 24


class LawArrays(NamedTuple):
    """`MotionLaws` as the kernels take it; see there for shapes and units."""

    lag_s: Floats
    time_s: Floats
    oil_m3: Floats
    level_m3: Floats
    level_pressure_pa: Floats
    pump_m3_per_s: float
    leak_m3_per_s: float
    cut_in_m3: float
    cut_out_m3: float
    start_m3: float
    need_pa: Floats


class OilState(NamedTuple):
    """One run's store of oil; arrays are stepped in place.

    Parameters
    ----------
    now : (11,)
        Scalars by the places named at the top of this module.
    rate_m3_per_s, from_s, until_s : (M,)
        What each running motion draws, from when, until when; rate 0 where it does not run.
    """

    now: Floats
    rate_m3_per_s: Floats
    from_s: Floats
    until_s: Floats


@compiled
def new_state(law: LawArrays) -> OilState:
    """Give a store with its starting oil at time 0, powered, nothing moving."""
    motions = law.oil_m3.size
    now = np.zeros(_PLACES)
    now[STORED_M3] = law.start_m3
    now[LOWEST_M3] = law.start_m3
    now[POWERED] = 1.0
    if law.start_m3 <= law.cut_in_m3 and law.pump_m3_per_s > 0.0:
        now[LOADING] = 1.0
        now[LOADINGS] = 1.0
    return OilState(now, np.zeros(motions), np.zeros(motions), np.zeros(motions))


@compiled
def begin(law: LawArrays, oil: OilState, motion: int, share: float, at_s: float) -> float:
    """Begin a motion over a share of its stroke and give the time at which the part arrives.

    Infinite where the store is too low, there is no power to refill it, or the part cannot move at all;
    nothing is drawn then. A motion begun again while it runs starts afresh. Without a store it may put off the
    arrival of motions that run: see `part_arrives_s`.
    """
    advance(law, oil, at_s)
    oil.rate_m3_per_s[motion] = 0.0
    if law.cut_out_m3 > 0.0:
        return _place(law, oil, motion, share, at_s)
    left_m3 = _set_aside(law, oil, motion, at_s)
    arrives_s = _place(law, oil, motion, share, at_s)
    _take_up(law, oil, left_m3, at_s)
    return arrives_s


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
def _set_aside(law: LawArrays, oil: OilState, motion: int, at_s: float) -> Floats:
    """Take the oil from running motions that need more pressure than a newcomer; gives what each still wants. (M,)"""
    left_m3 = np.zeros(oil.rate_m3_per_s.size)
    for k in range(left_m3.size):
        if oil.rate_m3_per_s[k] > 0.0 and oil.until_s[k] > at_s and law.need_pa[k] > law.need_pa[motion]:
            left_m3[k] = oil.rate_m3_per_s[k] * (oil.until_s[k] - max(at_s, oil.from_s[k]))
            oil.rate_m3_per_s[k] = 0.0
    return left_m3


@compiled
def _take_up(law: LawArrays, oil: OilState, left_m3: Floats, at_s: float) -> None:
    """Give the motions that were set aside their oil again, the least pressure first."""
    for _ in range(left_m3.size):
        first = -1
        for k in range(left_m3.size):
            if left_m3[k] > 0.0 and (first < 0 or law.need_pa[k] < law.need_pa[first]):
                first = k
        if first < 0:
            return
        quick_s = left_m3[first] / law.oil_m3[first] * law.time_s[first, 0]
        start_s, took_s = _after_waiting(law, oil, first, left_m3[first], max(at_s, oil.from_s[first]), quick_s)
        oil.from_s[first], oil.until_s[first] = start_s, start_s + took_s
        oil.rate_m3_per_s[first] = left_m3[first] / took_s if took_s < _NEVER else 0.0
        left_m3[first] = 0.0


@compiled
def stop(law: LawArrays, oil: OilState, motion: int, at_s: float) -> None:
    """Stop a motion before it arrives: it draws nothing more."""
    advance(law, oil, at_s)
    oil.rate_m3_per_s[motion] = 0.0
    oil.until_s[motion] = min(oil.until_s[motion], at_s)


@compiled
def set_power(law: LawArrays, oil: OilState, on: bool, at_s: float) -> None:
    """Give or take the pump's power; motions already running keep their time, what lacks is `SHORT_M3`."""
    advance(law, oil, at_s)
    oil.now[POWERED] = 1.0 if on else 0.0


@compiled
def advance(law: LawArrays, oil: OilState, to_s: float) -> None:
    """Step the store to a later time, exactly, through every break of its straight line."""
    now = oil.now
    while now[CLOCK_S] < to_s:
        drawn, next_s = _draw_now(oil, now[CLOCK_S], to_s)
        delivered = _delivery(law, now)
        leak = law.leak_m3_per_s if now[STORED_M3] > 0.0 else min(law.leak_m3_per_s, delivered)
        net = delivered - drawn - leak
        if now[LOADING] == 1.0 and now[STORED_M3] >= law.cut_out_m3 and net >= 0.0:
            _unload(law, now)
            if now[LOADING] == 0.0:
                continue
            # without a store the pump makes what is drawn, no more
            delivered, net = drawn + leak, 0.0
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
            _unload(law, now)
        elif switch == -1:
            now[STORED_M3] = min(now[STORED_M3], law.cut_in_m3)
            now[LOADING] = 1.0
            now[LOADINGS] += 1.0
        elif switch == 2:
            now[STORED_M3] = 0.0


@compiled
def stored_m3(oil: OilState) -> float:
    """Oil in the store at the time it was last stepped to."""
    return float(oil.now[STORED_M3])


@compiled
def pressure_pa(law: LawArrays, oil: OilState) -> float:
    """Gauge pressure of the store's gas at the time it was last stepped to."""
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
def _unload(law: LawArrays, now: Floats) -> None:
    """A pump without a store is never unloaded by volume: it idles at the valve between motions."""
    if law.cut_out_m3 > 0.0:
        now[LOADING] = 0.0


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
    trial = OilState(oil.now.copy(), oil.rate_m3_per_s.copy(), oil.from_s.copy(), oil.until_s.copy())
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
