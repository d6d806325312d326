"""Plots in the house look: one neutral definition becomes the same chart on paper (SVG) and on a page (Vega-Lite).

Curves are named at their ends instead of in a legend. Text is set in the house family, whose files are handed to
the renderer; the machine's fonts play no part.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any

import altair as alt

from stockproof.dossier.style import PALETTE, STROKES, TEXTS, fill_colour
from stockproof.scene.lettering import FAMILY, font_files, text_width_mm
from stockproof.scene.pages import Axis, Band, Curve, Marker, Plot

__all__ = ["plot_spec", "plot_svg"]

#: Width of the text block on A4 paper, and CSS pixels a millimetre.
WIDTH_MM, PX_PER_MM = 165.0, 96 / 25.4
TEXT_PX = 11.0
CAPITALS_MM = TEXT_PX / PX_PER_MM * 0.7
#: Room for the numbers left of a plot, and for its titles above and below.
LEFT_PX, BELOW_PX = 46.0, 62.0
#: Strips across a plot, finer than print shows.
COLUMNS = 400
LABEL_PITCH_PX, LABEL_GAP_PX = 13.0, 6.0


@lru_cache(maxsize=64)
def plot_svg(plot: Plot) -> bytes:
    """Give a plot as SVG for paper; the same plot gives the same bytes, drawn once for all documents that show it."""
    import vl_convert

    _register_fonts()
    return str(vl_convert.vegalite_to_svg(plot_spec(plot))).encode()


def plot_spec(plot: Plot) -> dict[str, Any]:
    """Give a plot as a Vega-Lite specification with its data inside and no address in it."""
    x, y = _domain(plot, "x"), _domain(plot, "y")
    labels = tuple(_end_labels(plot, y)) if len(plot.curves) + len(plot.bands) > 1 else ()
    widest = max((text_width_mm(text, CAPITALS_MM) for _, _, _, text, _ in labels), default=0.0) * PX_PER_MM
    scales = _scales(plot, x, y)
    width = WIDTH_MM * PX_PER_MM - LEFT_PX - (widest + LABEL_GAP_PX + 4 if labels else 12)
    bar_px = 0.7 * width * _bar_pitch(plot) / (x[1] - x[0])
    layers: list[Any] = [_band(band, scales) for band in plot.bands]
    layers += [_curve(curve, scales, bar_px) for curve in plot.curves]
    layers += [layer for marker in plot.markers for layer in _marker(marker, x, y, scales)]
    layers += [_label(label, scales) for label in labels]
    chart = alt.layer(*layers).properties(width=width, height=plot.height_mm * PX_PER_MM - BELOW_PX)
    spec: dict[str, Any] = chart.to_dict(validate=False)  # slow; the tests hold every form to the schema
    spec.pop("$schema", None)
    spec["config"] = THEME
    spec["description"] = plot.alt or plot.caption
    return json.loads(json.dumps(spec, sort_keys=True))  # type: ignore[no-any-return]


THEME: dict[str, Any] = {
    "background": "transparent",
    "padding": 2,
    "font": FAMILY,
    "view": {"stroke": None},
    "axis": {
        "labelColor": PALETTE["label"],
        "labelFontSize": TEXT_PX,
        "titleColor": PALETTE["ink"],
        "titleFontSize": TEXT_PX,
        "titleFontWeight": "normal",
        "domainColor": PALETTE["ink"],
        "domainWidth": 0.7,
        "tickColor": PALETTE["ink"],
        "tickWidth": 0.7,
        "tickSize": 4,
        "gridColor": PALETTE["rule"],
        "gridWidth": 0.5,
    },
    "axisX": {"grid": False},
    "axisY": {"domain": False, "ticks": False, "labelPadding": 6},
    "text": {"fontSize": TEXT_PX, "font": FAMILY},
}


def _domain(plot: Plot, side: str) -> tuple[float, float]:
    """Range of an axis: as fixed, else what curves, bands and markers need with a little air."""
    axis: Axis = getattr(plot, side)
    bars = any(curve.form == "bars" for curve in plot.curves)
    values = [value for curve in plot.curves for value in getattr(curve, side)]
    if side == "x":
        values += [value for band in plot.bands for value in band.x]
    else:
        values += [value for band in plot.bands for value in (*band.low, *band.high)]
        values += [0.0] if bars else []
    marked = [marker.value for marker in plot.markers if marker.along == side]
    low, high = min((*values, *marked), default=0.0), max((*values, *marked), default=1.0)
    air = 0.1 * (high - low) if marked and not bars else 0.0
    if bars and side == "x":
        air = _bar_pitch(plot) / 2
    low, high = low - air, high + air
    low = axis.low if axis.low is not None else low
    high = axis.high if axis.high is not None else high
    return (low, high) if high > low else (low, low + 1.0)


def _bar_pitch(plot: Plot) -> float:
    """The smallest distance between neighbouring bars."""
    places = sorted({x for curve in plot.curves if curve.form == "bars" for x in curve.x})
    return min((b - a for a, b in pairwise(places)), default=1.0)


def _scales(plot: Plot, x: tuple[float, float], y: tuple[float, float]) -> dict[str, Any]:
    def titled(axis: Axis) -> str:
        return f"{axis.title} ({axis.unit})" if axis.unit else axis.title

    y_title: dict[str, Any] = {
        "titleAngle": 0,
        "titleAlign": "left",
        "titleAnchor": "end",
        "titleX": 4 - LEFT_PX,
        "titleY": -12,
    }
    x_axis: dict[str, Any] = {"title": titled(plot.x), "titleAlign": "right", "titleAnchor": "end"}
    if any(curve.form == "bars" for curve in plot.curves):
        x_axis |= {"tickMinStep": _bar_pitch(plot), "ticks": False}
    return {
        "x": alt.X("x:Q", scale=alt.Scale(domain=list(x), nice=False, zero=False), axis=alt.Axis(**x_axis)),
        "y": alt.Y(
            "y:Q",
            scale=alt.Scale(domain=list(y), nice=plot.y.high is None, zero=False),
            axis=alt.Axis(title=titled(plot.y), **y_title),
        ),
    }


def _data(**columns: tuple[float, ...]) -> Any:
    names = tuple(columns)
    return alt.Data(  # type: ignore[no-untyped-call]
        values=[dict(zip(names, row, strict=True)) for row in zip(*columns.values(), strict=True)]
    )


def _curve(curve: Curve, scales: dict[str, Any], bar_px: float) -> Any:
    x, y = (curve.x, curve.y) if curve.form in ("dots", "bars") else _thinned(curve.x, curve.y)
    base, colour = alt.Chart(_data(x=x, y=y)), STROKES[curve.role]
    if curve.form == "dots":
        marked = base.mark_point(color=colour, size=14, filled=True, opacity=1)
    elif curve.form == "bars":
        marked = base.mark_bar(color=fill_colour(curve.role, "tint"), stroke=colour, strokeWidth=0.6, size=bar_px)
    else:
        look: dict[str, Any] = {"color": colour, "strokeWidth": 1.4}
        look |= {"strokeDash": [5, 3]} if curve.dashed else {}
        look |= {"interpolate": "step-after"} if curve.form == "step" else {}
        marked = base.mark_line(**look)
    return marked.encode(**scales)


def _thinned(x: tuple[float, ...], y: tuple[float, ...]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """A long curve as its first, lowest, highest and last point in each of `COLUMNS` strips: it draws the same."""
    if len(x) <= 4 * COLUMNS:
        return x, y
    kept: list[int] = []
    for strip in range(COLUMNS):
        first, last = strip * len(x) // COLUMNS, (strip + 1) * len(x) // COLUMNS
        inside = range(first, last)
        kept += sorted({first, min(inside, key=y.__getitem__), max(inside, key=y.__getitem__), last - 1})
    return tuple(x[k] for k in kept), tuple(y[k] for k in kept)


def _band(band: Band, scales: dict[str, Any]) -> Any:
    base = alt.Chart(_data(x=band.x, y=band.low, high=band.high))
    return base.mark_area(color=fill_colour(band.role, "tint"), opacity=0.9).encode(**scales, y2=alt.Y2("high:Q"))


def _marker(marker: Marker, x: tuple[float, float], y: tuple[float, float], scales: dict[str, Any]) -> Iterator[Any]:
    """A line across the plot with its words at its start."""
    across = marker.along == "y"
    ends = {"x": x, "y": (marker.value, marker.value)} if across else {"x": (marker.value, marker.value), "y": y}
    line = alt.Chart(_data(**ends)).mark_line(color=STROKES[marker.role], strokeWidth=0.9, strokeDash=[2, 2])
    yield line.encode(**scales)
    at = {"x": (x[0],), "y": (marker.value,)} if across else {"x": (marker.value,), "y": (y[1],)}
    under = not across or marker.value < (y[0] + y[1]) / 2  # words go to the side where curves are fewer
    look: dict[str, Any] = {
        "align": "left",
        "baseline": "top" if under else "bottom",
        "dx": 4,
        "dy": 3 if under else -2,
    }
    words = alt.Chart(_data(**at)).mark_text(text=marker.label, color=TEXTS[marker.role], **look)
    yield words.encode(**scales)


def _end_labels(plot: Plot, y: tuple[float, float]) -> Iterator[tuple[float, float, float, str, str]]:
    """For each curve and band its last point, the shift that keeps names apart, its name and colour."""
    px = (plot.height_mm * PX_PER_MM - BELOW_PX) / (y[1] - y[0])
    ends = [(c.x[-1], c.y[-1], c.name, TEXTS[c.role]) for c in plot.curves if c.x and c.name]
    ends += [(b.x[-1], (b.low[-1] + b.high[-1]) / 2, b.name, TEXTS[b.role]) for b in plot.bands if b.x]
    taken = float("inf")
    for at_x, at_y, name, colour in sorted(ends, key=lambda end: end[1]):
        wanted = -at_y * px
        placed = min(wanted, taken - LABEL_PITCH_PX)
        taken = placed
        yield at_x, at_y, placed - wanted, name, colour


def _label(label: tuple[float, float, float, str, str], scales: dict[str, Any]) -> Any:
    x, y, shift, name, colour = label
    look: dict[str, Any] = {"align": "left", "baseline": "middle", "dx": LABEL_GAP_PX, "dy": shift}
    return alt.Chart(_data(x=(x,), y=(y,))).mark_text(text=name, color=colour, **look).encode(**scales)


@cache
def _register_fonts() -> None:
    import vl_convert

    for folder in sorted({str(path.parent) for path in font_files()}):
        vl_convert.register_font_directory(folder)
