"""The kinds of promise a brief can ask to have proved, one class a kind."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from stockproof.amounts import Price
from stockproof.records import Record, attribute
from stockproof.units import Duration, Force, Headcount, HeadRate, Mass, Share, SoundLevel

__all__ = ["PROMISES", "Promise", "PromiseBase"]

ClockStart = Literal["first_animal_enters_race", "first_animal_caught", "work_begins"]
ClockEnd = Literal["last_animal_released", "last_animal_penned", "work_ends"]
Stop = Literal["refill", "balk", "recatch", "draft_pen_full", "breaks", "reload"]


class PromiseBase(Record):
    """What every promise may carry."""

    says: str = attribute("the promise in the customer's words", "")
    confidence: Share | None = attribute("how sure the answer must be; the verdict uses that end of the interval", None)


class Rate(PromiseBase):
    kind: Literal["rate"] = attribute("kind of promise")
    at_least_head_per_s: HeadRate = attribute("head rate to be reached", gt=0)
    programme: str = attribute("the work programme (names class and tasks)")
    crew: tuple[str, ...] = attribute("names of the people working", min_length=1)
    clock_starts: ClockStart = attribute("when the clock starts")
    clock_ends: ClockEnd = attribute("when the clock stops")
    counts: tuple[Stop, ...] = attribute("which stops count as working time")


class Days(PromiseBase):
    kind: Literal["days"] = attribute("kind of promise")
    at_most_days: float = attribute("working days for one round of the programme", gt=0)
    programme: str = attribute("the work programme")
    crew: tuple[str, ...] = attribute("names of the people working", min_length=1)


class People(PromiseBase):
    kind: Literal["people"] = attribute("kind of promise")
    at_most: int = attribute("people needed at once", ge=1)
    programme: str = attribute("the work programme")
    at_least_head_per_s: HeadRate = attribute("head rate those people must reach", gt=0)


class Fits(PromiseBase):
    kind: Literal["fits"] = attribute("kind of promise")
    mobs: tuple[str, ...] = attribute("names of the mobs; all of them if unsaid", ())
    share: Share = attribute("share of the mob that must fit everywhere", 0.98, source="common practice", gt=0, le=1)


class Tasks(PromiseBase):
    kind: Literal["tasks"] = attribute("kind of promise")
    programmes: tuple[str, ...] = attribute("names of the programmes; all of them if unsaid", ())


class PriceLimit(PromiseBase):
    kind: Literal["price"] = attribute("kind of promise")
    at_most: Price = attribute("price delivered and fitted, without tax")


class Delivery(PromiseBase):
    kind: Literal["delivery"] = attribute("kind of promise")
    heaviest_lift_kg: Mass = attribute("heaviest single lift the site can do", gt=0)
    total_mass_kg: Mass = attribute("heaviest load the access takes", gt=0)


class Payback(PromiseBase):
    kind: Literal["payback"] = attribute("kind of promise")
    at_most_years: float = attribute("years until the outlay is back", gt=0)


class Outlet(PromiseBase):
    kind: Literal["outlet"] = attribute("kind of promise")
    supply: str = attribute("name of the supply outlet that must carry it")


class MotionTime(PromiseBase):
    kind: Literal["motion_time"] = attribute("kind of promise")
    motion: str = attribute("the motion, for example bail.close")
    at_most_s: Duration = attribute("longest time", gt=0)
    when: Literal["normal", "cold_morning", "worst_burst"] = attribute("in which condition")


class HoldingForce(PromiseBase):
    kind: Literal["holding_force"] = attribute("kind of promise")
    part: str = attribute("the part, for example bail")
    at_least_n: Force = attribute("smallest force it holds against", gt=0)


class PowerLoss(PromiseBase):
    kind: Literal["power_loss"] = attribute("kind of promise")
    releases: int = attribute("animals that can still be let out", ge=1)
    after_s: Duration = attribute("so long after power is lost", ge=0)


class ColdMorning(PromiseBase):
    kind: Literal["cold_morning"] = attribute("kind of promise")
    slower_by: Share = attribute("most that motions may slow on the coldest morning", ge=0)


class Noise(PromiseBase):
    kind: Literal["noise"] = attribute("kind of promise")
    at_most_db: SoundLevel = attribute("level at the control point", gt=0)


class BadState(PromiseBase):
    kind: Literal["bad_state"] = attribute("kind of promise")
    properties: tuple[str, ...] = attribute("codes of the bad states that must not be reached; all if unsaid", ())


class SingleFault(PromiseBase):
    kind: Literal["single_fault"] = attribute("kind of promise")


class Relief(PromiseBase):
    kind: Literal["relief"] = attribute("kind of promise")
    without_electricity: bool = attribute("also with no electricity", True)


class PerformanceLevel(PromiseBase):
    kind: Literal["performance_level"] = attribute("kind of promise")
    function: str = attribute("the safety function; all if unsaid", "")


class WrongPen(PromiseBase):
    kind: Literal["wrong_pen"] = attribute("kind of promise")
    at_most_share: Share = attribute("largest share of animals in a wrong pen", gt=0, le=1)
    programme: str = attribute("the sorting programme")


class WeighError(PromiseBase):
    kind: Literal["weigh_error"] = attribute("kind of promise")
    at_most_kg: Mass = attribute("largest error of a weight, 95 of 100 times", gt=0)


class Holds(PromiseBase):
    kind: Literal["holds"] = attribute("kind of promise")
    at_least_head: Headcount = attribute("head the yard must hold", ge=1)
    mob: str = attribute("of which mob")


class PenSpace(PromiseBase):
    kind: Literal["pen_space"] = attribute("kind of promise")
    guide: str = attribute("name of the guide every pen must keep; the brief's own guide if unsaid", "")


class Escape(PromiseBase):
    kind: Literal["escape"] = attribute("kind of promise")


class FitsSite(PromiseBase):
    kind: Literal["fits_site"] = attribute("kind of promise")


PROMISES: tuple[type[PromiseBase], ...] = (
    Rate,
    Days,
    People,
    Fits,
    Tasks,
    PriceLimit,
    Delivery,
    Payback,
    Outlet,
    MotionTime,
    HoldingForce,
    PowerLoss,
    ColdMorning,
    Noise,
    BadState,
    SingleFault,
    Relief,
    PerformanceLevel,
    WrongPen,
    WeighError,
    Holds,
    PenSpace,
    Escape,
    FitsSite,
)
Promise = Annotated[
    Rate
    | Days
    | People
    | Fits
    | Tasks
    | PriceLimit
    | Delivery
    | Payback
    | Outlet
    | MotionTime
    | HoldingForce
    | PowerLoss
    | ColdMorning
    | Noise
    | BadState
    | SingleFault
    | Relief
    | PerformanceLevel
    | WrongPen
    | WeighError
    | Holds
    | PenSpace
    | Escape
    | FitsSite,
    Field(discriminator="kind"),
]
