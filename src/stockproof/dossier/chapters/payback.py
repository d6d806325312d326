"""When the build pays: the partial budget in the form extension services use, and the judgement of the outlay."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate

from stockproof.money import FLAGS, Budget, Cases
from stockproof.money.model import Line, View
from stockproof.proof import Rooms
from stockproof.scene.pages import (
    Axis,
    Band,
    Bullets,
    Cell,
    Column,
    Curve,
    Marker,
    Paragraph,
    Part,
    Plot,
    Section,
    Table,
)

__all__ = ["payback"]

SIDES = {
    "added_return": "Added returns",
    "reduced_cost": "Reduced costs",
    "added_cost": "Added costs",
    "reduced_return": "Reduced returns",
}
NATURES = {"cash": "cash", "ownership": "ownership, not cash", "unpaid": "unpaid hours"}
CASES = (Column("Unfavourable", "right"), Column("Expected", "right"), Column("Favourable", "right"))


def payback(rooms: Rooms) -> Iterator[Section]:
    """Give the partial budget, the appraisal in cash and with unpaid hours, and what moves it."""
    budget = rooms.budget
    yield Section("When it pays", tuple(_opening(budget)))
    if budget.lines:
        yield Section("Partial budget, a year", (_lines(budget),), level=2)
    for title, view in (("In cash", budget.cash), ("With unpaid family hours", budget.with_unpaid)):
        if view is not None:
            yield Section(title, tuple(_view(view, title, budget.price.currency)), level=2)
    yield Section("How this was reckoned", (Bullets(budget.notes),), level=2)


def _opening(budget: Budget) -> Iterator[Part]:
    if budget.missing:
        yield Paragraph("An answer on payback is not shown. What is missing:")
        yield Bullets(tuple(dict.fromkeys(budget.missing)))
    if budget.left_out:
        yield Paragraph("Not shown and hence not in the reckoning, which is then a best case:")
        yield Bullets(budget.left_out)
    if budget.cash is not None:
        years = budget.cash.appraisal.map(lambda appraisal: appraisal.simple_payback_years)
        back = f"In cash the outlay is back after {_years(years.central)}"
        yield Paragraph(f"{back}; in the unfavourable case after {_years(years.low)}.")


def _years(years: float | None) -> str:
    return "no number of years: never" if years is None else f"{years:.1f} years"


def _lines(budget: Budget) -> Table:
    columns = (Column("", share=3), Column("Counted as", share=1.4), *CASES)
    rows: list[tuple[Cell, ...]] = []
    groups: list[int] = []
    for side, title in SIDES.items():
        lines = [line for line in budget.lines if line.side == side]
        if lines:
            groups.append(len(rows))
            rows.append((title, "", None, None, None))
            rows += [(line.label, NATURES[line.nature], *_amounts(line)) for line in lines]
    if budget.net is not None:
        rows.append(("Net change a year", "", *_rounded(budget.net)))
    return Table(
        "partial budget",
        "",
        columns,
        tuple(rows),
        total=budget.net is not None,
        note=f"Amounts in {budget.price.currency} a year. Amounts that are not shown are not in the sum.",
        groups=tuple(groups),
    )


def _amounts(line: Line) -> tuple[Cell, ...]:
    return ("not shown",) * 3 if line.amount is None else _rounded(line.amount)


def _rounded(cases: Cases[float]) -> tuple[int, ...]:
    return tuple(round(value) for value in cases)


def _view(view: View, title: str, currency: str) -> Iterator[Part]:
    appraisal = view.appraisal
    rows: tuple[tuple[Cell, ...], ...] = (
        ("Net change a year", *_rounded(view.net_per_year)),
        ("Net present value", *_rounded(appraisal.map(lambda a: a.npv))),
        ("The same as an equal sum every year", *_rounded(appraisal.map(lambda a: a.equivalent_annual))),
        ("Internal rate of return", *(_rates(a.irr) for a in appraisal)),
        ("Payback", *(_years_cell(a.simple_payback_years) for a in appraisal)),
        ("Payback, discounted", *(_years_cell(a.discounted_payback_years) for a in appraisal)),
    )
    name = "appraisal " + title.lower()
    yield Table(name, "", (Column("", share=3), *CASES), rows, note=f"Amounts in {currency}.")
    flags = dict.fromkeys(flag for case in appraisal for flag in case.flags)
    if flags:
        yield Bullets(tuple(FLAGS[flag] for flag in flags))
    yield _curve(view, name, title, currency)
    if view.sensitivity:
        yield _sensitivity(view, name)


def _rates(rates: tuple[float, ...]) -> str:
    return " or ".join(f"{rate * 100:.1f} %" for rate in rates) or "none"


def _years_cell(years: float | None) -> str:
    return "never" if years is None else f"{years:.1f} years"


def _curve(view: View, name: str, title: str, currency: str) -> Plot:
    """What has come back so far, year by year, with the range of the cases."""
    sums = view.appraisal.map(lambda appraisal: tuple(accumulate(appraisal.flows)))
    years = tuple(float(year) for year in range(len(sums.central)))
    return Plot(
        name.replace(" ", "-"),
        f"{title}: outlay and what came back, added up",
        Axis("Year", ""),
        Axis("Added up", currency),
        (Curve("expected", years, sums.central),),
        (Band("range", years, sums.low, sums.high),),
        (Marker("outlay is back", 0.0),),
        f"The sum crosses zero where the outlay is back; at the horizon it is {sums.central[-1]:,.0f} {currency}.",
        height_mm=56,
    )


def _sensitivity(view: View, name: str) -> Table:
    columns = (
        Column("Moved alone", share=3),
        Column("Between", share=3),
        Column("Payback", "right"),
        Column("Discounted", "right"),
    )
    rows = tuple(
        (
            item.label,
            " and ".join(item.ends),
            " to ".join(_years_cell(years) for years in item.simple_payback_years),
            " to ".join(_years_cell(years) for years in item.discounted_payback_years),
        )
        for item in view.sensitivity
    )
    return Table(f"{name} moves", "What moves the payback", columns, rows)
