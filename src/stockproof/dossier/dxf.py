"""A drawing as DXF: model at full size on layers, symbols as blocks, real dimensions, and the sheet as a layout.

Every document is audited before it is given out, and carries no date or random identity, so the same drawing
gives the same bytes.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import singledispatchmethod
from typing import Any

import ezdxf
from ezdxf.document import Drawing as DxfDocument
from ezdxf.enums import TextEntityAlignment

from stockproof.dossier.style import STROKES, TEXTS, fill_colour
from stockproof.errors import InternalError
from stockproof.scene import (
    Arc,
    Circle,
    Dimension,
    Drawing,
    Entity,
    Fill,
    Insert,
    Layer,
    Leader,
    Line,
    Point,
    Polygon,
    Polyline,
    Role,
    Scene,
    Text,
    View,
    furniture,
    text_box,
)
from stockproof.scene.resolve import Placement, dimension_text, resolve

__all__ = ["drawing_dxf"]

VIEWPORT_LAYER = "SHEET-VIEWPORT"
#: Line weights a DXF file may hold, in hundredths of a millimetre: DXF reference, group code 370.
WEIGHTS = (5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211)
#: Pitch of the hatch pattern ANSI31 (and of ANSI37, its cross form) at scale 1 in metric drawings.
ANSI_PITCH_MM, HATCH_PITCH_MM = 3.175, 1.6
STYLES = {
    (False, False): ("TEXT", "Barlow-Regular.ttf"),
    (False, True): ("TEXT-BOLD", "Barlow-SemiBold.ttf"),
    (True, False): ("TEXT-CONDENSED", "BarlowCondensed-Regular.ttf"),
    (True, True): ("TEXT-CONDENSED-BOLD", "BarlowCondensed-SemiBold.ttf"),
}
_ALIGNMENTS = {
    ("left", "baseline"): TextEntityAlignment.LEFT,
    ("centre", "baseline"): TextEntityAlignment.CENTER,
    ("right", "baseline"): TextEntityAlignment.RIGHT,
    ("left", "bottom"): TextEntityAlignment.BOTTOM_LEFT,
    ("centre", "bottom"): TextEntityAlignment.BOTTOM_CENTER,
    ("right", "bottom"): TextEntityAlignment.BOTTOM_RIGHT,
    ("left", "middle"): TextEntityAlignment.MIDDLE_LEFT,
    ("centre", "middle"): TextEntityAlignment.MIDDLE_CENTER,
    ("right", "middle"): TextEntityAlignment.MIDDLE_RIGHT,
    ("left", "top"): TextEntityAlignment.TOP_LEFT,
    ("centre", "top"): TextEntityAlignment.TOP_CENTER,
    ("right", "top"): TextEntityAlignment.TOP_RIGHT,
}


def drawing_dxf(drawing: Drawing) -> str:
    """Give the text of a DXF file (release 2018) of a drawing.

    Model space holds every view's scene at full size, the first at its own coordinates, later ones to its
    right; the layout holds the sheet in mm with a viewport at each view's scale.

    Raises
    ------
    InternalError
        The audit of the finished document finds anything to complain of or to mend.
    """
    with _fixed_metadata():
        document = ezdxf.new("R2018")
        _header(document, drawing)
        _tables(document, drawing)
        layout = _sheet(document, drawing)
        for number, (view, shift) in enumerate(_side_by_side(drawing)):
            _view(document, layout, view, shift, number)
        _initial_view(document, drawing)
        _order_classes(document)
        auditor = document.audit()
        if auditor.errors or auditor.fixes:
            raise InternalError(
                f"drawing {drawing.name}: {[entry.message for entry in (*auditor.errors, *auditor.fixes)]}"
            )
        stream = io.StringIO(newline="")
        document.write(stream)
    return stream.getvalue().replace("\r\n", "\n")


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """The library stamps time and random identities into a file unless this option of its own is set."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _header(document: DxfDocument, drawing: Drawing) -> None:
    metres = bool(drawing.views) and drawing.views[0].scene.unit == "m"
    document.units = ezdxf.units.M if metres else ezdxf.units.MM
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 1.0
    document.header["$PSLTSCALE"] = 0
    document.header["$LWDISPLAY"] = 1


def _tables(document: DxfDocument, drawing: Drawing) -> None:
    document.set_wipeout_variables(frame=0)
    for name, font in STYLES.values():
        document.styles.add(name, font=font)
    for layer in (*drawing.layers, *furniture(drawing)[0]):
        if not document.layers.has_entry(layer.name):
            _layer(document, layer)
    document.layers.add(VIEWPORT_LAYER).dxf.plot = 0


def _layer(document: DxfDocument, layer: Layer) -> None:
    linetype = "Continuous"
    if layer.dash:
        linetype = f"{layer.name}-DASH"
        pattern = [part if i % 2 == 0 else -part for i, part in enumerate(layer.dash)]
        document.linetypes.add(linetype, [sum(layer.dash), *pattern], description=layer.title)
    weight = min(WEIGHTS, key=lambda w: abs(w - layer.weight_mm * 100))
    document.layers.add(layer.name, true_color=_rgb(STROKES[layer.role]), linetype=linetype, lineweight=weight)


def _rgb(colour: str) -> int:
    return int(colour[1:], 16)


def _side_by_side(drawing: Drawing) -> Iterator[tuple[View, Point]]:
    """Each view with the shift of its scene in model space that keeps it clear of the earlier ones."""
    right = -math.inf
    for view in drawing.views:
        shift = 0.0 if right == -math.inf else right + view.window.width * 0.1 - view.window.x0
        right = max(right, view.window.x1 + shift)
        yield view, (shift, 0.0)


def _sheet(document: DxfDocument, drawing: Drawing) -> Any:
    """The layout in mm with frame, title block, captions, legend."""
    sheet = drawing.sheet
    layout = document.layout("Layout1")
    document.layouts.rename("Layout1", sheet.size)
    layout.page_setup(size=(sheet.width_mm, sheet.height_mm), margins=(0, 0, 0, 0), units="mm", scale=(1, 1))
    layers, marks = furniture(drawing)
    pen = _Pen(document, layout, {layer.name: layer for layer in layers}, 1.0, (0.0, 0.0), "")
    for mark in marks:
        pen.add(mark)
    return layout


def _view(document: DxfDocument, layout: Any, view: View, shift: Point, number: int) -> None:
    layers = {layer.name: layer for layer in view.scene.layers}
    suffix = f"-{number + 1}" if number else ""
    for block in view.scene.blocks:
        inner = _Pen(document, document.blocks.new(block.name + suffix), layers, view.mm_per_unit, (0.0, 0.0), suffix)
        inner.draw(view.scene, block.entities)
    style = _dimension_style(document, view, suffix)
    pen = _Pen(document, document.modelspace(), layers, view.mm_per_unit, shift, suffix, style)
    pen.draw(view.scene, view.scene.entities)
    centre = view.window.centre
    layout.add_viewport(
        center=view.paper.centre,
        size=(view.paper.width, view.paper.height),
        view_center_point=(centre[0] + shift[0], centre[1] + shift[1]),
        view_height=view.window.height,
        dxfattribs={"layer": VIEWPORT_LAYER},
    )


def _dimension_style(document: DxfDocument, view: View, suffix: str) -> str:
    """Sizes in paper mm under one overall scale; measured lengths are written in mm or m."""
    name = f"DIM{suffix}"
    style = document.dimstyles.new(name)
    metres = view.scene.unit == "m"
    style.dxf.dimscale = 1 / view.mm_per_unit
    style.dxf.dimtxsty = STYLES[False, False][0]
    style.dxf.dimexo, style.dxf.dimexe, style.dxf.dimtsz, style.dxf.dimgap = 1.0, 1.5, 1.2, 0.7
    style.dxf.dimtad, style.dxf.dimtih, style.dxf.dimtoh = 1, 0, 0
    style.dxf.dimlfac = {("m", True): 1.0, ("m", False): 1e-3, ("mm", True): 1e3}.get((view.scene.measure, metres), 1.0)
    style.dxf.dimdec = 2 if view.scene.measure == "m" else 0
    style.dxf.dimdsep = ord(".")
    style.dxf.dimzin = 0
    return name


def _order_classes(document: DxfDocument) -> None:
    """The library registers classes from a set, in an order that changes with the hash seed."""
    document.classes.add_required_classes(document.dxfversion)
    document.classes.classes = dict(sorted(document.classes.classes.items()))


def _initial_view(document: DxfDocument, drawing: Drawing) -> None:
    """What a program shows when it opens the file: all views in model space, the whole sheet in the layout."""
    boxes = [(view.window, shift) for view, shift in _side_by_side(drawing)]
    if boxes:
        x0, x1 = min(box.x0 + shift[0] for box, shift in boxes), max(box.x1 + shift[0] for box, shift in boxes)
        y0, y1 = min(box.y0 for box, _ in boxes), max(box.y1 for box, _ in boxes)
        document.set_modelspace_vport(max(y1 - y0, (x1 - x0) / 1.6) * 1.05, ((x0 + x1) / 2, (y0 + y1) / 2))
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (x0, y0, 0), (x1, y1, 0)


@dataclass(slots=True)
class _Pen:
    """Adds entities to one space; `mm_per_unit` turns paper mm into the space's unit."""

    document: DxfDocument
    space: Any
    layers: dict[str, Layer]
    mm_per_unit: float
    shift: Point
    suffix: str
    dimension_style: str = ""

    def draw(self, scene: Scene, entities: tuple[Entity, ...]) -> None:
        for entity in entities:
            if isinstance(entity, Dimension):
                self._dimension(scene, entity)
            elif isinstance(entity, Leader) or (isinstance(entity, Insert) and self._must_expand(scene, entity)):
                for mark in resolve(scene, (entity,), Placement(self.mm_per_unit)):
                    self.add(_unscaled(mark, 1 / self.mm_per_unit))
            else:
                self.add(entity)

    def _must_expand(self, scene: Scene, insert: Insert) -> bool:
        """Lettering in a block would be scaled or mirrored with it."""
        lettered = any(isinstance(entity, Text) for entity in scene.block(insert.block).entities)
        return lettered and (insert.mirrored or insert.scale != 1.0)

    def _at(self, point: Point) -> Point:
        return point[0] + self.shift[0], point[1] + self.shift[1]

    def _look(self, entity: Entity) -> dict[str, Any]:
        look: dict[str, Any] = {"layer": entity.layer}
        if self.layers[entity.layer].dash:
            look["ltscale"] = 1 / self.mm_per_unit
        return look

    @singledispatchmethod
    def add(self, entity: Any) -> None:
        raise InternalError(f"no way to write a {type(entity).__name__}")

    @add.register
    def _(self, entity: Line) -> None:
        self.space.add_line(self._at(entity.a), self._at(entity.b), self._look(entity))

    @add.register
    def _(self, entity: Polyline) -> None:
        self.space.add_lwpolyline([self._at(p) for p in entity.points], dxfattribs=self._look(entity))

    @add.register
    def _(self, entity: Polygon) -> None:
        rings = [[self._at(p) for p in ring] for ring in (entity.points, *entity.holes)]
        if entity.fill != "none":
            hatch = self._hatch(entity.layer, entity.fill)
            for ring in rings:
                hatch.paths.add_polyline_path(ring, is_closed=True, flags=1 if ring is rings[0] else 16)
        if entity.outlined:
            for ring in rings:
                self.space.add_lwpolyline(ring, close=True, dxfattribs=self._look(entity))

    @add.register
    def _(self, entity: Circle) -> None:
        if entity.fill != "none":
            edges = self._hatch(entity.layer, entity.fill).paths.add_edge_path()
            edges.add_arc(self._at(entity.centre), entity.radius, 0, 360)
        self.space.add_circle(self._at(entity.centre), entity.radius, self._look(entity))

    @add.register
    def _(self, entity: Arc) -> None:
        start, end = math.degrees(entity.start_rad), math.degrees(entity.end_rad)
        self.space.add_arc(self._at(entity.centre), entity.radius, start, end, dxfattribs=self._look(entity))

    @add.register
    def _(self, entity: Insert) -> None:
        scale = {"xscale": -entity.scale if entity.mirrored else entity.scale, "yscale": entity.scale}
        look = {"layer": entity.layer, "rotation": math.degrees(entity.rotation_rad), "zscale": entity.scale, **scale}
        self.space.add_blockref(entity.block + self.suffix, self._at(entity.at), look)

    @add.register
    def _(self, entity: Text) -> None:
        if entity.backed:
            self._backing(entity)
        style = STYLES[entity.condensed, entity.bold][0]
        look = {
            "layer": entity.layer,
            "style": style,
            "rotation": math.degrees(entity.rotation_rad),
            "true_color": _rgb(TEXTS[self.layers[entity.layer].role]),
        }
        text = self.space.add_text(_plain(entity.text), height=entity.height_mm / self.mm_per_unit, dxfattribs=look)
        text.set_placement(self._at(entity.at), align=_ALIGNMENTS[entity.align, entity.level])

    def _backing(self, text: Text) -> None:
        k = self.mm_per_unit
        corners = text_box(_unscaled(text, k))
        self.space.add_wipeout([self._at((x / k, y / k)) for x, y in corners], {"layer": text.layer})

    def _hatch(self, layer: str, fill: Fill) -> Any:
        role: Role = self.layers[layer].role
        hatch = self.space.add_hatch(dxfattribs={"layer": layer, "true_color": _rgb(fill_colour(role, fill))})
        if fill in ("hatch", "cross"):
            scale = HATCH_PITCH_MM / ANSI_PITCH_MM / self.mm_per_unit
            hatch.set_pattern_fill("ANSI31" if fill == "hatch" else "ANSI37", scale=scale)
        hatch.dxf.true_color = _rgb(fill_colour(role, fill))
        return hatch

    def _dimension(self, scene: Scene, entity: Dimension) -> None:
        a, b = self._at(entity.a), self._at(entity.b)
        offset = entity.offset_mm / self.mm_per_unit
        words = entity.text or (dimension_text(scene, entity) if scene.measure == "ft-in" else "<>")
        look = {"layer": entity.layer}
        how: dict[str, Any] = {
            "dimstyle": self.dimension_style,
            "override": {"dimtxt": entity.height_mm, "dimclrt": 256, "dimclrd": 256, "dimclre": 256},
            "text": _plain(words) if words != "<>" else words,
            "dxfattribs": look,
        }
        if entity.along == "aligned":
            dimension = self.space.add_aligned_dim(a, b, offset, **how)
        elif entity.along == "horizontal":
            dimension = self.space.add_linear_dim((a[0], a[1] + offset), a, b, angle=0, **how)
        else:
            dimension = self.space.add_linear_dim((a[0] + offset, a[1]), a, b, angle=90, **how)
        dimension.render()
        for part in dimension.dimension.get_geometry_block() or ():
            if part.dxf.layer == "0":  # a reader that does not hand the dimension's layer down draws it black
                part.dxf.layer = entity.layer


def _unscaled(mark: Any, scale: float) -> Any:
    """A mark with its points scaled about the origin; lettering keeps its height on paper."""
    return next(resolve(_EMPTY, (mark,), Placement(scale)))


_EMPTY = Scene("mm", (), ())


def _plain(text: str) -> str:
    """Text on one line in which no code of the format (%%, ^, \\) means anything."""
    line = re.sub(r"[\x00-\x1f\x7f]+", " ", text)
    return line.replace("%%", "%\u200b%").replace("^", "^ ").replace("\\", "\u2216")
