"""Compiled trial of one step of all driven parts: two implicit stages of second order, and how far it may be off.

Both stages strike the same rising balance for every part, so a step cannot fail; the second ends where the step
ends, so quick changes die out in one step. (R. Alexander, SIAM J. Numer. Anal. 14 (1977) 1006, two stages, from
memory; the error is set against the quadrature of third order through the speeds at start, stage and end.)
Where the pump alone bounds the speed, two plain implicit steps of half the length take their place: a stage that
looks ahead would let the part run faster than the oil comes.
"""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import jitable
from stockproof.power.manifold import manifold_pressure
from stockproof.power.part import block_pressure, drawn_by_all, driven_area, force_in_motion, manifold_at, part_draw
from stockproof.power.solving import FIRST, PLACE, SPEED, STAR_PLACE, STAR_SPEED, solve_parts
from stockproof.power.store import pump_offer

__all__ = ["oil_over_step", "try_step"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Where the first stage stands in the step.
SHARE = 1.0 - sqrt(0.5)
#: Quadrature of third order through speeds at 0, SHARE and 1, less the step's own weights.
_AT_SHARE = 1.0 / (6.0 * SHARE * (1.0 - SHARE))
_AT_END = (2.0 - 3.0 * SHARE) / (6.0 * (1.0 - SHARE))
_OFF_START = 1.0 - _AT_SHARE - _AT_END
_OFF_SHARE = _AT_SHARE - (1.0 - SHARE)
_OFF_END = _AT_END - SHARE
#: Speeds are solved so that the place is off by no more than this share of the tolerance, nor the speed by this.
_SOLVED_SHARE = 0.05
_SOLVED_SPEED = 1e-4
_SLOW_M_PER_S = 0.01


@jitable
def try_step(
    parts: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    speed: Floats,
    way: Ints,
    work: Floats,
    slopes: tuple[float, float, float],
    surely: bool,
    step_s: float,
    tolerance_m: float,
) -> tuple[float, float]:
    """Try a step: places and speeds at its end go into `work`; gives the largest error of a place and the manifold.

    `slopes` are gas pressure and its changes over drawn volume and time; `surely` tells that the store cannot run
    dry in the step, so that the manifold follows from the gas directly. [m], [Pa]
    """
    fastest = 0.0
    for n in range(way.size):
        work[SPEED, n] = speed[n]
        work[STAR_PLACE, n], work[STAR_SPEED, n] = place_m[n], speed[n]
        fastest = max(fastest, abs(speed[n]))
    enough = min(_SOLVED_SHARE * tolerance_m / step_s, _SOLVED_SPEED * (fastest + _SLOW_M_PER_S))
    pump = pump_offer(store, state, state[c.MANIFOLD])
    stage_s = share_of_step(surely) * step_s
    gas, over_volume, over_time = slopes
    drawn = drawn_by_all(parts, speed, way)
    gas_then = gas + (over_volume * (drawn - pump) + over_time) * stage_s
    manifold = _stage(parts, store, state, way, work, gas_then, pump, surely, stage_s, enough)
    drawn = drawn_by_all(parts, work[SPEED], way)
    for n in range(way.size):
        first = work[SPEED, n]
        work[FIRST, n] = first
        work[STAR_PLACE, n] = place_m[n] + (step_s - stage_s) * first
        work[STAR_SPEED, n] = speed[n] + (step_s - stage_s) / stage_s * (first - speed[n])
    gas_then = gas + (over_volume * (drawn - pump) + over_time) * step_s
    manifold = _stage(parts, store, state, way, work, gas_then, pump, surely, stage_s, enough)
    error = 0.0
    for n in range(way.size):
        work[PLACE, n] = place_m[n]
        if way[n] != 0:
            work[PLACE, n] = work[STAR_PLACE, n] + stage_s * work[SPEED, n]
            off = _off(speed[n], work[FIRST, n], work[SPEED, n], surely)
            error = max(error, abs(off) * step_s)
    return error, manifold


@jitable
def share_of_step(surely: bool) -> float:
    """Length of each stage over the step's."""
    return SHARE if surely else 0.5


@jitable
def _off(start: float, first: float, last: float, surely: bool) -> float:
    """How far a step's mean speed may be off, from the speeds at its start, its stage and its end. [m/s]"""
    if surely:
        return _OFF_START * start + _OFF_SHARE * first + _OFF_END * last
    return 0.25 * (last - start)


@jitable
def _stage(
    parts: Floats,
    store: Floats,
    state: Floats,
    way: Ints,
    work: Floats,
    gas: float,
    pump: float,
    surely: bool,
    stage_s: float,
    enough: float,
) -> float:
    """Solve one stage; gives the manifold's pressure. [Pa]"""
    if surely:
        drawn = solve_parts(parts, store, way, work, gas, pump, stage_s, enough)
        return manifold_at(store, gas, drawn - pump)
    manifold = manifold_pressure(parts, store, state, way, work, stage_s, enough)
    solve_parts(parts, store, way, work, manifold, inf, stage_s, enough)
    return manifold


@jitable
def oil_over_step(
    parts: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    speed: Floats,
    way: Ints,
    work: Floats,
    manifold_pa: float,
    surely: bool,
    step_s: float,
) -> float:
    """Take over a step that was tried: places, speeds, energy given to rods; gives the mean draw of all. [m3/s]"""
    drawn = 0.0
    stage_s = share_of_step(surely) * step_s
    total = drawn_by_all(parts, work[SPEED], way)
    for n in range(way.size):
        if way[n] == 0:
            continue
        first, last = work[FIRST, n], work[SPEED, n]
        there = min(max(work[PLACE, n], 0.0), parts[n, c.STROKE])
        state[c.PART_ENERGY] += (
            (step_s - stage_s)
            * first
            * force_in_motion(parts[n], place_m[n] + stage_s * first, first, (first - speed[n]) / stage_s)
        )
        state[c.PART_ENERGY] += (
            stage_s * last * force_in_motion(parts[n], work[PLACE, n], last, (last - work[STAR_SPEED, n]) / stage_s)
        )
        taken = driven_area(parts[n], way[n]) * max(0.0, (there - place_m[n]) * way[n] / step_s)
        if parts[n, c.REDUCES] == 0.0:
            others = max(0.0, total - driven_area(parts[n], way[n]) * max(0.0, last * way[n]))
            taken = part_draw(parts[n], store, taken, way[n], block_pressure(store, manifold_pa, others, inf, taken))
        drawn += taken
        place_m[n], speed[n] = there, last if there == work[PLACE, n] else 0.0
    return drawn
