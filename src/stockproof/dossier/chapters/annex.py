"""Every figure of the ledger with where it comes from, by the room that set it down."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from stockproof.figures import Figure, Ledger
from stockproof.scene.pages import Column, Figures, Paragraph, Section, Table

__all__ = ["every_figure"]

WORDS = (
    "Every figure the answers rest on, with how it came about: given by the brief or the catalogue, assumed where "
    "nobody stated it, derived by the formula shown, or run by a whole computation. The number in the last column "
    "names the source. What a computation ran and a table of this file prints already is not listed again; how it "
    "came about stands at the end. All of them stand in figures.json, each under its name."
)


def every_figure(ledger: Ledger, printed: frozenset[str]) -> Iterator[Section]:
    """Give the ledger as one section with a part for each room, in the order the rooms set figures down.

    Parameters
    ----------
    printed : frozenset of str
        Names of the figures that tables before this print.
    """
    yield Section("Every figure", (Paragraph(WORDS),))
    rooms: dict[str, list[str]] = {}
    again: list[Figure] = []
    for figure in ledger:
        if figure.how == "run" and figure.name in printed:
            again.append(figure)
        else:
            rooms.setdefault(_room(figure), []).append(figure.name)
    for room, names in rooms.items():
        yield Section(room.capitalize(), (Figures(tuple(names), dense=True),), level=2)
    if again:
        yield Section("Figures of the tables", (_computed(again),), level=2)


def _computed(again: list[Figure]) -> Table:
    """How the figures of the tables were computed, those of one kind together."""
    columns = (Column("Room"), Column("Figures", "right"), Column("How they came about", share=6))
    counted = Counter((_room(figure), figure.text) for figure in again)
    rows = tuple((room.capitalize(), str(count), how) for (room, how), count in counted.items())
    return Table("figures of the tables", "", columns, rows)


def _room(figure: Figure) -> str:
    return figure.name.split(".")[0]
