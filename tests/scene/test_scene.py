"""The scene refuses what it cannot draw, places what it can, and measures text as the fonts do."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.errors import InternalError
from stockproof.scene import (
    Arc,
    Block,
    Box,
    Circle,
    Dimension,
    Drawing,
    Insert,
    Layer,
    Leader,
    Line,
    Polygon,
    Scene,
    Sheet,
    Text,
    TitleBlock,
    View,
    blemishes,
    fit_scale,
    fit_text,
    record,
    text_box,
    text_width_mm,
    wrap_text,
)
from stockproof.scene.resolve import Placement, dimension_text, resolve, view_marks

from .sample import yard_drawing, yard_scene

INK = (Layer("INK"),)
coordinates = st.floats(-50, 50)
points = st.tuples(coordinates, coordinates)


def scene(*entities: object, blocks: tuple[Block, ...] = (), measure: str = "mm") -> Scene:
    return Scene("m", INK, tuple(entities), blocks, measure)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("entity", "complaint"),
    [
        (Line("FENCE", (0, 0), (1, 1)), "unknown layer 'FENCE'"),
        (Insert("INK", "COW", (0, 0)), "unknown block 'COW'"),
        (Text("INK", (0, 0), "tiny", 1.4), "'tiny' is 1.4 mm high"),
        (Circle("INK", (0, math.nan), 1), "not finite"),
        (Polygon("INK", ((0, 0), (1, 0), (math.inf, 1))), "not finite"),
    ],
)
def test_a_scene_refuses_what_cannot_be_drawn(entity: object, complaint: str) -> None:
    with pytest.raises(InternalError, match=complaint):
        scene(entity)


def test_a_block_may_not_insert_itself_nor_hold_a_dimension() -> None:
    with pytest.raises(InternalError, match="unknown block 'B'"):
        scene(blocks=(Block("B", (Insert("INK", "B", (0, 0)),)),))
    with pytest.raises(InternalError, match="holds a dimension"):
        scene(blocks=(Block("B", (Dimension("INK", (0, 0), (1, 0), 5.0),)),))


def test_views_may_not_disagree_about_a_layer() -> None:
    drawing = yard_drawing()
    other = replace(drawing.views[0], scene=Scene("m", (Layer("FENCE", "rust"),), ()))
    with pytest.raises(InternalError, match="two different Layers 'FENCE'"):
        Drawing("two", drawing.sheet, (drawing.views[0], other))


@given(points, points, st.floats(-7, 7), st.floats(0.1, 10), st.booleans())
@settings(max_examples=60, deadline=None)
def test_a_placement_is_a_similarity(
    a: tuple[float, float], b: tuple[float, float], turn: float, k: float, flip: bool
) -> None:
    place = Placement(k, turn, (3.0, -2.0), flip)
    assert math.dist(place.point(a), place.point(b)) == pytest.approx(k * math.dist(a, b), abs=1e-9)


@given(st.floats(-7, 7), st.floats(-7, 7), st.booleans(), st.booleans(), points)
@settings(max_examples=60, deadline=None)
def test_an_insert_in_an_insert_lands_where_its_steps_take_it(
    outer: float, inner: float, flip_outer: bool, flip_inner: bool, point: tuple[float, float]
) -> None:
    first = Insert("INK", "B", (1.0, 2.0), inner, 0.5, flip_inner)
    place = Placement(2.0, outer, (5.0, 0.0), flip_outer)
    alone = Placement(first.scale, first.rotation_rad, first.at, first.mirrored)
    assert place.after(first).point(point) == pytest.approx(place.point(alone.point(point)), abs=1e-9)


@given(st.floats(-3, 3), st.floats(0.1, 6.0), st.floats(-4, 4), st.booleans())
@settings(max_examples=60, deadline=None)
def test_a_mirrored_arc_keeps_its_sweep_and_its_ends(start: float, sweep: float, turn: float, flip: bool) -> None:
    arc = Arc("INK", (1.0, 1.0), 2.0, start, start + sweep)
    place = Placement(1.5, turn, (0.0, 4.0), flip)
    (placed,) = resolve(scene(arc), (arc,), place)
    assert isinstance(placed, Arc)
    assert placed.end_rad - placed.start_rad == pytest.approx(sweep, abs=1e-9)

    def at(a: Arc, angle: float) -> tuple[float, float]:
        return a.centre[0] + a.radius * math.cos(angle), a.centre[1] + a.radius * math.sin(angle)

    ends = {0: place.point(at(arc, arc.start_rad)), 1: place.point(at(arc, arc.end_rad))}
    assert at(placed, placed.start_rad) == pytest.approx(ends[1 if flip else 0], abs=1e-9)
    assert at(placed, placed.end_rad) == pytest.approx(ends[0 if flip else 1], abs=1e-9)


@pytest.mark.parametrize(("measure", "written"), [("mm", "12601"), ("m", "12.60"), ("ft-in", "41'-4 1/8\"")])
def test_a_dimension_is_written_in_the_market_s_measure(measure: str, written: str) -> None:
    dimension = Dimension("INK", (0, 0), (12.6012, 3.0), 5.0, "horizontal")
    assert dimension_text(scene(dimension, measure=measure), dimension) == written


@pytest.mark.parametrize("ends", [((0, 0), (4, 0)), ((4, 0), (0, 0)), ((0, 4), (0, 0)), ((3, 3), (0, 0))])
def test_dimension_text_reads_from_below_or_from_the_right(
    ends: tuple[tuple[float, float], tuple[float, float]],
) -> None:
    dimension = Dimension("INK", *ends, 5.0)
    text = next(m for m in resolve(scene(dimension), (dimension,), Placement(10.0)) if isinstance(m, Text))
    assert -math.pi / 2 + 1e-6 < text.rotation_rad <= math.pi / 2 + 1e-9


def test_mirrored_text_stays_readable() -> None:
    block = Block("B", (Text("INK", (1, 0), "crush", align="left"),))
    made = scene(Insert("INK", "B", (0, 0), mirrored=True), blocks=(block,))
    (text,) = resolve(made, made.entities, Placement())
    assert isinstance(text, Text)
    assert (text.at, text.align, text.rotation_rad) == ((-1.0, 0.0), "right", 0.0)


def test_text_width_is_the_sum_of_the_font_s_advances() -> None:
    # Barlow Regular 1.408, hmtx: zero 565, one 350 of 1000 units; capitals are 700 high
    assert text_width_mm("01", 0.7) == pytest.approx(0.915)
    assert text_width_mm("01", 0.7, condensed=True) == pytest.approx(0.700)


@given(st.text(max_size=80), st.floats(5, 80))
@settings(max_examples=80, deadline=None)
def test_fitted_text_fits(text: str, width: float) -> None:
    line, condensed = fit_text(text, width, 2.5)
    assert text_width_mm(line, 2.5, condensed) <= width
    assert all(text_width_mm(row, 2.5) <= width or len(row) < 80 for row in wrap_text(text, width, 2.5))


@pytest.mark.parametrize(("metres", "scale"), [(30.0, 100.0), (40.0, 200.0), (3.7, 10.0)])
def test_the_largest_standard_scale_that_fits_is_taken(metres: float, scale: float) -> None:
    assert fit_scale(Box(0, 0, metres, 1.0), Box(0, 0, 380, 240)) == scale


def test_a_site_too_large_for_any_scale_is_refused() -> None:
    with pytest.raises(InternalError, match="does not fit"):
        fit_scale(Box(0, 0, 5000, 5000), Box(0, 0, 380, 240))


def test_the_sample_drawing_is_at_true_scale_and_clean() -> None:
    drawing = yard_drawing()
    (view,) = drawing.views
    a, b = view.to_paper((0.5, 0.5)), view.to_paper((8.0, 0.5))
    assert math.dist(a, b) == pytest.approx(7500 / view.denominator)
    assert blemishes(drawing) == ()


def test_blemishes_find_overlap_and_text_outside() -> None:
    sheet = Sheet("A4", TitleBlock("T"))
    crowded = scene(Text("INK", (1, 1), "one"), Text("INK", (1.01, 1.01), "two"), Text("INK", (9.9, 5), "leaves"))
    view = View(crowded, Box(0, 0, 10, 6), 50.0, (30, 70))
    codes = {(b.code, b.text) for b in blemishes(Drawing("d", sheet, (view,)))}
    assert codes == {("overlap", "one"), ("outside", "leaves")}


def test_turned_text_side_by_side_does_not_overlap() -> None:
    turned = [Text("INK", (0, y), "a long label", 2.0, rotation_rad=math.pi / 4) for y in (0.0, 3.2)]
    sheet = Sheet("A4", TitleBlock("T"))
    view = View(Scene("mm", INK, tuple(turned)), Box(-5, -5, 40, 40), 1.0, (50, 80))
    assert blemishes(Drawing("d", sheet, (view,))) == ()


def test_hostile_title_words_stay_in_their_fields() -> None:
    drawing = yard_drawing(customer="W" * 400 + "\n<svg> & \x07")
    assert blemishes(drawing) == ()


def test_the_record_holds_words_and_counts() -> None:
    recorded = record(yard_drawing())
    assert {"Forcing pen", "7500", "6000", "pump", "Yard plan", "Rail fence", "N"} <= set(recorded.words)
    assert len(recorded.of(Polygon, "ANIMAL")) == 5 + 1  # five animals and the legend's sample
    assert recorded.words.count("P1") == 2


def test_kept_blocks_stay_inserts_in_paper_millimetres() -> None:
    view = yard_drawing().views[0]
    kept = [mark for mark in view_marks(view, frozenset({"ANIMAL"})) if isinstance(mark, Insert)]
    assert len(kept) == 5
    assert all(mark.scale == pytest.approx(view.mm_per_unit) for mark in kept)


def test_a_leader_points_and_speaks_away_from_its_thing() -> None:
    leader = Leader("INK", ((5, 5), (3, 6)), "drain")
    marks = tuple(resolve(scene(leader), (leader,), Placement(10.0)))
    text = next(mark for mark in marks if isinstance(mark, Text))
    assert text.align == "right"
    assert text_box(text)[1][0] < 30.0


def test_feet_dimensions_of_the_sample() -> None:
    assert "24'-7 1/4\"" in record(yard_drawing(yard_scene("ft-in"))).words
