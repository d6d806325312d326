"""Verdicts on rate, days and people, from stock flow; each takes the unfavourable end of a day's interval."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import wraps
from typing import Any

from stockproof import flow
from stockproof.brief import promises as kinds
from stockproof.figures import Figure
from stockproof.herd import ABOUT_WALKING
from stockproof.proof.alone import alone_with_cattle
from stockproof.proof.day import CONFIDENCE
from stockproof.proof.model import Measure
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import Judge, Ruling, flow_in_doubt, judges, not_shown

__all__: list[str] = []

#: Where fewer of a mob than this fit, a rate of them all says little of the farm. [1]
LEAST_FITTING = 0.9
#: A share that does not fit is said from here on. [1]
WORTH_SAYING = 0.01
#: Lacks of a programme that are lacks of its own crew; another crew that a promise names is flow's to refuse.
OF_THE_CREW = ("skill_missing", "place_missing", "nobody_works_controls", "nobody_moves_stock")
TOO_FEW = "{} runs are too few for a bound at {:.0%}"


def _beyond_doubt(rule: Judge) -> Judge:
    """Flow runs whatever it is given; what the other rooms found against the work, or against flow, goes first."""

    @wraps(rule)
    def ruled(promise: Any, rooms: Rooms) -> Ruling:
        undone = _cannot_be_done(promise, rooms)
        if undone is not None:
            return undone
        missing = flow_in_doubt(rooms, (promise.programme,)) or _no_yard(rooms)
        if missing:
            return not_shown(missing)
        ruling = rule(promise, rooms)
        few = _too_few_fit(promise.programme, rooms)
        return not_shown(few) if few and ruling.verdict == "met" else _with_what_it_hides(promise, rooms, ruling)

    return ruled


def _cannot_be_done(promise: Any, rooms: Rooms) -> Ruling | None:
    """A ruling where build or crew do not cover what the programme asks, None where they do."""
    own = rooms.brief.programmes[promise.programme].crew
    crew = getattr(promise, "crew", own)
    lacks = [lack for lack in rooms.fit.lacks(promise.programme) if crew == own or lack.code not in OF_THE_CREW]
    if not lacks:
        return None
    what = "; ".join(dict.fromkeys(lack.said(rooms.units) for lack in lacks))
    mend = "; ".join(dict.fromkeys(lack.mend for lack in lacks if lack.mend))
    return Ruling(state="not met", because=f"{promise.programme} cannot be done as it is written: {what}", mend=mend)


def _no_yard(rooms: Rooms) -> str:
    return "" if rooms.yard else f"there is no yard whose walks and pens the run could rest on: {rooms.no_yard}"


def _too_few_fit(programme: str, rooms: Rooms) -> str:
    mob = rooms.fit.mob(rooms.brief.programmes[programme].mob)
    if mob.share < LEAST_FITTING:
        return f"only {mob.share:.0%} of {mob.mob} fit everywhere, and the run takes all of them through"
    return ""


def _with_what_it_hides(promise: Any, rooms: Rooms, ruling: Ruling) -> Ruling:
    """The ruling, with who is alone among cattle for it, and the share that does not fit and is yet taken through."""
    programme = rooms.brief.programmes[promise.programme]
    mob = rooms.fit.mob(programme.mob)
    left, words, figures = 1.0 - mob.share, [ruling.because], ruling.figures
    if left >= WORTH_SAYING:
        words.append(f"the {left:.0%} of {mob.mob} that do not fit everywhere are run like the rest")
        figures = (*figures, f"fit.{mob.mob}.share")
    needed = rooms.flows.people[promise] or () if isinstance(promise, kinds.People) else promise.crew
    words.append(alone_with_cattle(rooms, programme.name, needed))
    return replace(ruling, because="; ".join(filter(None, words)), figures=figures)


@judges(kinds.Rate)
@_beyond_doubt
def _rate(promise: kinds.Rate, rooms: Rooms) -> Ruling:
    """The rate a day reaches with the promise's confidence, by the promise's own clock."""
    study = rooms.flows.studies.get((promise.programme, promise.crew))
    if study is None:
        return _cannot(promise.programme, promise.crew, rooms)
    if study.result.unended:
        return not_shown(study.result.unended, bounds=_bounds(study))
    clock = flow.Clock(promise.clock_starts, promise.clock_ends, promise.counts)
    confidence = promise.confidence or CONFIDENCE
    rates = flow.head_rates(study.result, clock)
    found = flow.bound_of_a_day(rates, confidence, at_least=True)
    if not math.isfinite(found):
        return not_shown(TOO_FEW.format(study.result.replications, confidence), bounds=_bounds(study))
    name = f"flow.promise.{promise.programme}.{'+'.join(promise.crew)}.{promise.clock_starts}.{promise.clock_ends}"
    label = f"head rate of {promise.programme} that {confidence:.0%} of days reach, by the promise's clock"
    _publish(rooms, f"{name}.{confidence:g}", found, "head/s", label, study)
    measure = Measure(
        f"head rate {confidence:.0%} of days reach",
        promise.at_least_head_per_s,
        found,
        "head rate",
        "more",
        f"{name}.{confidence:g}",
    )
    return Ruling((measure,), because=_limits(study), mend=_helps(study, measure), bounds=_bounds(study))


@judges(kinds.Days)
@_beyond_doubt
def _days(promise: kinds.Days, rooms: Rooms) -> Ruling:
    """Working days of one round at the promise's confidence."""
    study = rooms.flows.studies.get((promise.programme, promise.crew))
    if study is None:
        return _cannot(promise.programme, promise.crew, rooms)
    if study.result.unended:
        return not_shown(study.result.unended, bounds=_bounds(study))
    programme = rooms.brief.programmes[promise.programme]
    confidence = promise.confidence or CONFIDENCE
    plan = flow.day_plan(study.result, programme.day_s, confidence=confidence)
    found = plan.days.high
    if not math.isfinite(found):
        return not_shown(TOO_FEW.format(study.result.replications, confidence), bounds=_bounds(study))
    name = f"flow.promise.{promise.programme}.{'+'.join(promise.crew)}.days.{confidence:g}"
    label = f"days one round of {promise.programme} takes, {confidence:.0%} prediction interval, upper end"
    _publish(rooms, name, found, "day", label, study)
    measure = Measure("days of one round", promise.at_most_days, found, "", "less", name, "days")
    return Ruling((measure,), because=_limits(study), mend=_helps(study, measure), bounds=_bounds(study))


@judges(kinds.People)
@_beyond_doubt
def _people(promise: kinds.People, rooms: Rooms) -> Ruling:
    """The smallest part of the programme's crew that reaches the rate."""
    crew = rooms.flows.people[promise]
    rate = rooms.units.text(promise.at_least_head_per_s, "head rate")
    programme = rooms.brief.programmes[promise.programme]
    own = rooms.flows.own(programme)
    if crew is None and own is not None and own.result.unended:
        return not_shown(own.result.unended, bounds=_bounds(own))
    if crew is None:
        all_of_them = ", ".join(programme.crew)
        return Ruling(
            state="not met", because=f"not even all of the crew ({all_of_them}) reach {rate} on nine days of ten"
        )
    name = f"flow.promise.{promise.programme}.people"
    how = "every part of the crew run from the smallest up, same seed"
    label = f"people who reach {rate} at {promise.programme}"
    rooms.ledger.run(name, float(len(crew)), "1", label, how, _assumed(rooms))
    measure = Measure("people needed", promise.at_most, len(crew), "", "less", name, "people")
    return Ruling((measure,), because=f"{', '.join(crew)} {'reach' if len(crew) > 1 else 'reaches'} {rate}")


def _cannot(programme: str, crew: tuple[str, ...], rooms: Rooms) -> Ruling:
    why = rooms.flows.cannot.get((programme, crew), "this programme was not run with this crew")
    return Ruling(state="not met", because=f"{programme} cannot be done by {', '.join(crew)}: {why}")


def _publish(rooms: Rooms, name: str, value: float, unit: str, label: str, study: flow.Study) -> None:
    how = f"order statistic of {study.result.replications} replications of stock flow, seed {study.result.seed}"
    rooms.ledger.run(name, value, unit, label, how, _assumed(rooms))


def _assumed(rooms: Rooms) -> tuple[Figure, ...]:
    """The assumptions every run of stock flow rests on: its own, and how the animals walk."""
    return tuple(
        figure
        for figure in rooms.ledger.assumptions()
        if figure.name.startswith("flow.") or figure.name.endswith(ABOUT_WALKING)
    )


def _limits(study: flow.Study) -> str:
    """What the line waits for most, in words."""
    first = [f"{what.replace('_', ' ')} ({share:.0%} of the time)" for what, share in study.limits[:2]]
    return "what limits: " + ", ".join(first) if first else ""


def _helps(study: flow.Study, measure: Measure) -> str:
    """The change that brings most, where variants were run, and whether it reaches what is asked."""
    gains = [(variant.gain, variant.words) for variant in study.variants if variant.gain and variant.gain.low > 0]
    if not gains:
        return ""
    gain, words = max(gains, key=lambda pair: pair[0].value)
    brings = f"{words}, which brings {3600 * gain.value:.0f} head an hour more"
    times = 1.0 + gain.value / study.mean.value
    then = replace(measure, found=measure.found + gain.value if measure.better == "more" else measure.found / times)
    return brings if then.met else f"{brings} and does not reach what is asked"


def _bounds(study: flow.Study) -> str:
    return f"{study.result.replications} replications of one round, seed {study.result.seed}"
