"""The power pack's place: clear of leaves and ways out, reached on foot, far from people, and as the brief says."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from stockproof.yard import Yard, check
from stockproof.yard.check_gates import swept
from stockproof.yard.model import Move
from stockproof.yard.pack_place import pack_outline
from stockproof.yard.quantities import hose_lengths, quantities
from tests.yard.sample import ask, findings, laid_out, site

STRAIGHT = ("straight",)
FAR = ask(families=STRAIGHT, hose_reach_m=14.0)


def _verdict(yard: Yard, code: str) -> str:
    return next(finding.verdict for finding in check(yard) if finding.code == code)


def _pack_on(at: tuple[float, float]) -> Yard:
    return laid_out(replace(FAR, pack_at=at))


def test_a_longer_hose_lets_the_pack_stand_farther_from_people_and_no_farther_than_it_goes() -> None:
    near, far = laid_out(replace(FAR, hose_reach_m=8.0)), laid_out(FAR)
    apart = [quantities(yard).pack_to_control_m for yard in (near, far)]
    assert apart[0] is not None
    assert apart[1] is not None
    assert apart[1] > apart[0] + 3.0
    assert min(long for _, long in hose_lengths(far)) <= 14.0 + 1e-9


def test_found_pack_is_clear_of_leaves_and_ways_out_and_reached_on_foot() -> None:
    yard = laid_out(FAR)
    outline = shapely.Polygon(pack_outline(yard.spot("power pack").at, yard.crush.heading))
    for gate in yard.gates:
        assert outline.distance(shapely.LineString((gate.hinge, gate.latch))) >= 1.0
        assert all(outline.distance(shapely.Polygon(swept(gate, opened))) >= 1.0 for opened in gate.opens)
    assert {_verdict(yard, code) for code in ("Y511", "Y515", "Y516")} == {"met"}


def test_pack_before_a_way_out_is_told() -> None:
    yard = laid_out(FAR)
    gate = next(gate for gate in yard.gates if gate.kind == "worker pass" and gate.between[1] == "outside")
    (ax, ay), (bx, by) = gate.hinge, gate.latch
    # half a metre out from the pass, square to the fence
    out = ((by - ay) / gate.width_m, -(bx - ax) / gate.width_m)
    at = ((ax + bx) / 2 + 1.0 * out[0], (ay + by) / 2 + 1.0 * out[1])
    assert [f.verdict for f in findings(replace(FAR, pack_at=at), "Y515")] == ["not met"]


def test_pack_in_a_pen_is_told_and_nobody_reaches_it_but_among_animals() -> None:
    pen = shapely.Polygon(laid_out(FAR).zone("receiving pen 1").ring).centroid
    yard = _pack_on((pen.x, pen.y))
    assert _verdict(yard, "Y511") == "not met"
    assert _verdict(yard, "Y516") == "not met"


def test_pack_between_line_and_bypass_is_not_reached_on_foot() -> None:
    """The off-side floor lies between race, crush, draft unit and bypass: every way in is a lane of animals."""
    yard = laid_out(FAR)
    floor = shapely.Polygon(next(strip.ring for strip in yard.strips if strip.key == "off-side access")).centroid
    assert _verdict(_pack_on((floor.x, floor.y)), "Y516") == "not met"
    assert _verdict(laid_out(FAR), "Y516") == "met"


def test_pack_that_is_reached_only_by_a_long_way_round_is_told() -> None:
    """Behind the bypass the ground is open, but the way there leads round the whole yard."""
    yard = laid_out(FAR)
    x, y = yard.spot("crush operator").at
    heading, near = yard.crush.heading, -1.0 if yard.mirrored else 1.0
    beyond = (x + near * 9.0 * math.sin(heading), y - near * 9.0 * math.cos(heading))
    told = next(finding for finding in check(_pack_on(beyond)) if finding.code == "Y516")
    assert told.verdict == "not met"
    assert told.measured is not None
    assert told.measured > 20.0


def test_brief_places_the_pack_and_a_move_still_shifts_it() -> None:
    crush = laid_out(FAR).crush
    at = (crush.x + 9.0, crush.y - 9.0)
    moved = laid_out(replace(FAR, pack_at=at, moves=(Move("power pack", 1.0, 0.5),)))
    assert _pack_on(at).spot("power pack").at == at
    assert moved.spot("power pack").at == pytest.approx((at[0] + 1.0, at[1] + 0.5))
    assert _verdict(_pack_on((-3.0, -3.0)), "Y511") == "not met"


def test_pack_keeps_off_the_wind_where_it_can() -> None:
    plain = laid_out(FAR)
    x, y = plain.spot("power pack").at
    wind = math.pi / 2 - math.atan2(y - plain.crush.y, x - plain.crush.x)
    blown = laid_out(replace(FAR, site=site(wind_bearing_rad=wind)))
    assert blown.spot("power pack").at != plain.spot("power pack").at
    assert _verdict(blown, "Y514") == "met"
