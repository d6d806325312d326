"""Compiled solution of one implicit stage for all driven parts, each with the draw of the others."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import jitable
from stockproof.power.part import drawn_by_all, driven_area, part_velocity, shared_force

__all__ = ["FIRST", "OTHERS", "PLACE", "SOFT", "SPEED", "STAR_PLACE", "STAR_SPEED", "WORK_ROWS", "solve_parts"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Rows of the solver's work, a column a part.
PLACE = 0  #: m, at the end of the tried step
SPEED = 1  #: m/s, first guessed, then found; at the end of the tried step
FIRST = 2  #: m/s, at the first stage
SOFT = 3  #: N s/m, how steeply oil resisted when last solved
STAR_PLACE = 4  #: m, from where a stage moves
STAR_SPEED = 5  #: m/s, the speed it starts with
OTHERS = 6  #: m3/s, what the others drew when the part was last solved
WORK_ROWS = 7

#: Each part is solved with the others' last draw; draws act on one another through shared hoses only, and every
#: round halves what is left at least.
_ROUNDS = 12
_NO_DRAW_M3_PER_S = 1e-12


@jitable
def solve_parts(
    parts: Floats,
    store: Floats,
    way: Ints,
    work: Floats,
    supply_pa: float,
    pump_flow: float,
    stage_s: float,
    enough: float,
) -> float:
    """Solve all driven parts from their guesses at one supply; gives what their pistons draw. [m3/s]"""
    total = drawn_by_all(parts, work[SPEED], way)
    driven = 0
    for n in range(way.size):
        driven += abs(way[n])
    for _ in range(_ROUNDS):
        for n in range(way.size):
            if way[n] == 0:
                continue
            area, old = driven_area(parts[n], way[n]), work[SPEED, n]
            others = max(0.0, total - area * max(0.0, old * way[n]))
            found, work[SOFT, n] = part_velocity(
                parts[n],
                store,
                work[STAR_PLACE, n],
                work[STAR_SPEED, n],
                way[n],
                supply_pa,
                others,
                pump_flow,
                stage_s,
                old,
                work[SOFT, n],
                enough,
            )
            work[SPEED, n], work[OTHERS, n] = found, others
            total = others + area * max(0.0, found * way[n])
        if driven == 1 or _settled(parts, store, way, work, supply_pa, pump_flow, stage_s, enough, total):
            break
    return total


@jitable
def _settled(
    parts: Floats,
    store: Floats,
    way: Ints,
    work: Floats,
    supply_pa: float,
    pump_flow: float,
    stage_s: float,
    enough: float,
    total: float,
) -> bool:
    """Whether no part would move otherwise now that the others draw what they draw."""
    for n in range(way.size):
        if way[n] == 0:
            continue
        own = driven_area(parts[n], way[n]) * max(0.0, work[SPEED, n] * way[n])
        others = max(0.0, total - own)
        if abs(others - work[OTHERS, n]) <= _NO_DRAW_M3_PER_S:
            continue
        there = shared_force(parts[n], store, way[n], supply_pa, pump_flow, own, others)
        then = shared_force(parts[n], store, way[n], supply_pa, pump_flow, own, work[OTHERS, n])
        hard = parts[n, c.MASS] / stage_s + parts[n, c.VISCOUS] + work[SOFT, n]
        if abs(there - then) > enough * hard:
            return False
    return True
