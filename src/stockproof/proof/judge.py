"""Turns promises into verdicts: one small function a kind of promise, each reading the results of the rooms.

A verdict takes the unfavourable end of an interval. What has not been analysed is `not shown` and says what is
missing; it is never guessed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from stockproof.brief import PromiseBase
from stockproof.brief import promises as kinds
from stockproof.fit import Mend
from stockproof.proof.model import Measure, State, Verdict
from stockproof.proof.rooms import Rooms
from stockproof.proof.words import promise_in_words

__all__ = ["judge"]


@dataclass(frozen=True, slots=True)
class Ruling:
    """A verdict before it has its number and words; the state follows from the measures unless it is stated."""

    measures: tuple[Measure, ...] = ()
    state: State | None = None
    because: str = ""
    mend: str = ""
    figures: tuple[str, ...] = ()
    bounds: str = ""


Judge = Callable[[Any, Rooms], Ruling]
_JUDGES: dict[type[PromiseBase], Judge] = {}

#: What a kind of promise waits for, where no room answers it yet.
NOT_ANALYSED = "this is not analysed by this version"
_WAITS_FOR: dict[type[PromiseBase], str] = {
    kinds.PerformanceLevel: "functional safety is not analysed by this version",
    kinds.WrongPen: "weighing and drafting accuracy are not analysed by this version",
    kinds.WeighError: "weighing and drafting accuracy are not analysed by this version",
}


def judge(rooms: Rooms) -> tuple[Verdict, ...]:
    """Give the verdict on every promise of the brief, in its order."""
    return tuple(_verdict(i, promise, rooms) for i, promise in enumerate(rooms.brief.promises, 1))


def _verdict(number: int, promise: PromiseBase, rooms: Rooms) -> Verdict:
    kind = str(getattr(promise, "kind", ""))
    words = promise_in_words(promise, rooms.units)
    rule = _JUDGES.get(type(promise))
    ruling = rule(promise, rooms) if rule else not_shown(_WAITS_FOR.get(type(promise), NOT_ANALYSED))
    met = all(measure.met for measure in ruling.measures)
    return Verdict(
        number,
        kind,
        words,
        ruling.state or ("met" if met else "not met"),
        ruling.measures,
        ruling.because,
        ruling.mend if ruling.state != "met" else "",
        ruling.figures,
        ruling.bounds,
        promise.says,
    )


def judges(kind: type[PromiseBase]) -> Callable[[Judge], Judge]:
    """Enter a function as the judge of one kind of promise."""

    def enter(function: Judge) -> Judge:
        _JUDGES[kind] = function
        return function

    return enter


def not_shown(missing: str, **more: Any) -> Ruling:
    """A ruling that says what is missing."""
    return Ruling(state="not shown", because=missing, **more)


@judges(kinds.Fits)
def _fits(promise: kinds.Fits, rooms: Rooms) -> Ruling:
    """Every mob named, at the share promised; the mob that fits worst decides."""
    mobs = [rooms.fit.mob(name) for name in promise.mobs or rooms.brief.mobs]
    worst = min(mobs, key=lambda mob: mob.share)
    measures = tuple(
        Measure(f"share of {mob.mob}", promise.share, mob.share, "share", "more", f"fit.{mob.mob}.share")
        for mob in mobs
    )
    tightest = worst.tightest
    because = f"{tightest.label} of {tightest.name} is the tightest limit, for {worst.mob}" if tightest else ""
    mends = [_mend_in_words(mend) for check in worst.failing for mend in check.mends if not mend.also][:3]
    return Ruling(measures, because=because, mend="; ".join(dict.fromkeys(mends)))


def _mend_in_words(mend: Mend) -> str:
    share = f", then {mend.share_everywhere:.0%} fit everywhere" if mend.share_everywhere is not None else ""
    return f"{mend.name} ({mend.item}){share}"


@judges(kinds.Tasks)
def _tasks(promise: kinds.Tasks, rooms: Rooms) -> Ruling:
    """Every task of the programmes named must be covered by build and crew."""
    programmes = promise.programmes or tuple(rooms.brief.programmes)
    rows = [row for name in programmes for row in rooms.fit.programme(name)]
    lacks = [finding for name in programmes for finding in rooms.fit.lacks(name)]
    covered = sum(row.covered for row in rows)
    if not lacks:
        return Ruling(state="met", because=f"all {len(rows)} tasks are covered", figures=("fit.tasks_covered",))
    texts = tuple(dict.fromkeys(finding.said(rooms.units) for finding in lacks))
    mends = tuple(dict.fromkeys(finding.mend for finding in lacks if finding.mend))
    because = f"{covered} of {len(rows)} tasks are covered: " + "; ".join(texts)
    return Ruling(state="not met", because=because, mend="; ".join(mends), figures=("fit.tasks_covered",))


@judges(kinds.PriceLimit)
def _price(promise: kinds.PriceLimit, rooms: Rooms) -> Ruling:
    """Price delivered and fitted, without tax; things the firm supplies unpriced make the price a lower bound."""
    price = rooms.price
    measure = Measure(
        "price delivered and fitted",
        promise.at_most.value,
        price.total,
        "",
        "less",
        "money.price.total",
        price.currency,
    )
    dearest = max(price.groups, key=lambda group: group.price)
    because = f"{dearest.name} is the largest part, {dearest.price:,.0f} {price.currency} ex works"
    if price.unpriced and measure.met:
        return not_shown(
            f"the firm is to supply {', '.join(price.unpriced)}, which the catalogue sets no price on",
            measures=(measure,),
        )
    return Ruling((measure,), because=because, mend="a cheaper alternative of a large item, or fewer options")


@judges(kinds.Delivery)
def _delivery(promise: kinds.Delivery, rooms: Rooms) -> Ruling:
    """The heaviest single lift and the whole load, against what was promised."""
    delivery = rooms.price.delivery
    measures = (
        Measure(
            "heaviest lift",
            promise.heaviest_lift_kg,
            delivery.heaviest_piece_kg,
            "mass",
            "less",
            "money.delivery.heaviest_piece",
        ),
        Measure(
            "whole load", promise.total_mass_kg, delivery.total_mass_kg, "mass", "less", "money.delivery.total_mass"
        ),
    )
    return Ruling(
        measures,
        because=f"{delivery.heaviest_item} is the heaviest piece",
        mend="an item that comes apart for lifting, a lighter alternative, or a crane on the day",
    )


@judges(kinds.Payback)
def _payback(promise: kinds.Payback, rooms: Rooms) -> Ruling:
    """Cash payback at the unfavourable end of the rates; costs that are not shown let it refute but not prove."""
    budget = rooms.budget
    if budget.cash is None:
        return not_shown("; ".join(budget.missing))
    appraisal = budget.cash.appraisal.low
    years = appraisal.simple_payback_years
    horizon = rooms.brief.file.money.horizon_years if rooms.brief.file.money else 0
    if years is None and "never_pays_back" not in appraisal.flags and promise.at_most_years > horizon:
        return not_shown(f"the brief looks at {horizon} years only; a longer horizon would tell")
    if years is None:
        return Ruling(state="not met", because="at the unfavourable end of the rates it never pays back in cash")
    measure = Measure("payback in cash", promise.at_most_years, years, "", "less", "money.cash.payback.low", "years")
    if measure.met and budget.left_out:
        return not_shown("not in the reckoning: " + ", ".join(budget.left_out), measures=(measure,))
    return Ruling((measure,), because="cash only, at the unfavourable end of the rates")
