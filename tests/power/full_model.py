"""The full stiff model of one circuit: every cylinder side and the manifold is a compressible node.

It shares only the laws of single components (drop over flow, gas) with the reduced solver; flows come from
pressures here, not pressures from flows, friction is smoothed, and any solver of stiff equations steps it.
Tests hold the reduced solver against it; the bench times it.
"""

from __future__ import annotations

from collections.abc import Callable
from math import tanh
from typing import cast

import numba
import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import cached, jitable, source_stamp
from stockproof.power.gas import ATMOSPHERE_PA, nitrogen
from stockproof.power.part import _contact_force, _entering_drop, _leaving_drop, _pushed_back_pressure
from stockproof.power.valves import reduced_pressure

Floats = NDArray[np.float64]

#: Places in the numbers only this model needs.
BULK, DEAD, MANIFOLD, SMOOTH, LOADED = 0, 1, 2, 3, 4


@jitable
def _slopes(y: Floats, parts: Floats, store: Floats, way: NDArray[np.int64], extra: Floats, out: Floats) -> None:
    """Time derivative of (gas volume, gas temperature, manifold pressure, then x, v, cap, rod pressures per part)."""
    volume, temperature, manifold = y[0], y[1], y[2]
    pressure, over_temperature, _, heat = nitrogen(store[c.GAS_MASS] / volume, temperature)
    gas = pressure - ATMOSPHERE_PA
    into_manifold = _stub_flow(store, gas - manifold)
    out[0] = into_manifold
    cooling = (store[c.WALL] - temperature) / store[c.GAS_TAU]
    work = -temperature * over_temperature / (heat * store[c.GAS_MASS])
    out[1] = cooling + work * into_manifold
    if extra[LOADED] == 1.0:
        over = max(0.0, manifold - store[c.RELIEF_CRACK]) / store[c.RELIEF_OVERRIDE]
        into_manifold += max(0.0, store[c.PUMP_FLOW] - over)
    for n in range(parts.shape[0]):
        part, at = parts[n], 3 + 4 * n
        x, v, cap, rod = y[at], y[at + 1], y[at + 2], y[at + 3]
        cap_flow, rod_flow = 0.0, 0.0
        if way[n] > 0:
            cap_flow = _entering_flow(part, store, manifold, cap, 1)
            rod_flow = -_leaving_flow(part, store, rod, 1)
            into_manifold -= max(0.0, cap_flow)
        elif way[n] < 0:
            rod_flow = _entering_flow(part, store, manifold, rod, -1)
            cap_flow = -_leaving_flow(part, store, cap, -1)
            into_manifold -= max(0.0, rod_flow)
        cap_volume = extra[DEAD] + part[c.CAP_AREA] * x
        rod_volume = extra[DEAD] + part[c.ROD_AREA] * (part[c.STROKE] - x)
        push = cap * part[c.CAP_AREA] - rod * part[c.ROD_AREA]
        friction = part[c.FRICTION] * tanh(v / extra[SMOOTH])
        out[at] = v
        out[at + 1] = (push - part[c.VISCOUS] * v - part[c.LOAD] - _contact_force(part, x) - friction) / part[c.MASS]
        out[at + 2] = extra[BULK] / cap_volume * (cap_flow - part[c.CAP_AREA] * v)
        out[at + 3] = extra[BULK] / rod_volume * (rod_flow + part[c.ROD_AREA] * v)
    out[2] = extra[BULK] / extra[MANIFOLD] * into_manifold


@jitable
def _stub_flow(store: Floats, drop: float) -> float:
    """Flow through the stub for a signed drop: the inverse of its quadratic."""
    half = 0.5 * store[c.STUB_VISCOUS] * store[c.STUB] ** 2
    flow = (half * half + abs(drop) * store[c.STUB] ** 2) ** 0.5 - half
    return float(flow if drop > 0.0 else -flow)


@jitable
def _entering_flow(part: Floats, store: Floats, supply: float, side: float, way: int) -> float:
    """Flow into a driven side at given pressures on both ends of its path."""
    at_rest = min(supply, part[c.SETTING] + (0.5 * part[c.BAND] if part[c.REDUCES] == 1.0 else 0.0))
    if side > at_rest:
        return -_inverse(part, store, side, supply, way, 2)
    return _inverse(part, store, supply, side, way, 1)


@jitable
def _leaving_flow(part: Floats, store: Floats, side: float, way: int) -> float:
    if side <= 0.0:
        return 0.0
    return _inverse(part, store, side, 0.0, way, 0)


@jitable
def _excess(part: Floats, store: Floats, flow: float, high: float, low: float, way: int, kind: int) -> float:
    """How much pressure is left over at a flow: it falls as flow rises."""
    if kind == 0:
        return float(high - low - _leaving_drop(part, store, flow, 0.0, way))
    if kind == 2:
        return float(high - _pushed_back_pressure(part, store, flow, way, low))
    if part[c.REDUCES] == 1.0:
        reduced = reduced_pressure(high, part[c.SETTING], part[c.BAND], part[c.REDUCER], flow)
        return float(reduced - low - _entering_drop(part, store, flow, way))
    return float(min(high - _entering_drop(part, store, flow, way), part[c.SETTING]) - low)


@jitable
def _inverse(part: Floats, store: Floats, high: float, low: float, way: int, kind: int) -> float:
    """Flow at which no pressure is left over, by bracketed secants."""
    a, fa = 0.0, _excess(part, store, 0.0, high, low, way, kind)
    if fa <= 0.0:
        return 0.0
    b = 1e-4
    fb = _excess(part, store, b, high, low, way, kind)
    while fb > 0.0 and b < 1.0:
        a, fa, b = b, fb, 4.0 * b
        fb = _excess(part, store, b, high, low, way, kind)
    for _ in range(80):
        middle = (a * fb - b * fa) / (fb - fa)
        f = _excess(part, store, middle, high, low, way, kind)
        if f * fb < 0.0:
            a, fa = b, fb
        else:
            fa *= 0.5
        moved = abs(middle - b)
        b, fb = middle, f
        if fb == 0.0 or moved < 1e-13 + 1e-9 * abs(b):
            break
    return b


def _entry(stamp: int) -> Callable[..., int]:
    def fill(y: Floats, parts: Floats, store: Floats, way: NDArray[np.int64], extra: Floats, out: Floats) -> int:
        if stamp != -1:
            _slopes(y, parts, store, way, extra, out)
        return 0

    return cached(fill)


_fill = _entry(source_stamp())


def _slopes_array(t: float, y: Floats, parts: Floats, store: Floats, way: NDArray[np.int64], extra: Floats) -> Floats:
    """The slopes in an array of their own, as scipy wants them; the work is compiled exactly as the solver's is."""
    out = np.zeros(y.size)
    _fill(y, parts, store, way, extra, out)
    return out


slopes = cast(Callable[..., Floats], numba.njit(nogil=True)(_slopes_array))
