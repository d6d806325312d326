"""A document as data: sections with their numbers written out, ready for a template; knows no room and no layout.

Everything a template gets is a plain string made harmless here: one line, no control characters, long words
with places to break. Sources are numbered once and listed at the end.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass, field
from functools import singledispatchmethod
from itertools import pairwise
from typing import Any, Literal

from stockproof.dossier.display import NOTHING, SPACE, Display, margin, percent
from stockproof.dossier.svg import drawing_svg
from stockproof.figures import FROM_MEMORY, Figure, Ledger
from stockproof.proof.model import Measure, Verdict
from stockproof.scene import Drawing, fit_text
from stockproof.scene.furniture import written_scales
from stockproof.scene.lettering import CAP_HEIGHT, POINT_MM
from stockproof.scene.pages import (
    Bullets,
    Cautions,
    Column,
    Facts,
    Figures,
    Findings,
    Paragraph,
    Part,
    Plate,
    Plot,
    Section,
    Special,
    Steps,
    Table,
)

__all__ = ["Assumption", "Assumptions", "Document", "Verdicts", "harmless", "set_out", "set_sections"]

#: A run of letters without a place to break that is longer than this gets places to break.
LONGEST_WORD = 22
BREAK = "\u200b"
#: Capitals of the 7.5 pt type of head and foot.
SMALL_CAPITALS_MM = 7.5 * POINT_MM * CAP_HEIGHT
_GAPS = re.compile(r"[ \t\r\n\u2028\u2029]+")
_LONG_WORD = re.compile(rf"\S{{{LONGEST_WORD + 1},}}")
FINDING_ORDER = ("not met", "not shown", "advice", "met")
#: A word that may not fit a narrow column whole.
_LONGISH_WORD = re.compile(r"[^\W\d_]{15,}")
#: A number and its unit stay on one line.
_NUMBER_AND_UNIT = re.compile(
    r"(?<=\d) (?=(?:mm|m|km|ft|in|kg|t|lb|bar|psi|kN|N|kW|W|V|A|Hz|L|mL|s|min|h|%|°C|°F)\b|%)"
)
#: The last short word of a longer text never stands alone on a line.
_LAST_WORDS = re.compile(r"(?<=.{40}) (?=\S{1,9}$)")
#: Control characters, and the marks that would turn the direction of text round.
_HARMFUL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufeff\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Verdicts(Special):
    """The answers to promises: short (what was asked and found) or with reasons, mend, bounds and evidence."""

    verdicts: tuple[Verdict, ...]
    detailed: bool = False


@dataclass(frozen=True, slots=True)
class Assumption:
    """An assumed figure and how much it moves the verdicts: words, and the share of a margin."""

    figure: Figure
    moves_share: float | None = None
    moves: str = ""


@dataclass(frozen=True, slots=True)
class Assumptions(Special):
    """Assumptions, the one that moves most first."""

    ranked: tuple[Assumption, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """One document of the dossier.

    Parameters
    ----------
    kind : str
        `Proposal`, `Engineering file`.
    title, farm, place, customer, firm, number : str
        What the cover says.
    note : str
        What a reader must know first, for example that the scenario is invented.
    verdicts : tuple of Verdict
        Counted on the cover.
    notice : str
        What the document is and is not, at the foot of the cover.
    paper : {'a4', 'us-letter'}
        The market's paper.
    tagged : bool
        Whether the PDF carries the structure that screen readers use; for a file of thousands of cells the tags
        outweigh the words tenfold.
    """

    kind: str
    title: str
    farm: str
    place: str
    customer: str
    firm: str
    number: str
    issue_date: datetime.date
    verdicts: tuple[Verdict, ...]
    sections: tuple[Section, ...]
    note: str = ""
    notice: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    paper: Literal["a4", "us-letter"] = "a4"
    tagged: bool = True


def set_out(document: Document, ledger: Ledger, display: Display) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Give a document as plain JSON values for the template, and its pictures by file name."""
    setter = _Setter(ledger, display)
    sections = [setter.section(section) for section in document.sections]
    counts = {state: sum(v.state == state for v in document.verdicts) for state in ("met", "not met", "not shown")}
    words = ("kind", "farm", "place", "customer", "firm", "number", "note", "notice")
    data = {
        **{word: harmless(getattr(document, word)) for word in words},
        "title": SPACE.join(harmless(document.title).rsplit(" ", 1)),
        "paper": document.paper,
        "plain_title": " ".join(harmless(document.title).replace(BREAK, "").split()),
        "running": _one_line(document.title, 110.0),
        "running_firm": _one_line(document.firm, 90.0),
        "date": f"{document.issue_date.day} {document.issue_date:%B %Y}",
        "facts": [[harmless(name), harmless(value)] for name, value in document.facts],
        "counts": counts,
        "open": [
            {"state": v.state, "promise": _sentence(v.promise)}
            for v in sorted(document.verdicts, key=lambda v: v.state)
            if v.state != "met"
        ],
        "sections": sections,
        "sources": [harmless(source) for source in setter.sources],
    }
    return data, setter.pictures


def set_sections(sections: tuple[Section, ...], ledger: Ledger, display: Display) -> list[dict[str, Any]]:
    """Give sections alone as plain JSON values, for a screen."""
    setter = _Setter(ledger, display)
    return [setter.section(section) for section in sections]


def harmless(text: str) -> str:
    """Give text on one line that a template can set: no control characters, long words breakable."""
    clean = _GAPS.sub(" ", _HARMFUL.sub(" ", text)).strip(" ")
    clean = _LAST_WORDS.sub(SPACE, _NUMBER_AND_UNIT.sub(SPACE, clean))
    return _LONG_WORD.sub(_breakable, clean)


def _sentence(text: str) -> str:
    """Harmless text that begins with a capital, as a line of its own does; codes and units keep their case."""
    clean = harmless(text)
    first = re.match(r"[a-z]+(?=[ ,;:]|$)", clean)
    return clean[0].upper() + clean[1:] if first else clean


def _one_line(text: str, width_mm: float) -> str:
    """Words for head and foot of a page, shortened to stay on one line of the smallest size."""
    return fit_text(harmless(text).replace(BREAK, ""), width_mm, SMALL_CAPITALS_MM)[0]


def _breakable(match: re.Match[str]) -> str:
    word = match[0]
    return BREAK.join(word[i : i + 8] for i in range(0, len(word), 8))


@dataclass(slots=True)
class _Setter:
    """Turns parts into JSON values and gathers pictures and sources on the way."""

    ledger: Ledger
    display: Display
    sources: dict[str, int] = field(default_factory=dict)
    pictures: dict[str, bytes] = field(default_factory=dict)

    def section(self, section: Section) -> dict[str, Any]:
        sheets = tuple(part.drawing for part in section.parts if isinstance(part, Plate))
        words = [self.part(part) for part in section.parts if not isinstance(part, Plate)]
        listed = [self.part(_list_of_sheets(sheets))] if sheets and not words else []
        parts = [*words, *listed, *(self.part(part) for part in section.parts if isinstance(part, Plate))]
        for part, after in pairwise(parts):
            part["sticky"] = part["kind"] == "paragraph" and after["kind"] != "plate"
        return {"title": harmless(section.title), "level": section.level, "parts": parts}

    @singledispatchmethod
    def part(self, part: Part) -> dict[str, Any]:
        raise TypeError(f"no way to set a {type(part).__name__}")

    @part.register
    def _(self, part: Paragraph) -> dict[str, Any]:
        return {"kind": "paragraph", "text": harmless(part.text), "quiet": part.quiet}

    @part.register
    def _(self, part: Bullets) -> dict[str, Any]:
        return {"kind": "bullets", "items": [_sentence(item) for item in part.items]}

    @part.register
    def _(self, part: Steps) -> dict[str, Any]:
        sentences = [_sentence(sentence) for sentence in part.sentences]
        return {"kind": "steps", "title": _sentence(part.title), "items": sentences}

    @part.register
    def _(self, part: Cautions) -> dict[str, Any]:
        return {"kind": "cautions", "items": [harmless(item) for item in part.items]}

    @part.register
    def _(self, part: Facts) -> dict[str, Any]:
        rows = [[harmless(name), harmless(self.display.cell(value))] for name, value in part.rows]
        return {"kind": "facts", "rows": rows}

    @part.register
    def _(self, part: Table) -> dict[str, Any]:
        columns = [self.display.column(cells) for cells in zip(*part.rows, strict=True)]
        rows = [[harmless(text) for text in row] for row in zip(*columns, strict=True)]
        return {
            "kind": "table",
            "caption": harmless(part.caption),
            "columns": [{"title": harmless(c.title), "align": c.align, "share": c.share} for c in part.columns],
            "rows": rows,
            "total": part.total,
            "groups": list(part.groups),
            "hyphenate": any(_LONGISH_WORD.search(cell) for row in rows for cell in row),
            "note": harmless(part.note),
        }

    @part.register
    def _(self, part: Figures) -> dict[str, Any]:
        rows = [self._figure(self.ledger[name]) for name in part.names]
        return {"kind": "figures", "caption": harmless(part.caption), "dense": part.dense, "rows": rows}

    @part.register
    def _(self, part: Findings) -> dict[str, Any]:
        ordered = sorted(part.items, key=lambda item: FINDING_ORDER.index(item.state))
        alike: dict[tuple[str, ...], list[str]] = {}
        for item in ordered:
            key = (item.state, item.code, item.why, item.mend, item.source)
            alike.setdefault(key, []).append(_sentence(item.what))
        rows = [
            {
                "state": state,
                "code": harmless(code),
                "what": list(dict.fromkeys(what)),
                "why": _sentence(why),
                "mend": _sentence(mend),
                "source": _sentence(source),
            }
            for (state, code, why, mend, source), what in alike.items()
        ]
        return {
            "kind": "findings",
            "rows": [row for row in rows if row["state"] != "met"],
            "met": [row for row in rows if row["state"] == "met"],
        }

    @part.register
    def _(self, part: Plot) -> dict[str, Any]:
        from stockproof.dossier.charts import plot_svg  # half a second of imports, for nothing where none is drawn

        name = f"{part.name}.svg"
        self.pictures[name] = plot_svg(part)
        return {
            "kind": "picture",
            "file": name,
            "caption": harmless(part.caption),
            "alt": harmless(part.alt or part.caption),
        }

    @part.register
    def _(self, part: Plate) -> dict[str, Any]:
        name, sheet = f"{part.drawing.name}.svg", part.drawing.sheet
        self.pictures[name] = drawing_svg(part.drawing).encode()
        caption = harmless(part.caption or sheet.title.title)
        return {"kind": "plate", "file": name, "width": sheet.width_mm, "height": sheet.height_mm, "caption": caption}

    @part.register
    def _(self, part: Verdicts) -> dict[str, Any]:
        return {"kind": "verdicts", "detailed": part.detailed, "rows": [self._verdict(v) for v in part.verdicts]}

    @part.register
    def _(self, part: Assumptions) -> dict[str, Any]:
        return {"kind": "assumptions", "rows": [self._assumption(item) for item in part.ranked]}

    def _verdict(self, verdict: Verdict) -> dict[str, Any]:
        share = verdict.margin_share
        return {
            "number": verdict.number,
            "state": verdict.state,
            **{word: _sentence(getattr(verdict, word)) for word in ("promise", "because", "mend", "bounds")},
            "measures": [self._measure(measure) for measure in verdict.measures],
            "margin": margin(verdict.worst),
            "share": max(-1.0, min(1.0, share)) if share is not None else None,
            "evidence": [harmless(name) for name in verdict.evidence],
        }

    def _measure(self, measure: Measure) -> dict[str, str]:
        limit = "at least " if measure.better == "more" else "at most "
        asked, found = self.display.asked_and_found(measure.asked, measure.found, measure.dimension, measure.unit)
        return {"label": _sentence(measure.label), "asked": harmless(limit + asked), "found": harmless(found)}

    def _figure(self, figure: Figure) -> dict[str, Any]:
        return {
            "label": _sentence(figure.label),
            "name": harmless(figure.name),
            "value": harmless(self.display.figure(figure.value, figure.unit)),
            "band": self._band(figure),
            "how": figure.how,
            "text": harmless(_formula(figure.text) if figure.how == "derived" else figure.text),
            "substituted": harmless(_formula(figure.substituted)),
            "source": self._source(figure.source),
            "seen": figure.seen,
        }

    def _assumption(self, item: Assumption) -> dict[str, Any]:
        moves = item.moves or (percent(item.moves_share) if item.moves_share is not None else NOTHING)
        return {**self._figure(item.figure), "moves": harmless(moves)}

    def _band(self, figure: Figure) -> str:
        if figure.band is None:
            return ""
        low, high = (self.display.figure(end, figure.unit) for end in figure.band)
        (low_digits, _, low_unit), (_, _, high_unit) = low.partition(SPACE), high.partition(SPACE)
        return harmless(f"{low_digits if low_unit == high_unit else low} to {high}")

    def _source(self, source: str) -> int:
        if source.startswith(FROM_MEMORY.text):
            source = source.removesuffix(str(FROM_MEMORY).removeprefix(FROM_MEMORY.text))
        return self.sources.setdefault(source, len(self.sources) + 1)


def _list_of_sheets(drawings: tuple[Drawing, ...]) -> Table:
    """What stands on the sheets that follow a heading and nothing else, so that it is not alone on its page."""
    columns = (Column("Sheet", share=1), Column("Shows", share=4), Column("Scale"), Column("Paper"))
    rows = tuple(
        (
            drawing.sheet.title.number or drawing.name,
            drawing.sheet.title.title,
            ", ".join(written_scales(drawing)),
            drawing.sheet.size,
        )
        for drawing in drawings
    )
    return Table("sheets", "", columns, rows, note="The sheets follow, each on paper of its own size at true scale.")


def _formula(text: str) -> str:
    """A formula as people write it: a times sign for the asterisk, a raised power as ^."""
    return text.replace("**", "^").replace(" * ", " \u00d7 ")
