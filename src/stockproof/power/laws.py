"""Gives the motion law that flow steps: time of every motion over stored oil, oil drawn, pump and store."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stockproof.motion import MotionLaws
from stockproof.power import columns as c
from stockproof.power.arrays import Arrays, Throttle, arrays, gas_volume_at
from stockproof.power.assumed import assumed
from stockproof.power.cylinders import annulus_area, piston_area
from stockproof.power.gas import ATMOSPHERE_PA, nitrogen_pressure
from stockproof.power.model import Actuator, Circuit, Condition, Drive
from stockproof.power.simulate import motion_time_s

__all__ = ["laws_in", "motion_oil_m3", "stroke_oil_m3", "switching_lag_s"]

Floats = NDArray[np.float64]

_LEVELS = 7
_LAG = {"on_off": "lag_on_off", "proportional": "lag_proportional", "lever": "lag_lever"}
#: The law may be coarser than results: its tables are interpolated anyway.
_TABLE_M = 3e-5


def laws_in(circuit: Circuit, condition: Condition, throttles: tuple[Throttle, ...]) -> MotionLaws:
    """Give the motion law of a circuit in a condition, its throttles as set.

    Every row is for a whole stroke; a gate that stops half-way asks for its share of it. Levels run from an empty
    store to cut-out, the gas slow (at wall temperature) between motions and with its own heat within one. The pump
    is loaded below cut-in, unloaded above it (the slower case).
    """
    made = arrays(circuit, condition, throttles)
    level_m3, pressure_pa = _levels(made)
    drives = [(n, actuator, drive) for n, actuator in enumerate(circuit.actuators) for drive in actuator.drives]
    time_s = np.array([[_time_s(made, n, drive, at) for at in pressure_pa] for n, _, drive in drives])
    cut_in_m3 = float(np.interp(circuit.pack.cut_in_pa, pressure_pa, level_m3)) if level_m3.size > 1 else 0.0
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
        need_pa=np.array([_need_pa(actuator, drive) for _, actuator, drive in drives]),
    )


def motion_oil_m3(actuator: Actuator, drive: Drive) -> float:
    """Oil one motion draws. [m3]"""
    return stroke_oil_m3(actuator, drive) * drive.travel_share


def stroke_oil_m3(actuator: Actuator, drive: Drive) -> float:
    """Oil a whole stroke the way of a motion draws. [m3]"""
    area = piston_area(actuator.bore_m) if drive.way > 0 else annulus_area(actuator.bore_m, actuator.rod_m)
    return actuator.count * area * actuator.stroke_m


def _need_pa(actuator: Actuator, drive: Drive) -> float:
    """Pressure at which a part begins to move: dry friction and the load along the rod over the area. [Pa]"""
    against_n = actuator.count * actuator.friction_n + drive.way * actuator.load_n / actuator.linkage_ratio
    return max(0.0, against_n * actuator.stroke_m / stroke_oil_m3(actuator, drive))


def switching_lag_s(actuator: Actuator) -> float:
    """Time from the signal to oil flowing. [s]"""
    return assumed(_LAG[actuator.valve.style])


def _levels(made: Arrays) -> tuple[Floats, Floats]:
    """Stored oil from nothing to cut-out, and its pressure at wall temperature."""
    if made.store[c.GAS_MASS] == 0.0:
        return np.zeros(1), np.zeros(1)
    shell = made.store[c.SHELL]
    full = shell - gas_volume_at(made.store, made.store[c.CUT_OUT], made.ambient_k)
    level = np.linspace(0.0, full, _LEVELS)
    pressure = [nitrogen_pressure(made.store[c.GAS_MASS] / (shell - oil), made.ambient_k) for oil in level]
    return level, np.array(pressure) - ATMOSPHERE_PA


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
