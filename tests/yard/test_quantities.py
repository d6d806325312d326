"""Numbers for flow, power and money against what can be counted and measured on the plan."""

import math

import pytest
import shapely

from stockproof.yard import quantities, solid
from stockproof.yard.fencing import post_count
from stockproof.yard.formulas import funnel_length, race_pitch
from stockproof.yard.quantities import cable_length, hose_lengths
from stockproof.yard.slab import fall_heading, slab_level
from stockproof.yard.stands import route_length
from stockproof.yard.walking import walks
from tests.yard.sample import ask, laid_out, site

WANTED = ask(families=("straight",), site=site(supply_at=(70.0, 10.0)))


def test_post_count_in_closed_form() -> None:
    assert post_count(((0.0, 0.0), (9.2, 0.0)), 2.3) == 5
    assert post_count(((0.0, 0.0), (9.3, 0.0)), 2.3) == 6
    # a corner takes a post of its own
    assert post_count(((0.0, 0.0), (2.3, 0.0), (2.3, 2.3)), 2.3) == 3
    # a round fence drawn in short chords is spaced along its length
    arc = tuple((4.0 * math.cos(a / 100), 4.0 * math.sin(a / 100)) for a in range(158))
    assert post_count(arc, 2.3) == 1 + math.ceil(4.0 * 1.57 / 2.3)


def test_fences_gates_and_passes_make_up_the_outlines() -> None:
    yard = laid_out(WANTED)
    fences = sum(run.length_m for run in yard.fences)
    leaves = sum(gate.width_m for gate in yard.gates if gate.kind not in ("stop gate",))
    shapes = {zone.key: shapely.Polygon(zone.ring) for zone in yard.zones}
    machines = shapely.union_all([shapes["crush"], shapes["draft unit"]])
    outlines = shapely.union_all(
        [shape.exterior for key, shape in shapes.items() if key not in ("crush", "draft unit")]
    )
    # what is neither fence nor gate: mouth and end of the race, and the open end of the ramp
    open_ends = 2 * yard.size("race_width") + yard.size("ramp_width")
    line = outlines.difference(machines.buffer(0.02)).length
    assert fences + leaves + open_ends == pytest.approx(line, abs=0.8)


def test_concrete_is_area_times_thickness_and_bases() -> None:
    yard = laid_out(WANTED)
    numbers = quantities(yard)
    slab = next(shapely.Polygon(strip.ring) for strip in yard.strips if strip.kind == "slab")
    assert numbers.amount("concrete in the slab") == pytest.approx(slab.area * 0.15)
    assert numbers.amount("concrete in post bases") == pytest.approx(numbers.amount("fence posts") * 0.3 * 0.3 * 0.45)
    assert numbers.amount("formwork round the slab") == pytest.approx(slab.exterior.length)


def test_every_line_of_the_bill_has_a_trade() -> None:
    lines = quantities(laid_out(WANTED)).amounts
    assert {line.trade for line in lines} == {"steelwork", "concrete", "machine", "cable"}
    assert all(line.amount > 0 for line in lines)


def test_flow_reads_places_batch_and_pens() -> None:
    yard = laid_out(WANTED)
    numbers = quantities(yard)
    assert numbers.race_places == math.floor(11.0 / race_pitch(1.8, 560.0))
    assert numbers.batch_head == min(numbers.race_places, 10)
    assert numbers.forcing_head >= numbers.batch_head
    assert sum(head for key, head, _ in numbers.pens if key.startswith("receiving")) == 80


def test_route_goes_up_along_and_down() -> None:
    line = ((0.0, 0.0), (10.0, 0.0))
    assert route_length(line, (1.0, 3.0), (8.0, 0.0), 2.5) == pytest.approx(3.0 + 7.0 + 5.0)


def test_hose_is_never_shorter_than_the_crow_flies() -> None:
    yard = laid_out(WANTED)
    spots = {spot.key: spot.at for spot in yard.spots}
    hoses = dict(hose_lengths(yard))
    assert set(hoses) == {"entry", "squeeze", "bail", "draft"}
    assert all(long >= math.dist(spots["power pack"], spots[name]) for name, long in hoses.items())
    cable = cable_length(yard)
    assert cable is not None
    assert cable >= math.dist(spots["power pack"], (70.0, 10.0))


def test_walk_round_a_fence_is_round_its_end() -> None:
    from stockproof.yard.result import Fence, Zone

    wall = Fence("rail", ((0.0, 0.0), (10.0, 0.0)), 1.5, 10.0)
    pen = Zone("pen", "pen", ((0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (0.0, 6.0)), 60.0, 0)
    grid = walks((pen,), (wall,), 4.0)
    way = grid.way((5.0, -2.0), (5.0, 2.0))
    assert way is not None
    # round either end of the wall the way is twice the slant, with half a metre left for the body
    assert way[0] == pytest.approx(2 * math.hypot(5.5, 2.0), rel=1e-6)
    assert not shapely.LineString(way[1]).crosses(shapely.LineString(wall.path))


def test_walks_do_not_cross_fences() -> None:
    yard = laid_out(WANTED)
    fence = shapely.union_all([shapely.LineString(run.path) for run in yard.fences])
    assert len(yard.people_path) > 1
    assert not shapely.LineString(yard.people_path).crosses(fence)
    numbers = quantities(yard)
    assert numbers.walk("crush operator", "forcing pen stand") is not None
    assert numbers.walk("crush operator", "the moon") is None


def test_slab_falls_away_from_the_line_at_its_share() -> None:
    yard = laid_out(WANTED)
    heading = fall_heading(yard.crush, yard.ask.site)
    at = (yard.crush.x + 2.0 * math.cos(heading), yard.crush.y + 2.0 * math.sin(heading))
    assert slab_level(yard.crush, heading, 0.0175, at) == pytest.approx(-0.035)
    assert abs(math.cos(heading - yard.crush.heading)) < 1e-9


def test_funnel_length_is_plane_geometry() -> None:
    assert funnel_length(3.6, 0.6, math.radians(45.0)) == pytest.approx(3.0)


def test_solid_has_everything_that_stands_up() -> None:
    yard = laid_out(WANTED)
    boxes = solid(yard)
    assert {box.kind for box in boxes} >= {"slab", "catwalk", "gate", "crush", "draft", "rail fence", "sheeted fence"}
    assert all(box.high_m > box.low_m for box in boxes)
    assert all(shapely.Polygon(box.ring).is_valid for box in boxes)
