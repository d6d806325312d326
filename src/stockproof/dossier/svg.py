"""A drawing as SVG: true scale in millimetres, style classes by layer, symbols stored once.

The text stays text in the house family, so that a page can select it and a document can embed the font.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby

from stockproof.dossier.style import PAPER, STROKES, TEXTS, fill_colour
from stockproof.scene import (
    Arc,
    Block,
    Circle,
    Drawing,
    Fill,
    Insert,
    Layer,
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
from stockproof.scene.legibility import LEVEL_SHIFT
from stockproof.scene.lettering import CONDENSED_FAMILY, FAMILY, font_size_mm
from stockproof.scene.resolve import Mark, Placement, resolve, view_marks

__all__ = ["drawing_svg", "escape", "view_svg"]

HATCH_PITCH_MM = 1.6
HATCH_WEIGHT_MM = 0.15
BACKING_MM = 0.5

#: Characters XML 1.0 does not allow (production 2 of the recommendation, fifth edition).
_ILLEGAL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def drawing_svg(drawing: Drawing) -> str:
    """Give a whole sheet with its frame, title block and views."""
    sheet = drawing.sheet
    layers, around = furniture(drawing)
    pen = _Pen(drawing.name, {layer.name: layer for layer in (*drawing.layers, *layers)}, sheet.height_mm)
    body = [part for view in drawing.views for part in pen.view(view)]
    body += pen.marks(around)
    return _document(pen, sheet.width_mm, sheet.height_mm, sheet.title.title, body)


def view_svg(name: str, view: View) -> str:
    """Give one view alone, without frame or title block, for a page: its window fills the picture."""
    bare = View(view.scene, view.window, view.denominator, (0.0, 0.0), view.title, view.north_rad)
    pen = _Pen(name, {layer.name: layer for layer in view.scene.layers}, bare.paper.height)
    return _document(pen, bare.paper.width, bare.paper.height, view.title, list(pen.view(bare)))


def escape(text: str) -> str:
    """Give text as XML character data, without characters XML does not allow."""
    clean = _ILLEGAL.sub("\ufffd", text)
    return clean.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


@dataclass(slots=True)
class _Pen:
    """Turns marks into elements and remembers which styles, patterns and symbols they need."""

    name: str
    layers: dict[str, Layer]
    height_mm: float
    styles: dict[str, str] = field(default_factory=dict)
    defs: dict[str, str] = field(default_factory=dict)

    def view(self, view: View) -> Iterator[str]:
        """The view's marks, clipped to its window, with often used symbols stored once."""
        box, clip = view.paper, f"{self.name}-clip-{len(self.defs)}"
        top = self.height_mm - box.y1
        self.defs[clip] = f'<clipPath id="{clip}"><path d="{_rect(box.x0, top, box.width, box.height)}"/></clipPath>'
        yield f'<g clip-path="url(#{clip})">'
        yield from self.marks(view_marks(view, _often(view.scene)), view.scene)
        yield "</g>"

    def marks(self, marks: Iterable[Mark], scene: Scene | None = None) -> Iterator[str]:
        """Elements, grouped by runs of one layer."""
        for layer, run in groupby(marks, key=lambda mark: mark.layer):
            yield f'<g class="{self._layer_class(self.layers[layer])}">'
            for mark in run:
                yield self._element(mark, self.layers[layer].role, scene)
            yield "</g>"

    def _layer_class(self, layer: Layer) -> str:
        name = f"{self.name}-{layer.name.lower()}"
        dash = f";stroke-dasharray:{' '.join(_n(part) for part in layer.dash)}" if layer.dash else ""
        self.styles[name] = f"fill:none;stroke:{STROKES[layer.role]};stroke-width:{_n(layer.weight_mm)}{dash}"
        return name

    def _element(self, mark: Mark, role: Role, scene: Scene | None) -> str:
        tag = f' data-part="{escape(mark.tag)}"' if mark.tag else ""
        if isinstance(mark, Text):
            return self._text(mark, role, tag)
        if isinstance(mark, Circle):
            x, y = self._xy(mark.centre)
            return f'<circle cx="{x}" cy="{y}" r="{_n(mark.radius)}"{self._fill(role, mark.fill)}{tag}/>'
        if isinstance(mark, Insert):
            assert scene is not None
            return self._use(mark, scene, tag)
        look = self._fill(role, mark.fill, mark.outlined) if isinstance(mark, Polygon) else ""
        return f'<path d="{self._path(mark)}"{look}{tag}/>'

    def _path(self, mark: Line | Polyline | Polygon | Arc) -> str:
        if isinstance(mark, Line):
            return self._run((mark.a, mark.b))
        if isinstance(mark, Polyline):
            return self._run(mark.points)
        if isinstance(mark, Arc):
            return self._arc(mark)
        return "".join(self._run(ring) + "Z" for ring in (mark.points, *mark.holes))

    def _run(self, points: Iterable[Point]) -> str:
        written = [" ".join(self._xy(point)) for point in points]
        kept = [p for i, p in enumerate(written) if i == 0 or p != written[i - 1]] or written
        return f"M{kept[0]}" + (f"L{' '.join(kept[1:])}" if len(kept) > 1 else "h0")

    def _arc(self, arc: Arc) -> str:
        """Anticlockwise seen with y up is sweep flag 0 with y down; two halves draw any sweep safely."""
        sweep = (arc.end_rad - arc.start_rad) % (2 * math.pi) or 2 * math.pi
        ends = [
            (arc.centre[0] + arc.radius * math.cos(angle), arc.centre[1] + arc.radius * math.sin(angle))
            for angle in (arc.start_rad, arc.start_rad + sweep / 2, arc.start_rad + sweep)
        ]
        start, middle, end = (" ".join(self._xy(point)) for point in ends)
        radius = _n(arc.radius)
        return f"M{start}A{radius} {radius} 0 0 0 {middle}A{radius} {radius} 0 0 0 {end}"

    def _fill(self, role: Role, fill: Fill, outlined: bool = True) -> str:
        classes = []
        if fill in ("hatch", "cross"):
            classes.append(self._hatch(role, fill))
        elif fill != "none":
            name = f"sp-{fill}-{role}"
            self.styles[name] = f"fill:{fill_colour(role, fill)};fill-rule:evenodd"
            classes.append(name)
        if not outlined:
            self.styles["sp-bare"] = "stroke:none"
            classes.append("sp-bare")
        return f' class="{" ".join(classes)}"' if classes else ""

    def _hatch(self, role: Role, fill: Fill) -> str:
        name, pitch = f"{self.name}-{fill}-{role}", _n(HATCH_PITCH_MM)
        strokes = f"M0 0V{pitch}" + (f"M0 0H{pitch}" if fill == "cross" else "")
        self.defs[name] = (
            f'<pattern id="{name}" width="{pitch}" height="{pitch}" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(45)"><path d="{strokes}" stroke="{STROKES[role]}" '
            f'stroke-width="{_n(HATCH_WEIGHT_MM * 2)}"/></pattern>'
        )
        self.styles[f"{name}-fill"] = f"fill:url(#{name});fill-rule:evenodd"
        return f"{name}-fill"

    def _text(self, text: Text, role: Role, tag: str) -> str:
        self.styles["sp-t"] = f"stroke:none;font-family:{FAMILY},sans-serif"
        self.styles[f"sp-w-{role}"] = f"fill:{TEXTS[role]}"
        classes = f"sp-t sp-w-{role}" + (" sp-c" if text.condensed else "") + (" sp-b" if text.bold else "")
        if text.condensed:
            self.styles["sp-c"] = f"font-family:'{CONDENSED_FAMILY}',{FAMILY},sans-serif;font-stretch:condensed"
        if text.bold:
            self.styles["sp-b"] = "font-weight:600"
        anchor = {"left": "", "centre": ' text-anchor="middle"', "right": ' text-anchor="end"'}[text.align]
        c, s, low = math.cos(text.rotation_rad), math.sin(text.rotation_rad), text.height_mm * LEVEL_SHIFT[text.level]
        x, y = self._xy((text.at[0] - s * low, text.at[1] + c * low))
        turn = _n(-math.degrees(text.rotation_rad))
        rotate = "" if turn == "0" else f' transform="rotate({turn} {x} {y})"'
        size = _n(font_size_mm(text.height_mm))
        where = f'x="{x}" y="{y}" font-size="{size}"{anchor}{rotate}{tag}'
        behind = self._backing(text) if text.backed else ""
        return f'{behind}<text class="{classes}" {where}>{escape(text.text)}</text>'

    def _backing(self, text: Text) -> str:
        self.styles["sp-bare"] = "stroke:none"
        self.styles["sp-paper"] = f"fill:{PAPER}"
        corners = _grown(text_box(text), text.rotation_rad, BACKING_MM)
        return f'<path class="sp-bare sp-paper" d="{self._run(corners)}Z"/>'

    def _use(self, insert: Insert, scene: Scene, tag: str) -> str:
        key = f"{self.name}-{insert.block.lower()}-{_n(insert.scale)}{'m' if insert.mirrored else ''}"
        if key not in self.defs:
            inner = _Pen(self.name, self.layers, 0.0, self.styles, self.defs)
            placement = Placement(insert.scale, mirrored=insert.mirrored)
            marks = resolve(scene, scene.block(insert.block).entities, placement)
            self.defs[key] = f'<g id="{key}">{"".join(inner.marks(marks, scene))}</g>'
        x, y = self._xy(insert.at)
        turn = _n(-math.degrees(insert.rotation_rad) % 360)
        rotate = "" if turn == "0" else f" rotate({turn})"
        return f'<use href="#{key}" transform="translate({x} {y}){rotate}"{tag}/>'

    def _xy(self, point: Point) -> tuple[str, str]:
        return _n(point[0]), _n(self.height_mm - point[1])


def _document(pen: _Pen, width_mm: float, height_mm: float, title: str, body: list[str]) -> str:
    width, height = _n(width_mm), _n(height_mm)
    style = "\n".join(f".{name}{{{text}}}" for name, text in pen.styles.items())
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}" stroke-linecap="round" stroke-linejoin="round">',
            f"<title>{escape(title)}</title>",
            f"<style>{style}</style>",
            f"<defs>{''.join(pen.defs.values())}</defs>",
            f'<path d="{_rect(0, 0, width_mm, height_mm)}" fill="{PAPER}"/>',
            *body,
            "</svg>\n",
        )
    )


def _often(scene: Scene) -> frozenset[str]:
    """Blocks that pay to be stored once: inserted more than once, and without text, which must not turn over."""
    counts = Counter(entity.block for entity in scene.entities if isinstance(entity, Insert))
    return frozenset(name for name, count in counts.items() if count > 1 and not _has_text(scene, scene.block(name)))


def _has_text(scene: Scene, block: Block) -> bool:
    return any(
        isinstance(entity, Text) or (isinstance(entity, Insert) and _has_text(scene, scene.block(entity.block)))
        for entity in block.entities
    )


def _grown(corners: tuple[Point, ...], turn: float, by: float) -> list[Point]:
    c, s = math.cos(turn), math.sin(turn)
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return [(x + by * (c * u - s * v), y + by * (s * u + c * v)) for (x, y), (u, v) in zip(corners, signs, strict=True)]


def _rect(x: float, y: float, width: float, height: float) -> str:
    return f"M{_n(x)} {_n(y)}h{_n(width)}v{_n(height)}h{_n(-width)}Z"


def _n(number: float) -> str:
    """A length to a hundredth of a millimetre, without trailing zeros."""
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
