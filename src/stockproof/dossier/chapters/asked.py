"""What was asked: the mobs, the work, the people, the place, as the brief states them."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import fmean

from stockproof.brief import Brief, Mob, Programme
from stockproof.proof import Rooms
from stockproof.scene.pages import Column, Facts, Quantity, Section, Table

__all__ = ["asked"]


def asked(rooms: Rooms) -> Iterator[Section]:
    """Give the brief as sections: stock and work, then place and supply."""
    brief = rooms.brief
    yield Section("What is asked", (_mobs(brief), _programmes(brief), _people(brief)))
    yield Section("The place", (_site(brief), *_supply(brief)), level=2)


def _mobs(brief: Brief) -> Table:
    columns = (
        Column("Mob", share=2),
        Column("Class", share=1.4),
        Column("Head", "right"),
        Column("Mean weight", "right"),
        Column("Spread", "right"),
        Column("Horned", "right"),
        Column("Temperament"),
    )
    return Table("mobs", "The stock", columns, tuple(_mob(mob, brief) for mob in brief.file.mob))


def _mob(mob: Mob, brief: Brief) -> tuple[str | int | Quantity | None, ...]:
    weights = brief.weights_kg.get(mob.name, ())
    mean = mob.weight_mean_kg if mob.weight_mean_kg is not None else (fmean(weights) if weights else None)
    spread = Quantity(mob.weight_spread_share, "share", 2) if mob.weight_spread_share is not None else "as weighed"
    return (
        mob.name,
        mob.stock_class.replace("_", " "),
        int(mob.head),
        Quantity(mean, "mass") if mean is not None else None,
        spread,
        Quantity(mob.horned_share, "share", 2),
        mob.temperament,
    )


def _programmes(brief: Brief) -> Table:
    columns = (
        Column("Work", share=2),
        Column("Mob", share=1.4),
        Column("Rounds a year", "right"),
        Column("Done on each animal", share=2.4),
        Column("Held, sorted", share=1.3),
        Column("By", share=1.3),
    )
    rows = tuple(_programme(programme, brief) for programme in brief.file.programme)
    return Table("programmes", "The work", columns, rows)


def _programme(programme: Programme, brief: Brief) -> tuple[str | float, ...]:
    done = ", ".join(brief.tasks[task].label for task in programme.tasks)
    sorting = f"sorted by {programme.sorted_by}" if programme.sort and programme.sorted_by else "sorted"
    held = " and ".join(word for word, on in (("held", programme.hold), (sorting, programme.sort)) if on)
    return (programme.name, programme.mob, programme.times_per_year, done, held or "by hand", ", ".join(programme.crew))


def _people(brief: Brief) -> Table:
    columns = (
        Column("Person", share=1),
        Column("Can do", share=1.5),
        Column("May stand", share=2),
        Column("Hour", "right"),
    )
    rows = tuple(
        (
            person.name,
            ", ".join(person.skills),
            ", ".join(place.replace("_", " ") for place in person.places),
            f"{person.cost}" + ("" if person.paid else ", unpaid"),
        )
        for person in brief.file.person
    )
    return Table("people", "The people", columns, rows)


def _site(brief: Brief) -> Facts:
    site, market = brief.file.site, brief.file.market
    return Facts(
        (
            ("Height above the sea", Quantity(site.altitude_m, "length")),
            ("Coldest working morning", Quantity(site.coldest_morning_degc, "temperature")),
            ("Hottest working day", Quantity(site.hottest_day_degc, "temperature")),
            ("Fall of the ground", Quantity(site.slope_share, "share")),
            ("Operator's side, draft side", f"{site.operator_side}, {site.draft_side}"),
            ("Heaviest load on the way in", Quantity(site.access_load_kg, "mass", 4)),
            ("Heaviest lift with the site's machine", Quantity(site.lifting_on_site_kg, "mass", 4)),
            ("Electricity", f"{market.volts_v:g} V, {market.frequency_hz:g} Hz, {market.plug}"),
        )
    )


def _supply(brief: Brief) -> Iterator[Table]:
    if brief.file.site.supply:
        columns = (
            Column("Outlet", share=2),
            Column("Phases", "right"),
            Column("Voltage", "right"),
            Column("Breaker", "right"),
            Column("Socket", "right"),
            Column("Cable", "right"),
            Column("Conductor", "right"),
        )
        rows = tuple(
            (
                outlet.name,
                outlet.phases,
                Quantity(outlet.volts_v, "voltage"),
                Quantity(outlet.breaker_a, "current"),
                Quantity(outlet.outlet_a, "current"),
                Quantity(outlet.cable_length_m, "length"),
                Quantity(outlet.cable_area_m2, "area", unit="mm2"),
            )
            for outlet in brief.file.site.supply
        )
        yield Table("supply", "Supply at the yards", columns, rows)
