"""What stands around the views: frame, title block, captions with scale bars, north arrow, legend, notes.

All of it is ordinary marks in paper mm, so every writer draws it the same way. Words that come from a user are
condensed, then shortened with an ellipsis, until they fit their field.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import accumulate

from stockproof.scene.lettering import text_width_mm
from stockproof.scene.primitives import Circle, Entity, Insert, Layer, Line, Polygon, Polyline, Scene, Symbol, Text
from stockproof.scene.resolve import Mark, Placement
from stockproof.scene.sheet import CAPTION_MM, STRIP_MM, TITLE_WIDTH_MM, Box, Drawing, Sheet, View

__all__ = ["FURNITURE_LAYERS", "fit_text", "furniture", "wrap_text", "written_scales"]

FRAME, RULE, LETTERS, QUIET = "SHEET-FRAME", "SHEET-RULE", "SHEET-TEXT", "SHEET-LABEL"
FURNITURE_LAYERS = (
    Layer(FRAME, "ink", 0.5),
    Layer(RULE, "ink", 0.18),
    Layer(LETTERS, "ink", 0.18),
    Layer(QUIET, "steel", 0.18),
)
ELLIPSIS = "…"
PAD_MM = 2.0
LEGEND_ROWS, SAMPLE_MM = 7, 10.0
NOTES_LEAST_MM, NOTE_PITCH_MM = 60.0, 3.3


def furniture(drawing: Drawing) -> tuple[tuple[Layer, ...], tuple[Mark, ...]]:
    """Give the layers and marks of everything on the sheet that is not inside a view."""
    sheet = drawing.sheet
    marks: list[Mark] = [*_frame(sheet), *_title_block(drawing)]
    for view in drawing.views:
        marks += _caption(view, sheet)
    left = Box(sheet.frame.x0, sheet.frame.y0, sheet.frame.x1 - TITLE_WIDTH_MM, sheet.frame.y0 + STRIP_MM)
    marks += _legend_and_notes(drawing, left)
    used = {mark.layer for mark in marks} - {layer.name for layer in FURNITURE_LAYERS}
    extra = {layer.name: layer for view in drawing.views for layer in view.scene.layers if layer.name in used}
    return (*FURNITURE_LAYERS, *extra.values()), tuple(marks)


def written_scales(drawing: Drawing) -> tuple[str, ...]:
    """Give the scales of a drawing's views of a site, largest first; diagrams and tables have none."""
    scales = {view.denominator for view in drawing.views if view.scene.unit == "m"}
    return tuple(f"1:{scale:g}" for scale in sorted(scales))


def fit_text(text: str, width_mm: float, height_mm: float, bold: bool = False) -> tuple[str, bool]:
    """Give one line of text that fits a width, and whether it is set condensed."""
    text = " ".join(text.split())
    if text_width_mm(text, height_mm, bold=bold) <= width_mm:
        return text, False
    if text_width_mm(text, height_mm, True, bold) <= width_mm:
        return text, True
    while text and text_width_mm(text + ELLIPSIS, height_mm, True, bold) > width_mm:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS, True


def wrap_text(text: str, width_mm: float, height_mm: float, condensed: bool = False) -> tuple[str, ...]:
    """Break text into lines that fit a width; a longer word is shortened."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, height_mm, condensed) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(fit_text(word, width_mm, height_mm)[0])
    return tuple(lines)


def _frame(sheet: Sheet) -> Iterator[Mark]:
    f = sheet.frame
    yield Polygon(FRAME, ((f.x0, f.y0), (f.x1, f.y0), (f.x1, f.y1), (f.x0, f.y1)))
    yield Line(FRAME, (f.x0, f.y0 + STRIP_MM), (f.x1, f.y0 + STRIP_MM))


def _title_block(drawing: Drawing) -> Iterator[Mark]:
    """180 mm wide; three rows: title and firm, project and customer, number to sheet."""
    sheet, words = drawing.sheet, drawing.sheet.title
    right, bottom = sheet.frame.x1, sheet.frame.y0
    left, top = right - TITLE_WIDTH_MM, bottom + STRIP_MM
    row_1, row_2 = top - 15.0, top - 24.5
    split = left + 112.0
    yield Line(FRAME, (left, bottom), (left, top))
    for y in (row_1, row_2):
        yield Line(RULE, (left, y), (right, y))
    yield Line(RULE, (split, row_2), (split, top))
    yield from _field(Box(left, row_1, split, top), "Drawing", words.title, 3.5, words.subtitle)
    yield from _field(Box(split, row_1, right, top), "Drawn for the offer of", words.firm, 2.5)
    yield from _field(Box(left, row_2, split, row_1), "Site", words.project, 2.5)
    yield from _field(Box(split, row_2, right, row_1), "Customer", words.customer, 2.5)
    scales = " / ".join(written_scales(drawing)) or "no scale"
    cells = (
        ("Number", words.number, 58.0),
        ("Revision", words.revision, 22.0),
        ("Date", words.date, 32.0),
        (f"Scale at {sheet.size}", scales, 40.0),
        ("Sheet", words.page, 28.0),
    )
    x = left
    for label, value, width in cells:
        if x > left:
            yield Line(RULE, (x, bottom), (x, row_2))
        yield from _field(Box(x, bottom, x + width, row_2), label, value, 2.5)
        x += width


def _field(box: Box, label: str, value: str, height_mm: float, second: str = "") -> Iterator[Mark]:
    width = box.width - 2 * PAD_MM
    x, y = box.x0 + PAD_MM, box.y1 - PAD_MM
    yield Text(QUIET, (x, y), label, 1.5, level="top")
    text, condensed = fit_text(value, width, height_mm, bold=True)
    baseline = y - 1.5 - PAD_MM * 0.9 - height_mm
    yield Text(LETTERS, (x, baseline), text, height_mm, condensed=condensed, bold=True)
    if second:
        text, condensed = fit_text(second, width, 2.0)
        yield Text(LETTERS, (x, baseline - 2.0 - 1.8), text, 2.0, condensed=condensed)


def _caption(view: View, sheet: Sheet) -> Iterator[Mark]:
    """Title, scale and scale bar below the window; north arrow in its upper right corner."""
    paper = view.paper
    y = paper.y0 - CAPTION_MM + 3.0
    scale = f"1:{view.denominator:g} at {sheet.size}"
    bar = _bar_length_m(view) if view.scene.unit == "m" else 0.0
    bar_mm = bar * 1000 / view.denominator
    room = max(paper.width - bar_mm - 40.0, 40.0)
    title, condensed = fit_text(view.title, room, 2.5, bold=True)
    x = paper.x0
    if title and title != ELLIPSIS:
        yield Text(LETTERS, (x, y), title, 2.5, condensed=condensed, bold=True)
        x += text_width_mm(title, 2.5, condensed, True) + 4.0
    if view.scene.unit == "m":
        yield Text(QUIET, (x, y), scale, 2.0)
        yield from _scale_bar(x + text_width_mm(scale, 2.0) + 6.0, y, bar, view.denominator)
    if view.north_rad is not None:
        yield from _north(view)


def _bar_length_m(view: View) -> float:
    """A round length of 25 to 60 mm on paper."""
    wanted_m = 0.050 * view.denominator
    power = 10.0 ** math.floor(math.log10(wanted_m))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= wanted_m * 1.2)


def _scale_bar(x: float, y: float, length_m: float, denominator: float) -> Iterator[Mark]:
    """Two lengths of a bar, the first filled, with the metres written above their ends."""
    half = length_m * 1000 / denominator / 2
    low, high = y, y + 1.2
    yield Polygon(RULE, ((x, low), (x + half, low), (x + half, high), (x, high)), "solid")
    yield Polygon(RULE, ((x + half, low), (x + 2 * half, low), (x + 2 * half, high), (x + half, high)))
    for part, words in ((0, "0"), (1, f"{length_m / 2:g}"), (2, f"{length_m:g} m")):
        yield Text(QUIET, (x + part * half, high + 0.8), words, 1.5, "centre")


def _north(view: View) -> Iterator[Mark]:
    centre = (view.paper.x1 - 8.0, view.paper.y1 - 9.0)
    assert view.north_rad is not None
    place = Placement(rotation_rad=view.north_rad - math.pi / 2, move=centre)
    yield Polygon(RULE, place.points(((0, 6), (-2.4, -4), (0, -2.4))), "solid")
    yield Polygon(RULE, place.points(((0, 6), (2.4, -4), (0, -2.4))))
    yield Text(LETTERS, place.point((0, 8.4)), "N", 2.5, "centre", "middle", bold=True)


def _legend_and_notes(drawing: Drawing, box: Box) -> Iterator[Mark]:
    """Legend in columns of seven rows, then the notes beside it."""
    x, top = box.x0 + PAD_MM + 1.0, box.y1 - PAD_MM
    entries = tuple(_entries(drawing)) if drawing.sheet.legend else ()
    if entries:
        yield Text(QUIET, (x, top), "Legend", 1.5, level="top")
    columns = [entries[i : i + LEGEND_ROWS] for i in range(0, len(entries), LEGEND_ROWS)]
    room = box.x1 - PAD_MM - x - (NOTES_LEAST_MM if drawing.sheet.notes else 0.0)
    condensed = sum(_column_width(column, False) for column in columns) > room
    for column in columns:
        for row, layer in enumerate(column):
            yield from _sample(layer, x, top - 3.6 - (row + 0.5) * 4.0, condensed)
        x += _column_width(column, condensed)
    if drawing.sheet.notes:
        yield from _notes(drawing.sheet.notes, Box(x, box.y0, box.x1 - PAD_MM, top))


def _column_width(column: tuple[Layer, ...], condensed: bool) -> float:
    return SAMPLE_MM + max(text_width_mm(layer.title, 1.8, condensed) for layer in column) + 5.0


def _entries(drawing: Drawing) -> Iterator[Layer]:
    """Layers with words for the legend that something in a view is drawn on, in the order of the scenes."""
    seen: set[str] = set()
    for view in drawing.views:
        used = _layers_used(view.scene, view.scene.entities)
        for layer in view.scene.layers:
            if layer.title and layer.name in used and layer.name not in seen:
                seen.add(layer.name)
                yield layer


def _layers_used(scene: Scene, entities: tuple[Entity, ...]) -> set[str]:
    used = {entity.layer for entity in entities}
    for name in {entity.block for entity in entities if isinstance(entity, Insert)}:
        used |= _layers_used(scene, scene.block(name).entities)
    return used


def _sample(layer: Layer, x: float, y: float, condensed: bool) -> Iterator[Mark]:
    right = x + SAMPLE_MM - 2.0
    if layer.marks:
        for i, symbol in enumerate(layer.marks):
            yield _symbol(layer, symbol, x + (i + 0.5) * (right - x) / len(layer.marks), y)
    elif layer.fill == "none":
        yield Polyline(layer.name, ((x, y), (right, y)))
    else:
        yield Polygon(layer.name, ((x, y - 1.3), (right, y - 1.3), (right, y + 1.3), (x, y + 1.3)), layer.fill)
    yield Text(LETTERS, (x + SAMPLE_MM, y), layer.title, 1.8, level="middle", condensed=condensed)


def _symbol(layer: Layer, symbol: Symbol, x: float, y: float) -> Mark:
    match symbol:
        case "triangle":
            return Polygon(layer.name, ((x - 1.1, y - 1.2), (x + 1.1, y - 1.2), (x, y + 1.4)), "solid")
        case "box":
            return Polygon(
                layer.name, ((x - 1.6, y - 1.2), (x + 1.6, y - 1.2), (x + 1.6, y + 1.2), (x - 1.6, y + 1.2)), layer.fill
            )
        case _:
            return Circle(layer.name, (x, y), 0.9, "solid" if symbol == "dot" else "paper")


def _notes(notes: tuple[str, ...], box: Box) -> Iterator[Mark]:
    """Numbered notes, condensed where there are many; those without room are counted in a last line."""
    yield Text(QUIET, (box.x0, box.y1), "Notes", 1.5, level="top")
    rows = int((box.height - 3.6 - PAD_MM) / NOTE_PITCH_MM)
    wrapped = [wrap_text(note, box.width - 5.0, 1.8) for note in notes]
    condensed = sum(len(lines) for lines in wrapped) > rows
    if condensed:
        wrapped = [wrap_text(note, box.width - 5.0, 1.8, condensed=True) for note in notes]
    shown = _that_fit(wrapped, rows)
    y = box.y1 - 3.6 - NOTE_PITCH_MM / 2
    for number, lines in enumerate(wrapped[:shown], 1):
        for row, words in enumerate(lines):
            if row == 0:
                yield Text(LETTERS, (box.x0, y), f"{number}", 1.8, level="middle", condensed=condensed)
            yield Text(LETTERS, (box.x0 + 4.0, y), words, 1.8, level="middle", condensed=condensed)
            y -= NOTE_PITCH_MM
    if shown < len(wrapped):
        left = f"and {len(wrapped) - shown} more notes, in the documents that go with this sheet"
        words, condensed = fit_text(left, box.width - 5.0, 1.8)
        yield Text(LETTERS, (box.x0 + 4.0, y), words, 1.8, level="middle", condensed=condensed)


def _that_fit(wrapped: list[tuple[str, ...]], rows: int) -> int:
    """How many whole notes fit, with a row kept for the count of the others."""
    if sum(len(lines) for lines in wrapped) <= rows:
        return len(wrapped)
    used = accumulate(len(lines) for lines in wrapped)
    return sum(1 for total in used if total <= rows - 1)
