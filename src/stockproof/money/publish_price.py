"""Sets the price, the masses and the fitting time of a build down in the ledger."""

from __future__ import annotations

from stockproof.figures import Figure, Source
from stockproof.money import formulas
from stockproof.money.model import Price
from stockproof.money.partial import service_works
from stockproof.money.pricing import PRICED
from stockproof.stated import Stated

__all__ = ["exchange_figure", "publish_price", "service_figure"]

#: What a line of the price table derives: attribute, unit of one, formula, its parameter, and the label.
_LINE = (
    ("price", "works_money", formulas.line_price, "unit_price", "price ex works"),
    ("mass", "kg", formulas.line_mass, "unit_mass", "mass"),
    ("fitting", "s", formulas.line_time, "unit_time", "fitting time"),
    ("service", "works_money/year", formulas.line_service, "unit_service", "yearly service"),
)


def publish_price(stated: Stated, price: Price) -> Figure:
    """Set down the price and give the figure of its total."""
    ledger, parts = stated.ledger, _lines(stated)
    ex_works = _sum(stated, "money.price.ex_works", price.ex_works, "works_money", "Items ex works", parts["price"])
    share = stated.firm("margin", price.margin_share, "1", "Margin on the price ex works")
    margin = ledger.derive("money.price.margin", "The firm's margin", formulas.margin, ex_works=ex_works, share=share)
    fitting_time = _sum(
        stated, "money.fitting_time", price.fitting_s, "s", "Fitting time for one person", parts["fitting"]
    )
    items = ledger.derive(
        "money.price.items.works",
        "The items with the firm's margin",
        formulas.items_price,
        ex_works=ex_works,
        margin=margin,
    )
    steps = {
        "items": items,
        "freight": _freight(stated, price),
        "fitting": _fitting(stated, price, fitting_time),
        "materials": _materials(stated, price),
    }
    total = ledger.derive(
        "money.price.works",
        "Price delivered and fitted, without tax, in the catalogue's currency",
        formulas.works_price,
        **steps,
    )
    for step, works in steps.items():
        ledger.derive(
            f"money.price.step.{step}",
            works.label,
            formulas.exchanged,
            amount=works,
            exchange=exchange_figure(stated, price),
        )
    _groups(stated, price, parts["price"])
    _delivery(stated, price, parts["mass"])
    exchange = exchange_figure(stated, price)
    label = "Price delivered and fitted, without tax"
    return ledger.derive("money.price.total", label, formulas.exchanged, amount=total, exchange=exchange)


def _lines(stated: Stated) -> dict[str, list[Figure]]:
    """Set down each item's lines; give the figures by attribute, in the build's order."""
    parts: dict[str, list[Figure]] = {attribute: [] for attribute, *_ in _LINE}
    build = stated.installation.brief.file.build
    for chosen in stated.installation.build:
        item = chosen.item
        values = (item.price.value, item.mass_kg, item.install_time_s, item.service_cost.value)
        fields = ("price", "mass_kg", "install_time_s", "service_cost")
        label = f"How many: {item.name}"
        count = stated.brief(build, "items", ("build",), float(chosen.count), "1", label, (item.code,))
        for (attribute, unit, function, parameter, says), field, value in zip(_LINE, fields, values, strict=True):
            one = stated.item(item, field, value, unit, f"{says} of one")
            line = stated.ledger.derive(
                f"money.item.{item.code}.{attribute}",
                f"{item.name}: {says}",
                function,
                **{"count": count, parameter: one},
            )
            parts[attribute].append(line)
    return parts


def _sum(stated: Stated, name: str, value: float, unit: str, label: str, parts: list[Figure]) -> Figure:
    return stated.ledger.run(name, value, unit, label, "sum of its inputs", tuple(parts))


def _freight(stated: Stated, price: Price) -> Figure:
    site = stated.installation.brief.file.site
    distance = stated.brief(
        site, "road_distance_m", ("site",), price.distance_m, "m", "Distance by road from the works"
    )
    rate = stated.firm("freight_rate", price.freight_rate_works_per_m, "works_money/m", "Charge for delivery")
    return stated.ledger.derive("money.price.freight", "Freight", formulas.freight, distance=distance, rate=rate)


def _fitting(stated: Stated, price: Price, time: Figure) -> Figure:
    rate = stated.firm("install_rate", price.fitting_rate_works_per_s, "works_money/s", "Charge for fitting")
    return stated.ledger.derive("money.price.fitting", "Fitting on site", formulas.fitting_charge, time=time, rate=rate)


def _materials(stated: Stated, price: Price) -> Figure:
    """Set down what the firm supplies of the yard, line by line; zero where it supplies none of it."""
    lines = []
    for line in price.materials:
        priced, amount = PRICED[line.unit]
        unit = f"works_money/{line.unit}" if line.unit else "works_money"
        rate = stated.firm(f"{line.what}_rate", line.rate_works, unit, f"Charge for {line.what} of the yard")
        inputs = {amount: stated.ledger[f"yard.material.{line.what}"], "rate" if line.unit else "unit_price": rate}
        label = f"{line.what.capitalize()} of the yard"
        lines.append(stated.ledger.derive(f"money.material.{line.what}", label, priced, **inputs))
    return _sum(stated, "money.price.materials", price.materials_works, "works_money", "Materials of the yard", lines)


def exchange_figure(stated: Stated, price: Price) -> Figure:
    """Give the exchange: the brief's own, or one where both currencies are the same."""
    market, name = stated.installation.brief.file.market, "brief.market.exchange"
    unit, label = "money/works_money", f"{price.currency} for one {price.works_currency}"
    if market.exchange is None:
        source = Source("brief and catalogue are in the same currency")
        return stated.ledger.given(name, price.exchange, unit, label, source)
    return stated.brief(market, "exchange", ("market",), price.exchange, unit, label)


def _groups(stated: Stated, price: Price, lines: list[Figure]) -> None:
    """Set down the price of each group of items, ex works."""
    for group in price.groups:
        members = [figure for line, figure in zip(price.lines, lines, strict=True) if line.group == group.name]
        key = group.name.lower().replace(",", "").replace(" ", "_")
        label = f"{group.name}, ex works without margin"
        works = _sum(stated, f"money.group.{key}.works", group.price_works, "works_money", label, members)
        stated.ledger.derive(
            f"money.group.{key}", label, formulas.exchanged, amount=works, exchange=exchange_figure(stated, price)
        )


def _delivery(stated: Stated, price: Price, masses: list[Figure]) -> None:
    ledger, delivery, site = stated.ledger, price.delivery, stated.installation.brief.file.site
    _sum(stated, "money.delivery.total_mass", delivery.total_mass_kg, "kg", "Mass of the whole delivery", masses)
    pieces = tuple(_pieces(stated))
    label = f"Heaviest single lift ({delivery.heaviest_item})"
    ledger.run(
        "money.delivery.heaviest_piece", delivery.heaviest_piece_kg, "kg", label, "largest of its inputs", pieces
    )
    stated.brief(
        site, "lifting_on_site_kg", ("site",), site.lifting_on_site_kg, "kg", "Heaviest lift of the site's own machine"
    )
    stated.brief(site, "access_load_kg", ("site",), site.access_load_kg, "kg", "Heaviest load the access takes")


def _pieces(stated: Stated) -> list[Figure]:
    """The heaviest piece of each item: its own figure where it comes apart, else the mass of one."""
    return [
        stated.item(chosen.item, "largest_piece_kg", chosen.item.largest_piece_kg, "kg", "heaviest piece")
        if chosen.item.largest_piece_kg is not None
        else stated.item(chosen.item, "mass_kg", chosen.item.mass_kg, "kg", "mass of one")
        for chosen in stated.installation.build
    ]


def service_figure(stated: Stated, price: Price) -> Figure:
    """Give the figure of a year's service of the whole build, in the brief's currency."""
    parts = [stated.ledger[f"money.item.{line.code}.service"] for line in price.lines]
    works = _sum(stated, "money.service.works", service_works(price), "works_money/year", "Yearly service", parts)
    return stated.ledger.derive(
        "money.line.service",
        "Yearly service of the build",
        formulas.exchanged_per_year,
        amount=works,
        exchange=exchange_figure(stated, price),
    )
