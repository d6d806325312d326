"""The words of this document beside those of the reader's market, where the two differ."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.proof import Rooms
from stockproof.scene.pages import Column, Paragraph, Section, Table

__all__ = ["words_of_the_market"]

#: What this document calls a thing, and what people in that country call it (common practice).
MARKETS = {
    "US": (
        ("crush", "chute, squeeze chute"),
        ("head bail", "headgate, head catch"),
        ("squeeze", "squeeze, sides of the chute"),
        ("race", "alley, single-file alley"),
        ("draft, draft unit", "sort, sorting gate"),
        ("way of the draft unit", "side of the sort"),
        ("forcing pen", "crowd pen, tub"),
        ("receiving pen", "holding pen"),
        ("load-out ramp", "loading chute"),
        ("mob", "lot, group"),
        ("weaner", "weaned calf"),
        ("yards", "working facility, corrals"),
    )
}


def words_of_the_market(rooms: Rooms) -> Iterator[Section]:
    """Give the glossary of the brief's market; nothing where the words are its own."""
    words = MARKETS.get(rooms.brief.file.market.country)
    if words:
        columns = (Column("Called here", share=1), Column("Also called", share=2))
        intro = Paragraph("This document calls each thing by one name throughout. In this market it has others:")
        yield Section("Words", (intro, Table("words", "", columns, words)))
