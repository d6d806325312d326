"""What is offered: the items of the build, the price delivered and fitted, who supplies what, what must be lifted."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.dossier.chapters.cells import plain
from stockproof.figures import Ledger
from stockproof.money import Price
from stockproof.proof import Rooms
from stockproof.scene.pages import Column, Facts, Quantity, Section, Table

__all__ = ["build_table", "offered", "price_table"]


def offered(rooms: Rooms) -> Iterator[Section]:
    """Give build, price, scope and delivery, as a customer reads them."""
    yield Section("What is offered", (build_table(rooms),))
    yield Section("Price", (price_table(rooms.price, rooms.ledger),))
    yield Section("Who supplies what", (scope_table(rooms.price),), level=2)
    yield Section("Delivery", (_delivery(rooms.price),), level=2)


def build_table(rooms: Rooms) -> Table:
    """Give the items of the build with what each does."""
    columns = (
        Column("Item", share=2),
        Column("What it does", share=4),
        Column("Count", "right"),
        Column("Mass", "right"),
    )
    rows = tuple(
        (
            chosen.item.name,
            chosen.item.description,
            chosen.count,
            Quantity(chosen.item.mass_kg * chosen.count, "mass", figure=f"money.item.{chosen.item.code}.mass"),
        )
        for chosen in rooms.installation.build
    )
    return Table("build", "", columns, rows)


def price_table(price: Price, ledger: Ledger) -> Table:
    """Give the price delivered and fitted in the steps a customer pays for."""
    columns = (Column("", share=3), Column(f"Amount, {price.currency}", "right"))
    steps = {
        "items": "The items listed",
        "freight": f"Delivery over {price.distance_m / 1000:,.0f} km",
        "fitting": f"Fitting on site, {price.fitting_s / 3600:,.0f} hours",
    }
    if price.materials:
        steps["materials"] = "Fences, gates, concrete and cable of the yard, as listed under who supplies what"
    names = {f"money.price.step.{step}": words for step, words in steps.items()}
    names["money.price.total"] = "Delivered and fitted, without tax"
    rows = [(words, plain(round(ledger[name].value), name)) for name, words in names.items()]
    return Table("price", "", columns, tuple(rows), total=True)


def scope_table(price: Price) -> Table:
    """Give who supplies each thing and whether the price holds it."""
    columns = (
        Column("What", share=3),
        Column("By", share=1.2),
        Column("In the price", share=1),
        Column("Note", share=3),
    )
    rows = tuple(
        (row.what, row.party.replace("_", " "), "yes" if row.in_price else "no", row.note) for row in price.scope
    )
    return Table("scope", "", columns, rows)


def _delivery(price: Price) -> Facts:
    delivery = price.delivery
    rows = (
        ("Whole load", delivery.total_mass_kg, "money.delivery.total_mass"),
        ("The way in takes", delivery.access_load_kg, "brief.site.access_load"),
        (f"Heaviest lift: {delivery.heaviest_item}", delivery.heaviest_piece_kg, "money.delivery.heaviest_piece"),
        ("The site's machine lifts", delivery.lifting_on_site_kg, "brief.site.lifting_on_site"),
    )
    return Facts(tuple((words, Quantity(mass_kg, "mass", 4, figure=figure)) for words, mass_kg, figure in rows))
