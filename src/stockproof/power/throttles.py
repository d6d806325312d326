"""Sets the speed throttles so that each part moves in the catalogue's time in normal conditions, if it can."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log

from stockproof.power.arrays import Arrays, Throttle, arrays, wide_open
from stockproof.power.model import Actuator, Circuit, Drive
from stockproof.power.roots import root
from stockproof.power.simulate import LONGEST_MOTION_S, SEARCH_M, motion_time_s

__all__ = ["normal_pressure_pa", "set_throttles"]

_NARROWEST_SHARE = 1e-3
#: A time this near to the one asked, as a share of it, is the one asked.
_TIME_ENOUGH = 5e-4


def set_throttles(circuit: Circuit) -> tuple[Throttle, ...]:
    """Give each part's throttles: as catalogued times ask, or wide open where the circuit is slower anyway."""
    open_all = tuple(wide_open(actuator) for actuator in circuit.actuators)
    condition = circuit.condition("normal")
    base = arrays(circuit, condition, open_all)
    set_ones = []
    for n, actuator in enumerate(circuit.actuators):
        throttle = open_all[n]
        for way in (1, -1):
            drive = _longest(actuator, way)
            if drive is not None:
                throttle = _set(circuit, base, open_all, n, throttle, drive)
        set_ones.append(throttle)
    return tuple(set_ones)


def normal_pressure_pa(circuit: Circuit) -> float:
    """Gas pressure midway between cut-in and cut-out: where a working store stands on average. [Pa]"""
    return 0.5 * (circuit.pack.cut_in_pa + circuit.pack.cut_out_pa)


def _longest(actuator: Actuator, way: int) -> Drive | None:
    drives = [drive for drive in actuator.drives if drive.way == way]
    return max(drives, key=lambda drive: drive.travel_share, default=None)


def _set(
    circuit: Circuit, base: Arrays, throttles: tuple[Throttle, ...], n: int, throttle: Throttle, drive: Drive
) -> Throttle:
    """Find the throttle's width: time falls as it opens, nearly as one over it."""
    condition = circuit.condition("normal")

    def with_width(width: float) -> Throttle:
        if drive.way > 0:
            return replace(throttle, out_m3_per_s_sqrt_pa=width)
        return replace(throttle, in_m3_per_s_sqrt_pa=width)

    def slower(log_width: float) -> float:
        """Logarithm of the time over the one asked."""
        tried = (*throttles[:n], with_width(exp(log_width)), *throttles[n + 1 :])
        took_s = motion_time_s(
            arrays(circuit, condition, tried),
            n,
            way=drive.way,
            from_share=drive.from_share,
            to_share=drive.to_share,
            start_pa=normal_pressure_pa(circuit),
            tolerance_m=SEARCH_M,
            loading=False,
        )
        return log(min(took_s, LONGEST_MOTION_S) / drive.time_s)

    wide = log(throttle.out_m3_per_s_sqrt_pa if drive.way > 0 else throttle.in_m3_per_s_sqrt_pa)
    if slower(wide) >= 0.0:
        return throttle
    return with_width(exp(root(slower, wide + log(_NARROWEST_SHARE), wide, enough=_TIME_ENOUGH)))
