"""Hydraulic oil: viscosity over temperature, density, stiffness, and heat from throttling."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import log10

from stockproof.errors import InternalError
from stockproof.figures import COMMON_PRACTICE, Source, formula
from stockproof.power.assumed import assumed
from stockproof.power.sources import ESPOSITO, VISCOSITY

__all__ = [
    "BULK_MODULUS_PA",
    "DENSITY_KG_PER_M3",
    "EXPANSION_PER_K",
    "SPECIFIC_HEAT_J_PER_KG_K",
    "Grade",
    "compressed_volume",
    "grade",
    "kinematic_viscosity",
    "throttling_rise",
]

KELVIN = 273.15
DENSITY_KG_PER_M3 = assumed("oil_density")
#: A. Esposito, *Fluid Power with Applications*, example 11-3.
SPECIFIC_HEAT_J_PER_KG_K = 1800.0
BULK_MODULUS_PA = assumed("bulk_modulus")
#: Volume expansion of mineral oil (from memory).
EXPANSION_PER_K = 7.0e-4


@dataclass(frozen=True, slots=True)
class Grade:
    """An ISO viscosity grade by its viscosity at two temperatures, as the model of ASTM D341 needs it."""

    name: str
    viscosity_40_m2_per_s: float
    viscosity_100_m2_per_s: float
    source: Source

    def viscosity_m2_per_s(self, temperature_degc: float) -> float:
        """Kinematic viscosity at a temperature. [m2/s]"""
        return kinematic_viscosity(
            temperature=temperature_degc,
            low=40.0,
            low_viscosity=self.viscosity_40_m2_per_s,
            high=100.0,
            high_viscosity=self.viscosity_100_m2_per_s,
        )

    def dynamic_viscosity_pa_s(self, temperature_degc: float) -> float:
        """Dynamic viscosity at a temperature. [Pa s]"""
        return self.viscosity_m2_per_s(temperature_degc) * DENSITY_KG_PER_M3


@cache
def _grades() -> dict[str, Grade]:
    text = files("stockproof.power").joinpath("data/oil_grades.csv").read_text(encoding="utf-8")
    return {
        row["grade"]: Grade(
            row["grade"],
            float(row["viscosity_40_m2_per_s"]),
            float(row["viscosity_100_m2_per_s"]),
            Source(row["source"], seen=row["seen"] == "true"),
        )
        for row in csv.DictReader(text.splitlines())
    }


def grade(name: str) -> Grade:
    """Give an oil grade by its name, for example `VG46`.

    Raises
    ------
    InternalError
        The grade is not in the table (the catalogue allows only those that are).
    """
    known = _grades()
    if name not in known:
        raise InternalError(f"oil grade {name!r} is not one of {', '.join(known)}")
    return known[name]


@formula(
    "1e-6 * (10**10**(log(log(low_viscosity * 1e6 + 0.7) / log(10)) / log(10)"
    " - (log(log(low_viscosity * 1e6 + 0.7) / log(10)) - log(log(high_viscosity * 1e6 + 0.7) / log(10)))"
    " / (log(high + 273.15) - log(low + 273.15))"
    " * (log(temperature + 273.15) - log(low + 273.15)) / log(10)) - 0.7)",
    unit="m2/s",
    sources=(VISCOSITY,),
    example=(
        {"temperature": 60.0, "low": 40.0, "low_viscosity": 404e-6, "high": 100.0, "high_viscosity": 28e-6},
        132.126e-6,
    ),
    exempt="the standard's form holds for numbers of cSt and kelvin only",
    temperature="degC",
    low="degC",
    low_viscosity="m2/s",
    high="degC",
    high_viscosity="m2/s",
)
def kinematic_viscosity(
    *, temperature: float, low: float, low_viscosity: float, high: float, high_viscosity: float
) -> float:
    """Viscosity of a petroleum oil at a temperature from two known points. [m2/s]

    Parameters
    ----------
    temperature, low, high : float
        Wanted and known temperatures. [degC]
    low_viscosity, high_viscosity : float
        Viscosities at the known temperatures, above about 2 cSt. [m2/s]

    References
    ----------
    ASTM D341, simple form log10 log10(v + 0.7) = A - B log10 T (from memory; checked on published examples).
    """
    known_low = log10(log10(low_viscosity * 1e6 + 0.7))
    known_high = log10(log10(high_viscosity * 1e6 + 0.7))
    slope = (known_low - known_high) / (log10(high + KELVIN) - log10(low + KELVIN))
    return float(1e-6 * (10**10 ** (known_low - slope * (log10(temperature + KELVIN) - log10(low + KELVIN))) - 0.7))


@formula(
    "volume * rise / bulk_modulus",
    unit="m3",
    sources=(ESPOSITO,),
    example=({"volume": 163.871e-6, "rise": 131.0e5, "bulk_modulus": 1723.69e6}, 1.2454e-6),
    volume="m3",
    rise="Pa",
    bulk_modulus="Pa",
)
def compressed_volume(*, volume: float, rise: float, bulk_modulus: float) -> float:
    """Volume by which trapped oil shrinks when pressed. [m3]

    Parameters
    ----------
    volume : float
        Trapped volume. [m3]
    rise : float
        Pressure rise. [Pa]
    bulk_modulus : float
        Bulk modulus. [Pa]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 2-11.
    """
    return volume * rise / bulk_modulus


@formula(
    "drop / (density * specific_heat)",
    unit="K",
    sources=(ESPOSITO, COMMON_PRACTICE),
    example=({"drop": 70e5, "density": 895.0, "specific_heat": 1800.0}, 4.3451),
    drop="Pa",
    density="kg/m3",
    specific_heat="J/kg/K",
)
def throttling_rise(*, drop: float, density: float, specific_heat: float) -> float:
    """Warming of oil that loses pressure in a throttle. [K]

    Parameters
    ----------
    drop : float
        Pressure lost. [Pa]
    density : float
        [kg/m3]
    specific_heat : float
        [J/(kg K)]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 11-3 (70 bar, 50 degC to 54.35 degC).
    """
    return drop / (density * specific_heat)
