"""Labour of the yearly work, today and with the build: hours on the line only, paid and unpaid apart.

Mustering, drives to the yards and breaks are the same in both cases and left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from stockproof.brief import Brief, Programme
from stockproof.money import formulas
from stockproof.money.model import Cases, Crew, Labour, Rate, Work

__all__ = ["UNKNOWN", "crew", "rate_of", "work", "yearly_labour"]

UNKNOWN = Rate(0.0, 0.0, 0.0, known=False, source="nothing has computed its head rate with the build")


def work(brief: Brief, rates: Mapping[str, Rate]) -> tuple[Work, ...]:
    """Give each programme's labour; none where the brief does not tell today's case."""
    return tuple(_work(brief, programme, rate_of(rates, programme)) for programme in brief.file.programme)


def rate_of(rates: Mapping[str, Rate], programme: Programme) -> Rate:
    """Give a programme's rate with the build, or the unknown one."""
    return rates.get(programme.name, UNKNOWN)


def crew(brief: Brief, names: Iterable[str]) -> Crew:
    """Give the people of a crew with their cost a second."""
    people = [brief.people[name] for name in names]
    paid = [person.cost.value / 3600 for person in people if person.paid]
    unpaid = [person.cost.value / 3600 for person in people if not person.paid]
    names = tuple(person.name for person in people)
    return Crew(names, len(paid), len(unpaid), math.fsum(paid), math.fsum(unpaid))


def crew_today(brief: Brief, programme: Programme) -> tuple[str, ...]:
    """Give the names of those at work today: today's crew, and whoever brings a skill the tasks need and it lacks.

    A vet who tests with the build tests today as well; left out, the build would seem to bring the vet's bill.
    """
    assert brief.file.today is not None
    names = brief.file.today.crew
    needed = {brief.tasks[task].skill for task in programme.tasks} - {"none"}
    lacking = needed - {skill for name in names for skill in brief.people[name].skills}
    skilled = (name for name in programme.crew if name not in names and lacking & set(brief.people[name].skills))
    return (*names, *skilled)


def yearly_head(brief: Brief, programme: Programme) -> float:
    """Give the animals a programme puts through in a year. [head/year]"""
    return formulas.head_per_year(brief.mobs[programme.mob].head, programme.share, programme.times_per_year)


def yearly_labour(head: float, rate: float, people: Crew) -> Labour:
    """Give a crew's labour in a year.

    Parameters
    ----------
    head : float
        Animals a year. [head/year]
    rate : float
        Head rate. [head/s]
    people : Crew
        Who works.
    """
    time = formulas.working_time(head, rate)
    return Labour(
        formulas.person_time(people.paid, time),
        formulas.person_time(people.unpaid, time),
        formulas.labour_cost(time, people.paid_per_s),
        formulas.labour_cost(time, people.unpaid_per_s),
        formulas.labour_per_head(people.paid_per_s + people.unpaid_per_s, rate),
    )


def total(amounts: Iterable[float]) -> float:
    """Give the sum of yearly amounts. [money/year]"""
    return math.fsum(amounts)


def _work(brief: Brief, programme: Programme, rate: Rate) -> Work:
    today = brief.file.today
    assert today is not None
    head = yearly_head(brief, programme)
    build_crew, today_crew = crew(brief, programme.crew), crew(brief, crew_today(brief, programme))
    build: Cases[Labour] | None = None
    if rate.known:
        build = rate.cases.map(lambda head_per_s: yearly_labour(head, head_per_s, build_crew))
    return Work(
        programme.name,
        head,
        build_crew,
        today_crew,
        rate,
        today.rate_head_per_s,
        yearly_labour(head, today.rate_head_per_s, today_crew),
        build,
    )
