"""Sets the room's results down in a ledger as figures; it computes nothing new."""

from __future__ import annotations

import math

from stockproof.fields import set_down
from stockproof.figures import COMMON_PRACTICE, Figure, Ledger, formula
from stockproof.flow.answers import Study, Variant
from stockproof.flow.day import DayPlan
from stockproof.flow.intervals import Interval
from stockproof.flow.stations import crew_use, stations
from stockproof.flow.unwatched import Unwatched

__all__ = ["publish", "publish_against_today", "publish_day", "publish_unwatched"]

STATION = {
    "coming_s": "mean time coming in",
    "working_s": "mean time until done",
    "waiting_s": "mean time waiting to leave",
    "total_s": "mean time together",
    "longest_s": "longest time",
}


@formula(
    "rate / today",
    unit="1",
    sources=(COMMON_PRACTICE,),
    example=({"rate": 0.06, "today": 0.015}, 4.0),
    rate="head/s",
    today="head/s",
)
def times_today(rate: float, today: float) -> float:
    """Give how many times as quick as today the work goes."""
    return rate / today


@formula(
    "people / rate",
    unit="s/head",
    sources=(COMMON_PRACTICE,),
    example=({"people": 3, "rate": 0.05}, 60.0),
    people="1",
    rate="head/s",
)
def time_of_people(people: float, rate: float) -> float:
    """Give the time all people together spend on an animal. [s/head]"""
    return people / rate


def publish(study: Study, seed: int, ledger: Ledger, inputs: tuple[Figure, ...]) -> Figure:
    """Set down a programme's rate, what takes its time, stations, crew and variants; give the figure of the rate."""
    name, programme = f"flow.{study.programme}", study.programme
    how = f"mean of {study.result.replications} replications of stock flow, seed {seed}"
    label = f"head rate of {programme}, first animal into the race to last one penned, breaks left out"
    rate = ledger.run(f"{name}.rate", study.mean.value, "head/s", label, how, inputs, band=_band(study.mean))
    spread = f"prediction interval of one day to come over {study.result.replications} replications, seed {seed}"
    label = f"head rate of {programme} on one day to come"
    _interval(ledger, f"{name}.day", study.day, "head/s", label, spread, inputs)
    ledger.run(
        f"{name}.head",
        float(study.result.line.mob.head),
        "head",
        f"animals of a round of {programme}",
        "as the brief says",
    )
    label = f"runs of {programme}"
    ledger.run(f"{name}.runs", float(study.result.replications), "1", label, "as many as the effort of this run asks")
    for what, share in study.limits:
        label = f"share of the run of {programme}: {what}"
        ledger.run(f"{name}.limit.{what}", share, "1", label, f"time of the place of work, {how}", inputs)
    for station in stations(study.result):
        about = f"animals of {programme} in {station.zone.replace('_', ' ')}"
        set_down(ledger, f"{name}.zone.{station.zone}", about, station, STATION, f"over all animals, {how}", inputs)
    for use in crew_use(study.result):
        about, at = f"{use.person} at {programme}", f"{name}.crew.{use.person}"
        for doing, share in use.shares.items():
            ledger.run(f"{at}.{doing}", share, "1", f"share of the time {doing}, {about}", how, inputs)
        ledger.run(
            f"{at}.busy", use.busy, "1", f"share of the time busy, {about}", f"all but free and breaks, {how}", inputs
        )
    for variant in (*((study.as_it_is,) if study.as_it_is else ()), *study.variants):
        _variant(ledger, name, variant, study, rate)
    return rate


def publish_day(plan: DayPlan, programme: str, ledger: Ledger, rate: Figure) -> None:
    """Set down the plan of one round of a programme."""
    name, how = f"flow.{programme}", "middle of all rounds that were run, breaks counted"
    _interval(ledger, f"{name}.days", plan.days, "1", f"working days of a round of {programme}", how, (rate,))
    _interval(ledger, f"{name}.finish", plan.finish_s, "s", f"last animal of {programme} through", how, (rate,))
    label = f"animals of {programme} through on a full day"
    _interval(ledger, f"{name}.head_a_day", plan.head_a_day, "head", label, how, (rate,))
    if plan.whole_days:
        label = f"days to plan for {programme}"
        enough = f"enough on {plan.confidence:.0%} of the rounds that were run"
        ledger.run(f"{name}.whole_days", float(plan.whole_days), "1", label, enough, (rate,))
    for number, ready_s in enumerate(plan.trucks_s, 1):
        if math.isfinite(ready_s):
            ledger.run(
                f"{name}.truck.{number}", ready_s, "s", f"load {number} of {programme} stands ready", how, (rate,)
            )


def publish_unwatched(found: Unwatched, programme: str, ledger: Ledger, limit: Figure) -> None:
    """Set down how many animals of a round stood held with nobody beside the crush."""
    name, how = f"flow.{programme}.unwatched", "one run whose events were kept: each catch against who stood where"
    ledger.run(f"{name}.held", float(found.held), "head", f"animals caught in a round of {programme}", how)
    label = f"of them with nobody beside the crush for longer than allowed, {programme}"
    ledger.run(f"{name}.head", float(found.left_alone), "head", label, how, (limit,))
    label = f"longest an animal of {programme} stood caught with nobody beside the crush"
    ledger.run(f"{name}.longest", found.longest_s, "s", label, how)


def publish_against_today(
    programme: str, crew: int, ledger: Ledger, rate: Figure, today: Figure, crew_today: Figure
) -> None:
    """Set down how a programme goes against today."""
    name = f"flow.{programme}"
    ledger.derive(f"{name}.times_today", f"head rate of {programme} over today's", times_today, rate=rate, today=today)
    people = ledger.given(f"{name}.crew", float(crew), "1", f"people at {programme}")
    label = f"time of all people together on an animal, {programme}"
    ledger.derive(f"{name}.people_time", label, time_of_people, people=people, rate=rate)
    label = "time of all people together on an animal today"
    ledger.derive("flow.today.people_time", label, time_of_people, people=crew_today, rate=today)


def _variant(ledger: Ledger, name: str, variant: Variant, study: Study, rate: Figure) -> None:
    """What one change brings, on the same animals, people and days."""
    how = "on the same animals, people and days as the line itself"
    at = f"{name}.change.{variant.name}"
    if variant.mean is not None:
        label = f"head rate of {study.programme}, {variant.words}"
        _interval(ledger, f"{at}.rate", variant.mean, "head/s", label, how, (rate,))
    if variant.gain is not None:
        label = f"gain in the head rate of {study.programme}, {variant.words}"
        _interval(ledger, f"{at}.gain", variant.gain, "head/s", label, how, (rate,))


def _interval(
    ledger: Ledger, name: str, found: Interval, unit: str, label: str, how: str, inputs: tuple[Figure, ...]
) -> None:
    if math.isfinite(found.value):
        ledger.run(name, found.value, unit, label, how, inputs, band=_band(found))


def _band(found: Interval) -> tuple[float, float] | None:
    return (found.low, found.high) if math.isfinite(found.low) and math.isfinite(found.high) else None
