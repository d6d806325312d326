"""Compiled search for the manifold pressure at which pump and accumulator give what all parts take.

Used without an accumulator and while one runs dry; the balance falls with pressure, so its root is unique.
"""

from __future__ import annotations

from math import inf

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import jitable
from stockproof.power.part import block_pressure, drawn_by_all, driven_area, part_draw
from stockproof.power.solving import SPEED, solve_parts
from stockproof.power.store import gas_pressure, pump_offer, relief_top, store_offer, stored_oil

__all__ = ["manifold_pressure"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FLOW_SHARE = 1e-5
_FLOW_ENOUGH = 1e-11
_PRESSURE_ENOUGH = 0.1
#: First slope of the balance where none is known yet: a litre a minute for a bar.
_FIRST_SLOPE = -1.7e-10
_LONGEST = 80
#: A secant is worth going on with where it leaves less than this share of the surplus.
_GAIN = 0.5


@jitable
def manifold_pressure(
    parts: Floats, store: Floats, state: Floats, way: Ints, work: Floats, stage_s: float, enough: float
) -> float:
    """Pressure at which pump and accumulator give what the parts take; the one root of a falling balance. [Pa]

    Secants from the last pressure inside a bracket that closes; where one leaves it or gains little, the bracket is
    halved instead.
    """
    gas = gas_pressure(store, state)
    low, high = 0.0, max(gas, relief_top(store)) + 1e5
    pressure = min(max(state[c.MANIFOLD], low), high)
    slope = state[c.SURPLUS_SLOPE] if state[c.SURPLUS_SLOPE] < 0.0 else _FIRST_SLOPE
    surplus = _surplus(parts, store, state, way, work, stage_s, enough, gas, pressure)
    flow_enough = _FLOW_ENOUGH + _FLOW_SHARE * (drawn_by_all(parts, work[SPEED], way) + store[c.PUMP_FLOW])
    gained_little = False
    for _ in range(_LONGEST):
        if abs(surplus) <= flow_enough:
            break
        if surplus > 0.0:
            low = pressure
        else:
            high = pressure
        if high - low <= _PRESSURE_ENOUGH:
            break
        following = pressure - surplus / slope
        if gained_little or not low < following < high:
            following = 0.5 * (low + high)
        found = _surplus(parts, store, state, way, work, stage_s, enough, gas, following)
        steep = (found - surplus) / (following - pressure)
        if steep < 0.0:
            slope = steep
        gained_little = abs(found) > _GAIN * abs(surplus)
        pressure, surplus = following, found
    state[c.SURPLUS_SLOPE] = slope
    return float(pressure)


@jitable
def _surplus(
    parts: Floats,
    store: Floats,
    state: Floats,
    way: Ints,
    work: Floats,
    stage_s: float,
    enough: float,
    gas: float,
    supply_pa: float,
) -> float:
    """Oil offered less oil taken at a manifold pressure: it falls with pressure. [m3/s]"""
    offered = pump_offer(store, state, supply_pa)
    if store[c.GAS_MASS] > 0.0:
        offered += store_offer(store, stored_oil(store, state), gas, supply_pa, stage_s)
    total = solve_parts(parts, store, way, work, supply_pa, inf, stage_s, enough)
    for n in range(way.size):
        if way[n] != 0:
            taken = driven_area(parts[n], way[n]) * max(0.0, work[SPEED, n] * way[n])
            if parts[n, c.REDUCES] == 0.0:
                others = max(0.0, total - taken)
                taken = part_draw(parts[n], store, taken, way[n], block_pressure(store, supply_pa, others, inf, taken))
            offered -= taken
    return offered
