"""Cable, voltage drop, start dip and what is left of the torque. Local rules and a licensed electrician decide."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from stockproof.errors import InternalError
from stockproof.figures import COMMON_PRACTICE, formula
from stockproof.power.sources import IEC_CABLES, IEC_DROP

__all__ = [
    "cable_resistance",
    "cable_sizes_mm2",
    "conductor_resistance",
    "generator_power",
    "start_voltage_share",
    "torque_share",
    "voltage_drop",
]


@cache
def _cables() -> dict[tuple[float, int], float]:
    text = files("stockproof.power").joinpath("data/cables.csv").read_text(encoding="utf-8")
    return {
        (float(row["size_mm2"]), int(row["class"])): float(row["resistance_ohm_per_m"])
        for row in csv.DictReader(text.splitlines())
    }


def cable_sizes_mm2() -> tuple[float, ...]:
    """Conductor sizes the table holds, rising. [mm2]"""
    return tuple(sorted({size for size, _ in _cables()}))


def cable_resistance(size_mm2: float, strand_class: int = 2) -> float:
    """Largest resistance of a plain copper conductor at 20 degC. [ohm/m]

    Raises
    ------
    InternalError
        The size or class is not in IEC 60228's table as held here.
    """
    known = _cables().get((size_mm2, strand_class))
    if known is None:
        raise InternalError(f"no conductor of {size_mm2} mm2 class {strand_class} in the table ({IEC_CABLES})")
    return known


@formula(
    "at_20 * (1 + 0.00393 * (temperature - 20))",
    unit="ohm/m",
    sources=(IEC_CABLES,),
    example=({"at_20": 7.41e-3, "temperature": 70.0}, 8.866e-3),
    exempt="temperature is counted from 20 degC",
    at_20="ohm/m",
    temperature="degC",
)
def conductor_resistance(at_20: float, temperature: float) -> float:
    """Resistance of a copper conductor when warm. [ohm/m]

    Parameters
    ----------
    at_20 : float
        At 20 degC. [ohm/m]
    temperature : float
        Of the conductor. [degC]

    References
    ----------
    IEC 60228 values with copper's temperature coefficient 0.00393.
    """
    return at_20 * (1 + 0.00393 * (temperature - 20))


@formula(
    "factor * length * (resistance * power_factor + reactance * (1 - power_factor**2)**0.5) * current",
    unit="V",
    sources=(IEC_DROP,),
    example=(
        {
            "factor": 2.0,
            "length": 50.0,
            "resistance": 0.0225 / 4,
            "reactance": 0.08e-3,
            "power_factor": 0.8,
            "current": 15.0,
        },
        6.822,
    ),
    factor="1",
    length="m",
    resistance="ohm/m",
    reactance="ohm/m",
    power_factor="1",
    current="A",
)
def voltage_drop(
    *, factor: float, length: float, resistance: float, reactance: float, power_factor: float, current: float
) -> float:
    """Voltage lost along a cable. [V]

    Parameters
    ----------
    factor : float
        2 single-phase, root of 3 three-phase for the line-to-line voltage. [-]
    length : float
        One way. [m]
    resistance, reactance : float
        Of one conductor. [ohm/m]
    power_factor : float
        Of the load. [-]
    current : float
        [A]

    References
    ----------
    IEC 60364-5-52:2009, annex G.
    """
    result: float = factor * length * (resistance * power_factor + reactance * (1 - power_factor**2) ** 0.5) * current
    return result


@formula(
    "1 / (1 + start_current * path_impedance / voltage)",
    unit="1",
    sources=(COMMON_PRACTICE,),
    example=({"start_current": 90.0, "path_impedance": 0.5, "voltage": 230.0}, 0.83636),
    start_current="A",
    path_impedance="ohm",
    voltage="V",
)
def start_voltage_share(*, start_current: float, path_impedance: float, voltage: float) -> float:
    """Share of the voltage left at the motor while it starts, its start current falling with it. [-]

    Parameters
    ----------
    start_current : float
        At full voltage. [A]
    path_impedance : float
        Supply and cable, out and back, taken in phase with the motor (unfavourable). [ohm]
    voltage : float
        Without load. [V]

    References
    ----------
    common practice (locked rotor as an impedance in series with the supply)
    """
    return 1 / (1 + start_current * path_impedance / voltage)


@formula(
    "voltage_share**2",
    unit="1",
    sources=(COMMON_PRACTICE,),
    example=({"voltage_share": 0.85}, 0.7225),
    voltage_share="1",
)
def torque_share(voltage_share: float) -> float:
    """Share of starting torque left at a lowered voltage. [-]

    Parameters
    ----------
    voltage_share : float
        Share of rated voltage. [-]

    References
    ----------
    common practice (induction motor torque goes with the square of voltage)
    """
    return voltage_share**2


@formula(
    "reactance * start_power / (1 / voltage_share - 1)",
    unit="V*A",
    sources=(COMMON_PRACTICE,),
    example=({"reactance": 0.2, "start_power": 20e3, "voltage_share": 0.8}, 16e3),
    reactance="1",
    start_power="V*A",
    voltage_share="1",
)
def generator_power(*, reactance: float, start_power: float, voltage_share: float) -> float:
    """Rating of a generator that keeps a share of its voltage while a motor starts. [V A]

    Parameters
    ----------
    reactance : float
        Transient reactance over its own base impedance. [-]
    start_power : float
        Apparent power of the start at full voltage. [V A]
    voltage_share : float
        Share of voltage to be kept. [-]

    References
    ----------
    common practice (transient reactance in series with the locked rotor)
    """
    return reactance * start_power / (1 / voltage_share - 1)
