"""The law of all powered motions of one installation as plain arrays.

A law is data: the same compiled kernel runs a catalogue's constant times, a hydraulic circuit's table over stored oil,
and, without a store, its table over the pump's pressure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stockproof.errors import InternalError
from stockproof.motion.state import LawArrays

__all__ = ["MotionLaws", "constant_laws"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MotionLaws:
    """Times, oil and store of all motions of one installation at one oil temperature.

    Parameters
    ----------
    names : tuple of str, length M
        Motion names (`entry.open`), the order of every row below.
    lag_s : (M,)
        From the command to the first movement.
    time_s : (M, L)
        Full-stroke time when the motion starts with `level_m3[k]` of oil in the store, or, without a store, at
        `level_pressure_pa[k]`; infinite where the part cannot move at that level.
    oil_m3 : (M,)
        Oil drawn from store and pump by one full stroke; 0 for a motion that needs none.
    level_m3 : (L,)
        Stored oil, rising from 0; all 0 without a store.
    level_pressure_pa : (L,)
        Gauge pressure of the gas at each level. Without a store, the pump's, rising: parts that move at once share its
        oil at one pressure, and at the highest each moves as it does alone.
    pump_m3_per_s, leak_m3_per_s : float
        Delivery while the pump is loaded; standing leakage out of the store.
    cut_in_m3, cut_out_m3 : float
        Stored oil at which the pump is loaded and unloaded.
    start_m3 : float
        Stored oil when work begins.
    """

    names: tuple[str, ...]
    lag_s: Floats
    time_s: Floats
    oil_m3: Floats
    level_m3: Floats
    level_pressure_pa: Floats
    pump_m3_per_s: float
    leak_m3_per_s: float
    cut_in_m3: float
    cut_out_m3: float
    start_m3: float

    def __post_init__(self) -> None:
        motions, levels = len(self.names), self.level_m3.size
        shapes_fit = self.time_s.shape == (motions, levels) and self.level_pressure_pa.shape == (levels,)
        rows_fit = all(row.shape == (motions,) for row in (self.lag_s, self.oil_m3))
        if not shapes_fit or not rows_fit:
            raise InternalError(f"motion laws: {motions} names, {levels} levels, times {self.time_s.shape}")
        has_store = self.cut_out_m3 > 0
        rising = self.level_m3 if has_store else self.level_pressure_pa
        if levels == 0 or np.any(np.diff(rising) <= 0) or self.level_m3[0] != 0:
            raise InternalError("motion laws: levels must rise, stored oil from 0")
        if not has_store and np.any(np.diff(1.0 / self.time_s, axis=1) < 0):
            raise InternalError("motion laws: a part moves more slowly at a higher pressure")
        if np.any(self.time_s <= 0) or np.any(self.oil_m3 < 0) or np.any(self.lag_s < 0):
            raise InternalError("motion laws: a time is not positive, or an oil volume or lag is negative")
        in_order = 0 <= self.cut_in_m3 < self.cut_out_m3 and 0 <= self.start_m3 <= self.cut_out_m3
        none_at_all = self.cut_in_m3 == self.cut_out_m3 == self.start_m3 == self.leak_m3_per_s == self.level_m3[-1] == 0
        if not (in_order if has_store else none_at_all):
            raise InternalError("motion laws: cut-in, cut-out, starting volume and leak do not make a store, nor none")

    def index(self, name: str) -> int:
        """Row of a motion.

        Raises
        ------
        InternalError
            There is no such motion.
        """
        if name not in self.names:
            raise InternalError(f"no motion law for {name!r}; there are {', '.join(self.names)}")
        return self.names.index(name)

    def beside_s(self, motion: str, other: str) -> float:
        """Time of a whole stroke, its lag with it, while another motion shares the pump's oil all along. [s]"""
        row = self.index(motion)
        rate_m3_per_s = self.oil_m3[:, None] / self.time_s
        both_m3_per_s = rate_m3_per_s[row] + rate_m3_per_s[self.index(other)]
        share_m3_per_s = np.interp(self.pump_m3_per_s, both_m3_per_s, rate_m3_per_s[row])
        return float(self.lag_s[row] + self.oil_m3[row] / share_m3_per_s)

    def joined_by(self, times_s: Mapping[str, float]) -> MotionLaws:
        """Give these laws with those motions that have none yet, which always take their time and draw no oil.

        An electric lock or a gate on a motor is driven by the same control but not by the same oil.
        """
        others = {name: time for name, time in times_s.items() if name not in self.names}
        times = np.array(list(others.values()), dtype=np.float64)[:, None] * np.ones(self.level_m3.size)
        return replace(
            self,
            names=(*self.names, *others),
            lag_s=np.append(self.lag_s, np.zeros(len(others))),
            time_s=np.vstack([self.time_s, times.reshape(len(others), self.level_m3.size)]),
            oil_m3=np.append(self.oil_m3, np.zeros(len(others))),
        )

    def arrays(self) -> LawArrays:
        """The same law in the form the compiled kernels take."""
        return LawArrays(
            lag_s=_row(self.lag_s),
            time_s=_row(self.time_s),
            oil_m3=_row(self.oil_m3),
            level_m3=_row(self.level_m3),
            level_pressure_pa=_row(self.level_pressure_pa),
            pump_m3_per_s=float(self.pump_m3_per_s),
            leak_m3_per_s=float(self.leak_m3_per_s),
            cut_in_m3=float(self.cut_in_m3),
            cut_out_m3=float(self.cut_out_m3),
            start_m3=float(self.start_m3),
        )


def _row(values: Floats) -> Floats:
    return np.ascontiguousarray(values, dtype=np.float64)


def constant_laws(times_s: Mapping[str, float]) -> MotionLaws:
    """Give the law of motions that always take the same time and draw no oil (a catalogue's times)."""
    return MotionLaws(
        names=tuple(times_s),
        lag_s=np.zeros(len(times_s)),
        time_s=np.array([[time] for time in times_s.values()], dtype=np.float64).reshape(len(times_s), 1),
        oil_m3=np.zeros(len(times_s)),
        level_m3=np.zeros(1),
        level_pressure_pa=np.zeros(1),
        pump_m3_per_s=0.0,
        leak_m3_per_s=0.0,
        cut_in_m3=0.0,
        cut_out_m3=0.0,
        start_m3=0.0,
    )
