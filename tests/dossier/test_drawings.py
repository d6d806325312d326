"""Drawings as SVG, DXF and PDF: true scale, the same bytes, clean when read back, safe with any text."""

import datetime
import io
import math
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace
from typing import Any

import ezdxf
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.dossier.dxf import drawing_dxf
from stockproof.dossier.pdf import drawings_pdf
from stockproof.dossier.svg import drawing_svg, view_svg
from stockproof.scene import Box, Dimension, Drawing, Insert, Layer, Line, Scene, Text, View, record
from tests.scene.sample import yard_drawing, yard_scene

SVG = "{http://www.w3.org/2000/svg}"
MM = 72 / 25.4
DAY = datetime.date(2026, 3, 2)
HOSTILE = "#$*@<b>&amp;\\\"'`_ %%d ^ \x07 \ud800 ﷽ Ω 東 \\U+0041 " + "W" * 120


def read_dxf(drawing: Drawing) -> Any:
    return ezdxf.read(io.StringIO(drawing_dxf(drawing)))


def type_size(char: dict[str, Any]) -> float:
    """Height of the type in points, also where it is turned by a right angle."""
    return float(char["height"] if abs(char["matrix"][1]) < 1e-3 else char["width"])


def two_views() -> Drawing:
    drawing = yard_drawing()
    plan = drawing.views[0]
    return replace(
        drawing,
        views=(
            View(plan.scene, plan.window, 200.0, (40.0, 80.0), "Plan"),
            View(plan.scene, Box(0, 0, 4, 2), 50.0, (200.0, 80.0), "Detail"),
        ),
    )


def test_svg_is_in_millimetres_with_every_layer_a_class() -> None:
    root = ET.fromstring(drawing_svg(yard_drawing()))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("420mm", "297mm", "0 0 420 297")
    classes = {group.get("class") for group in root.iter(f"{SVG}g")}
    assert {"yard-plan-fence", "yard-plan-path", "yard-plan-sheet-frame"} <= classes
    style = root.find(f"{SVG}style")
    assert style is not None
    assert ".yard-plan-path{fill:none;stroke:#8c340d;stroke-width:0.35;stroke-dasharray:4 1.5}" in (style.text or "")


def test_svg_draws_the_fence_where_the_scale_puts_it() -> None:
    drawing = yard_drawing()
    (view,) = drawing.views
    x0, y0 = view.to_paper((8, 6.5))
    x1, y1 = view.to_paper((13, 6.5))
    assert f"M{x0:g} {297 - y0:g}L{x1:g} {297 - y1:g}" in drawing_svg(drawing)


def test_svg_stores_an_often_used_symbol_once_and_stays_small() -> None:
    many = replace(
        yard_scene(),
        entities=tuple(Insert("ANIMAL", "ANIMAL", (i % 20 * 0.7, i // 20 * 0.9), 0.01 * i) for i in range(240)),
    )
    svg = drawing_svg(yard_drawing(many))
    root = ET.fromstring(svg)
    assert len(list(root.iter(f"{SVG}use"))) == 240
    assert len(svg) < 30_000


def test_every_text_of_the_record_is_in_svg_and_dxf() -> None:
    drawing = yard_drawing()
    expected = Counter(record(drawing).words)
    root = ET.fromstring(drawing_svg(drawing))
    assert Counter(text.text for text in root.iter(f"{SVG}text")) == expected
    document = read_dxf(drawing)
    spaces = [document.modelspace(), document.layout("A3")]
    written = Counter(entity.dxf.text for space in spaces for entity in space.query("TEXT"))
    written.update(
        entity.text
        for dim in document.modelspace().query("DIMENSION")
        for entity in dim.get_geometry_block().query("MTEXT")
    )
    posts = document.modelspace().query('INSERT[name=="POST"]')
    written.update(text.dxf.text for post in posts for text in post.virtual_entities() if text.dxftype() == "TEXT")
    assert written == expected


def test_dxf_reads_back_clean_with_layers_blocks_and_measured_dimensions() -> None:
    drawing = yard_drawing()
    document = read_dxf(drawing)
    auditor = document.audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert document.units == ezdxf.units.M
    for layer in drawing.layers:
        assert document.layers.get(layer.name).dxf.lineweight == round(layer.weight_mm * 100)
    model = document.modelspace()
    assert Counter(insert.dxf.name for insert in model.query("INSERT"))["ANIMAL"] == 5
    dimensions = {dim.get_measurement(): dim for dim in model.query("DIMENSION")}
    assert sorted(dimensions) == pytest.approx([6.0, 7.5])
    assert {dim.get_geometry_block().query("MTEXT").first.text for dim in dimensions.values()} == {"7500", "6000"}
    # the dimension line stands where the offset on paper puts it: 8 mm below, 36 mm to the right, at 1:100
    assert dimensions[7.5].dxf.defpoint.y == pytest.approx(0.5 - 0.8)
    assert dimensions[6.0].dxf.defpoint.x == pytest.approx(8.0 + 3.6)


def test_dxf_line_types_dash_on_paper_as_the_layer_says() -> None:
    document = read_dxf(yard_drawing())
    path = document.modelspace().query('LWPOLYLINE[layer=="PATH"]').first
    assert document.layers.get("PATH").dxf.linetype == "PATH-DASH"
    assert path.dxf.ltscale == pytest.approx(0.1)  # 4 mm on paper at 1:100 are 0.4 m of the site


def test_dxf_viewports_show_each_view_at_its_scale() -> None:
    drawing = two_views()
    document = read_dxf(drawing)
    assert not document.audit().errors
    ports = [port for port in document.layout("A3").query("VIEWPORT") if port.dxf.id != 1]
    assert [round(port.dxf.view_height / port.dxf.height * 1000) for port in ports] == [200, 50]
    vport = document.viewports.get("*Active")[0]
    assert vport.dxf.height > 10


def test_dxf_keeps_two_views_apart_in_model_space() -> None:
    document = read_dxf(two_views())
    slabs = document.modelspace().query('LWPOLYLINE[layer=="SLAB"]')
    left = sorted(min(x for x, *_ in slab.get_points()) for slab in slabs)
    assert left[0] == pytest.approx(0.0)
    assert left[-1] > 16.0


def test_aligned_and_vertical_dimensions_stand_on_the_side_of_their_offset() -> None:
    layers = (Layer("D"),)
    entities = (Dimension("D", (0, 0), (3, 4), 10.0), Dimension("D", (0, 0), (3, 4), -10.0, "vertical"))
    scene = Scene("m", layers, entities, measure="m")
    drawing = replace(yard_drawing(), views=(View(scene, Box(-4, -4, 8, 8), 100.0, (60, 80)),))
    aligned, vertical = read_dxf(drawing).modelspace().query("DIMENSION")
    assert aligned.get_measurement() == pytest.approx(5.0)
    assert aligned.get_geometry_block().query("MTEXT").first.text == "5.00"
    # left of the way from (0, 0) to (3, 4), one metre off at 1:100
    assert (
        math.dist((aligned.dxf.defpoint.x, aligned.dxf.defpoint.y), (-0.8 + 3, 0.6 + 4)) < 1e-6
        or math.dist((aligned.dxf.defpoint.x, aligned.dxf.defpoint.y), (-0.8, 0.6)) < 1e-6
    )
    assert vertical.dxf.defpoint.x == pytest.approx(-1.0)


def test_pdf_is_at_true_scale_in_the_house_type_with_nothing_small() -> None:
    (page,) = pdfplumber.open(io.BytesIO(drawings_pdf([yard_drawing()], DAY, "Yard"))).pages
    assert (page.width / MM, page.height / MM) == pytest.approx((420, 297), abs=0.01)
    # the dimension line of 7500 mm at 1:100
    assert any((line["x1"] - line["x0"]) / MM == pytest.approx(75.0, abs=0.01) for line in page.lines)
    assert {char["fontname"].split("+")[1] for char in page.chars} == {"Barlow-Regular", "Barlow-SemiBold"}
    assert min(type_size(char) for char in page.chars) >= 6.0


def test_the_same_drawing_gives_the_same_bytes() -> None:
    first, second = yard_drawing(), yard_drawing()
    assert drawing_svg(first) == drawing_svg(second)
    assert drawing_dxf(first) == drawing_dxf(second)
    assert drawings_pdf([first], DAY, "t") == drawings_pdf([second], DAY, "t")


def test_hostile_words_break_no_writer() -> None:
    drawing = yard_drawing(yard_scene(label=HOSTILE), customer=HOSTILE)
    ET.fromstring(drawing_svg(drawing).encode())
    document = read_dxf(drawing)
    assert not document.audit().errors
    (label,) = (t for t in document.modelspace().query("TEXT") if t.dxf.text.startswith("#$*@<b>"))
    assert "WWWW" in label.plain_text()
    assert "°" not in label.plain_text()  # %%d was not taken for a code
    assert drawings_pdf([drawing], DAY, HOSTILE).startswith(b"%PDF")


@given(st.text(max_size=40))
@settings(max_examples=40, deadline=None)
def test_any_text_makes_well_formed_svg(text: str) -> None:
    scene = Scene("mm", (Layer("T"),), (Text("T", (1, 1), text, tag=text), Line("T", (0, 0), (5, 5))))
    root = ET.fromstring(view_svg("any", View(scene, Box(0, 0, 20, 10), 1.0, (0, 0), text)))
    assert root.get("width") == "20mm"
