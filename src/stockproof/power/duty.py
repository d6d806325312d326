"""Replays flow's log of motions with the full model: whether the law held, pump duty, oil heat, energy, fuel.

What flow computed rests on a law read from tables; where the replay disagrees beyond a stated tolerance, what
rests on it is not shown.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stockproof.motion import MotionLog
from stockproof.power import columns as c
from stockproof.power import oil
from stockproof.power.arrays import Arrays
from stockproof.power.assumed import assumed
from stockproof.power.drive import pump_shaft_power
from stockproof.power.gas import KELVIN
from stockproof.power.heat import tank_temperature
from stockproof.power.laws import switching_lag_s
from stockproof.power.model import Circuit, Condition
from stockproof.power.prepare import Prepared
from stockproof.power.simulate import SEARCH_M, Command, Run, simulate

__all__ = ["TOLERANCE_SHARE", "Curve", "DutyResult", "duty_of"]

Floats = NDArray[np.float64]

#: Agreement of mean motion time asked between the law flow stepped and the full replay.
TOLERANCE_SHARE = 0.10
#: Ninety-five of a hundred motions must agree within this many times the tolerance.
_WIDER = 3.0
_SETTLE_S = 30.0
#: An hour is drawn; a point a second is more than paper shows.
_CURVE_S = 3600.0
_CURVE_STEP_S = 1.0
#: Steel of tank and pack warms with the oil (common practice): kg per m3 of oil, and its heat.
_STEEL_KG_PER_M3_OIL = 400.0
_STEEL_HEAT_J_PER_KG_K = 480.0
_RELIABLE_MOTIONS = 20


@dataclass(frozen=True, slots=True)
class Curve:
    """Pressures and stored oil over the first working hour. Each array is (R,)."""

    time_s: Floats
    gas_pa: Floats
    manifold_pa: Floats
    stored_m3: Floats


@dataclass(frozen=True, slots=True)
class DutyResult:
    """A day of the pack.

    Parameters
    ----------
    motions, unfinished : int
        Motions replayed, and those that had not arrived before the part's next command or the end.
    law_mean_s, replay_mean_s : float
        Mean time of a motion as flow had it, and replayed.
    disagreement_share : float
        Mean over the mean: replay against law.
    widest_share : float
        Disagreement that 95 of 100 motions keep within.
    agrees : bool
        Both within tolerance; otherwise what rests on flow's motion times is not shown.
    slowest_motion, slowest_s : str, float
        The slowest replayed motion.
    lowest_pa, lowest_m3 : float
        Lowest gas pressure and stored oil.
    loaded_share : float
        Share of time the pump delivers.
    loadings_per_h : float
        Times an hour it is loaded.
    peak_flow_m3_per_s : float
        Largest draw of all parts together.
    oil_m3 : float
        Oil moved.
    oil_end_degc, oil_steady_degc : float
        Oil temperature at the end of the day and if the day never ended, from air of the condition.
    shaft_j, electric_j : float
        Energy at the shaft and from the outlet; electric is 0 for an engine.
    fuel_kg : float
        Petrol; 0 for a motor.
    span_s : float
        Length of the day.
    curve : Curve
        The first hour.
    """

    condition: str
    motions: int
    unfinished: int
    law_mean_s: float
    replay_mean_s: float
    disagreement_share: float
    widest_share: float
    agrees: bool
    slowest_motion: str
    slowest_s: float
    lowest_pa: float
    lowest_m3: float
    loaded_share: float
    loadings_per_h: float
    peak_flow_m3_per_s: float
    oil_m3: float
    oil_end_degc: float
    oil_steady_degc: float
    shaft_j: float
    electric_j: float
    fuel_kg: float
    span_s: float
    curve: Curve


def duty_of(prepared: Prepared, log: MotionLog, condition: Condition) -> DutyResult:
    """Replay a run's log and give what the pack goes through.

    Motions of parts the circuit does not drive (an electric lock, a gate worked by hand) are left out.
    """
    made = prepared.arrays(condition)
    rows = np.array([k for k, m in enumerate(log.motion) if log.names[m] in prepared.circuit.motions], dtype=np.int64)
    commands, place = _commands(prepared.circuit, log, rows)
    until = max(log.span_s, float(log.arrive_s.max(initial=0.0))) + _SETTLE_S
    done = simulate(
        made,
        commands,
        start_pa=prepared.circuit.pack.cut_out_pa,
        until_s=until,
        place_m=place,
        tolerance_m=SEARCH_M,
    )
    law_s = log.durations_s()[rows]
    replay_s = done.arrive_s - log.command_s[rows]
    finished = np.isfinite(replay_s)
    law_mean, replay_mean, mean_off, widest = _agreement(law_s[finished], replay_s[finished])
    slowest = int(np.nanargmax(replay_s)) if finished.any() else -1
    span = max(log.span_s, 1.0)
    shaft, electric, fuel = _energy(prepared.circuit, done, span)
    end, steady = _oil_temperature(prepared.circuit, condition, shaft, span)
    unfinished = int((~finished).sum())
    return DutyResult(
        condition=condition.name,
        motions=int(rows.size),
        unfinished=unfinished,
        law_mean_s=law_mean,
        replay_mean_s=replay_mean,
        disagreement_share=mean_off,
        widest_share=widest,
        agrees=abs(mean_off) <= TOLERANCE_SHARE
        and widest <= _WIDER * TOLERANCE_SHARE
        and unfinished <= max(1, rows.size // _RELIABLE_MOTIONS),
        slowest_motion=log.names[log.motion[rows[slowest]]] if slowest >= 0 else "",
        slowest_s=float(replay_s[slowest]) if slowest >= 0 else 0.0,
        lowest_pa=float(done.state[c.LOWEST_PRESSURE]),
        lowest_m3=float(done.state[c.LOWEST_STORED]),
        loaded_share=float(done.state[c.LOADED_TIME] / until),
        loadings_per_h=float(done.state[c.LOADINGS] / until * 3600.0),
        peak_flow_m3_per_s=float(done.state[c.PEAK_FLOW]),
        oil_m3=float(done.state[c.DRAWN]),
        oil_end_degc=end,
        oil_steady_degc=steady,
        shaft_j=shaft,
        electric_j=electric,
        fuel_kg=fuel,
        span_s=span,
        curve=_curve(made, commands, place, prepared.circuit.pack.cut_out_pa, span),
    )


def _commands(circuit: Circuit, log: MotionLog, rows: NDArray[np.int64]) -> tuple[list[Command], Floats]:
    """The log as commands of rods, each from where the part stood; parts begin where their first motion does."""
    place = np.full(len(circuit.actuators), np.nan)
    at = np.zeros(len(circuit.actuators))
    commands = []
    for k in rows:
        n, drive = circuit.driven(log.names[log.motion[k]])
        actuator = circuit.actuators[n]
        if np.isnan(place[n]):
            place[n] = at[n] = drive.from_share * actuator.stroke_m
        travel = log.share[k] * drive.travel_share * actuator.stroke_m
        goal = float(np.clip(at[n] + drive.way * travel, 0.0, actuator.stroke_m))
        commands.append(Command(float(log.command_s[k]) + switching_lag_s(actuator), n, drive.way, goal))
        at[n] = goal
    return commands, np.nan_to_num(place)


def _agreement(law_s: Floats, replay_s: Floats) -> tuple[float, float, float, float]:
    """Means of both, mean disagreement, and the 95 % point of its size; over the law's mean."""
    if law_s.size == 0:
        return 0.0, 0.0, 0.0, 0.0
    law_mean = float(law_s.mean())
    if law_mean <= 0.0:
        return law_mean, float(replay_s.mean()), 0.0, 0.0
    off = (replay_s - law_s) / law_mean
    return law_mean, float(replay_s.mean()), float(off.mean()), float(np.quantile(np.abs(off), 0.95))


def _energy(circuit: Circuit, done: Run, span_s: float) -> tuple[float, float, float]:
    """Shaft energy, electric energy and fuel of the day: loaded work, and idling of a pack that runs all day."""
    pack = circuit.pack
    loaded_s = float(done.state[c.LOADED_TIME])
    hydraulic = float(done.state[c.PUMP_ENERGY])
    mean_pa = hydraulic / (pack.flow_m3_per_s * loaded_s) if loaded_s > 0.0 else 0.0
    working = pump_shaft_power(
        pressure=mean_pa,
        flow=pack.flow_m3_per_s,
        volumetric_efficiency=pack.volumetric_efficiency,
        mechanical_efficiency=pack.mechanical_efficiency,
    )
    idle = assumed("idle_power_share") * pack.shaft_power_w * max(0.0, span_s - loaded_s)
    shaft = working * loaded_s + idle
    if pack.drive == "petrol":
        return shaft, 0.0, shaft / 3.6e6 * (pack.fuel_kg_per_kwh or assumed("petrol_fuel"))
    return shaft, shaft / pack.motor_efficiency, 0.0


def _oil_temperature(circuit: Circuit, condition: Condition, shaft_j: float, span_s: float) -> tuple[float, float]:
    """Oil at the end of the day and after ever so long; all shaft energy ends as heat in the oil (unfavourable)."""
    pack = circuit.pack
    leaving = assumed("tank_conductance") * pack.tank_area_m2
    capacity = pack.tank_m3 * (
        oil.DENSITY_KG_PER_M3 * oil.SPECIFIC_HEAT_J_PER_KG_K + _STEEL_KG_PER_M3_OIL * _STEEL_HEAT_J_PER_KG_K
    )
    air = condition.ambient_degc + KELVIN
    heat = shaft_j / span_s
    end = tank_temperature(start=air, ambient=air, heat=heat, leaving=leaving, capacity=capacity, time=span_s)
    return end - KELVIN, air + heat / leaving - KELVIN


def _curve(made: Arrays, commands: list[Command], place: Floats, start_pa: float, span_s: float) -> Curve:
    """The first hour again, recorded: a record would slow the whole day down."""
    until = min(_CURVE_S, span_s)
    first = [command for command in commands if command.at_s <= until]
    done = simulate(
        made,
        first,
        start_pa=start_pa,
        until_s=until,
        place_m=place,
        tolerance_m=SEARCH_M,
        record_s=_CURVE_STEP_S,
    )
    record = done.record
    return Curve(record[:, 0], record[:, 1], record[:, 2], record[:, 3])
