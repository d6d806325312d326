"""A brief as written: what a farm has, what is to be done there, and what must be promised."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from stockproof.amounts import Price, PricePerHour, PricePerKwh, PricePerLitre, PricePerYear
from stockproof.brief.promises import Promise
from stockproof.brief.yard_table import YardTable
from stockproof.records import Record, attribute
from stockproof.units import (
    Angle,
    Area,
    Current,
    Duration,
    Frequency,
    Headcount,
    HeadRate,
    Length,
    Mass,
    Share,
    Temperature,
    Voltage,
)

__all__ = [
    "BriefFile",
    "Build",
    "Customer",
    "ExistingRace",
    "Market",
    "Mob",
    "Money",
    "Person",
    "Programme",
    "Scope",
    "Site",
    "StockClass",
    "Supply",
    "TaskChange",
    "Today",
    "YearlyChange",
]

StockClass = Literal[
    "calf", "weaner", "yearling", "heifer", "steer", "cow", "cow_with_calf", "bull", "dairy_heifer", "dairy_cow"
]
Place = Literal["forcing_pen", "race", "crush_side", "crush_front", "crush_rear", "draft", "yard"]
Party = Literal["firm", "customer", "third_party"]
Name = Annotated[str, attribute("a name", min_length=1, max_length=80)]
TODAY_SOURCE = "common practice"


class Market(Record):
    """Where the installation goes: supply system, units people read there, wording and standards."""

    country: str = attribute("ISO 3166-1 alpha-2 code", pattern=r"^[A-Z]{2}$")
    volts_v: Voltage = attribute("nominal supply voltage, single phase", gt=0)
    frequency_hz: Frequency = attribute("supply frequency", gt=0)
    plug: str = attribute("plug and socket system in plain words", min_length=1)
    mass: Literal["kg", "lb"] = attribute("unit of mass in documents", "kg")
    pressure: Literal["bar", "psi"] = attribute("unit of pressure in documents", "bar")
    wording: Literal["UK", "US"] = attribute("trade words used in documents", "UK")
    currency: str = attribute("ISO 4217 code of every amount in the brief", pattern=r"^[A-Z]{3}$")
    exchange: float | None = attribute(
        "price of one unit of the catalogue's currency in the brief's, where they differ", None, gt=0
    )
    standards: Literal["ISO", "EN", "AS/NZS", "ANSI"] = attribute("set of standards documents refer to", "ISO")


class Customer(Record):
    """For whom, and for whom it is written."""

    name: Name
    farm: Name
    place: str = attribute("locality", "")


class Supply(Record):
    """A supply outlet at or near the yards."""

    name: Name
    phases: Literal[1, 3] = attribute("number of phases", 1)
    volts_v: Voltage = attribute("voltage of the outlet (line voltage for three phases)", gt=0)
    breaker_a: Current = attribute("rating of the breaker that protects it", gt=0)
    outlet_a: Current = attribute("rating of the socket", gt=0)
    cable_length_m: Length = attribute("cable from the switchboard to the power pack", gt=0)
    cable_area_m2: Area = attribute("conductor cross-section", gt=0)
    source_impedance_ohm: float = attribute(
        "loop impedance of the supply at the switchboard, ohm",
        0.35,
        source="common practice: rural single-phase supplies 0.2 to 0.6 ohm",
        gt=0,
    )


class ExistingRace(Record):
    """A race that stays."""

    length_m: Length = attribute("length", gt=0)
    clear_width_m: Length = attribute("clear width", gt=0)
    side_height_m: Length = attribute("height of its sides", gt=0)
    sides: Literal["straight", "sloped"] = attribute("upright or sloped sides", "straight")


class Site(Record):
    """The place: climate, ground, what is there, and distances until the yard computes them."""

    altitude_m: Length = attribute("height above sea level")
    coldest_morning_degc: Temperature = attribute("coldest morning on which work is done", ge=-50, le=40)
    hottest_day_degc: Temperature = attribute("hottest working day", ge=-20, le=55)
    boundary_m: tuple[tuple[float, float], ...] = attribute(
        "corners of the ground available, metres, in order round it", min_length=3
    )
    slope_share: Share = attribute("fall of the ground", ge=0, le=0.3)
    falls_toward_rad: Angle = attribute("direction of the fall, clockwise from north", 0.0, source=TODAY_SOURCE)
    north_rad: Angle = attribute("direction of north, clockwise from the plan's y axis", 0.0, source=TODAY_SOURCE)
    floor_level_m: Length = attribute("finished level of the working floor above the ground", 0.15, source=TODAY_SOURCE)
    operator_side: Literal["left", "right"] = attribute("side the operator works from, seen in the animals' direction")
    draft_side: Literal["left", "right", "both"] = attribute("side the drafted animals leave to")
    hose_length_m: Length = attribute("hose from power pack to crush: how far off the pack may stand", gt=0)
    road_distance_m: Length = attribute("distance by road from the firm's works", ge=0)
    lifting_on_site_kg: Mass = attribute("heaviest lift the site's own machine can do", ge=0)
    access_load_kg: Mass = attribute("heaviest load the track or bridge takes", gt=0)
    existing_race: ExistingRace | None = attribute("a race that stays", None)
    supply: tuple[Supply, ...] = attribute("supply outlets; none where there is no mains", ())


class Scope(Record):
    """Who supplies what is not the machine."""

    concrete: Party = attribute("who supplies concrete")
    cable: Party = attribute("who supplies the cable and its connection by a licensed electrician")
    lifting: Party = attribute("who supplies lifting on the day")
    steelwork: Party = attribute("who supplies fences, gates, catwalk and ramp of the yard", "customer")


class Mob(Record):
    """A group of animals of one class, as a distribution of weight."""

    name: Name
    stock_class: StockClass = attribute("class of stock")
    head: Headcount = attribute("how many", ge=1, le=200_000)
    weight_mean_kg: Mass | None = attribute("mean weight", None, gt=0)
    weight_spread_share: Share | None = attribute("standard deviation over mean of weight", None, ge=0, le=0.5)
    weights_csv: str = attribute("CSV file beside the brief with a column weight_kg, instead of mean and spread", "")
    horned_share: Share = attribute("share with horns", 0.0, source=TODAY_SOURCE, ge=0, le=1)
    temperament: Literal["quiet", "usual", "flighty"] = attribute("how they take handling", "usual")


class Pause(Record):
    """A break of the whole crew; it begins when the animals that are held have been let go."""

    after_s: Duration = attribute("how long after the start of the day it is due", gt=0)
    lasts_s: Duration = attribute("how long it lasts", gt=0)


class Programme(Record):
    """Work done on a mob, so many times a year."""

    name: Name
    mob: str = attribute("name of the mob")
    times_per_year: float = attribute("rounds a year", gt=0, le=366)
    share: Share = attribute("share of the mob that comes through in a round", 1.0, source="the whole mob", gt=0, le=1)
    tasks: tuple[str, ...] = attribute("task codes done on each animal, in order", ())
    hold: bool = attribute("hold switch: each animal is held for work")
    sort: bool = attribute("sort switch: each animal is sorted")
    sorted_by: Literal["", "weight", "tag", "eye"] = attribute("what the sorting goes by", "")
    cuts_kg: tuple[Mass, ...] = attribute("cut weights from light to heavy, where sorted by weight", ())
    crew: tuple[str, ...] = attribute("names of the people working", min_length=1)
    working_day_s: Duration = attribute(
        "working time in a day, breaks taken out", 7 * 3600.0, source=TODAY_SOURCE, gt=0
    )
    starts: str = attribute("clock time at which work begins", "07:30", pattern=r"^([01]\d|2[0-3]):[0-5]\d$")
    breaks: tuple[Pause, ...] = attribute("breaks of the day, in order", (), max_length=4)
    truck_head: Headcount | None = attribute("head on a truck, where they are trucked", None, ge=1)

    @property
    def day_s(self) -> float:
        """From the start of a day to its end, breaks counted."""
        return self.working_day_s + sum(pause.lasts_s for pause in self.breaks)


class Person(Record):
    """Somebody who works at the yards."""

    name: Name
    skills: tuple[Literal["stock", "controls", "husbandry", "vet", "ai"], ...] = attribute(
        "what they can do", min_length=1
    )
    places: tuple[Place, ...] = attribute("where they may stand", min_length=1)
    cost: PricePerHour = attribute("cost of an hour, paid or not")
    paid: bool = attribute("False for unpaid family hours")


class TaskChange(Record):
    """This farm's own time for a task, instead of the trade's."""

    task: str = attribute("task code")
    time_s: Duration = attribute("mean time for one animal", gt=0)
    spread_share: Share | None = attribute("standard deviation over mean", None, ge=0, le=2)


class Today(Record):
    """The case without the build: how the work is done now."""

    rate_head_per_s: HeadRate = attribute("head rate reached today", gt=0)
    crew: tuple[str, ...] = attribute("names of the people working today", min_length=1)
    crush: str = attribute("the crush in use, in plain words", min_length=1)
    upkeep: PricePerYear = attribute("yearly upkeep of today's crush")
    trade_in: Price = attribute("what today's crush is worth when it goes")


class YearlyChange(Record):
    """A yearly change in money that the build brings besides labour and running cost."""

    side: Literal["added_return", "reduced_cost", "added_cost", "reduced_return"] = attribute(
        "side of the partial budget"
    )
    label: str = attribute("what it is", min_length=1)
    amount: PricePerYear = attribute("amount a year")
    source: str = attribute("who says so", min_length=1)


class Money(Record):
    """Terms for judging the outlay."""

    discount_share: Share = attribute("discount rate a year", ge=0, le=0.5)
    horizon_years: int = attribute("years looked at", ge=1, le=40)
    salvage_share: Share = attribute("share of the outlay left at the horizon", 0.1, source=TODAY_SOURCE, ge=0, le=1)
    electricity: PricePerKwh | None = attribute("price of electricity", None)
    fuel: PricePerLitre | None = attribute("price of petrol", None)
    change: tuple[YearlyChange, ...] = attribute("other yearly changes", ())


class Build(Record):
    """The items chosen, with how many of each; or the wish that they be chosen."""

    choose: bool = attribute("let the program choose", False)
    items: dict[str, int] = attribute("item code = how many", default_factory=dict)


class BriefFile(Record):
    """The file as written."""

    format: Literal[1] = attribute("version of the file's form")
    title: str = attribute("title of the job", min_length=1, max_length=120)
    note: str = attribute("what a reader must know about this brief", "")
    catalogue: str = attribute("path of the firm's catalogue, seen from the brief's folder", min_length=1)
    issue_date: datetime.date = attribute("date printed on every document")
    seed: int = attribute("seed of every random draw", 1, ge=0, le=2**63 - 1)
    market: Market = attribute("market")
    customer: Customer = attribute("customer")
    site: Site = attribute("site")
    scope: Scope = attribute("who supplies what")
    mob: tuple[Mob, ...] = attribute("mobs", min_length=1)
    programme: tuple[Programme, ...] = attribute("work programmes", min_length=1)
    person: tuple[Person, ...] = attribute("people", min_length=1)
    task: tuple[TaskChange, ...] = attribute("this farm's own task times", ())
    yard: YardTable = attribute("gateways, what stands there, wishes and parts of the yard set by hand", YardTable())
    today: Today | None = attribute("today's case", None)
    money: Money | None = attribute("terms for judging the outlay", None)
    promise: tuple[Promise, ...] = attribute("promises to be proved", min_length=1)
    build: Build = attribute("the build")
