"""Sheets of a yard: true scale, nothing too small, no words over words, every part and finding on the plan."""

import datetime
import io
import math

import ezdxf
import pdfplumber
import pytest
import shapely

from stockproof.dossier.dxf import drawing_dxf
from stockproof.dossier.pdf import drawings_pdf
from stockproof.scene import Circle, Drawing, Polygon, Polyline, Text, TitleBlock, blemishes, record, text_box
from stockproof.scene.resolve import view_marks
from stockproof.yard import YardAsk, drawings, screen_view
from stockproof.yard.section import catwalk_height, section_scene
from stockproof.yard.setting_out import check_diagonals, pegs
from tests.yard.sample import SHED, ask, judged, laid_out, site

TITLE = TitleBlock(
    "", "Invented example", "Invented site", "Invented customer", "Invented firm", "Y-1", "A", "2026-05-04"
)
LARGE = ((0.0, 0.0), (180.0, 0.0), (180.0, 90.0), (90.0, 140.0), (0.0, 120.0))
WANTED = {
    "straight": ask(families=("straight",)),
    "mirrored quarter": ask("ell", families=("quarter",), operator_side="right"),
    "half curved": ask("small", families=("half curved",)),
    "large site": ask(families=("straight",), site=site(boundary=LARGE)),
    "shed": ask(families=("curved",), site=site(existing=(SHED,), supply_at=(70.0, 50.0), wind_bearing_rad=4.0)),
}


def sheets(wanted: YardAsk) -> tuple[Drawing, ...]:
    return drawings(laid_out(wanted), judged(wanted), TITLE)


@pytest.mark.parametrize("name", WANTED)
def test_sheets_are_legible(name: str) -> None:
    for drawing in sheets(WANTED[name]):
        assert blemishes(drawing) == ()
        texts = record(drawing).of(Text)
        assert min(text.height_mm for text in texts) >= 1.5


@pytest.mark.parametrize("name", WANTED)
def test_plan_names_every_pen_and_marks_every_finding(name: str) -> None:
    wanted = WANTED[name]
    yard, plan = laid_out(wanted), sheets(wanted)[0]
    words = record(plan).words
    for zone in yard.zones:
        if zone.kind in ("pen", "draft pen", "sick pen"):
            assert any(word.lower().startswith(zone.key) for word in words), zone.key
    wrong = [finding for finding in judged(wanted) if finding.verdict == "not met"]
    for number in range(1, min(len(wrong), 12) + 1):
        assert str(number) in words


def test_plan_is_to_scale() -> None:
    """The crush on paper is its length over the scale."""
    wanted = WANTED["straight"]
    plan = sheets(wanted)[0]
    view = plan.views[0]
    crush = next(m for m in record(plan).of(Polygon, "MACHINE") if m.tag == "crush")
    long = max(math.dist(crush.points[i - 1], crush.points[i]) for i in range(4))
    assert long == pytest.approx(2.6 * 1000.0 / view.denominator, abs=0.01)
    assert f"1:{view.denominator:g} at A3" in record(plan).words


def test_animals_stand_in_race_and_crush_and_are_to_size() -> None:
    wanted = WANTED["straight"]
    plan = sheets(wanted)[0]
    outlines = record(plan).of(Polygon, "ANIMAL")
    assert len(outlines) > laid_out(wanted).race_places
    xs = [x for x, _ in outlines[0].points]
    ys = [y for _, y in outlines[0].points]
    paper = 2.4 * 1000.0 / plan.views[0].denominator
    assert max(math.hypot(max(xs) - min(xs), 0), math.hypot(max(ys) - min(ys), 0)) == pytest.approx(paper, rel=0.06)


@pytest.mark.parametrize("name", WANTED)
def test_the_whole_boundary_is_on_the_plan_or_on_its_key_plan(name: str) -> None:
    wanted = WANTED[name]
    drawing = sheets(wanted)[0]
    plan = drawing.views[-1]
    outline = next(mark for mark in view_marks(plan) if isinstance(mark, Polygon) and mark.layer == "BOUNDARY")
    assert len(outline.points) == len(wanted.site.boundary)
    paper = shapely.box(plan.paper.x0, plan.paper.y0, plan.paper.x1, plan.paper.y1).buffer(0.01)
    assert paper.covers(shapely.Polygon(outline.points))
    long = math.dist(outline.points[0], outline.points[1])
    shown = plan.denominator if len(drawing.views) == 1 else 1000.0 * math.dist(*wanted.site.boundary[:2]) / long
    assert len(drawing.views) == 2 or name != "large site"
    assert shown in (200.0, 250.0, 1000.0, 2000.0)
    assert f"Whole site, 1:{shown:g}" in record(drawing).words or len(drawing.views) == 1


def test_legend_says_how_many_animals_are_drawn_and_none_stands_on_another() -> None:
    for name in ("straight", "half curved"):
        plan = sheets(WANTED[name])[0]
        yard = laid_out(WANTED[name])
        drawn = [outline for outline in record(plan).of(Polygon, "ANIMAL") if len(outline.points) > 4]
        pens = sum(zone.head for zone in yard.zones if zone.key.startswith("receiving pen"))
        whole = pens + yard.batch_head + yard.race_places + 1
        told = "animal to size" if len(drawn) == whole else f"animal to size, {len(drawn)} of {whole} drawn"
        assert told in record(plan).words
        # in the race heads hang over backs, in a pen they do not
        paper = [
            shapely.Polygon([plan.views[0].to_paper(at) for at in zone.ring])
            for zone in yard.zones
            if zone.key.startswith("receiving pen")
        ]
        shapes = [
            shape
            for outline in drawn
            for shape in [shapely.Polygon(outline.points)]
            for pen in paper
            if pen.covers(shape)
        ]
        assert len(shapes) > pens / 2
        for i, shape in enumerate(shapes):
            assert not any(shape.intersection(other).area > 0.02 * shape.area for other in shapes[i + 1 :])


def test_legend_shows_passes_pegs_and_pack_as_they_are_drawn() -> None:
    plan, _, pegs_sheet = sheets(WANTED["straight"])
    legend = {layer.name: layer.marks for drawing in (plan, pegs_sheet) for layer in drawing.layers if layer.marks}
    assert legend == {"PASS": ("triangle",), "POWER": ("box", "dot"), "PEG": ("dot", "ring")}
    strip = 10.0 + 34.0
    samples = [mark for mark in record(pegs_sheet).of(Circle, "PEG") if mark.centre[1] < strip]
    assert [mark.fill for mark in samples] == ["solid", "paper"]
    triangles = [mark for mark in record(plan).of(Polygon, "PASS") if mark.points[0][1] < strip]
    assert [len(mark.points) for mark in triangles] == [3]


def test_pegs_on_the_slabs_edge_are_drawn_open() -> None:
    """Nothing solid may lie on an open peg, such as the dot of the line to its number."""
    sheet = sheets(WANTED["straight"])[2]
    circles = record(sheet).of(Circle)
    open_pegs = [mark for mark in circles if mark.layer == "PEG" and mark.fill == "paper"]
    solid = [mark for mark in circles if mark.fill == "solid"]
    assert len(open_pegs) > 4
    assert not any(math.dist(peg.centre, mark.centre) < 0.5 for peg in open_pegs for mark in solid)


def test_ways_of_animals_and_people_are_drawn() -> None:
    plan = sheets(WANTED["straight"])[0]
    assert record(plan).of(Polyline, "ANIMAL-PATH")
    assert record(plan).of(Polyline, "PEOPLE-PATH")


def test_section_measures_the_race() -> None:
    yard = laid_out(WANTED["straight"])
    scene = section_scene(yard)
    words = [text.text for text in record(sheets(WANTED["straight"])[1]).of(Text, "DIM")]
    assert "660" in words
    assert f"{yard.size('race_height') * 1000:.0f}" in words
    assert f"{catwalk_height(yard) * 1000:.0f}" in words
    assert scene.unit == "m"


def test_pegs_prove_one_another() -> None:
    """Offsets from the datum and the taped distances are two ways to the same place."""
    yard = laid_out(WANTED["half curved"])
    points = {peg.name: peg for peg in pegs(yard)}
    for a, b, long in check_diagonals(tuple(points.values())):
        one, other = points[a], points[b]
        assert long == pytest.approx(math.hypot(one.along_m - other.along_m, one.left_m - other.left_m))
    assert points["E"].along_m == pytest.approx(2.6)
    assert points["D"].level_m == 0.0


def test_same_yard_gives_the_same_sheets() -> None:
    wanted = WANTED["straight"]
    assert sheets(wanted) == sheets(wanted)


@pytest.mark.parametrize(("wide", "high"), [(100.0, 150.0), (210.0, 150.0)])
def test_screen_view_fills_the_screen_and_stays_legible(wide: float, high: float) -> None:
    wanted = WANTED["straight"]
    view = screen_view(laid_out(wanted), judged(wanted), wide, high)
    assert (view.paper.width, view.paper.height) == pytest.approx((wide, high))
    texts = [mark for mark in view_marks(view) if isinstance(mark, Text)]
    boxes = [shapely.Polygon(text_box(text)) for text in texts]
    for i, box in enumerate(boxes):
        assert not any(box.intersection(other).area > 0.05 for other in boxes[i + 1 :])
        assert shapely.box(0, 0, wide, high).buffer(0.2).covers(box)


def test_dxf_of_a_plan_is_audited_and_holds_its_layers() -> None:
    plan = sheets(WANTED["straight"])[0]
    document = ezdxf.read(io.StringIO(drawing_dxf(plan)))
    assert not document.audit().errors
    drawn = {entity.dxf.layer for entity in document.modelspace()}
    assert {"FENCE-RAIL", "FENCE-SHEETED", "GATE", "PASS", "SLAB", "MACHINE", "BOUNDARY", "DIM"} <= drawn
    assert document.modelspace().query("DIMENSION")


def test_pdf_is_landscape_true_to_scale_and_readable() -> None:
    """Half the scale bar measured on the printed page; type size of the upright words."""
    plan = sheets(WANTED["straight"])[0]
    point_mm = 25.4 / 72
    with pdfplumber.open(io.BytesIO(drawings_pdf((plan,), datetime.date(2026, 5, 4), "yard"))) as pdf:
        page = pdf.pages[0]
        assert (page.width * point_mm, page.height * point_mm) == pytest.approx((420.0, 297.0), abs=0.5)
        bar = 5.0 * 1000.0 / plan.views[0].denominator
        widths = [shape["width"] * point_mm for shape in (*page.rects, *page.curves)]
        assert any(abs(width - bar) < 0.1 for width in widths)
        upright = [char["size"] for char in page.chars if abs(char["matrix"][1]) < 1e-9]
        assert len(upright) > 400
        assert min(upright) >= 6.0


def test_screen_shows_the_whole_site_unless_the_yard_would_be_lost_on_it() -> None:
    wanted = WANTED["half curved"]
    view = screen_view(laid_out(wanted), judged(wanted), 230.0, 140.0)
    window = shapely.box(view.window.x0, view.window.y0, view.window.x1, view.window.y1)
    assert window.covers(shapely.Polygon(wanted.site.boundary))
    vast = ask(families=("straight",), site=site(boundary=((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))))
    near = screen_view(laid_out(vast), judged(vast), 230.0, 140.0)
    assert near.window.width < 200.0
