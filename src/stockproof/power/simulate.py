"""Runs a circuit: commands in, arrivals and pressures out. The one place that calls the compiled solver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.arrays import Arrays, gas_volume_at
from stockproof.power.kernel import new_state, run

__all__ = ["Command", "Run", "motion_time_s", "simulate"]

Floats = NDArray[np.float64]

#: Error of a rod's place in one step: of published results, and of searches and comparisons.
RESULT_M = 1e-5
SEARCH_M = 1e-4
#: A motion that has not arrived by then does not arrive.
LONGEST_MOTION_S = 60.0


@dataclass(frozen=True, slots=True)
class Command:
    """Drive a part's rod out (+1) or in (-1) from a time until it reaches a place; 0 lets it go."""

    at_s: float
    part: int
    way: int
    to_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Run:
    """What one run gave.

    Parameters
    ----------
    arrive_s : (K,)
        When each command's part arrived; not a number where it did not.
    place_m : (N,)
        Rod positions at the end.
    state : (STATE_PLACES,)
        Totals and gas at the end; see `columns`.
    record : (R, RECORD_PLACES + N)
        What `columns` names, then rod positions.
    """

    arrive_s: Floats
    place_m: Floats
    state: Floats
    record: Floats


def simulate(
    arrays: Arrays,
    commands: Sequence[Command],
    *,
    start_pa: float,
    until_s: float,
    place_m: Floats | None = None,
    tolerance_m: float = RESULT_M,
    record_s: float = 0.0,
    loading: bool | None = None,
    to_rest: bool = False,
) -> Run:
    """Run commands from a gas pressure, the gas at ambient temperature.

    Parameters
    ----------
    arrays : Arrays
        The circuit in its condition.
    commands : sequence of Command
        In any order.
    start_pa : float
        Gauge pressure of the gas when the run begins. [Pa]
    until_s : float
        Length of the run. [s]
    place_m : (N,), optional
        Rod positions at first; all in if not given. [m]
    tolerance_m : float
        Error of a rod's place allowed in one step. [m]
    record_s : float
        Distance of recorded rows, 0 for none. [s]
    loading : bool, optional
        Whether the pump is loaded at first; below cut-in it is.
    to_rest : bool
        End the run as soon as every command has been carried out.
    """
    order = sorted(range(len(commands)), key=lambda k: commands[k].at_s)
    ordered = [commands[k] for k in order]
    place = np.zeros(arrays.parts.shape[0]) if place_m is None else np.array(place_m, dtype=np.float64)
    state = new_state(arrays.store, gas_volume_at(arrays.store, start_pa, arrays.ambient_k), arrays.ambient_k)
    if loading is not None and arrays.store[c.GAS_MASS] > 0.0:
        state[c.LOADING] = 1.0 if loading else 0.0
        state[c.LOADINGS] = state[c.LOADING]
    rows = int(until_s / record_s) + 2 if record_s > 0.0 else 0
    record = np.zeros((rows, c.RECORD_PLACES + place.size))
    arrive, kept = run(
        arrays.parts,
        arrays.store,
        state,
        place,
        np.array([command.at_s for command in ordered], dtype=np.float64),
        np.array([command.part for command in ordered], dtype=np.int64),
        np.array([command.way for command in ordered], dtype=np.int64),
        np.array([command.to_m for command in ordered], dtype=np.float64),
        until_s=float(until_s),
        tolerance_m=tolerance_m,
        to_rest=to_rest,
        record_s=record_s,
        record=record,
    )
    as_given = np.empty(len(commands))
    as_given[order] = arrive
    return Run(as_given, place, state, record[:kept])


def motion_time_s(
    arrays: Arrays,
    part: int,
    *,
    way: int,
    from_share: float,
    to_share: float,
    start_pa: float,
    tolerance_m: float = RESULT_M,
    loading: bool | None = None,
) -> float:
    """Time of one motion alone, from valve open to arrival; infinite where it does not arrive. [s]"""
    stroke = arrays.parts[part, c.STROKE]
    place = np.zeros(arrays.parts.shape[0])
    place[part] = from_share * stroke
    command = Command(0.0, part, way, to_share * stroke)
    done = simulate(
        arrays,
        (command,),
        start_pa=start_pa,
        until_s=LONGEST_MOTION_S,
        place_m=place,
        tolerance_m=tolerance_m,
        loading=loading,
        to_rest=True,
    )
    return float(done.arrive_s[0]) if np.isfinite(done.arrive_s[0]) else float("inf")
