"""Ways to supply the pack side by side: every outlet as it is and with the cable it needs, a generator, an engine."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite

from stockproof.power.loads import full_load_current_a
from stockproof.power.model import Circuit, Outlet
from stockproof.power.supply import SupplyOption, engine, engine_rating_w, generator, supplies, with_cable

__all__ = ["SupplyWay", "supply_ways"]


@dataclass(frozen=True, slots=True)
class SupplyWay:
    """One way to turn the pump.

    Parameters
    ----------
    way : str
        What it is.
    present : bool
        Whether it stands in brief and build as they are.
    current_a, allowed_a : float
        What the pack takes and the way carries; not finite where current does not decide.
    cable_mm2 : float
        Conductor of the cable; not finite without one.
    drop_share, start_share : float
        Voltage lost running and left at the start; not finite without a cable.
    rating : float
        Rating of the engine that is there [W], or asked of a generator [V A] or another engine [W]; not finite for an
        outlet.
    rating_unit : {'', 'VA', 'W'}
    problems : tuple of str
        What speaks against it; empty where it carries the pack.
    """

    way: str
    present: bool
    current_a: float
    allowed_a: float
    cable_mm2: float
    drop_share: float
    start_share: float
    rating: float
    rating_unit: str
    problems: tuple[str, ...]


def supply_ways(circuit: Circuit) -> tuple[SupplyWay, ...]:
    """Give the ways side by side, the present ones first."""
    if circuit.pack.drive == "petrol":
        return (_present_engine(circuit),)
    rows = [_outlet(option, outlet.cable_area_m2 * 1e6) for option, outlet in _pairs(circuit)]
    rows += [
        _outlet(with_cable(circuit, outlet, option.cable_needed_mm2), option.cable_needed_mm2, present=False)
        for option, outlet in _pairs(circuit)
        if isfinite(option.cable_needed_mm2) and option.cable_needed_mm2 > outlet.cable_area_m2 * 1e6
    ]
    return (*rows, _generator(circuit), _other_engine(circuit))


def _pairs(circuit: Circuit) -> list[tuple[SupplyOption, Outlet]]:
    return list(zip(supplies(circuit), circuit.outlets, strict=True))


def _outlet(option: SupplyOption, cable_mm2: float, *, present: bool = True) -> SupplyWay:
    name = option.outlet if present else f"{option.outlet}, thicker cable"
    return SupplyWay(
        name,
        present,
        option.current_a,
        option.allowed_a,
        cable_mm2,
        option.drop_share,
        option.start_share,
        inf,
        "",
        option.problems,
    )


def _generator(circuit: Circuit) -> SupplyWay:
    need = generator(circuit)
    rating = need.needed_va if need else inf
    current = full_load_current_a(circuit.pack)
    return SupplyWay("generator beside the pack", False, current, inf, inf, inf, inf, rating, "VA", ())


def _other_engine(circuit: Circuit) -> SupplyWay:
    """A pack like this with an engine instead of the motor; the firm says whether it makes one."""
    rating = engine_rating_w(circuit)
    return SupplyWay("petrol engine on the pump", False, inf, inf, inf, inf, inf, rating, "W", ())


def _present_engine(circuit: Circuit) -> SupplyWay:
    option = engine(circuit)
    lacks = option is not None and not option.carries
    problems = (
        ("the engine has less power left at this height and heat than the pump asks at cut-out",) if lacks else ()
    )
    return SupplyWay(circuit.pack.label, True, inf, inf, inf, inf, inf, circuit.pack.shaft_power_w, "W", problems)
