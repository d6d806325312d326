"""Sections on a page: the same words, tables, plots and drawings as on paper, as HTML.

Nothing is computed here; numbers are written by the dossier's `Display`, pictures by its writers. Every word is
escaped, since much of it was written by users.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import singledispatchmethod
from html import escape

from stockproof.desk.marks import verdict_html
from stockproof.dossier.charts import plot_svg
from stockproof.dossier.display import Display
from stockproof.dossier.document import Assumptions, Verdicts
from stockproof.dossier.svg import drawing_svg, view_svg
from stockproof.figures import Figure, Ledger
from stockproof.proof.model import Verdict
from stockproof.scene.pages import (
    Bullets,
    Cautions,
    Cell,
    Column,
    Facts,
    Figures,
    Finding,
    Findings,
    Paragraph,
    Part,
    Plate,
    Plot,
    Quantity,
    Said,
    Section,
    Steps,
    Table,
)

__all__ = ["figure_button", "figure_words", "sections_html"]

#: Longer lists are folded, so that a page shows what there is before it shows all of it.
MOST_ROWS = 24
MOST_SAID = 12
ORDER = ("not met", "not shown", "advice", "met")
_ID = re.compile(r'(\bid="|url\(#|href="#)')


def sections_html(sections: Iterable[Section], ledger: Ledger, display: Display, mark: str = "") -> str:
    """Give sections as HTML, pictures in place, long lists folded.

    Parameters
    ----------
    mark : str
        Keeps the names inside pictures apart from those of other markup on the page.
    """
    setter = _Setter(ledger, display, mark)
    return "\n".join(setter.section(section) for section in sections)


def figure_button(figure: Figure, display: Display) -> str:
    """Give a figure's value as a button that opens where it comes from."""
    return _link(figure.name, figure_words(figure, display))


def _link(name: str, words: str) -> str:
    return f'<button type="button" class="figurelink" data-figure="{escape(name)}">{escape(words)}</button>'


def figure_words(figure: Figure, display: Display) -> str:
    """Give a figure's value to three digits; a share as per cent, to four so that nearly all is not all."""
    if figure.unit == "1" and "share" in figure.label:
        return display.quantity(Quantity(figure.value, "share", 4))
    return display.figure(figure.value, figure.unit, 3)


@dataclass(slots=True)
class _Setter:
    ledger: Ledger
    display: Display
    mark: str = ""
    pictures: int = 0
    folds: bool = True

    def section(self, section: Section) -> str:
        """A section open, or where it stands under another folded: its title says what lies in it."""
        if section.level == 2 and section.title:
            self.folds = False
            body = "".join(map(self.part, section.parts))
            self.folds = True
            return _fold(section.title, body)
        head = f"<h2>{escape(section.title)}</h2>" if section.title else ""
        return f"<section>{head}{''.join(map(self.part, section.parts))}</section>"

    def fold(self, words: str, markup: str) -> str:
        return _fold(words, markup) if self.folds else markup

    @singledispatchmethod
    def part(self, part: Part) -> str:
        raise TypeError(f"no way to show a {type(part).__name__}")

    @part.register
    def _(self, part: Paragraph) -> str:
        return f'<p class="quiet">{escape(part.text)}</p>' if part.quiet else f"<p>{escape(part.text)}</p>"

    @part.register
    def _(self, part: Bullets) -> str:
        return f"<ul>{''.join(f'<li>{escape(item)}</li>' for item in part.items)}</ul>"

    @part.register
    def _(self, part: Steps) -> str:
        steps = "".join(f"<li>{escape(sentence)}</li>" for sentence in part.sentences)
        return f"<p><b>{escape(part.title)}</b></p><ol>{steps}</ol>"

    @part.register
    def _(self, part: Cautions) -> str:
        return f'<ul class="cautions">{"".join(f"<li>{escape(item)}</li>" for item in part.items)}</ul>'

    @part.register
    def _(self, part: Facts) -> str:
        rows = "".join(f"<dt>{escape(name)}</dt><dd>{self.cell(value)}</dd>" for name, value in part.rows)
        return f'<dl class="facts">{rows}</dl>'

    @part.register
    def _(self, part: Table) -> str:
        heads = "".join(map(_head, part.columns))
        body = "".join(self._row(part, i) for i in range(len(part.rows)))
        caption = f"<caption>{escape(part.caption)}</caption>" if part.caption else ""
        note = f'<p class="quiet small">{escape(part.note)}</p>' if part.note else ""
        long = self.folds and len(part.rows) > MOST_ROWS
        table = f"<table>{'' if long else caption}<thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
        scroll = f'<div class="scroll" tabindex="0" role="region" aria-label="{escape(part.name)}">{table}</div>{note}'
        words = part.caption or f"All {part.columns[0].title.lower() or part.name}"
        return self.fold(f"{words}, {len(part.rows)} rows", scroll) if long else scroll

    @part.register
    def _(self, part: Figures) -> str:
        rows = "".join(
            f"<div><span>{escape(figure.label)}</span><b>{figure_button(figure, self.display)}</b></div>"
            for figure in (self.ledger[name] for name in part.names)
        )
        caption = f"<h3>{escape(part.caption)}</h3>" if part.caption else ""
        listed = f'{caption}<div class="figures">{rows}</div>'
        return self.fold(f"{len(part.names)} figures, each with where it comes from", listed)

    @part.register
    def _(self, part: Findings) -> str:
        """What needs somebody's eye is open; what is met, and much of one kind, is folded."""
        listed = []
        for state in ORDER:
            items = [_finding(item) for item in part.items if item.state == state]
            folded = state == "met" or (state != "not met" and len(items) > MOST_SAID)
            listed.append(self.fold(f"{len(items)} {state}", "".join(items)) if items and folded else "".join(items))
        return "".join(listed)

    @part.register
    def _(self, part: Plot) -> str:
        picture = self._picture(plot_svg(part).decode(), part.alt or part.caption)
        return f'<figure class="plot"><figcaption>{escape(part.caption)}</figcaption>{picture}</figure>'

    @part.register
    def _(self, part: Plate) -> str:
        caption = part.caption or part.drawing.sheet.title.title
        drawing = part.drawing
        alone = view_svg(drawing.name, drawing.views[0]) if len(drawing.views) == 1 else drawing_svg(drawing)
        picture = self._picture(alone, caption)
        return f'<figure class="plate"><figcaption>{escape(caption)}</figcaption>{picture}</figure>'

    @part.register
    def _(self, part: Verdicts) -> str:
        return "".join(self._verdict(verdict) for verdict in part.verdicts)

    @part.register
    def _(self, part: Assumptions) -> str:
        rows = "".join(
            f"<tr><td>{escape(item.figure.label)}</td><td class='right'>{figure_button(item.figure, self.display)}</td>"
            f"<td>{escape(item.figure.source)}</td><td>{escape(item.moves)}</td></tr>"
            for item in part.ranked
        )
        heads = "".join(f'<th scope="col">{head}</th>' for head in ("Assumption", "Value", "Source", "Moves promise"))
        return f'<div class="scroll"><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'

    def cell(self, cell: Cell) -> str:
        """A cell's words; where they print a figure of the ledger, as a button that opens where it comes from."""
        words = self.display.cell(cell)
        if isinstance(cell, Quantity | Said) and cell.figure in self.ledger:
            return _link(cell.figure, words)
        return escape(words)

    def _row(self, table: Table, i: int) -> str:
        kind = "group" if i in table.groups else ("total" if table.total and i == len(table.rows) - 1 else "")
        cells = "".join(
            f'<td class="{column.align}">{self.cell(cell)}</td>'
            for column, cell in zip(table.columns, table.rows[i], strict=True)
        )
        return f'<tr class="{kind}">{cells}</tr>' if kind else f"<tr>{cells}</tr>"

    def _verdict(self, verdict: Verdict) -> str:
        mend = f"<p>{escape(verdict.mend)}</p>" if verdict.mend else ""
        return (
            f'<div class="finding"><b>{verdict_html(verdict.state)}</b> {escape(verdict.promise)}'
            f'<p class="quiet">{escape(verdict.because)}</p>{mend}</div>'
        )

    def _picture(self, svg: str, alt: str) -> str:
        """An SVG in the page's own tree, so that it takes the page's fonts; its ids are made the page's own."""
        self.pictures += 1
        own = _ID.sub(rf"\g<1>{self.mark}p{self.pictures}-", svg[svg.index("<svg") :])
        named = own.replace("<svg", f'<svg role="img" aria-label="{escape(alt)}"', 1)
        return f'<div class="scroll" tabindex="0" role="region" aria-label="Picture: {escape(alt)}">{named}</div>'


def _head(column: Column) -> str:
    """The head of a column; one without a title is no head to those who hear the page."""
    if not column.title:
        return f'<td class="{column.align}"></td>'
    return f'<th class="{column.align}" scope="col">{escape(column.title)}</th>'


def _fold(words: str, markup: str) -> str:
    return f'<details class="fold"><summary>{escape(words)}</summary>{markup}</details>'


def _finding(item: Finding) -> str:
    word = item.state if item.state == "advice" else verdict_html(item.state)
    lines = [text for text in (item.why, item.mend, item.source) if text]
    more = "".join(f'<p class="quiet small">{escape(line)}</p>' for line in lines)
    return f'<div class="finding"><b>{word}</b> {escape(item.what)}{more}</div>'
