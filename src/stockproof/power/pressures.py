"""Chooses each part's pressure setting: the lowest that moves it in time, for the animal's sake."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from stockproof.power.arrays import arrays, wide_open
from stockproof.power.model import Actuator, Circuit, Drive
from stockproof.power.simulate import SEARCH_M, motion_time_s
from stockproof.power.throttles import normal_pressure_pa

__all__ = ["set_pressures"]

#: With its throttles wide open a part must be this much quicker than asked, so that they have something to set.
_RESERVE_SHARE = 0.9
#: Where the circuit cannot do it at any setting, a part may be so much slower than at the highest one.
_NEARLY_AS_QUICK = 1.03
_HALVINGS = 7


def set_pressures(circuit: Circuit) -> Circuit:
    """Give the circuit with every part's setting at the lowest that moves it in its catalogued times.

    Where even the highest setting the firm allows is too slow, because the pump gives no more oil, it is the lowest
    that moves the part nearly as quickly: more pressure would only press harder on the animal.
    """
    actuators = tuple(_with_setting(circuit, n) for n in range(len(circuit.actuators)))
    return replace(circuit, actuators=actuators)


def _with_setting(circuit: Circuit, n: int) -> Actuator:
    actuator = circuit.actuators[n]
    low, high = actuator.valve.setting_min_pa, actuator.valve.setting_max_pa
    drives = _setting_drives(actuator)
    best = _times_s(circuit, n, high)
    if not all(isfinite(least) for least in best):
        return _at(actuator, high)  # nothing the firm allows moves it; the most is the least wrong
    allowed = [
        max(_RESERVE_SHARE * drive.time_s, _NEARLY_AS_QUICK * least) for drive, least in zip(drives, best, strict=True)
    ]
    if _within(circuit, n, low, allowed):
        return _at(actuator, low)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if _within(circuit, n, middle, allowed):
            high = middle
        else:
            low = middle
    return _at(actuator, high)


def _at(actuator: Actuator, setting_pa: float) -> Actuator:
    return replace(actuator, valve=replace(actuator.valve, setting_pa=setting_pa))


def _within(circuit: Circuit, n: int, setting_pa: float, allowed_s: list[float]) -> bool:
    return all(took <= most for took, most in zip(_times_s(circuit, n, setting_pa), allowed_s, strict=True))


def _times_s(circuit: Circuit, n: int, setting_pa: float) -> list[float]:
    """Times of a part's motions at a setting, alone, its throttles wide open, in normal conditions."""
    actuator = _at(circuit.actuators[n], setting_pa)
    alone = replace(circuit, actuators=(actuator,))
    base = arrays(alone, circuit.condition("normal"), (wide_open(actuator),))
    return [
        motion_time_s(
            base,
            0,
            way=drive.way,
            from_share=drive.from_share,
            to_share=drive.to_share,
            start_pa=normal_pressure_pa(circuit),
            tolerance_m=SEARCH_M,
            loading=False,
        )
        for drive in _setting_drives(actuator)
    ]


def _setting_drives(actuator: Actuator) -> tuple[Drive, ...]:
    """Motions over the whole stroke; a stop half-way needs no pressure of its own."""
    return tuple(drive for drive in actuator.drives if drive.travel_share == 1.0) or actuator.drives
