"""The cause-and-effect matrix drawn: causes down the side, effects across, a letter where one bears on the other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from stockproof.logic.export.cause_effect import MARKS, Mark, Thing
from stockproof.logic.export.people import Program
from stockproof.scene import Box, Drawing, Entity, Layer, Line, Polygon, Scene, Sheet, Text, TitleBlock, View, fit_text

__all__ = ["matrix_drawings"]

GRID, RULE, WORDS, QUIET, SHADE = "GRID", "RULE", "WORDS", "QUIET", "SHADE"
LAYERS = (
    Layer(GRID, "faint", 0.13),
    Layer(RULE, "ink", 0.25),
    Layer(WORDS, "ink", 0.18),
    Layer(QUIET, "steel", 0.18),
    Layer(SHADE, "faint", 0.13),
)
LETTER_MM, ROW_MM, COLUMN_MM = 1.7, 3.9, 6.2
LABEL_MM, TERMINAL_MM, HEAD_MM = 92.0, 16.0, 52.0
KINDS = {
    "control": "Controls",
    "sensor": "Sensors",
    "step": "Steps of the sequence",
    "remembered": "Remembered by the controller",
    "timer": "Timers",
}
#: What a row of the sheet is: a heading, or a cause with its marks.
Row = tuple[str, Thing | None, tuple[Mark, ...]]


def matrix_drawings(program: Program, title: TitleBlock, notes: tuple[str, ...] = ()) -> tuple[Drawing, ...]:
    """Give the matrix on as many sheets as its causes need."""
    matrix = program.matrix
    rows: list[Row] = []
    for kind, heading in KINDS.items():
        mine = [(c, m) for c, m in zip(matrix.causes, matrix.marks, strict=True) if c.kind == kind]
        rows += [(heading, None, ()), *((program.label(c.name), c, m) for c, m in mine)] if mine else []
    legend = tuple(f"{mark}  {says}." for mark, says in MARKS.items())
    sheet = Sheet("A3", replace(title, title="Cause and effect"), (*notes, *legend), legend=False)
    most = int((sheet.room.height - HEAD_MM - 4.0) / ROW_MM)
    parts = _parts(rows, most)
    drawings = []
    for number, part in enumerate(parts, 1):
        scene = Scene("mm", LAYERS, tuple(_matrix(program, part, matrix.effects)))
        window = Box(-1.0, -len(part) * ROW_MM - 1.0, _left() + len(matrix.effects) * COLUMN_MM + 1.0, HEAD_MM)
        block = replace(sheet.title, page=f"{number} of {len(parts)}")
        at = (sheet.room.x0 + max(2.0, (sheet.room.width - window.width) / 2), sheet.room.y1 - window.height - 1.0)
        name = "cause-and-effect" + (f"-{number}" if len(parts) > 1 else "")
        drawings.append(Drawing(name, replace(sheet, title=block), (View(scene, window, 1.0, at),)))
    return tuple(drawings)


def _parts(rows: Sequence[Row], most: int) -> list[list[Row]]:
    """Even shares of the rows; a share that begins within a group repeats its heading."""
    count = math.ceil(len(rows) / (most - 1))
    size = math.ceil(len(rows) / count)
    parts: list[list[Row]] = []
    heading: Row = ("", None, ())
    for k, row in enumerate(rows):
        if k % size == 0:
            parts.append([] if row[1] is None else [heading])
        parts[-1].append(row)
        heading = row if row[1] is None else heading
    return parts


def _left() -> float:
    return LABEL_MM + TERMINAL_MM


def _matrix(program: Program, rows: Sequence[Row], effects: Sequence[Thing]) -> Iterator[Entity]:
    right, low = _left() + len(effects) * COLUMN_MM, -len(rows) * ROW_MM
    for k, (_, cause, _) in enumerate(rows):
        if cause is None:
            corners = ((0.0, -(k + 1) * ROW_MM), (right, -(k + 1) * ROW_MM), (right, -k * ROW_MM), (0.0, -k * ROW_MM))
            yield Polygon(SHADE, corners, "tint", outlined=False)
    yield from _grid(len(rows), len(effects), right, low)
    for k, effect in enumerate(effects):
        x = _left() + (k + 0.5) * COLUMN_MM
        terminal = program.terminals.get(effect.name, ("",))[0]
        words, condensed = fit_text(
            f"{effect.label or program.label(effect.name)}  {terminal}".strip(), HEAD_MM - 4.0, LETTER_MM
        )
        yield Text(WORDS, (x, 1.5), words, LETTER_MM, level="middle", rotation_rad=math.pi / 2, condensed=condensed)
    for k, (label, cause, marks) in enumerate(rows):
        yield from _row(program, -(k + 0.5) * ROW_MM, label, cause, marks)


def _grid(rows: int, columns: int, right: float, low: float) -> Iterator[Entity]:
    for k in range(rows + 1):
        yield Line(RULE if k in (0, rows) else GRID, (0.0, -k * ROW_MM), (right, -k * ROW_MM))
    for k in range(columns + 1):
        x = _left() + k * COLUMN_MM
        yield Line(RULE if k in (0, columns) else GRID, (x, low), (x, HEAD_MM - 1.0))


def _row(program: Program, y: float, label: str, cause: Thing | None, marks: tuple[Mark, ...]) -> Iterator[Entity]:
    words, condensed = fit_text(label, LABEL_MM - 2.0, LETTER_MM, bold=cause is None)
    yield Text(WORDS, (1.0, y), words, LETTER_MM, level="middle", condensed=condensed, bold=cause is None)
    if cause is not None and cause.name in program.terminals:
        yield Text(QUIET, (LABEL_MM + 1.0, y), program.terminals[cause.name][0], LETTER_MM, level="middle")
    for k, mark in enumerate(marks):
        if mark:
            strong = mark in ("N", "S")
            at = (_left() + (k + 0.5) * COLUMN_MM, y)
            yield Text(WORDS if strong else QUIET, at, mark, LETTER_MM, "centre", "middle", bold=strong)
