"""Nitrogen in an accumulator: real-gas pressure and heat, the ideal rules handbooks use, and precharge.

Pressures are absolute here unless a name says gauge: mixing the two is the classic error of sizing.
"""

from __future__ import annotations

from math import exp

from stockproof.errors import InternalError
from stockproof.figures import formula
from stockproof.power.compiled import jitable
from stockproof.power.sources import ESPOSITO, NITROGEN_FIT, SULLIVAN

__all__ = [
    "ATMOSPHERE_PA",
    "discharged_ideal",
    "discharged_two_stage_ideal",
    "gas_heat_step",
    "nitrogen",
    "nitrogen_density",
    "nitrogen_pressure",
    "precharge_at",
    "shell_ideal",
    "work_slope",
]

ATMOSPHERE_PA = 101325.0
KELVIN = 273.15
GAS_CONSTANT = 296.803896
#: Low-pressure specific heat at constant volume, 5/2 R of a diatomic gas.
CV_IDEAL = 742.0
_X_KG_PER_M3 = 300.0
_T_K = 300.0
_DENSEST_KG_PER_M3 = 340.0
#: Z - 1 = sum of _Z[3 i + j] * x**(i + 1) * y**j with x = density / 300 and y = 300 / T; see NITROGEN_FIT.
_Z = (
    0.4529108436,
    -0.3805663070,
    -0.1160014712,
    0.1544790187,
    -0.1214909560,
    0.0976113058,
    0.0299371339,
    0.0933945764,
    -0.0606454472,
)


#: The fit spelt out from its coefficients, for the ledger.
_FIT = "density * 296.803896 * temperature * (1" + "".join(
    f" + (density/300)**{i + 1} * ({_Z[3 * i]} + {_Z[3 * i + 1]} * (300/temperature)"
    f" + {_Z[3 * i + 2]} * (300/temperature)**2)"
    for i in range(3)
)


@jitable
def nitrogen(density: float, temperature: float) -> tuple[float, float, float, float]:
    """Absolute pressure of nitrogen [Pa], its slopes over temperature and density, and specific heat [J/(kg K)].

    The one place where the fit stands: heat at constant volume follows from the second temperature derivative
    of the pressure and the ideal gas.
    """
    x = density / _X_KG_PER_M3
    y = _T_K / temperature
    first = x * (_Z[0] + y * (_Z[1] + y * _Z[2]))
    second = x * x * (_Z[3] + y * (_Z[4] + y * _Z[5]))
    third = x * x * x * (_Z[6] + y * (_Z[7] + y * _Z[8]))
    bent = y * y * x * (_Z[2] + x * (_Z[5] + x * _Z[8]))
    tilted = y * x * (_Z[1] + x * (_Z[4] + x * _Z[7]))
    compressibility = 1.0 + first + second + third
    pressure = density * GAS_CONSTANT * temperature * compressibility
    over_temperature = density * GAS_CONSTANT * (compressibility - tilted - 2.0 * bent)
    over_density = GAS_CONSTANT * temperature * (1.0 + 2.0 * first + 3.0 * second + 4.0 * third)
    heat = CV_IDEAL - 2.0 * GAS_CONSTANT * y * y * x * (_Z[2] + x * (_Z[5] / 2.0 + x * _Z[8] / 3.0))
    return pressure, over_temperature, over_density, heat


@jitable
@formula(
    _FIT + ")",
    unit="Pa",
    sources=(NITROGEN_FIT,),
    example=({"density": 114.8417, "temperature": 293.15}, 100e5),
    exempt="a fit in kg/m3 and kelvin",
    density="kg/m3",
    temperature="K",
)
def nitrogen_pressure(density: float, temperature: float) -> float:
    """Absolute pressure of nitrogen within 0.1 % from 5 to 300 kg/m3 and 240 to 380 K. [Pa]

    Parameters
    ----------
    density : float
        [kg/m3]
    temperature : float
        [K]

    References
    ----------
    Fitted here to CoolProp 8.0.0; checked against it in the tests.
    """
    return nitrogen(density, temperature)[0]


def nitrogen_density(pressure: float, temperature: float) -> float:
    """Density of nitrogen at an absolute pressure: the inverse of `nitrogen_pressure`. [kg/m3]

    Parameters
    ----------
    pressure : float
        [Pa]
    temperature : float
        [K]

    Raises
    ------
    InternalError
        The pressure lies outside the fit.
    """
    if not 0.0 < pressure < nitrogen_pressure(_DENSEST_KG_PER_M3, temperature):
        raise InternalError(f"nitrogen at {pressure:.4g} Pa and {temperature:.4g} K lies outside the fitted range")
    density = min(pressure / (GAS_CONSTANT * temperature), _DENSEST_KG_PER_M3)
    for _ in range(60):
        found, _, slope, _ = nitrogen(density, temperature)
        step = (pressure - found) / slope
        density = min(max(density + step, 0.5 * density), _DENSEST_KG_PER_M3)
        if abs(step) <= 1e-12 * density:
            break
    return density


@jitable
def gas_heat_step(
    mass_kg: float, volume_m3: float, temperature_k: float, change_m3: float, wall_k: float, tau_s: float, step_s: float
) -> float:
    """Temperature of the gas after a small change of volume and a time beside the wall. [K]

    Half the exchange with the wall, then the work (midpoint rule), then the other half; `tau_s` may be
    infinite (no exchange).
    """
    half = exp(-0.5 * step_s / tau_s)
    temperature = wall_k + (temperature_k - wall_k) * half
    if change_m3 != 0.0:
        slope = work_slope(mass_kg, volume_m3, temperature)
        slope = work_slope(mass_kg, volume_m3 + 0.5 * change_m3, temperature + 0.5 * slope * change_m3)
        temperature += slope * change_m3
    return wall_k + (temperature - wall_k) * half


@jitable
def work_slope(mass_kg: float, volume_m3: float, temperature_k: float) -> float:
    """Change of temperature over volume as the gas does work, no heat passing its wall. [K/m3]"""
    _, over_temperature, _, heat = nitrogen(mass_kg / volume_m3, temperature_k)
    return -temperature_k * over_temperature / (heat * mass_kg)


@formula(
    "shell * ((precharge / low)**(1 / exponent) - (precharge / high)**(1 / exponent))",
    unit="m3",
    sources=(SULLIVAN, ESPOSITO),
    example=(
        {"shell": 10e-3, "precharge": 91.01325e5, "low": 101.01325e5, "high": 141.01325e5, "exponent": 1.4},
        1.9681e-3,
    ),
    shell="m3",
    precharge="Pa",
    low="Pa",
    high="Pa",
    exponent="1",
)
def discharged_ideal(*, shell: float, precharge: float, low: float, high: float, exponent: float) -> float:
    """Oil between two pressures by the ideal polytropic rule, all from precharge. [m3]

    Parameters
    ----------
    shell : float
        Gas volume of the empty accumulator. [m3]
    precharge, low, high : float
        Absolute pressures. [Pa]
    exponent : float
        1 for slow, 1.4 for fast changes. [-]

    References
    ----------
    J. Sullivan, *Fluid Power*, example 9.4; A. Esposito, *Fluid Power with Applications*, example 14-7.
    """
    result: float = shell * ((precharge / low) ** (1 / exponent) - (precharge / high) ** (1 / exponent))
    return result


@formula(
    "shell * precharge / high * ((high / low)**(1 / exponent) - 1)",
    unit="m3",
    sources=(SULLIVAN,),
    example=(
        {"shell": 10e-3, "precharge": 91.01325e5, "low": 101.01325e5, "high": 141.01325e5, "exponent": 1.4},
        1.7367e-3,
    ),
    shell="m3",
    precharge="Pa",
    low="Pa",
    high="Pa",
    exponent="1",
)
def discharged_two_stage_ideal(*, shell: float, precharge: float, low: float, high: float, exponent: float) -> float:
    """Oil between two pressures when charged slowly and used fast, ideal gas. [m3]

    Parameters
    ----------
    shell : float
        Gas volume of the empty accumulator. [m3]
    precharge, low, high : float
        Absolute pressures. [Pa]
    exponent : float
        Exponent of the fast use. [-]

    References
    ----------
    J. Sullivan, *Fluid Power*, ch. 9.
    """
    result: float = shell * precharge / high * ((high / low) ** (1 / exponent) - 1)
    return result


@formula(
    "wanted / ((precharge / low)**(1 / exponent) - (precharge / high)**(1 / exponent))",
    unit="m3",
    sources=(SULLIVAN, ESPOSITO),
    example=(
        {"wanted": 1e-3, "precharge": 91.01325e5, "low": 101.01325e5, "high": 201.01325e5, "exponent": 1.4},
        2.7744e-3,
    ),
    wanted="m3",
    precharge="Pa",
    low="Pa",
    high="Pa",
    exponent="1",
)
def shell_ideal(*, wanted: float, precharge: float, low: float, high: float, exponent: float) -> float:
    """Shell volume that gives an oil volume between two pressures by the ideal rule. [m3]

    Parameters
    ----------
    wanted : float
        Oil to be given. [m3]
    precharge, low, high : float
        Absolute pressures. [Pa]
    exponent : float
        1 for slow, 1.4 for fast changes. [-]

    References
    ----------
    J. Sullivan, *Fluid Power*, example 9.4; A. Esposito, *Fluid Power with Applications*, example 14-7.
    """
    result: float = wanted / ((precharge / low) ** (1 / exponent) - (precharge / high) ** (1 / exponent))
    return result


def precharge_at(precharge_gauge_pa: float, temperature_degc: float, *, set_at_degc: float = 20.0) -> float:
    """Gauge precharge at another temperature than the one it was set at, real nitrogen. [Pa]

    Parameters
    ----------
    precharge_gauge_pa : float
        Gauge precharge when set. [Pa]
    temperature_degc, set_at_degc : float
        Temperature wanted, and temperature when it was set. [degC]

    References
    ----------
    Constant volume by `nitrogen_pressure`.
    """
    density = nitrogen_density(precharge_gauge_pa + ATMOSPHERE_PA, set_at_degc + KELVIN)
    return nitrogen_pressure(density, temperature_degc + KELVIN) - ATMOSPHERE_PA
