"""The plan of each programme's round, the comparison with today, and twenty animals through the line in time."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.brief import Programme
from stockproof.dossier.chapters.cells import plain
from stockproof.flow import DayPlan, Study, stays
from stockproof.proof import Rooms
from stockproof.proof.day import CONFIDENCE, round_of
from stockproof.scene.pages import Axis, Cell, Column, Curve, Paragraph, Part, Plot, Quantity, Said, Section, Table
from stockproof.scene.primitives import Role

__all__ = ["days_in_full"]

#: Animals in the picture of the line in time.
SHOWN = 20
HOUR_S, MINUTE_S = 3600.0, 60.0


def days_in_full(rooms: Rooms) -> Iterator[Section]:
    """Give the day plans, today's case beside the build's, and the line in time for the first programme."""
    studies = rooms.flows.own_crews
    if not studies:
        return
    parts: list[Part] = [Paragraph(_words()), _plans(rooms, studies), *_trucks(rooms, studies)]
    yield Section("The day", (*parts, *_today(rooms, studies), _line_in_time(studies[0])))


def _words() -> str:
    return (
        "Clock times are of a middling round, breaks counted, each day beginning as the brief says. The days to plan "
        f"for are enough on {CONFIDENCE:.0%} of rounds."
    )


def _plan(rooms: Rooms, study: Study) -> tuple[Programme, DayPlan]:
    programme = rooms.brief.programmes[study.programme]
    return programme, round_of(programme, study)


def _plans(rooms: Rooms, studies: tuple[Study, ...]) -> Table:
    columns = (
        Column("Work", share=2),
        Column("Head", "right"),
        Column("Days", "right"),
        Column("Plan for", "right"),
        Column("Begins", "right"),
        Column("Last animal through", "right"),
        Column("Head a full day", "right"),
    )
    rows: list[tuple[Cell, ...]] = []
    for study in studies:
        programme, plan = _plan(rooms, study)
        name, head = f"flow.{programme.name}", study.result.line.mob.head
        rows.append(
            (
                programme.name,
                plain(head, f"{name}.head"),
                _days(plan, f"{name}.days"),
                plain(plan.whole_days, f"{name}.whole_days") if plan.whole_days else "not shown",
                programme.starts,
                _finish(plan, programme, f"{name}.finish"),
                _full_day(plan, head, f"{name}.head_a_day"),
            )
        )
    return Table("day plan", "One round of each programme", columns, tuple(rows))


def _days(plan: DayPlan, figure: str) -> Cell:
    if not math.isfinite(plan.days.high):
        return "not shown"
    return Said(f"{plan.days.value:.1f} ({plan.days.low:.1f} to {plan.days.high:.1f})", figure)


def _finish(plan: DayPlan, programme: Programme, figure: str) -> Cell:
    finish_s = plan.finish_s.value
    return Said(_clock(finish_s, programme), figure) if math.isfinite(finish_s) else "not shown"


def _clock(at_s: float, programme: Programme) -> str:
    """A moment of a round as people at the yards say it: the day where it is not the first, and the clock."""
    day, into_s = divmod(at_s, programme.day_s)
    hours, minutes = programme.starts.split(":")
    minute = round((int(hours) * HOUR_S + int(minutes) * MINUTE_S + into_s) / MINUTE_S)
    clock = f"{minute // 60 % 24:02d}:{minute % 60:02d}"
    return clock if day == 0 else f"day {day + 1:.0f}, {clock}"


def _full_day(plan: DayPlan, head: int, figure: str) -> Cell:
    """A mob that is through within the day says nothing of how many a full day would take."""
    return "all of them" if plan.head_a_day.low >= head else Said(f"{plan.head_a_day.value:.0f}", figure)


def _trucks(rooms: Rooms, studies: tuple[Study, ...]) -> Iterator[Table]:
    columns = (Column("Work", share=2), Column("Truck", "right"), Column("Ready at", "right"))
    rows = tuple(
        (programme.name, str(number), Said(_clock(ready, programme), f"flow.{programme.name}.truck.{number}"))
        for study in studies
        for programme, plan in [_plan(rooms, study)]
        for number, ready in enumerate(plan.trucks_s, 1)
        if math.isfinite(ready)
    )
    if rows:
        yield Table("trucks", "Truckloads", columns, rows, note="When a load stands ready, of a middling round.")


def _today(rooms: Rooms, studies: tuple[Study, ...]) -> Iterator[Table]:
    """Today's rate is one figure of the brief for all its work; the build's is each programme's own."""
    today = rooms.brief.file.today
    if today is None:
        return
    columns = (
        Column("Work", share=2),
        Column("Today", "right"),
        Column("With the build", "right"),
        Column("Times", "right"),
        Column("Person-minutes a head today", "right"),
        Column("with the build", "right"),
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            study.programme,
            Quantity(today.rate_head_per_s, "head rate", 3, figure="brief.today.rate"),
            Quantity(study.mean.value, "head rate", 3, figure=f"flow.{study.programme}.rate"),
            *(
                Said(f"{rooms.ledger[name].value / each:.2f}", name)
                for name, each in (
                    (f"flow.{study.programme}.times_today", 1.0),
                    ("flow.today.people_time", MINUTE_S),
                    (f"flow.{study.programme}.people_time", MINUTE_S),
                )
            ),
        )
        for study in studies
    )
    yield Table("today compared", f"Against today ({today.crush})", columns, rows)


def _line_in_time(study: Study) -> Plot:
    """Where each of the first animals was, minute by minute: a line that stops rising is waiting."""
    zones = study.result.names.zones
    curves = []
    for animal in range(min(SHOWN, study.result.line.mob.head)):
        points = [
            (moment / MINUTE_S, float(zones.index(stay.zone)))
            for stay in stays(study.result, 0, SHOWN)
            if stay.animal == animal and stay.zone != zones[0]
            for moment in (stay.in_s, stay.left_s)
            if math.isfinite(moment)
        ]
        if points:
            role: Role = "rust" if animal == 0 else "ink"
            x, y = zip(*sorted(points), strict=True)
            curves.append(Curve("first animal" if animal == 0 else "", x, y, role=role))
    named = ", ".join(f"{number} {zone.replace('_', ' ')}" for number, zone in enumerate(zones) if number)
    return Plot(
        "line-in-time",
        f"The first {len(curves)} animals of {study.programme} through the line, one run. Places: {named}.",
        Axis("Time", "min"),
        Axis("Place in the line"),
        tuple(curves),
        alt="One line an animal, rising from place to place; a level stretch is a wait.",
        height_mm=80.0,
    )
