"""What the build's drive costs to run in a year, and a bound on its energy for as long as none is computed."""

from __future__ import annotations

import math
from collections.abc import Mapping

from stockproof.brief.model import Money
from stockproof.catalogue.items import PowerPack
from stockproof.figures import Source
from stockproof.installation import Installation
from stockproof.money import formulas
from stockproof.money.labour import rate_of, yearly_head
from stockproof.money.model import Energy, Line, Rate

__all__ = ["PETROL_BAND_KG_PER_M3", "PETROL_KG_PER_M3", "PETROL_SOURCE", "energy_line", "nameplate_energy"]

#: Density of petrol at 15 degC: middle and ends of the range the standard allows.
PETROL_KG_PER_M3 = 747.5
PETROL_BAND_KG_PER_M3 = (720.0, 775.0)
PETROL_SOURCE = Source("EN 228, density of petrol at 15 degC: 720 to 775 kg/m3", seen=False)

_LABELS = {"electricity": "Electricity for the power pack", "shaft": "Petrol for the power pack"}


def energy_line(installation: Installation, money: Money, energy: Energy | None) -> Line | None:
    """Give the running-cost line, `not shown` where its energy or price is missing; None without a power pack."""
    pack = installation.one(PowerPack)
    if pack is None:
        return None
    label = _LABELS["shaft" if pack.drive == "petrol" else "electricity"]
    missing = _missing(pack, money, energy)
    if missing or energy is None:
        return Line("energy", "added_cost", "cash", label, None, missing)
    return Line("energy", "added_cost", "cash", label, energy.cases.map(lambda kwh: _cost(pack, money, kwh)))


def nameplate_energy(installation: Installation, rates: Mapping[str, Rate]) -> Energy | None:
    """Give the most energy a year can take: full load on the nameplate for all hours worked at the low rates.

    For use until the power room's own figure stands. As expected value it is unfavourable on purpose.
    None where a rate is unknown, or the pack's nameplate does not say.
    """
    pack, brief = installation.one(PowerPack), installation.brief
    power_w = None if pack is None else _nameplate_power(pack)
    programmes = [(programme, rate_of(rates, programme)) for programme in brief.file.programme]
    if pack is None or power_w is None or not all(rate.known for _, rate in programmes):
        return None
    hours = (
        math.fsum(formulas.working_time(yearly_head(brief, p), rate.low_head_per_s) for p, rate in programmes) / 3600
    )
    most = power_w / 1000 * hours
    source = "nameplate at full load for all hours worked: an upper bound, not an expectation"
    return Energy("shaft" if pack.drive == "petrol" else "electricity", most, 0.0, most, source)


def _nameplate_power(pack: PowerPack) -> float | None:
    if pack.drive == "petrol":
        return pack.shaft_power_w
    if pack.supply_v is None or pack.full_load_current_a is None:
        return None
    phases = math.sqrt(3) if pack.drive == "mains_3ph" else 1.0
    return phases * pack.supply_v * pack.full_load_current_a * pack.power_factor


def _missing(pack: PowerPack, money: Money, energy: Energy | None) -> str:
    if energy is None:
        return "the energy the power pack takes in a year has not been computed"
    if (energy.carrier == "shaft") != (pack.drive == "petrol"):
        return f"the energy handed in is counted as {energy.carrier}, which is not what {pack.name} runs on"
    if pack.drive == "petrol" and money.fuel is None:
        return "the brief gives no price of petrol (money.fuel)"
    if pack.drive == "petrol" and pack.fuel_kg_per_kwh is None:
        return f"the catalogue does not say what {pack.name} burns (fuel_kg_per_kwh)"
    if pack.drive != "petrol" and money.electricity is None:
        return "the brief gives no price of electricity (money.electricity)"
    return ""


def _cost(pack: PowerPack, money: Money, kwh: float) -> float:
    if money.fuel is not None and pack.fuel_kg_per_kwh is not None and pack.drive == "petrol":
        return formulas.fuel_cost(
            energy=kwh, burn=pack.fuel_kg_per_kwh, density=PETROL_KG_PER_M3, price=money.fuel.value * 1000
        )
    assert money.electricity is not None
    return formulas.electricity_cost(kwh, money.electricity.value)
