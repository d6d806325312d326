"""What a document is made of, said by the room that has something to say: words, tables, figures, plots, drawings.

A room gives sections; the dossier sets them in type and the desk shows them. Numbers stay in SI here (`Quantity`)
and are turned into the reader's units where they are set.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from stockproof.errors import InternalError
from stockproof.scene.primitives import Role
from stockproof.scene.sheet import Drawing

__all__ = [
    "Axis",
    "Band",
    "Bullets",
    "Cautions",
    "Cell",
    "Column",
    "Curve",
    "Facts",
    "Figures",
    "Finding",
    "Findings",
    "Marker",
    "Paragraph",
    "Part",
    "Plate",
    "Plot",
    "Quantity",
    "Said",
    "Section",
    "Special",
    "Steps",
    "Table",
    "figures_printed",
]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in the SI unit of its dimension (a name in `units.DIMENSIONS`), shown as the reader's market has it.

    `unit` forces one of the dimension's units, for example `mm` for a bore; empty leaves the choice to the dossier.
    Without a dimension, `value` is in `unit` as it stands, in the spelling of the ledger. `figure` names the figure of
    the ledger that it prints (the value, or an end of the band), so that a reader can ask where it comes from.
    """

    value: float
    dimension: str
    digits: int = 3
    unit: str = ""
    figure: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """Words that stand for a figure of the ledger: a clock time, a gain with its sign, a range."""

    text: str
    figure: str


#: A cell is words, a plain number, a quantity, words for a figure, or nothing.
Cell = str | int | float | Quantity | Said | None


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; `quiet` sets it as a remark."""

    text: str
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Bullets:
    """Short statements, one a line."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """A numbered run of plain sentences that leads somewhere: a story, a procedure."""

    title: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """Names with their values, set as a list of two columns."""

    rows: tuple[tuple[str, Cell], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its head, on which side it is set, and its share of the width (0: as wide as needed)."""

    title: str
    align: Literal["left", "right", "centre"] = "left"
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads; `name` also names its CSV file and sheet.

    `total` sets the last row as a sum; `groups` are the numbers, from 0, of rows that head a group: only their first
    cell is set.

    Raises
    ------
    InternalError
        A row has another number of cells than there are columns.
    """

    name: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    total: bool = False
    note: str = ""
    groups: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        uneven = [row for row in self.rows if len(row) != len(self.columns)]
        if uneven:
            raise InternalError(f"table {self.name}: {len(self.columns)} columns, but a row is {uneven[0]}")


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures of the ledger, by name, with how each came about; `dense` sets many of them small."""

    names: tuple[str, ...]
    caption: str = ""
    dense: bool = False


@dataclass(frozen=True, slots=True)
class Cautions:
    """What a reader must not overlook; set apart."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """A rule that was checked and what came of it.

    Parameters
    ----------
    code : str
        Stable code of the rule.
    state : str
        `met`, `not met`, `not shown`, or `advice` for what a reader should know though no promise hangs on it.
    what, why, mend, source : str
        What was found; why it matters; what mends it; who says so.
    """

    code: str
    state: Literal["met", "not met", "not shown", "advice"]
    what: str
    why: str = ""
    mend: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Findings:
    """A list of findings: what is not met first, what is met last and short."""

    items: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis of a plot: what it measures, its unit as written, and the range if it is fixed."""

    title: str
    unit: str = ""
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Curve:
    """Points of a line (`line`), a staircase (`step`), dots or upright bars, in the axes' units; no name, no label."""

    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    form: Literal["line", "step", "dots", "bars"] = "line"
    role: Role = "ink"
    dashed: bool = False

    def __post_init__(self) -> None:
        if len(self.x) != len(self.y):
            raise InternalError(f"curve {self.name}: {len(self.x)} and {len(self.y)} numbers")


@dataclass(frozen=True, slots=True)
class Band:
    """A shaded range between two curves."""

    name: str
    x: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    role: Role = "steel"


@dataclass(frozen=True, slots=True)
class Marker:
    """A straight line across a plot at a value worth naming: a limit, a promise."""

    label: str
    value: float
    along: Literal["x", "y"] = "y"
    role: Role = "rust"


@dataclass(frozen=True, slots=True)
class Plot:
    """A plot with its curves, defined once for page and paper; `alt` says in words what it shows."""

    name: str
    caption: str
    x: Axis
    y: Axis
    curves: tuple[Curve, ...]
    bands: tuple[Band, ...] = ()
    markers: tuple[Marker, ...] = ()
    alt: str = ""
    height_mm: float = 60.0


@dataclass(frozen=True, slots=True)
class Plate:
    """A drawing, put into a document as a sheet of its own at true scale."""

    drawing: Drawing
    caption: str = ""


class Special:
    """Base of the parts that only the dossier knows, such as verdicts."""

    __slots__ = ()


Part = Special | Paragraph | Bullets | Steps | Facts | Table | Figures | Cautions | Findings | Plot | Plate


@dataclass(frozen=True, slots=True)
class Section:
    """A titled run of parts; `level` 2 stands under the last section of level 1."""

    title: str
    parts: tuple[Part, ...]
    level: Literal[1, 2] = 1


def figures_printed(sections: Iterable[Section]) -> frozenset[str]:
    """Give the names of the ledger's figures that tables and lists of these sections print."""
    cells: list[Cell] = []
    for part in (part for section in sections for part in section.parts):
        if isinstance(part, Table):
            cells += (cell for row in part.rows for cell in row)
        elif isinstance(part, Facts):
            cells += (cell for _, cell in part.rows)
    return frozenset(cell.figure for cell in cells if isinstance(cell, Quantity | Said) and cell.figure)
