"""When the build pays: the partial budget in the form extension services use, and the judgement of the outlay."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate

from stockproof.dossier.chapters.cells import plain
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
    Facts,
    Marker,
    Paragraph,
    Part,
    Plot,
    Said,
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
#: Names of the ledger's figures in cash.
CASH = "money.cash"
CASES = (Column("Unfavourable", "right"), Column("Expected", "right"), Column("Favourable", "right"))


def payback(rooms: Rooms) -> Iterator[Section]:
    """Give the partial budget, the appraisal in cash and with unpaid hours, and what moves it."""
    budget = rooms.budget
    yield Section("When it pays", tuple(_opening(budget)))
    if budget.lines:
        yield Section("Partial budget, a year", (_lines(budget),), level=2)
    for title, name, view in (
        ("In cash", CASH, budget.cash),
        ("With unpaid family hours", "money.with_unpaid", budget.with_unpaid),
    ):
        if view is not None:
            yield Section(title, tuple(_view(view, title, name, budget.price.currency)), level=2)
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
        most = _horizon(budget.cash)
        yield Facts(
            (
                ("In cash the outlay is back", _years(years.central, f"{CASH}.payback", most, "after ")),
                ("In the unfavourable case", _years(years.low, f"{CASH}.payback.low", most, "after ")),
            )
        )


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
        rows.append(("Net change a year", "", *_rounded(budget.net, "money.net")))
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
    return ("not shown",) * 3 if line.amount is None else _rounded(line.amount, f"money.line.{line.key}")


def _ends(figure: str, cases: Cases[float]) -> tuple[str, str, str]:
    """Names of the figures of three cases; where the ends do not differ there is only the one."""
    return (figure,) * 3 if cases.low == cases.high else (f"{figure}.low", figure, f"{figure}.high")


def _rounded(cases: Cases[float], figure: str) -> tuple[Cell, ...]:
    return tuple(plain(round(value), name) for value, name in zip(cases, _ends(figure, cases), strict=True))


def _view(view: View, title: str, figures: str, currency: str) -> Iterator[Part]:
    appraisal = view.appraisal
    named = tuple(zip(appraisal, (".low", "", ".high"), strict=True))
    most = _horizon(view)
    rows: tuple[tuple[Cell, ...], ...] = (
        ("Net change a year", *_rounded(view.net_per_year, f"{figures}.net")),
        ("Net present value", *(plain(round(a.npv), f"{figures}.npv{end}") for a, end in named)),
        (
            "The same as an equal sum every year",
            *(plain(round(a.equivalent_annual), f"{figures}.equivalent_annual{end}") for a, end in named),
        ),
        ("Internal rate of return", *(_rates(a.irr, f"{figures}.irr", end) for a, end in named)),
        ("Payback", *(_years(a.simple_payback_years, f"{figures}.payback{end}", most) for a, end in named)),
        (
            "Payback, discounted",
            *(_years(a.discounted_payback_years, f"{figures}.discounted_payback{end}", most) for a, end in named),
        ),
    )
    name = "appraisal " + title.lower()
    yield Table(name, "", (Column("", share=3), *CASES), rows, note=f"Amounts in {currency}.")
    flags = dict.fromkeys(flag for case in appraisal for flag in case.flags)
    if flags:
        yield Bullets(tuple(FLAGS[flag] for flag in flags))
    yield _curve(view, name, title, currency)
    if view.sensitivity:
        yield _sensitivity(view, name, figures)


def _rates(rates: tuple[float, ...], figure: str, end: str) -> Cell:
    if not rates:
        return "none"
    first = f"{figure}[1]{end}" if len(rates) > 1 else f"{figure}{end}"
    return Said(" or ".join(f"{rate * 100:.1f} %" for rate in rates), first)


def _horizon(view: View) -> int:
    """The years looked at."""
    return len(view.appraisal.central.flows) - 1


def _years(years: float | None, figure: str, most: int, when: str = "") -> Cell:
    return f"not within {most} years" if years is None else Said(f"{when}{years:.1f} years", figure)


def _curve(view: View, name: str, title: str, currency: str) -> Plot:
    """What has come back so far, year by year, with the range of the cases; what a sale would bring is left out."""
    sums = view.appraisal.map(lambda appraisal: tuple(accumulate(appraisal.recovered)))
    years = tuple(float(year) for year in range(len(sums.central)))
    return Plot(
        name.replace(" ", "-"),
        f"{title}: outlay and what came back, added up",
        Axis("Year", ""),
        Axis("Added up", currency),
        (Curve("expected", years, sums.central),),
        (Band("range", years, sums.low, sums.high),),
        (Marker("outlay is back", 0.0),),
        "What a sale at the end would bring is left out. The sum crosses zero where the outlay is back; at the horizon "
        f"it is {sums.central[-1]:,.0f} {currency}.",
        height_mm=56,
    )


def _sensitivity(view: View, name: str, figures: str) -> Table:
    columns = (
        Column("Moved alone", share=3),
        Column("To", share=3),
        Column("Payback", "right"),
        Column("Discounted", "right"),
    )
    most = _horizon(view)
    rows = tuple(
        (
            item.label,
            end,
            _years(simple, f"{figures}.sensitivity.{item.key}[{number}].payback", most),
            _years(discounted, f"{figures}.sensitivity.{item.key}[{number}].discounted_payback", most),
        )
        for item in view.sensitivity
        for number, (end, simple, discounted) in enumerate(
            zip(item.ends, item.simple_payback_years, item.discounted_payback_years, strict=True), 1
        )
    )
    return Table(f"{name} moves", "What moves the payback", columns, rows)
