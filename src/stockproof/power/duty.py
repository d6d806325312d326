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
from stockproof.power.assumed import assumed
from stockproof.power.drive import motor_input_power
from stockproof.power.model import Condition
from stockproof.power.prepare import Prepared
from stockproof.power.replay import LEAST_COUNT, Hold, MotionAgreement, agreement, commands, holds
from stockproof.power.simulate import SEARCH_M, simulate
from stockproof.power.warming import OilDay, oil_day, shaft_energy_j

__all__ = ["Curve", "DutyResult", "duty_of"]

Floats = NDArray[np.float64]

_SETTLE_S = 30.0
#: An hour is drawn; a point a second is more than paper shows.
_CURVE_S = 3600.0
_RECORD_S = 1.0
J_PER_KWH = 3.6e6


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
    by_motion : tuple of MotionAgreement
        The same for each motion.
    agrees : bool
        All within tolerance (see `replay`); otherwise what rests on flow's motion times is not shown.
    holds : tuple of Hold
        How long parts pressed on animals.
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
    oil : OilDay
        Oil temperature over the day.
    shaft_j, electric_j : float
        Energy at the shaft and from the outlet; electric is 0 for an engine.
    fuel_kg : float
        Petrol; 0 for a motor.
    engine_fuel_kg : float
        Petrol an engine would burn for the same shaft energy, whatever drives the pack.
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
    by_motion: tuple[MotionAgreement, ...]
    agrees: bool
    holds: tuple[Hold, ...]
    slowest_motion: str
    slowest_s: float
    lowest_pa: float
    lowest_m3: float
    loaded_share: float
    loadings_per_h: float
    peak_flow_m3_per_s: float
    oil_m3: float
    oil: OilDay
    shaft_j: float
    electric_j: float
    fuel_kg: float
    engine_fuel_kg: float
    span_s: float
    curve: Curve

    @property
    def worst_motion(self) -> MotionAgreement | None:
        """The motion whose mean time is furthest off, of those that happened often enough."""
        often = [row for row in self.by_motion if row.count >= LEAST_COUNT]
        return max(often, key=lambda row: abs(row.off_share), default=None)


def duty_of(prepared: Prepared, log: MotionLog, condition: Condition) -> DutyResult:
    """Replay a run's log and give what the pack goes through.

    Motions of parts the circuit does not drive (an electric lock, a gate worked by hand) are left out.
    """
    circuit, pack = prepared.circuit, prepared.circuit.pack
    rows = np.array([k for k, m in enumerate(log.motion) if log.names[m] in circuit.motions], dtype=np.int64)
    given, place = commands(circuit, log, rows)
    until = max(log.span_s, float(log.arrive_s.max(initial=0.0))) + _SETTLE_S
    done = simulate(
        prepared.arrays(condition),
        given,
        start_pa=pack.cut_out_pa,
        until_s=until,
        place_m=place,
        tolerance_m=SEARCH_M,
        record_s=_RECORD_S,
    )
    against = agreement(log, rows, done.arrive_s)
    took_s = done.arrive_s - log.command_s[rows]
    slowest = int(np.nanargmax(took_s)) if np.isfinite(took_s).any() else -1
    span = max(log.span_s, 1.0)
    shaft = float(shaft_energy_j(pack, done.record, np.array([span]))[0])
    petrol = pack.drive == "petrol"
    fuel = shaft / J_PER_KWH * (pack.fuel_kg_per_kwh or assumed("petrol_fuel"))
    first_hour = done.record[done.record[:, c.AT] <= min(_CURVE_S, span)]
    return DutyResult(
        condition=condition.name,
        motions=int(rows.size),
        unfinished=against.unfinished,
        law_mean_s=against.law_mean_s,
        replay_mean_s=against.replay_mean_s,
        disagreement_share=against.mean_off_share,
        widest_share=against.widest_share,
        by_motion=against.by_motion,
        agrees=against.within,
        holds=holds(circuit, log, rows, done.arrive_s),
        slowest_motion=log.names[log.motion[rows[slowest]]] if slowest >= 0 else "",
        slowest_s=float(took_s[slowest]) if slowest >= 0 else 0.0,
        lowest_pa=float(done.state[c.LOWEST_PRESSURE]),
        lowest_m3=float(done.state[c.LOWEST_STORED]),
        loaded_share=float(done.state[c.LOADED_TIME] / until),
        loadings_per_h=float(done.state[c.LOADINGS] / until * 3600.0),
        peak_flow_m3_per_s=float(done.state[c.PEAK_FLOW]),
        oil_m3=float(done.state[c.DRAWN]),
        oil=oil_day(pack, condition, done.record, span),
        shaft_j=shaft,
        electric_j=0.0 if petrol else motor_input_power(shaft, pack.motor_efficiency),
        fuel_kg=fuel if petrol else 0.0,
        engine_fuel_kg=fuel,
        span_s=span,
        curve=Curve(*(first_hour[:, place_of] for place_of in (c.AT, c.GAS, c.AT_MANIFOLD, c.STORED))),
    )
