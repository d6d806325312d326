"""Figures of the ledger side by side as bars, each with its value, which opens where it comes from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from stockproof.desk.parts import figure_words
from stockproof.dossier.display import Display
from stockproof.figures import Figure, Ledger
from stockproof.proof import Rooms

__all__ = ["Bars", "bars_html", "motion_times", "tightest"]

#: So many limits of each mob are shown.
LIMITS = 4
CONDITIONS = (("normal", "ink"), ("cold_morning", "steel"))


@dataclass(frozen=True, slots=True)
class Bars:
    """A titled group of bars: for each a label, the names of its figures, and the look of each."""

    title: str
    rows: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


def bars_html(caption: str, groups: Sequence[Bars], ledger: Ledger, display: Display, note: str = "") -> str:
    """Give bars to one common scale; nothing where there is none."""
    shown = [ledger[name] for group in groups for _, bars in group.rows for name, _ in bars]
    longest = max((abs(figure.value) for figure in shown), default=0.0)
    if longest == 0.0:
        return ""
    body = "".join(_group(group, ledger, display, longest) for group in groups)
    words = f'<p class="quiet small">{escape(note)}</p>' if note else ""
    return f'<figure class="bars"><figcaption>{escape(caption)}</figcaption>{body}{words}</figure>'


def tightest(rooms: Rooms) -> tuple[Bars, ...]:
    """Give for each mob the limits that leave least."""
    return tuple(Bars(mob.mob, tuple(_limits(mob.mob, rooms.ledger))) for mob in rooms.fit.mobs)


def motion_times(rooms: Rooms) -> tuple[Bars, ...]:
    """Give for each motion how long it takes warm and on the coldest morning."""
    motions = dict.fromkeys(row.motion for row in rooms.power.times)
    rows = []
    for motion in motions:
        names = [(f"power.time.{motion}.{condition}.cut_in", role) for condition, role in CONDITIONS]
        there = tuple((name, role) for name, role in names if name in rooms.ledger)
        if there:
            rows.append((motion.replace(".", " ").replace("_", " "), there))
    return (Bars("dark: warm; grey: coldest morning; both with the store at cut-in", tuple(rows)),) if rows else ()


def _limits(mob: str, ledger: Ledger) -> Iterator[tuple[str, tuple[tuple[str, str], ...]]]:
    """The limits that leave least; several items that leave the same at one place are one limit, advice is none."""
    left = [
        figure
        for figure in ledger
        if figure.name.startswith(f"fit.{mob}.") and figure.name.endswith(".margin") and figure.unit == "m"
        if "(advice" not in figure.label
    ]
    places: dict[str, Figure] = {}
    for figure in sorted(left, key=lambda figure: figure.value):
        places.setdefault(figure.label.partition(" (")[0], figure)
    for words, figure in list(places.items())[:LIMITS]:
        yield words[:1].upper() + words[1:], ((figure.name, "rust" if figure.value < 0 else "ink"),)


def _group(group: Bars, ledger: Ledger, display: Display, longest: float) -> str:
    rows = "".join(_row(label, bars, ledger, display, longest) for label, bars in group.rows)
    return f"<h2>{escape(group.title)}</h2>{rows}"


def _row(label: str, bars: tuple[tuple[str, str], ...], ledger: Ledger, display: Display, longest: float) -> str:
    drawn = "".join(_bar(ledger[name], role, display, longest) for name, role in bars)
    return f'<div class="barrow"><span class="label">{escape(label)}</span><div>{drawn}</div></div>'


def _bar(figure: Figure, role: str, display: Display, longest: float) -> str:
    wide = max(abs(figure.value) / longest, 0.004)
    value = escape(figure_words(figure, display))
    name = escape(figure.name)
    return (
        f'<div class="one"><i class="{role}" style="width:{wide * 100:.2f}%"></i>'
        f'<button type="button" class="figurelink" data-figure="{name}">{value}</button></div>'
    )
