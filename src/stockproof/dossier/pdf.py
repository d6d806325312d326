"""Typesetting: templates and data in, PDF bytes out, always the same bytes for the same input.

Data reach the templates only as JSON and pictures only as files of a virtual folder, so nothing a user wrote is
ever read as markup. Only the house fonts are offered, and a document that would need another one is refused.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

import typst

from stockproof.dossier.style import PALETTE
from stockproof.dossier.svg import drawing_svg
from stockproof.errors import InternalError
from stockproof.scene import Drawing
from stockproof.scene.lettering import font_files

__all__ = ["drawings_pdf", "render", "typeset"]


def typeset(
    template: str,
    data: Mapping[str, Any],
    pictures: Mapping[str, bytes],
    issue_date: datetime.date,
    tagged: bool = True,
) -> bytes:
    """Set a template of this package with data and pictures, and give the PDF.

    Parameters
    ----------
    template : str
        Name of a file in `dossier/typst`.
    data : mapping
        Plain JSON values, which the template reads from `data.json`.
    pictures : mapping
        SVG or PNG bytes by the name the data use.
    issue_date : date
        Becomes the document's date; the clock is never read.
    tagged : bool
        Whether the PDF carries the structure that screen readers use.

    Raises
    ------
    InternalError
        The template fails or warns, for example because of a font that is not at hand.
    """
    return bytes(render(template, data, pictures, issue_date, "pdf", tagged))


def render(
    template: str,
    data: Mapping[str, Any],
    pictures: Mapping[str, bytes],
    issue_date: datetime.date,
    form: str,
    tagged: bool = True,
) -> Any:
    """Set a template as `typeset` does, in form `pdf` (bytes) or `png` (bytes, or one entry a page)."""
    folder = files("stockproof.dossier").joinpath("typst")
    sources = {entry.name: entry.read_bytes() for entry in folder.iterdir() if entry.name.endswith(".typ")}
    house = json.dumps(PALETTE).encode()
    text = json.dumps(data, ensure_ascii=False, allow_nan=False).encode("utf-8", "replace")
    world = {**sources, **pictures, "house.json": house, "data.json": text, "main.typ": sources[template]}
    midnight = datetime.datetime.combine(issue_date, datetime.time(), datetime.UTC)
    try:
        # a mapping of file names to bytes is accepted, though the library's type hints do not say so
        document, warnings = typst.compile_with_warnings(  # type: ignore[call-overload]
            world,
            font_paths=_house_fonts(),
            timestamp=midnight,
            format=form,
            pdf_tags=tagged,
        )
    except typst.TypstError as error:
        raise InternalError(f"{template}: {error}") from error
    if warnings:
        raise InternalError(f"{template}: {'; '.join(str(warning.message) for warning in warnings)}")
    return document


@cache
def _house_fonts() -> typst.Fonts:
    """Neither the machine's fonts nor those built into the library: only the one family."""
    folders = sorted({str(path.parent) for path in font_files()})
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=folders)


def drawings_pdf(drawings: Sequence[Drawing], issue_date: datetime.date, title: str) -> bytes:
    """Give drawings as a PDF, one sheet a page, each page of its sheet's size and at true scale."""
    sheets = [
        {"file": f"{drawing.name}.svg", "width": drawing.sheet.width_mm, "height": drawing.sheet.height_mm}
        for drawing in drawings
    ]
    pictures = {f"{drawing.name}.svg": drawing_svg(drawing).encode() for drawing in drawings}
    return typeset("drawings.typ", {"title": title, "sheets": sheets}, pictures, issue_date)
