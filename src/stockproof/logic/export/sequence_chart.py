"""Sequence charts: steps, transitions and actions drawn as IEC 60848 has them, one sheet for each sequence.

A step is a numbered square (the first one doubled) with its action beside it; a transition is a short bar across the
link with its condition. Where a link would have to run across others, it ends in an arrow that names its step.

References
----------
IEC 60848:2013, *GRAFCET specification language for sequential function charts* (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stockproof.logic.export.dependence import NO, YES
from stockproof.logic.export.people import Program
from stockproof.netlist.model import Chart, InputKind
from stockproof.scene import (
    Box,
    Drawing,
    Entity,
    Layer,
    Line,
    Polygon,
    Polyline,
    Scene,
    Sheet,
    Text,
    TitleBlock,
    View,
    wrap_text,
)

__all__ = ["driven_in", "sequence_drawings"]

LINKS, STEPS, WORDS, QUIET = "LINKS", "STEPS", "WORDS", "QUIET"
LAYERS = (Layer(LINKS, "ink", 0.25), Layer(STEPS, "ink", 0.35), Layer(WORDS, "ink", 0.18), Layer(QUIET, "steel", 0.18))
LETTER_MM, PITCH_MM = 2.0, 3.8
SQUARE_MM, ACTION_MM, BRANCH_MM, COLUMN_GAP_MM = 9.0, 70.0, 62.0, 6.0
#: Clear way from a step down to its transitions, half a transition's bar, and from its words down to the next step.
DROP_MM, BAR_MM, RUN_MM = 5.0, 2.5, 7.0


@dataclass(frozen=True, slots=True)
class _Way:
    target: int
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Cell:
    """A step with what it drives and its ways out, ready to be drawn; `height` is in mm."""

    number: int
    action: tuple[str, ...]
    ways: tuple[_Way, ...]
    sources: tuple[int, ...]

    @property
    def box_mm(self) -> float:
        return max(SQUARE_MM, len(self.action) * PITCH_MM + 2.4)

    @property
    def height(self) -> float:
        lines = max((len(way.words) for way in self.ways), default=1)
        return self.box_mm + DROP_MM + lines * PITCH_MM + RUN_MM

    @property
    def width(self) -> float:
        return max(SQUARE_MM + 4.0 + ACTION_MM, len(self.ways) * BRANCH_MM)


def sequence_drawings(program: Program, title: TitleBlock, notes: tuple[str, ...] = ()) -> tuple[Drawing, ...]:
    """Give a drawing for each sequence."""
    return tuple(_drawing(program, chart, title, notes) for chart in program.netlist.charts)


def driven_in(
    program: Program, chart: Chart, step: int, fixed: dict[int, bool] | None = None
) -> list[tuple[str, bool]]:
    """Give the motions a sequence asks for in a step with no button pressed, and whether it does so come what may.

    A motion that is asked for alike in the step of rest is not the sequence's doing and is left out.

    Parameters
    ----------
    fixed : dict of int to bool
        Nodes of the netlist with a known value besides, for example switches.
    """
    diagrams, netlist = program.diagrams, program.netlist
    here = {netlist.memories[k].node: bool(step >> n & 1) for n, k in enumerate(chart.memories)}
    known = {i.node: False for i in program.fields if i.kind == InputKind.MOMENTARY}
    known |= {node: True for name, node in program.kept.items() if node == chart.enabled}
    known |= fixed or {}
    found = []
    for motion in netlist.motions:
        asked = diagrams.given(diagrams.of(motion.request), known | here)
        at_rest = diagrams.given(diagrams.of(motion.request), known | dict.fromkeys(here, False))
        if asked not in (NO, at_rest):
            found.append((motion.name, asked == YES))
    return found


def _drawing(program: Program, chart: Chart, title: TitleBlock, notes: tuple[str, ...]) -> Drawing:
    said = (
        *notes,
        "Conditions use the identifiers of the code. A step's action lists what it asks for; permits decide.",
    )
    block = TitleBlock(
        f"Sequence chart: {chart.label}",
        *(title.subtitle, title.project, title.customer, title.firm, title.number, title.revision, title.date),
    )
    sheet = Sheet("A3", block, said, legend=False)
    columns = _columns(_cells(program, chart), sheet.room.height - 12.0)
    scene = Scene("mm", LAYERS, tuple(_chart(columns)))
    window = _window(columns)
    at = (sheet.room.x0 + max(2.0, (sheet.room.width - window.width) / 2), sheet.room.y1 - window.height - 2.0)
    return Drawing(f"sequence-{chart.name.replace('_', '-')}", sheet, (View(scene, window, 1.0, at),))


def _cells(program: Program, chart: Chart) -> list[_Cell]:
    numbers = {name: k for k, (name, _, _) in enumerate(chart.steps)}
    conditions = [program.text(way.when) for way in program.book.ways[chart.name]]
    cells = []
    for k, (name, label, _) in enumerate(chart.steps):
        mine = [(t, words) for t, words in zip(chart.transitions, conditions, strict=True) if t.source == name]
        ways = tuple(_Way(numbers[t.target], tuple(_lines(words, BRANCH_MM - BAR_MM - 4.0))) for t, words in mine)
        driven = [
            program.label(m) + ("" if always else ", on a condition") for m, always in driven_in(program, chart, k)
        ]
        action = [
            *_lines(label, ACTION_MM - 3.0),
            *(line for d in driven for line in _lines(f"> {d}", ACTION_MM - 3.0)),
        ]
        sources = tuple(dict.fromkeys(numbers[t.source] for t in chart.transitions if t.target == name))
        cells.append(_Cell(k, tuple(action), ways, sources))
    return cells


def _lines(text: str, width_mm: float) -> list[str]:
    return list(wrap_text(text, width_mm, LETTER_MM))


def _columns(cells: Sequence[_Cell], room_mm: float) -> list[list[_Cell]]:
    """No more columns than the sheet's height makes needful, and those about equally long."""
    wanted = len(_filled(cells, room_mm))
    heights = [sum(cell.height for cell in cells) / wanted + k for k in range(int(room_mm))]
    return next((c for c in (_filled(cells, h) for h in heights) if len(c) <= wanted), _filled(cells, room_mm))


def _filled(cells: Sequence[_Cell], room_mm: float) -> list[list[_Cell]]:
    columns: list[list[_Cell]] = [[]]
    for cell in cells:
        if columns[-1] and sum(c.height for c in columns[-1]) + cell.height > room_mm:
            columns.append([])
        columns[-1].append(cell)
    return columns


def _window(columns: Sequence[Sequence[_Cell]]) -> Box:
    height = max(sum(cell.height for cell in column) for column in columns)
    return Box(-12.0, -height - 4.0, sum(_width(column) + COLUMN_GAP_MM for column in columns) - 12.0, 6.0)


def _width(column: Sequence[_Cell]) -> float:
    return max(cell.width for cell in column) + 12.0


def _chart(columns: Sequence[Sequence[_Cell]]) -> Iterator[Entity]:
    x = 0.0
    for column in columns:
        y = 0.0
        for k, cell in enumerate(column):
            below = column[k + 1].number if k + 1 < len(column) else None
            yield from _step(cell, x, y, k > 0)
            yield from _ways(cell, x, y - cell.box_mm, y - cell.height, below)
            y -= cell.height
        x += _width(column) + COLUMN_GAP_MM


def _step(cell: _Cell, x: float, y: float, linked: bool) -> Iterator[Entity]:
    """The numbered square, doubled for the first step, its action, and where else it is entered from."""
    low, middle = y - SQUARE_MM, x + SQUARE_MM / 2
    yield Polygon(STEPS, _rectangle(x, low, x + SQUARE_MM, y), "paper")
    if cell.number == 0:
        yield Polygon(STEPS, _rectangle(x + 0.9, low + 0.9, x + SQUARE_MM - 0.9, y - 0.9))
    yield Text(WORDS, (middle, y - SQUARE_MM / 2), str(cell.number), 2.6, "centre", "middle", bold=True)
    left = x + SQUARE_MM + 4.0
    yield Line(LINKS, (x + SQUARE_MM, y - SQUARE_MM / 2), (left, y - SQUARE_MM / 2))
    yield Polygon(STEPS, _rectangle(left, y - cell.box_mm, left + ACTION_MM, y), "paper")
    for k, line in enumerate(cell.action):
        yield Text(WORDS, (left + 1.5, y - 3.2 - k * PITCH_MM), line, LETTER_MM)
    others = [n for n in cell.sources if not (linked and n == cell.number - 1)]
    if others:
        yield Line(LINKS, (x - 4.0, y - SQUARE_MM / 2), (x, y - SQUARE_MM / 2))
        yield _head((x, y - SQUARE_MM / 2), (1.0, 0.0))
        yield Text(QUIET, (x - 4.6, y - SQUARE_MM / 2), ", ".join(map(str, others)), LETTER_MM, "right", "middle")


def _ways(cell: _Cell, x: float, low: float, end: float, below: int | None) -> Iterator[Entity]:
    """The link down, divided where there is a choice; each transition's bar and condition; on to the next step."""
    middle, fork = x + SQUARE_MM / 2, low - DROP_MM / 2
    if cell.ways:
        yield Line(LINKS, (middle, low + cell.box_mm - SQUARE_MM), (middle, fork))
    if len(cell.ways) > 1:
        yield Line(LINKS, (middle, fork), (middle + (len(cell.ways) - 1) * BRANCH_MM, fork))
    straight = next((k for k, way in enumerate(cell.ways) if way.target == below), None)
    for k, way in enumerate(cell.ways):
        at, bar = middle + k * BRANCH_MM, low - DROP_MM - 1.2
        bottom = bar - len(way.words) * PITCH_MM + 0.5
        yield Line(LINKS, (at, fork), (at, bottom))
        yield Line(STEPS, (at - BAR_MM, bar), (at + BAR_MM, bar))
        for n, line in enumerate(way.words):
            yield Text(WORDS, (at + BAR_MM + 1.2, bar - LETTER_MM / 2 - n * PITCH_MM), line, LETTER_MM)
        if k == straight:
            yield Polyline(LINKS, ((at, bottom), (at, end + 2.4), (middle, end + 2.4), (middle, end)))
        else:
            yield Line(LINKS, (at, bottom), (at, bottom - 2.6))
            yield _head((at, bottom - 2.6), (0.0, -1.0))
            yield Text(WORDS, (at + 1.8, bottom - 2.6), str(way.target), LETTER_MM, bold=True)


def _rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[tuple[float, float], ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _head(tip: tuple[float, float], way: tuple[float, float]) -> Polygon:
    """An arrow head with its tip at a point, pointing along a unit vector."""
    (x, y), (u, v), long, half = tip, way, 2.0, 0.7
    back = x - u * long, y - v * long
    return Polygon(
        LINKS, (tip, (back[0] - v * half, back[1] + u * half), (back[0] + v * half, back[1] - u * half)), "solid"
    )
