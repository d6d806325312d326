"""The paper a scene is put on: size, frame, title block, and views at a true scale.

A drawing is a sheet with views; a view is a window into a scene at one scale, placed on the sheet. How
frame, title block, captions, scale bars, north arrow and legend look is said in `furniture`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stockproof.errors import InternalError
from stockproof.scene.primitives import Block, Layer, Point, Scene

__all__ = ["Box", "Drawing", "Sheet", "SheetSize", "TitleBlock", "View", "fit_scale", "fit_view"]

SheetSize = Literal["A4", "A3", "A2", "A1"]

#: Long and short side in mm: ISO 216:2007, table 1.
SIZES_MM = {"A4": (297.0, 210.0), "A3": (420.0, 297.0), "A2": (594.0, 420.0), "A1": (841.0, 594.0)}
#: Frame: 20 mm on the left, 10 mm elsewhere: ISO 5457:1999, clause 4.2.
MARGIN_LEFT_MM, MARGIN_MM = 20.0, 10.0
#: Strip along the lower edge for title block (180 mm wide as ISO 7200:2004 has it), legend and notes.
STRIP_MM = 34.0
TITLE_WIDTH_MM = 180.0
#: Room under a view for its title, scale and scale bar.
CAPTION_MM = 9.0
#: Reductions of ISO 5455:1979, table 1, with the full size for diagrams, and 1:25 and 1:250, which site plans use
#: too (common practice) and every scale rule carries.
SCALES = (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000)


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        return self.y1 - self.y0

    @property
    def centre(self) -> Point:
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def grown(self, by: float) -> Box:
        """Give the box with every side moved outward."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """The words of the title block; every one may come from a user and be of any length."""

    title: str
    subtitle: str = ""
    project: str = ""
    customer: str = ""
    firm: str = ""
    number: str = ""
    revision: str = ""
    date: str = ""
    page: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A landscape sheet with frame and title strip."""

    size: SheetSize
    title: TitleBlock
    notes: tuple[str, ...] = ()
    legend: bool = True

    @property
    def width_mm(self) -> float:
        return SIZES_MM[self.size][0]

    @property
    def height_mm(self) -> float:
        return SIZES_MM[self.size][1]

    @property
    def frame(self) -> Box:
        """The frame, in mm from the lower left corner of the paper."""
        return Box(MARGIN_LEFT_MM, MARGIN_MM, self.width_mm - MARGIN_MM, self.height_mm - MARGIN_MM)

    @property
    def room(self) -> Box:
        """What is left for views: the frame above the title strip."""
        frame = self.frame
        return Box(frame.x0, frame.y0 + STRIP_MM, frame.x1, frame.y1)


@dataclass(frozen=True, slots=True)
class View:
    """A window into a scene, placed on the sheet at a true scale.

    Parameters
    ----------
    window : Box
        The part of the scene that is shown, in the scene's unit.
    denominator : float
        100 for 1:100. A scene in paper mm is shown at 1.
    at_mm : Point
        Where the window's lower left corner lies on the paper; the caption stands below it.
    north_rad : float or None
        Direction of north in the scene, for the arrow; None draws none.
    """

    scene: Scene
    window: Box
    denominator: float
    at_mm: Point
    title: str = ""
    north_rad: float | None = None

    def __post_init__(self) -> None:
        if not (self.denominator > 0 and self.window.width > 0 and self.window.height > 0):
            raise InternalError(f"view {self.title!r} shows nothing: {self.window} at 1:{self.denominator}")

    @property
    def mm_per_unit(self) -> float:
        """Paper millimetres for one unit of the scene."""
        return (1000.0 if self.scene.unit == "m" else 1.0) / self.denominator

    @property
    def paper(self) -> Box:
        """The window's place on the paper, in mm."""
        x, y = self.at_mm
        return Box(x, y, x + self.window.width * self.mm_per_unit, y + self.window.height * self.mm_per_unit)

    def to_paper(self, point: Point) -> Point:
        """Give the place on the paper, in mm, of a point of the scene."""
        k = self.mm_per_unit
        return self.at_mm[0] + (point[0] - self.window.x0) * k, self.at_mm[1] + (point[1] - self.window.y0) * k


@dataclass(frozen=True, slots=True)
class Drawing:
    """A sheet with its views; `name` is the stem of its files and the prefix of its style classes.

    Raises
    ------
    InternalError
        Two views hold layers or blocks of one name that differ.
    """

    name: str
    sheet: Sheet
    views: tuple[View, ...] = ()

    def __post_init__(self) -> None:
        known: dict[tuple[type, str], Layer | Block] = {}
        for view in self.views:
            things: tuple[Layer | Block, ...] = (*view.scene.layers, *view.scene.blocks)
            for thing in things:
                if known.setdefault((type(thing), thing.name), thing) != thing:
                    raise InternalError(f"drawing {self.name}: two different {type(thing).__name__}s {thing.name!r}")

    @property
    def layers(self) -> tuple[Layer, ...]:
        """Every layer of the views, each once."""
        return tuple({layer.name: layer for view in self.views for layer in view.scene.layers}.values())

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Every block of the views, each once."""
        return tuple({block.name: block for view in self.views for block in view.scene.blocks}.values())


def fit_scale(window: Box, room: Box, unit: Literal["m", "mm"] = "m") -> float:
    """Give the denominator of the largest standard scale at which a window fits a room on the paper.

    Parameters
    ----------
    window : Box
        In the scene's unit.
    room : Box
        In mm on the paper.

    Raises
    ------
    InternalError
        Not even the smallest standard scale fits.

    References
    ----------
    ISO 5455:1979, Technical drawings - Scales, table 1 (from memory).
    """
    mm = 1000.0 if unit == "m" else 1.0
    needed = max(window.width * mm / room.width, window.height * mm / room.height)
    fitting = [scale for scale in SCALES if scale >= needed - 1e-9]
    if not fitting or not math.isfinite(needed):
        raise InternalError(f"{window} does not fit {room} at 1:{SCALES[-1]}")
    return float(fitting[0])


def fit_view(scene: Scene, window: Box, room: Box, title: str = "", north_rad: float | None = None) -> View:
    """Give the view of a window at the largest standard scale, centred in a room with its caption below."""
    inner = Box(room.x0, room.y0 + CAPTION_MM, room.x1, room.y1)
    denominator = fit_scale(window, inner, scene.unit)
    mm = (1000.0 if scene.unit == "m" else 1.0) / denominator
    at = (inner.centre[0] - window.width * mm / 2, inner.centre[1] - window.height * mm / 2)
    return View(scene, window, denominator, at, title, north_rad)
