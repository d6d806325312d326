"""Sets the partial budget down in the ledger: labour, each line, the bottom lines."""

from __future__ import annotations

from collections.abc import Iterable

from stockproof.catalogue.items import PowerPack
from stockproof.figures import Figure
from stockproof.money import formulas, interest
from stockproof.money.labour import total
from stockproof.money.model import Budget, Cases, Energy, Line, Nature, Side
from stockproof.money.partial import SIDES, side_sum
from stockproof.money.publish_investment import ENDS, Terms, publish_view
from stockproof.money.publish_labour import LabourFigures, publish_labour
from stockproof.money.publish_price import service_figure
from stockproof.money.running import PETROL_BAND_KG_PER_M3, PETROL_KG_PER_M3, PETROL_SOURCE
from stockproof.stated import Stated

__all__ = ["publish_budget"]

_PER_YEAR = "money/year"
_SIDE_LABELS: dict[Side, str] = {
    "added_return": "added returns",
    "reduced_cost": "reduced costs",
    "added_cost": "added costs",
    "reduced_return": "reduced returns",
}


def publish_budget(stated: Stated, budget: Budget, price: Figure) -> None:
    """Set down labour, lines, bottom lines and appraisals, as far as the budget shows them."""
    labour = publish_labour(stated, budget.work) if budget.work else LabourFigures()
    if budget.investment is None:
        return
    terms = Terms.publish(stated, budget, price)
    shown = [line for line in budget.lines if line.amount is not None]
    figures = {line.key: _line(stated, budget, line, labour, terms) for line in shown}
    if budget.net is None or budget.cash is None or budget.with_unpaid is None:
        return
    _bottom_line(
        stated, shown, figures, "money", "Net of the partial budget", ("cash", "ownership", "unpaid"), budget.net
    )
    cash: tuple[Nature, ...] = ("cash",)
    for name, label, natures, view in (
        ("money.cash", "cash alone", cash, budget.cash),
        ("money.with_unpaid", "cash and unpaid hours", (*cash, "unpaid"), budget.with_unpaid),
    ):
        net = _bottom_line(stated, shown, figures, name, f"Yearly net, {label}", natures, view.net_per_year)
        publish_view(terms, name, label, view, net)


def _line(stated: Stated, budget: Budget, line: Line, labour: LabourFigures, terms: Terms) -> Figure:
    """Set down one line: the expected amount with its derivation, and its ends where they differ."""
    assert line.amount is not None
    figure = _expected(stated, budget, line, line.amount.central, labour, terms)
    if line.amount.low != line.amount.high:
        _ends(stated, figure, line.amount)
    return figure


def _expected(stated: Stated, budget: Budget, line: Line, amount: float, labour: LabourFigures, terms: Terms) -> Figure:
    match line.key:
        case "labour_paid":
            return _labour(stated, line, labour.today_paid, labour.build_paid)
        case "labour_unpaid":
            return _labour(stated, line, labour.today_unpaid, labour.build_unpaid)
        case "service":
            return service_figure(stated, budget.price)
        case "energy":
            return _energy(stated, budget.energy, line)
        case "depreciation":
            return stated.ledger.derive(
                "money.line.depreciation",
                line.label,
                interest.depreciation,
                outlay=terms.outlay,
                salvage=terms.salvage,
                life=terms.life,
            )
        case "interest":
            return stated.ledger.derive(
                "money.line.interest",
                line.label,
                interest.interest_on_average,
                outlay=terms.outlay,
                salvage=terms.salvage,
                rate=terms.discount,
            )
        case _:
            return _as_stated(stated, line, amount)


def _labour(stated: Stated, line: Line, today: list[Figure], build: list[Figure]) -> Figure:
    pay, derive = line.key.removeprefix("labour_"), stated.ledger.derive
    before = _sum(stated, f"money.labour.today.{pay}", f"Labour a year today, {pay}", today)
    after = _sum(stated, f"money.labour.build.{pay}", f"Labour a year with the build, {pay}", build)
    name = f"money.line.{line.key}"
    if line.side == "reduced_cost":
        return derive(name, line.label, formulas.saved_labour, today=before, build=after)
    return derive(name, line.label, formulas.added_labour, build=after, today=before)


def _sum(stated: Stated, name: str, label: str, parts: list[Figure]) -> Figure:
    value = total(figure.value for figure in parts)
    return stated.ledger.run(name, value, _PER_YEAR, label, "sum of its inputs", tuple(parts))


def _energy(stated: Stated, energy: Energy | None, line: Line) -> Figure:
    money, pack = stated.installation.brief.file.money, stated.installation.one(PowerPack)
    assert energy is not None
    assert money is not None
    assert pack is not None
    band = (energy.low_kwh_per_year, energy.high_kwh_per_year)
    label = "Energy the power pack takes in a year"
    taken = stated.handed(energy.figure, "money.energy", energy.kwh_per_year, "kWh/year", label, energy.source, band)
    if energy.carrier == "electricity":
        assert money.electricity is not None
        price = stated.brief(
            money, "electricity", ("money",), money.electricity.value, "money/kWh", "Price of electricity"
        )
        return stated.ledger.derive(
            "money.line.energy", line.label, formulas.electricity_cost, energy=taken, price=price
        )
    assert money.fuel is not None
    assert pack.fuel_kg_per_kwh is not None
    return stated.ledger.derive(
        "money.line.energy",
        line.label,
        formulas.fuel_cost,
        energy=taken,
        burn=stated.item(pack, "fuel_kg_per_kwh", pack.fuel_kg_per_kwh, "kg/kWh", "fuel burnt per shaft kWh"),
        density=stated.ledger.assume(
            "money.petrol_density", PETROL_KG_PER_M3, "kg/m3", "Density of petrol", PETROL_SOURCE, PETROL_BAND_KG_PER_M3
        ),
        price=stated.brief(money, "fuel", ("money",), money.fuel.value * 1000, "money/m3", "Price of petrol"),
    )


def _as_stated(stated: Stated, line: Line, amount: float) -> Figure:
    """A line that repeats what the brief says: today's upkeep, or one of the other yearly changes."""
    file = stated.installation.brief.file
    assert file.today is not None
    assert file.money is not None
    if line.key == "upkeep_today":
        given = stated.brief(file.today, "upkeep", ("today",), amount, _PER_YEAR, line.label)
    else:
        number = int(line.key.removeprefix("change[").removesuffix("]")) - 1
        change = file.money.change[number]
        given = stated.brief(change, "amount", ("money", "change", number), amount, _PER_YEAR, line.label)
    return stated.ledger.run(f"money.line.{line.key}", amount, _PER_YEAR, line.label, "as stated", (given,))


def _bottom_line(
    stated: Stated,
    shown: list[Line],
    figures: dict[str, Figure],
    name: str,
    label: str,
    natures: Iterable[Nature],
    net: Cases[float],
) -> Figure:
    """Set down the four sides and their net; give the net's figure."""
    counted = [line for line in shown if line.nature in tuple(natures)]
    sides = {}
    for side in SIDES:
        parts = tuple(figures[line.key] for line in counted if line.side == side)
        value = side_sum(counted, side, lambda amount: amount.central)
        says = f"{label}: {_SIDE_LABELS[side]}"
        sides[f"{side}s"] = stated.ledger.run(f"{name}.{side}s", value, _PER_YEAR, says, "sum of its inputs", parts)
    figure = stated.ledger.derive(f"{name}.net", label, formulas.net_benefit, **sides)
    _ends(stated, figure, net)
    return figure


def _ends(stated: Stated, expected: Figure, amount: Cases[float]) -> None:
    for end, value in (("low", amount.low), ("high", amount.high)):
        name, label = f"{expected.name}.{end}", f"{expected.label}, {end} end"
        stated.ledger.run(name, value, _PER_YEAR, label, ENDS[end], (expected,))
