"""Chooses each part's pressure setting: the lowest that moves it in time, for the animal's sake."""

from __future__ import annotations

from dataclasses import replace

from stockproof.power.arrays import arrays, wide_open
from stockproof.power.model import Actuator, Circuit, Drive
from stockproof.power.simulate import SEARCH_M, motion_time_s
from stockproof.power.throttles import normal_pressure_pa

__all__ = ["set_pressures"]

#: With its throttles wide open a part must be this much quicker than asked, so that they have something to set.
_RESERVE_SHARE = 0.9
_HALVINGS = 7


def set_pressures(circuit: Circuit) -> Circuit:
    """Give the circuit with every part's setting at the lowest that moves it in its catalogued times.

    Where even the highest setting the firm allows is too slow, that one is taken.
    """
    actuators = tuple(_with_setting(circuit, n) for n in range(len(circuit.actuators)))
    return replace(circuit, actuators=actuators)


def _with_setting(circuit: Circuit, n: int) -> Actuator:
    actuator = circuit.actuators[n]
    low, high = actuator.valve.setting_min_pa, actuator.valve.setting_max_pa
    if _quick_enough(circuit, n, low):
        return _at(actuator, low)
    if not _quick_enough(circuit, n, high):
        return _at(actuator, high)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if _quick_enough(circuit, n, middle):
            high = middle
        else:
            low = middle
    return _at(actuator, high)


def _at(actuator: Actuator, setting_pa: float) -> Actuator:
    return replace(actuator, valve=replace(actuator.valve, setting_pa=setting_pa))


def _quick_enough(circuit: Circuit, n: int, setting_pa: float) -> bool:
    actuator = _at(circuit.actuators[n], setting_pa)
    alone = replace(circuit, actuators=(actuator,))
    base = arrays(alone, circuit.condition("normal"), (wide_open(actuator),))
    return all(
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
        <= _RESERVE_SHARE * drive.time_s
        for drive in _setting_drives(actuator)
    )


def _setting_drives(actuator: Actuator) -> tuple[Drive, ...]:
    """Motions over the whole stroke; a stop half-way needs no pressure of its own."""
    return tuple(drive for drive in actuator.drives if drive.travel_share == 1.0) or actuator.drives
