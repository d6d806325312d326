"""What turns the oil: pump, mains motor, petrol engine."""

from __future__ import annotations

from math import pi

from stockproof.figures import COMMON_PRACTICE, FROM_MEMORY, formula
from stockproof.power.sources import ESPOSITO

__all__ = [
    "engine_power_at_altitude",
    "motor_current",
    "motor_input_power",
    "pump_flow",
    "pump_overall_efficiency",
    "pump_shaft_power",
    "pump_torque",
    "shaft_power_from_supply",
]


@formula(
    "displacement * speed * volumetric_efficiency",
    unit="m3/s",
    sources=(ESPOSITO,),
    example=({"displacement": 100e-6, "speed": 1000 / 60, "volumetric_efficiency": 0.90}, 1.5e-3),
    displacement="m3",
    speed="1/s",
    volumetric_efficiency="1",
)
def pump_flow(*, displacement: float, speed: float, volumetric_efficiency: float) -> float:
    """Delivery of a fixed pump. [m3/s]

    Parameters
    ----------
    displacement : float
        Per turn. [m3]
    speed : float
        Turns per second. [1/s]
    volumetric_efficiency : float
        [-]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 5-9.
    """
    return displacement * speed * volumetric_efficiency


@formula(
    "pressure * flow / (volumetric_efficiency * mechanical_efficiency)",
    unit="W",
    sources=(ESPOSITO,),
    example=(
        {"pressure": 140e5, "flow": 8e-3 / 60, "volumetric_efficiency": 0.92, "mechanical_efficiency": 0.85 / 0.92},
        2196.08,
    ),
    pressure="Pa",
    flow="m3/s",
    volumetric_efficiency="1",
    mechanical_efficiency="1",
)
def pump_shaft_power(
    *, pressure: float, flow: float, volumetric_efficiency: float, mechanical_efficiency: float
) -> float:
    """Shaft power of a pump that delivers a flow against a pressure. [W]

    Parameters
    ----------
    pressure : float
        Rise across the pump. [Pa]
    flow : float
        Delivered. [m3/s]
    volumetric_efficiency, mechanical_efficiency : float
        [-]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, examples 5-8 to 5-10.
    """
    return pressure * flow / (volumetric_efficiency * mechanical_efficiency)


@formula(
    "pressure * displacement / (2 * pi * mechanical_efficiency)",
    unit="N*m",
    sources=(ESPOSITO,),
    example=({"pressure": 70e5, "displacement": 100e-6, "mechanical_efficiency": 0.92840}, 120.0),
    pressure="Pa",
    displacement="m3",
    mechanical_efficiency="1",
)
def pump_torque(*, pressure: float, displacement: float, mechanical_efficiency: float) -> float:
    """Torque a pump asks at its shaft. [N m]

    Parameters
    ----------
    pressure : float
        [Pa]
    displacement : float
        Per turn. [m3]
    mechanical_efficiency : float
        [-]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 5-9.
    """
    return pressure * displacement / (2 * pi * mechanical_efficiency)


@formula(
    "volumetric_efficiency * mechanical_efficiency",
    unit="1",
    sources=(ESPOSITO,),
    example=({"volumetric_efficiency": 0.9000, "mechanical_efficiency": 0.92840}, 0.83556),
    volumetric_efficiency="1",
    mechanical_efficiency="1",
)
def pump_overall_efficiency(volumetric_efficiency: float, mechanical_efficiency: float) -> float:
    """Overall efficiency of a pump. [-]

    Parameters
    ----------
    volumetric_efficiency, mechanical_efficiency : float
        [-]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 5-9.
    """
    return volumetric_efficiency * mechanical_efficiency


@formula(
    "shaft_power / motor_efficiency",
    unit="W",
    sources=(ESPOSITO,),
    example=({"shaft_power": 12566.4, "motor_efficiency": 0.85}, 14784.0),
    shaft_power="W",
    motor_efficiency="1",
)
def motor_input_power(shaft_power: float, motor_efficiency: float) -> float:
    """Electric power a motor takes. [W]

    Parameters
    ----------
    shaft_power : float
        [W]
    motor_efficiency : float
        [-]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 5-10.
    """
    return shaft_power / motor_efficiency


@formula(
    "shaft_power / (phase_factor * voltage * power_factor * motor_efficiency)",
    unit="A",
    sources=(COMMON_PRACTICE,),
    example=(
        {"shaft_power": 2200.0, "voltage": 230.0, "phase_factor": 1.0, "power_factor": 0.85, "motor_efficiency": 0.75},
        15.0043,
    ),
    shaft_power="W",
    voltage="V",
    phase_factor="1",
    power_factor="1",
    motor_efficiency="1",
)
def motor_current(
    *, shaft_power: float, voltage: float, phase_factor: float, power_factor: float, motor_efficiency: float
) -> float:
    """Line current of a motor at a shaft power. [A]

    Parameters
    ----------
    shaft_power : float
        [W]
    voltage : float
        Between the conductors that feed it (line to line where three-phase). [V]
    phase_factor : float
        1 single-phase, root of 3 three-phase. [-]
    power_factor, motor_efficiency : float
        [-]

    References
    ----------
    common practice
    """
    return shaft_power / (phase_factor * voltage * power_factor * motor_efficiency)


@formula(
    "phase_factor * voltage * current * power_factor * motor_efficiency",
    unit="W",
    sources=(COMMON_PRACTICE,),
    example=(
        {"voltage": 230.0, "current": 15.0, "phase_factor": 1.0, "power_factor": 0.85, "motor_efficiency": 0.75},
        2199.4,
    ),
    voltage="V",
    current="A",
    phase_factor="1",
    power_factor="1",
    motor_efficiency="1",
)
def shaft_power_from_supply(
    *, voltage: float, current: float, phase_factor: float, power_factor: float, motor_efficiency: float
) -> float:
    """Shaft power a motor can give on a supply. [W]

    Parameters
    ----------
    voltage : float
        [V]
    current : float
        Allowed by the outlet. [A]
    phase_factor : float
        1 single-phase, root of 3 three-phase. [-]
    power_factor, motor_efficiency : float
        [-]

    References
    ----------
    common practice
    """
    return phase_factor * voltage * current * power_factor * motor_efficiency


@formula(
    "rated_power * (1 - loss_per_metre * altitude) * (1 - loss_per_degree * max(0, temperature - 25))",
    unit="W",
    sources=(FROM_MEMORY,),
    example=(
        {
            "rated_power": 6000.0,
            "altitude": 1000.0,
            "temperature": 35.0,
            "loss_per_metre": 1.15e-4,
            "loss_per_degree": 0.004,
        },
        5097.6,
    ),
    exempt="temperature is counted from 25 degC",
    rated_power="W",
    altitude="m",
    temperature="degC",
    loss_per_metre="1/m",
    loss_per_degree="1/delta_degC",
)
def engine_power_at_altitude(
    *, rated_power: float, altitude: float, temperature: float, loss_per_metre: float, loss_per_degree: float
) -> float:
    """Power left of a naturally aspirated engine in thin or hot air. [W]

    Parameters
    ----------
    rated_power : float
        At sea level and 25 degC. [W]
    altitude : float
        [m]
    temperature : float
        Of the air. [degC]
    loss_per_metre, loss_per_degree : float
        Share lost per metre and per degree above 25. [1/m], [1/K]

    References
    ----------
    from memory (3.5 % per 1000 ft, 1 % per 5.6 K are usual figures; use the engine's own)
    """
    return rated_power * (1 - loss_per_metre * altitude) * (1 - loss_per_degree * max(0, temperature - 25))
