"""Promises in words: one sentence a kind, in the market's units."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from stockproof.brief import PromiseBase
from stockproof.brief import promises as kinds
from stockproof.brief.model import Market
from stockproof.catalogue.line import motion_in_words
from stockproof.units import Units

__all__ = ["market_units", "promise_in_words"]


def market_units(market: Market) -> Units:
    """Give the units that documents for a market are read in."""
    chosen: dict[str, str] = {"mass": market.mass, "pressure": market.pressure}
    if market.mass == "lb":
        chosen |= {"length": "ft", "volume": "gal", "flow": "gpm", "temperature": "degF", "force": "lbf"}
        chosen |= {"area per head": "ft2/head", "area": "ft2"}
    return Units(chosen)


def promise_in_words(promise: PromiseBase, units: Units) -> str:
    """Give a promise as one sentence."""
    return _SENTENCES[type(promise)](promise, units)


def _count(number: float, one: str, more: str) -> str:
    return f"{number:g} {one if number == 1 else more}"


def _list(words: tuple[str, ...], all_of_them: str) -> str:
    return ", ".join(words) if words else all_of_them


_CLOCK = {
    "first_animal_enters_race": "the first animal enters the race",
    "first_animal_caught": "the first animal is caught",
    "work_begins": "work begins",
    "last_animal_released": "the last animal is released",
    "last_animal_penned": "the last animal is penned",
    "work_ends": "work ends",
}


def _rate(p: Any, u: Units) -> str:
    counted = ", ".join(stop.replace("_", " ") for stop in p.counts) or "no stops"
    return (
        f"{p.programme}: at least {u.text(p.at_least_head_per_s, 'head rate')} with {', '.join(p.crew)}, from when "
        f"{_CLOCK[p.clock_starts]} until {_CLOCK[p.clock_ends]}, counting {counted}"
    )


_SENTENCES: dict[type[PromiseBase], Callable[[Any, Units], str]] = {
    kinds.Rate: _rate,
    kinds.Days: lambda p, u: (
        f"{p.programme}: done in at most {_count(p.at_most_days, 'day', 'days')} with {', '.join(p.crew)}"
    ),
    kinds.People: lambda p, u: (
        f"{p.programme}: at most {_count(p.at_most, 'person', 'people')} for "
        f"{u.text(p.at_least_head_per_s, 'head rate')}"
    ),
    kinds.Fits: lambda p, u: f"{u.text(p.share, 'share')} of {_list(p.mobs, 'every mob')} fit everywhere",
    kinds.Tasks: lambda p, u: f"every task of {_list(p.programmes, 'every programme')} can be done on this build",
    kinds.PriceLimit: lambda p, u: f"delivered and fitted for at most {p.at_most}, without tax",
    kinds.Delivery: lambda p, u: (
        f"no lift over {u.text(p.heaviest_lift_kg, 'mass', 4)}, no load over {u.text(p.total_mass_kg, 'mass', 4)}"
    ),
    kinds.Payback: lambda p, u: f"pays back within {_count(p.at_most_years, 'year', 'years')}",
    kinds.Outlet: lambda p, u: f"the outlet '{p.supply}' carries the power pack, starting and running",
    kinds.MotionTime: lambda p, u: (
        f"{motion_in_words(p.motion)} within {u.text(p.at_most_s, 'duration')}, {p.when.replace('_', ' ')}"
    ),
    kinds.HoldingForce: lambda p, u: f"the {p.part} holds against {u.text(p.at_least_n, 'force')}",
    kinds.PowerLoss: lambda p, u: (
        f"{_count(p.releases, 'animal', 'animals')} can still be let out "
        f"{u.text(p.after_s, 'duration')} after power is lost"
    ),
    kinds.ColdMorning: lambda p, u: f"motions slow by at most {u.text(p.slower_by, 'share')} on the coldest morning",
    kinds.Noise: lambda p, u: f"at most {u.text(p.at_most_db, 'sound level')} at the control point",
    kinds.BadState: lambda p, u: (
        f"{_list(p.properties, 'no bad state')} can be reached"
        if not p.properties
        else (f"these bad states cannot be reached: {', '.join(p.properties)}")
    ),
    kinds.SingleFault: lambda p, u: "no single fault is dangerous",
    kinds.Relief: lambda p, u: (
        "one person can always relieve and release the animal"
        + (", without electricity too" if p.without_electricity else "")
    ),
    kinds.PerformanceLevel: lambda p, u: (
        f"{p.function or 'every safety function'} reaches the performance level it needs"
    ),
    kinds.WrongPen: lambda p, u: f"{p.programme}: at most {u.text(p.at_most_share, 'share')} in a wrong pen",
    kinds.WeighError: lambda p, u: f"weights within {u.text(p.at_most_kg, 'mass')}, 95 times of 100",
    kinds.Holds: lambda p, u: f"the yard holds {p.at_least_head:g} head of {p.mob}",
    kinds.PenSpace: lambda p, u: f"every pen keeps the space of {p.guide or 'the guide chosen'}",
    kinds.Escape: lambda p, u: "wherever a person can be cornered an escape is within reach",
    kinds.FitsSite: lambda p, u: "the yard fits on the ground available",
}
