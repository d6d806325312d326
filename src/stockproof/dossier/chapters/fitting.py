"""Animals against machine and tasks against build: who fits, how near the limit, what covers each task."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from stockproof.fit import CODES, FitCheck, FitResult, MobFit
from stockproof.fit.model import GuideRow
from stockproof.proof import Rooms
from stockproof.scene.pages import Cell, Column, Finding, Findings, Paragraph, Quantity, Said, Section, Table
from stockproof.units import Units

__all__ = ["fit_in_brief", "fit_in_full"]

TOGETHER = {
    "same_person": "the same person",
    "same_place": "the same place",
    "weighing": "weighing wants the animal left alone",
    "behind_raised_head": "nobody stands behind a raised head",
    "not_covered": "one of them is not covered",
}


def fit_in_brief(rooms: Rooms) -> Iterator[Section]:
    """Give which mobs fit and which limit is the tightest."""
    columns = (
        Column("Mob", share=2),
        Column("Head", "right"),
        Column("Fit everywhere", "right"),
        Column("Asked", "right"),
        Column("Tightest limit", share=3),
        Column("Left there", "right"),
    )
    yield Section("Animals and machine", (Table("fit", "", columns, tuple(_mob(mob) for mob in rooms.fit.mobs)),))


def fit_in_full(rooms: Rooms) -> Iterator[Section]:
    """Give every limit of every mob, the guides for the race, the tasks, and the findings."""
    yield Section("Animals and machine", (Paragraph(HOW),))
    for mob in rooms.fit.mobs:
        yield Section(f"{mob.mob}, {mob.head:,} head", tuple(_mob_tables(mob)), level=2)
    yield Section("Tasks", (_tasks(rooms.fit, rooms.units), _pairs(rooms.fit)))
    if rooms.fit.findings:
        yield Section("Findings on animals and tasks", (findings(rooms),))


SIZES: tuple[Literal["size", "bound", "margin"], ...] = ("size", "bound", "margin")
HOW = (
    "Each limit is set against the body size of the mob as a distribution. The animal shown is the one the promised "
    "share turns on. A margin below zero means it does not pass. Advice that does not count toward the share that "
    "fits is marked so."
)


def _mob(mob: MobFit) -> tuple[Cell, ...]:
    tight = mob.tightest
    limit = f"{tight.label}, {tight.name}" if tight else ""
    left = _size(mob, tight, "margin") if tight else None
    share = _share(mob.share, f"fit.{mob.mob}.share")
    return (mob.mob, mob.head, share, _share(mob.required_share), limit, left)


def _share(value: float, figure: str = "") -> Quantity:
    return Quantity(value, "share", 3, figure=figure)


def _size(mob: MobFit, check: FitCheck, which: Literal["size", "bound", "margin"]) -> Quantity:
    """What the animal the promise turns on measures, where the limit lies, or what is left between them."""
    value, figure = getattr(check.limiting, which), f"fit.{mob.mob}.{check.item}.{check.code}.{which}"
    dimension, unit = ("mass", "") if check.unit == "kg" else ("length", "mm")
    return Quantity(value, dimension, 3, unit, figure)


def _mob_tables(mob: MobFit) -> Iterator[Table]:
    columns = (
        Column("Limit", share=2.6),
        Column("Item", share=2.2),
        Column("Passes", "right"),
        Column("Animal", "right"),
        Column("Limit at", "right"),
        Column("Left", "right"),
        Column("Counts"),
    )
    rows = tuple(
        (
            check.label[:1].upper() + check.label[1:],
            check.name,
            _share(check.share, f"fit.{mob.mob}.{check.item}.{check.code}.share"),
            *(_size(mob, check, which) for which in SIZES),
            "" if check.counts else "advice",
        )
        for check in mob.checks
    )
    yield Table(f"fit {mob.mob}", "", columns, rows)
    if mob.guides:
        heads = (
            Column("Race", share=2),
            Column("Guide", share=3),
            Column("Width", "right"),
            Column("Guide asks", "right"),
            Column("So it is"),
        )
        guides = tuple(
            (row.race, row.source, _mm(row.width_m, f"fit.{row.race}.width"), _range(mob, row), row.answer)
            for row in mob.guides
        )
        yield Table(f"guides {mob.mob}", "Race width against published guides", heads, guides)


def _mm(value_m: float, figure: str) -> Quantity:
    return Quantity(value_m, "length", 4, "mm", figure)


def _range(mob: MobFit, row: GuideRow) -> Cell:
    figure = f"fit.{mob.mob}.{row.race}.{row.guide}.low"
    if row.low_m == row.high_m:
        return _mm(row.low_m, figure)
    return Said(f"{row.low_m * 1000:.0f} to {row.high_m * 1000:.0f} mm", figure)


def _tasks(fit: FitResult, units: Units) -> Table:
    columns = (
        Column("Work", share=2),
        Column("Task", share=2),
        Column("Where", share=1.3),
        Column("By", share=1.6),
        Column("With", share=2.4),
        Column("Missing", share=2),
    )
    rows = tuple(
        (
            row.programme,
            row.label,
            row.place.replace("_", " "),
            ", ".join(row.people),
            ", ".join(row.items),
            "; ".join(lack.said(units) for lack in row.lacks),
        )
        for row in fit.tasks
    )
    return Table("tasks", "What covers each task", columns, rows)


def _pairs(fit: FitResult) -> Table:
    columns = (
        Column("Work", share=2),
        Column("Tasks", share=3),
        Column("At the same time"),
        Column("Because of", share=2),
    )
    rows = tuple(
        (
            pair.programme,
            f"{pair.first.replace('_', ' ')}, {pair.second.replace('_', ' ')}",
            "yes" if pair.together else "no",
            TOGETHER.get(pair.because, pair.because),
        )
        for pair in fit.pairs
    )
    return Table("task pairs", "Which tasks may go on together", columns, rows)


def findings(rooms: Rooms) -> Findings:
    """Give the room's findings, each with why it matters."""
    return Findings(
        tuple(
            Finding(
                item.code.replace("_", " "),
                "not met" if item.stops else "advice",
                f"{item.about}: {item.said(rooms.units)}",
                CODES[item.code].why,
                item.mend,
                item.source,
            )
            for item in rooms.fit.findings
        )
    )
