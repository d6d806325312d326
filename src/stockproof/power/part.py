"""Compiled force law of one powered part and the speed it takes in a step.

Every pressure falls with speed, so the force balance has one root, found in a bracket; dry friction is a
set: a part at rest stays at rest exactly.
"""

from __future__ import annotations

from math import inf

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import jitable
from stockproof.power.lines import line_drop
from stockproof.power.valves import reduced_pressure

__all__ = [
    "block_pressure",
    "drawn_by_all",
    "driven_area",
    "force_in_motion",
    "manifold_at",
    "orifice",
    "part_draw",
    "part_force",
    "part_velocity",
    "shared_force",
]

Floats = NDArray[np.float64]
#: Place, speed before, way, supply, others' flow, pump's flow, step: what a balance is struck under.
Given = tuple[float, float, int, float, float, float, float]

#: Oil cannot pull: the driven side of a part that runs away is at vapour pressure.
VOID_PA = -0.7e5
#: Oil locked behind a check gives way by its own compressibility only; this keeps the equation finite.
TRAPPED_PA_S_PER_M3 = 1e14
RELIEVING_PA_S_PER_M3 = 2e9
#: No part of such a machine is faster; bounds the search only.
FASTEST_M_PER_S = 20.0
#: A part this near to balance is at rest.
NO_FORCE_N = 1e-3
_SECANTS = 8
#: How wrong the steepness kept from the last step mostly is, and any steepness at least.
_STEEPNESS_WRONG = 0.3
_STEEPNESS_AT_LEAST = 0.02
_NEARBY = 0.3
_DRAW_ENOUGH = 1e-5


@jitable
def part_velocity(
    part: Floats,
    store: Floats,
    place_m: float,
    before: float,
    way: int,
    supply_pa: float,
    other_flow: float,
    pump_flow: float,
    step_s: float,
    guess: float,
    soft: float,
    enough: float,
) -> tuple[float, float]:
    """Rod speed at the end of an implicit step and how steeply oil resists there: the one root of a rising balance.

    The part moves from `place_m` by the speed found times `step_s`; it had the speed `before`. `other_flow` is
    what other parts draw through the same hoses. The pack's manifold is at `supply_pa` where `pump_flow` is
    infinite; otherwise `supply_pa` is the gas pressure and the manifold differs from it by the stub's drop at all
    draws less `pump_flow`. `guess` and `soft` [N s/m] are speed and steepness to start from, `enough` the change of
    speed that is none. Speed is 0 at an end of stroke and while friction holds. [m/s], [N s/m]
    """
    given = (place_m, before, way, supply_pa, other_flow, pump_flow, step_s)
    hard = part[c.MASS] / step_s + part[c.VISCOUS]
    inside = 0.0 < place_m < part[c.STROKE]
    if guess != 0.0 and inside:
        friction = part[c.FRICTION] if guess > 0.0 else -part[c.FRICTION]
        unbalanced = _unbalance(part, store, guess, *given) + friction
        found, steep = _from(part, store, friction, guess, unbalanced, hard + soft, enough, given)
        if steep > 0.0:
            return found, max(steep - hard, 0.0)
    at_rest = _unbalance(part, store, 0.0, *given)
    if abs(at_rest) <= part[c.FRICTION] + NO_FORCE_N:
        return 0.0, soft
    outward = at_rest < 0.0
    if (place_m >= part[c.STROKE]) if outward else (place_m <= 0.0):
        return 0.0, soft
    friction = part[c.FRICTION] if outward else -part[c.FRICTION]
    near_f = at_rest + friction
    if guess == 0.0:
        found, steep = _from(part, store, friction, -1e-9 if near_f > 0.0 else 1e-9, near_f, hard + soft, enough, given)
        if steep > 0.0:
            return found, max(steep - hard, 0.0)
    # inertia and viscous friction alone would hold the speed below this; everything else only resists more
    far = min(max(-near_f / hard, -FASTEST_M_PER_S), FASTEST_M_PER_S)
    far_f = _unbalance(part, store, far, *given) + friction
    if far_f * near_f >= 0.0:
        return far, soft
    return _root(part, store, friction, near_f, far, far_f, enough, given), soft


@jitable
def _from(
    part: Floats,
    store: Floats,
    friction: float,
    guess: float,
    unbalanced: float,
    steep: float,
    enough: float,
    given: Given,
) -> tuple[float, float]:
    """Follow secants from a guess; the steepness given back is 0 where they leave its side of standing still.

    A secant leaves about as large a share of its way undone as the steepness it took was wrong by, if that was
    measured nearby.
    """
    wrong, span = _STEEPNESS_WRONG, 0.0
    for _ in range(_SECANTS):
        found = guess - unbalanced / steep
        if found * guess <= 0.0 or abs(found) > FASTEST_M_PER_S:
            break
        moved = abs(found - guess)
        left = wrong * moved * (moved / span if span > moved else 1.0)
        if left <= enough and span <= _NEARBY * abs(found):
            return found, steep
        there = _unbalance(part, store, found, *given) + friction
        rise = (there - unbalanced) / (found - guess)
        if rise <= 0.0:
            break
        wrong, span = abs(rise / steep - 1.0) + _STEEPNESS_AT_LEAST, moved
        guess, unbalanced, steep = found, there, rise
    return 0.0, 0.0


@jitable
def _root(
    part: Floats, store: Floats, friction: float, near_f: float, far: float, far_f: float, enough: float, given: Given
) -> float:
    """Illinois search between standing still and a speed at which the balance has the opposite sign: it cannot fail."""
    near = 0.0
    for _ in range(80):
        middle = (near * far_f - far * near_f) / (far_f - near_f)
        middle_f = _unbalance(part, store, middle, *given) + friction
        if middle_f * far_f < 0.0:
            near, near_f = far, far_f
        else:
            near_f *= 0.5
        moved = abs(middle - far)
        far, far_f = middle, middle_f
        if far_f == 0.0 or moved <= enough:
            break
    return far


@jitable
def part_force(
    part: Floats,
    store: Floats,
    place_m: float,
    speed: float,
    way: int,
    supply_pa: float,
    other_flow: float,
    pump_flow: float,
) -> float:
    """Hydraulic force on the rods, positive outward; never rises with speed; see `part_velocity`. [N]"""
    rate = speed * way
    driven = driven_area(part, way)
    block = block_pressure(store, supply_pa, other_flow, pump_flow, max(0.0, driven * rate))
    if rate < 0.0:
        return float(way * _pushed_back_pressure(part, store, -driven * rate, way, block) * driven)
    other = part[c.ROD_AREA] if way > 0 else part[c.CAP_AREA]
    left = max(part[c.STROKE] - place_m if way > 0 else place_m, 0.0)
    flow = other * rate
    back = _leaving_drop(part, store, flow, other_flow, way)
    if left < part[c.CUSHION]:
        back += part[c.CUSHION_DROP] * (1.0 - left / part[c.CUSHION]) * (rate / 0.1) ** 2
    return float(way * (_driven_pressure(part, store, driven * rate, way, block) * driven - back * other))


@jitable
def block_pressure(store: Floats, supply_pa: float, other_flow: float, pump_flow: float, own_flow: float) -> float:
    """Pressure at the valve block while a part draws its own flow besides the others'. [Pa]"""
    total = own_flow + other_flow
    trunk = line_drop(total, store[c.TRUNK_LENGTH], store[c.TRUNK_BORE], store[c.VISCOSITY], store[c.DENSITY])
    return manifold_at(store, supply_pa, total - pump_flow) - trunk


@jitable
def shared_force(
    part: Floats, store: Floats, way: int, supply_pa: float, pump_flow: float, own_flow: float, other_flow: float
) -> float:
    """The most that hoses shared with other parts take from a part's force, at its own draw and the others'. [N]"""
    driven = driven_area(part, way)
    other = part[c.ROD_AREA] if way > 0 else part[c.CAP_AREA]
    leaving = own_flow * other / driven + other_flow
    back = line_drop(leaving, store[c.TRUNK_LENGTH], store[c.TRUNK_BORE], store[c.VISCOSITY], store[c.DENSITY])
    back += orifice(leaving, store[c.RETURN], store[c.RETURN_VISCOUS])
    return float(driven * block_pressure(store, supply_pa, other_flow, pump_flow, own_flow) - other * back)


@jitable
def manifold_at(store: Floats, supply_pa: float, flow: float) -> float:
    """Manifold pressure below (or above) the gas by the stub's drop; `supply_pa` itself at infinite flow. [Pa]"""
    if flow == -inf:
        return supply_pa
    drop = orifice(abs(flow), store[c.STUB], store[c.STUB_VISCOUS])
    return float(supply_pa - drop if flow > 0.0 else supply_pa + drop)


@jitable
def _driven_pressure(part: Floats, store: Floats, flow: float, way: int, block_pa: float) -> float:
    """Pressure at the driven side while it takes a flow (not negative)."""
    if part[c.REDUCES] == 1.0:
        reduced = reduced_pressure(block_pa, part[c.SETTING], part[c.BAND], part[c.REDUCER], flow)
        return float(max(reduced - _entering_drop(part, store, flow, way), VOID_PA))
    return float(max(min(block_pa - _entering_drop(part, store, flow, way), part[c.SETTING]), VOID_PA))


@jitable
def _pushed_back_pressure(part: Floats, store: Floats, flow: float, way: int, block_pa: float) -> float:
    """Pressure at the driven side while the part is pushed back against the oil and a flow leaves it."""
    at_rest = _driven_pressure(part, store, 0.0, way, block_pa)
    if part[c.LOCKED] == 1.0:
        trapped = at_rest + TRAPPED_PA_S_PER_M3 * flow
        return float(min(trapped, max(at_rest, part[c.PORT_RELIEF]) + RELIEVING_PA_S_PER_M3 * flow))
    return at_rest + RELIEVING_PA_S_PER_M3 * flow + _path_drop(part, store, flow)


@jitable
def _entering_drop(part: Floats, store: Floats, flow: float, way: int) -> float:
    """Pressure lost by oil on its way from the block into the cylinder."""
    drop = _path_drop(part, store, flow)
    return drop + _throttle_drop(part, flow, way) if part[c.METERS_IN] == 1.0 else drop


@jitable
def _leaving_drop(part: Floats, store: Floats, flow: float, other_flow: float, way: int) -> float:
    """Pressure lost by oil on its way from the cylinder to the tank, the return hose shared with others."""
    drop = _path_drop(part, store, flow)
    if part[c.METERS_IN] == 0.0:
        drop += _throttle_drop(part, flow, way)
    total = flow + other_flow
    drop += line_drop(total, store[c.TRUNK_LENGTH], store[c.TRUNK_BORE], store[c.VISCOSITY], store[c.DENSITY])
    return drop + orifice(total, store[c.RETURN], store[c.RETURN_VISCOUS])


@jitable
def _throttle_drop(part: Floats, flow: float, way: int) -> float:
    if way > 0:
        return orifice(flow, part[c.OUT_THROTTLE], part[c.OUT_THROTTLE_VISCOUS])
    return orifice(flow, part[c.IN_THROTTLE], part[c.IN_THROTTLE_VISCOUS])


@jitable
def _path_drop(part: Floats, store: Floats, flow: float) -> float:
    """Pressure lost in one valve path and one hose."""
    hose = line_drop(flow, part[c.HOSE_LENGTH], part[c.HOSE_BORE], store[c.VISCOSITY], store[c.DENSITY])
    return hose + orifice(flow, part[c.VALVE], part[c.VALVE_VISCOUS])


@jitable
def _contact_force(part: Floats, place_m: float) -> float:
    """Force of what the part touches, against going out."""
    pressed = part[c.CONTACT_WAY] * (place_m - part[c.CONTACT_AT])
    return float(part[c.CONTACT_WAY] * part[c.CONTACT_STIFFNESS] * max(0.0, pressed))


@jitable
def _unbalance(
    part: Floats,
    store: Floats,
    speed: float,
    place_m: float,
    before: float,
    way: int,
    supply_pa: float,
    other_flow: float,
    pump_flow: float,
    step_s: float,
) -> float:
    """What is left of the force balance at a speed, dry friction apart: it rises with speed."""
    there = place_m + step_s * speed
    resisting = part[c.MASS] * (speed - before) / step_s + part[c.VISCOUS] * speed + part[c.LOAD]
    resisting += _contact_force(part, there)
    return float(resisting - part_force(part, store, there, speed, way, supply_pa, other_flow, pump_flow))


@jitable
def force_in_motion(part: Floats, place_m: float, speed: float, rate: float) -> float:
    """Force the oil gives the rods of a part that moves and speeds up at a rate: the same balance, turned round. [N]"""
    if speed == 0.0:
        return 0.0
    friction = part[c.FRICTION] if speed > 0.0 else -part[c.FRICTION]
    steady = part[c.VISCOUS] * speed + part[c.LOAD] + _contact_force(part, place_m) + friction
    return float(part[c.MASS] * rate + steady)


@jitable
def part_draw(part: Floats, store: Floats, taken: float, way: int, block_pa: float) -> float:
    """Oil a driven part draws from the block: what its pistons take, and what its own relief lets go. [m3/s]"""
    if part[c.REDUCES] == 1.0:
        return taken
    over = block_pa - part[c.SETTING]
    low, low_f = taken, over - _entering_drop(part, store, taken, way)
    if low_f <= 0.0:
        return taken
    high = max(2.0 * taken, 1e-4)
    high_f = over - _entering_drop(part, store, high, way)
    while high_f > 0.0:
        low, low_f, high = high, high_f, 2.0 * high
        high_f = over - _entering_drop(part, store, high, way)
    for _ in range(60):
        middle = (low * high_f - high * low_f) / (high_f - low_f)
        middle_f = over - _entering_drop(part, store, middle, way)
        if middle_f * high_f < 0.0:
            low, low_f = high, high_f
        else:
            low_f *= 0.5
        moved = abs(middle - high)
        high, high_f = middle, middle_f
        if moved <= _DRAW_ENOUGH * high:
            break
    return high


@jitable
def driven_area(part: Floats, way: int) -> float:
    """Area of the driven side. [m2]"""
    return float(part[c.CAP_AREA] if way > 0 else part[c.ROD_AREA])


@jitable
def drawn_by_all(parts: Floats, speed: Floats, way: NDArray[np.int64]) -> float:
    """Oil the pistons of all driven parts take at their speeds. [m3/s]"""
    total = 0.0
    for n in range(way.size):
        if way[n] != 0:
            total += driven_area(parts[n], way[n]) * max(0.0, speed[n] * way[n])
    return total


@jitable
def orifice(flow: float, conductance: float, viscous: float) -> float:
    """`valves.orifice_drop` with its arguments in order, as compiled code wants them. [Pa]"""
    return viscous * flow + (flow / conductance) ** 2
