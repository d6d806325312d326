"""The assumptions, ranked by how near they stand to a verdict: what nobody stated and a default supplied."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.dossier.document import Assumption, Assumptions
from stockproof.figures import Figure, Ledger
from stockproof.proof import Proof, Verdict
from stockproof.scene.pages import Paragraph, Section

__all__ = ["assumed", "rank"]

#: A margin smaller than this counts as this, so that a promise met to the letter does not drown all others.
LEAST_MARGIN = 0.01


def assumed(proof: Proof, most: int | None = None) -> Iterator[Section]:
    """Give the ranked assumptions, only the first so many if asked."""
    ranked = rank(proof.rooms.ledger, proof.verdicts)
    if not ranked:
        return
    shown = ranked[:most]
    words = (
        "Nobody stated these; each is a default with its source, and a better value from you improves the answer. "
        "They are ranked by the width of their band against the margin of the promises that rest on them."
    )
    if len(shown) < len(ranked):
        words += f" The first {len(shown)} of {len(ranked)} are shown; the engineering file holds them all."
    yield Section("Assumptions", (Paragraph(words), Assumptions(shown)))


def rank(ledger: Ledger, verdicts: tuple[Verdict, ...]) -> tuple[Assumption, ...]:
    """Rank assumptions: the band as a share of the value, over the smallest margin of a promise that rests on it."""
    bears = {verdict.number: _roots(ledger, verdict.evidence) for verdict in verdicts}
    ranked = []
    for place, figure in enumerate(ledger.assumptions()):
        on = [verdict for verdict in verdicts if figure.name in bears[verdict.number]]
        moves = ", ".join(str(verdict.number) for verdict in on)
        ranked.append((-_weight(figure, on), place, Assumption(figure, moves=moves)))
    return tuple(item for _, _, item in sorted(ranked, key=lambda entry: entry[:2]))


def _weight(figure: Figure, on: list[Verdict]) -> float:
    if not on:
        return 0.0
    margins = [abs(verdict.margin_share) for verdict in on if verdict.margin_share is not None]
    return (_band_share(figure) + LEAST_MARGIN) / max(min(margins, default=1.0), LEAST_MARGIN)


def _band_share(figure: Figure) -> float:
    if figure.band is None or figure.value == 0:
        return 0.0
    return (figure.band[1] - figure.band[0]) / abs(figure.value)


def _roots(ledger: Ledger, names: tuple[str, ...]) -> frozenset[str]:
    """Every figure that the named ones rest on, themselves included."""
    found: set[str] = set()
    open_names = [name for name in names if name in ledger]
    while open_names:
        name = open_names.pop()
        if name not in found:
            found.add(name)
            open_names += [each for each in ledger[name].inputs if each in ledger]
    return frozenset(found)
