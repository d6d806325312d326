"""Every figure of the ledger with where it comes from, by the room that set it down."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.figures import Ledger
from stockproof.scene.pages import Figures, Paragraph, Section

__all__ = ["every_figure"]

WORDS = (
    "Every figure the answers rest on, with how it came about: given by the brief or the catalogue, assumed where "
    "nobody stated it, derived by the formula shown, or run by a whole computation. The number in the last column "
    "names the source; the same figures stand in figures.json."
)


def every_figure(ledger: Ledger) -> Iterator[Section]:
    """Give the ledger as one section with a part for each room, in the order the rooms set figures down."""
    yield Section("Every figure", (Paragraph(WORDS),))
    rooms: dict[str, list[str]] = {}
    for figure in ledger:
        rooms.setdefault(figure.name.split(".")[0], []).append(figure.name)
    for room, names in rooms.items():
        yield Section(room.capitalize(), (Figures(tuple(names), dense=True),), level=2)
