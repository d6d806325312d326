"""Compiled search for the manifold pressure at which pump and accumulator give what all parts take.

Used without an accumulator and while one runs dry; the balance falls with pressure, so its root is unique.
"""

from __future__ import annotations

from math import inf

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import jitable
from stockproof.power.part import block_pressure, drawn_by_all, driven_area, part_draw, part_velocity
from stockproof.power.store import gas_pressure, pump_offer, relief_top, store_offer, stored_oil

__all__ = ["manifold_pressure"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FLOW_ENOUGH = 1e-10
_PRESSURE_ENOUGH = 1.0


@jitable
def manifold_pressure(
    parts: Floats, store: Floats, state: Floats, place_m: Floats, speed: Floats, way: Ints, step_s: float
) -> float:
    """Pressure at which pump and accumulator give what the parts take; the one root of a falling balance."""
    gas = gas_pressure(store, state)
    low, high = 0.0, max(gas, relief_top(store)) + 1e5
    guess = state[c.MANIFOLD]
    width = 2e4
    low_f, high_f = inf, -inf
    # widen from the last pressure: between steps it moves little
    left, right = float(max(low, guess - width)), float(min(high, guess + width))
    while True:
        left_f = _surplus(parts, store, state, place_m, speed, way, step_s, gas, left)
        if left_f >= 0.0 or left <= low:
            low, low_f = left, left_f
            break
        high, high_f = left, left_f
        width *= 8.0
        left = max(low, left - width)
    if low_f <= 0.0:
        return low
    if high_f == -inf:
        while True:
            right_f = _surplus(parts, store, state, place_m, speed, way, step_s, gas, right)
            if right_f <= 0.0 or right >= high:
                high, high_f = right, right_f
                break
            low, low_f = right, right_f
            width *= 8.0
            right = min(high, right + width)
    if high_f >= 0.0:
        return high
    return _root(parts, store, state, place_m, speed, way, step_s, gas, low, low_f, high, high_f)


@jitable
def _root(
    parts: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    speed: Floats,
    way: Ints,
    step_s: float,
    gas: float,
    low: float,
    low_f: float,
    high: float,
    high_f: float,
) -> float:
    """Illinois search in a bracket; `low_f` > 0 > `high_f`."""
    a, fa, b, fb = low, low_f, high, high_f
    for _ in range(60):
        middle = (a * fb - b * fa) / (fb - fa)
        f = _surplus(parts, store, state, place_m, speed, way, step_s, gas, middle)
        if abs(f) <= _FLOW_ENOUGH or abs(middle - b) <= _PRESSURE_ENOUGH:
            return middle
        if f * fb < 0.0:
            a, fa = b, fb
        else:
            fa *= 0.5
        b, fb = middle, f
    return b


@jitable
def _surplus(
    parts: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    speed: Floats,
    way: Ints,
    step_s: float,
    gas: float,
    supply_pa: float,
) -> float:
    """Oil offered less oil taken at a manifold pressure: it falls with pressure."""
    offered = pump_offer(store, state, supply_pa)
    drawing = drawn_by_all(parts, speed, way)
    if store[c.GAS_MASS] > 0.0:
        offered += store_offer(store, stored_oil(store, state), gas, supply_pa, step_s)
    for n in range(way.size):
        if way[n] != 0:
            area = driven_area(parts[n], way[n])
            others = max(0.0, drawing - area * max(0.0, speed[n] * way[n]))
            found = part_velocity(parts[n], store, place_m[n], speed[n], way[n], supply_pa, others, inf, step_s)
            taken = area * max(0.0, found * way[n])
            block = block_pressure(store, supply_pa, others, inf, taken)
            offered -= part_draw(parts[n], store, taken, way[n], block)
    return offered
