"""Gives the motion law that flow steps: times over stored oil or the pump's pressure, oil drawn, pump and store."""

from __future__ import annotations

from math import inf, isfinite

import numpy as np
from numpy.typing import NDArray

from stockproof.motion import MotionLaws
from stockproof.power import columns as c
from stockproof.power.arrays import Arrays, Throttle, arrays, gas_volume_at
from stockproof.power.assumed import assumed
from stockproof.power.cylinders import annulus_area, piston_area
from stockproof.power.gas import ATMOSPHERE_PA, nitrogen_pressure
from stockproof.power.model import Actuator, Circuit, Condition, Drive
from stockproof.power.part import NO_FORCE_N, driven_area, part_force
from stockproof.power.roots import root
from stockproof.power.simulate import motion_time_s
from stockproof.power.store import relief_top

__all__ = ["laws_in", "motion_oil_m3", "over_pressure", "stroke_oil_m3", "switching_lag_s"]

Floats = NDArray[np.float64]

_LEVELS = 7
#: Pressures of the pump besides those at which some part begins to move.
_PRESSURES = 24
_LAG = {"on_off": "lag_on_off", "proportional": "lag_proportional", "lever": "lag_lever"}
#: The law may be coarser than results: its tables are interpolated anyway.
_TABLE_M = 3e-5


def laws_in(circuit: Circuit, condition: Condition, throttles: tuple[Throttle, ...]) -> MotionLaws:
    """Give the motion law of a circuit in a condition, its throttles as set.

    Every row is for a whole stroke; a gate that stops half-way asks for its share of it. Levels run from an empty
    store to cut-out, the gas slow (at wall temperature) between motions and with its own heat within one. The pump
    is loaded below cut-in, unloaded above it (the slower case). Without a store levels are pressures of the pump.
    """
    made = arrays(circuit, condition, throttles)
    drives = [(n, actuator, drive) for n, actuator in enumerate(circuit.actuators) for drive in actuator.drives]
    if made.store[c.GAS_MASS] > 0.0:
        level_m3, pressure_pa = _levels(made)
        time_s = np.array([[_time_s(made, n, drive, at) for at in pressure_pa] for n, _, drive in drives])
        cut_in_m3 = float(np.interp(circuit.pack.cut_in_pa, pressure_pa, level_m3))
    else:
        pressure_pa, time_s = over_pressure(made, [(n, drive) for n, _, drive in drives])
        level_m3, cut_in_m3 = np.zeros(pressure_pa.size), 0.0
    cut_out_m3 = float(level_m3[-1])
    return MotionLaws(
        names=tuple(drive.name for _, _, drive in drives),
        lag_s=np.array([switching_lag_s(actuator) for _, actuator, _ in drives]),
        time_s=time_s.reshape(len(drives), level_m3.size),
        oil_m3=np.array([stroke_oil_m3(actuator, drive) for _, actuator, drive in drives]),
        level_m3=level_m3,
        level_pressure_pa=pressure_pa,
        pump_m3_per_s=float(made.store[c.PUMP_FLOW]),
        leak_m3_per_s=float(made.store[c.LEAK]),
        cut_in_m3=cut_in_m3,
        cut_out_m3=cut_out_m3,
        start_m3=cut_out_m3,
    )


def motion_oil_m3(actuator: Actuator, drive: Drive) -> float:
    """Oil one motion draws. [m3]"""
    return stroke_oil_m3(actuator, drive) * drive.travel_share


def stroke_oil_m3(actuator: Actuator, drive: Drive) -> float:
    """Oil a whole stroke the way of a motion draws. [m3]"""
    area = piston_area(actuator.bore_m) if drive.way > 0 else annulus_area(actuator.bore_m, actuator.rod_m)
    return actuator.count * area * actuator.stroke_m


def switching_lag_s(actuator: Actuator) -> float:
    """Time from the signal to oil flowing. [s]"""
    return assumed(_LAG[actuator.valve.style])


def _levels(made: Arrays) -> tuple[Floats, Floats]:
    """Stored oil from nothing to cut-out, and its pressure at wall temperature."""
    shell = made.store[c.SHELL]
    full = shell - gas_volume_at(made.store, made.store[c.CUT_OUT], made.ambient_k)
    level = np.linspace(0.0, full, _LEVELS)
    pressure = [nitrogen_pressure(made.store[c.GAS_MASS] / (shell - oil), made.ambient_k) for oil in level]
    return level, np.array(pressure) - ATMOSPHERE_PA


def over_pressure(made: Arrays, drives: list[tuple[int, Drive]]) -> tuple[Floats, Floats]:
    """Give pressures of the pump up to the relief's, and the time of every motion at each.

    A part's speed at a pressure is the one it settles to in mid-stroke while the others draw the rest of the pump's
    oil; it is never quicker than alone. Its mass and its cushion are left out of the shares.

    Parameters
    ----------
    made : Arrays
        A circuit without a store, in its condition.
    drives : list of (int, Drive)
        Motions, each with the row of its part.

    Returns
    -------
    pressure_pa : (L,)
        Rising from 0; where each part begins to move is among them.
    time_s : (M, L)
        Infinite where the part stands; the last column is its time alone.
    """
    alone_s = [_time_s(made, n, drive, 0.0) for n, drive in drives]
    need_pa = np.array([_need_pa(made, n, drive) for n, drive in drives])
    top_pa = relief_top(made.store)
    steps_pa = np.geomspace(need_pa.min(initial=top_pa, where=need_pa > 0.0), top_pa, _PRESSURES)
    pressure_pa = np.unique(np.concatenate([[0.0], need_pa, steps_pa]))
    time_s = [
        [*(_settled_s(made, n, drive, at, alone) for at in pressure_pa[:-1]), alone]
        for (n, drive), alone in zip(drives, alone_s, strict=True)
    ]
    # the search for a speed ends within a rounding, which must not make a part slower at a higher pressure
    return pressure_pa, np.minimum.accumulate(np.array(time_s).reshape(len(drives), pressure_pa.size), axis=1)


def _need_pa(made: Arrays, n: int, drive: Drive) -> float:
    """Pressure at which a part begins to move, the others drawing all the pump gives; the relief's at most. [Pa]"""

    def surplus_n(pressure_pa: float) -> float:
        return _surplus_n(made, n, drive, 0.0, pressure_pa)

    top_pa = relief_top(made.store)
    if surplus_n(0.0) >= 0.0:
        return 0.0
    return root(surplus_n, 0.0, top_pa, enough=NO_FORCE_N) if surplus_n(top_pa) > 0.0 else top_pa


def _settled_s(made: Arrays, n: int, drive: Drive, pressure_pa: float, alone_s: float) -> float:
    """Time of a whole stroke at the speed a part settles to at a pressure of the pump; infinite where it stands. [s]"""
    stroke = made.parts[n, c.STROKE]
    if _surplus_n(made, n, drive, 0.0, pressure_pa) <= NO_FORCE_N:
        return inf
    if not isfinite(alone_s) or _surplus_n(made, n, drive, stroke / alone_s, pressure_pa) >= 0.0:
        return alone_s
    settled = root(lambda v: _surplus_n(made, n, drive, v, pressure_pa), 0.0, stroke / alone_s, enough=NO_FORCE_N)
    return float(stroke / settled)


def _surplus_n(made: Arrays, n: int, drive: Drive, speed: float, pressure_pa: float) -> float:
    """Force to spare in mid-stroke at a speed and a pressure of the pump: it falls with speed. [N]"""
    part = made.parts[n]
    others = max(0.0, made.store[c.PUMP_FLOW] - driven_area(part, drive.way) * speed)
    middle = 0.5 * part[c.STROKE]
    oil_n = part_force(part, made.store, middle, drive.way * speed, drive.way, pressure_pa, others, inf)
    return float(drive.way * (oil_n - part[c.LOAD]) - part[c.VISCOUS] * speed - part[c.FRICTION])


def _time_s(made: Arrays, n: int, drive: Drive, pressure_pa: float) -> float:
    """Time of a whole stroke at the mean speed of the motion. [s]"""
    took_s = motion_time_s(
        made,
        n,
        way=drive.way,
        from_share=drive.from_share,
        to_share=drive.to_share,
        start_pa=pressure_pa,
        tolerance_m=_TABLE_M,
        loading=bool(pressure_pa <= made.store[c.CUT_IN]),
    )
    return took_s / drive.travel_share
