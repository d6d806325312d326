"""Offsets, arcs and areas of the plane against closed forms."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.yard.plane import (
    ARC_STEP_RAD,
    Leg,
    advance,
    area,
    bearing,
    corner_angles,
    distance,
    extend,
    heading_of_bearing,
    mirror_pose,
    rectangle,
    ribbon,
    sector,
    set_down,
    track,
)
from stockproof.yard.result import Pose

angles = st.floats(-math.pi, math.pi)
lengths = st.floats(0.5, 30.0)


@given(angles, lengths, lengths, angles)
@settings(max_examples=60, deadline=None)
def test_rectangle_keeps_its_area_wherever_it_stands(heading: float, long: float, wide: float, turn: float) -> None:
    ring = rectangle(Pose(3.0, -2.0, heading + turn), 0.0, long, 0.0, wide)
    assert area(ring) == pytest.approx(long * wide)
    assert corner_angles(ring) == pytest.approx([math.pi / 2] * 4)


@given(st.floats(2.0, 8.0), st.floats(0.3, 3.0), st.sampled_from([-1.0, 1.0]))
@settings(max_examples=60, deadline=None)
def test_arc_leg_ends_on_the_circle(radius: float, turn: float, sign: float) -> None:
    start = Pose(1.0, 2.0, 0.4)
    end = advance(start, Leg(radius * turn, sign * turn))
    centre = set_down(start, 0.0, sign * radius)
    assert distance((end.x, end.y), centre) == pytest.approx(radius)
    assert math.remainder(end.heading - start.heading - sign * turn, 2 * math.pi) == pytest.approx(0.0, abs=1e-9)


@given(st.floats(3.5, 8.0), st.floats(0.4, 1.2), st.floats(0.3, math.pi / 2))
@settings(max_examples=40, deadline=None)
def test_curved_ribbon_has_the_area_of_its_ring_sector(radius: float, width: float, turn: float) -> None:
    line = track(Pose(0.0, 0.0, 0.0), (Leg(radius * turn, turn),))
    exact = turn * radius * width
    # chords of ARC_STEP_RAD take sin(step)/step off a sector's area
    assert area(ribbon(line.poses, -width / 2, width / 2)) == pytest.approx(exact, rel=ARC_STEP_RAD**2 / 6)


def test_sector_is_within_its_chords_error() -> None:
    ring = ((0.0, 0.0), *sector((0.0, 0.0), 3.6, 0.0, math.pi))
    step = math.pi / math.ceil(math.pi / ARC_STEP_RAD)
    assert area(ring) == pytest.approx(0.5 * math.pi * 3.6**2 * math.sin(step) / step)


def test_track_length_is_the_legs_length() -> None:
    line = extend(track(Pose(0.0, 0.0, 0.0), (Leg(5.0), Leg(3.0, 0.8), Leg(2.0))), 4.0)
    assert line.length_m == pytest.approx(14.0)
    assert line.end.heading == pytest.approx(0.8)


@given(angles)
@settings(max_examples=30, deadline=None)
def test_bearing_and_heading_are_each_other_s_inverse(heading: float) -> None:
    assert math.remainder(heading_of_bearing(bearing(heading)) - heading, 2 * math.pi) == pytest.approx(0, abs=1e-9)


def test_east_is_a_bearing_of_ninety_degrees_and_mirroring_turns_left_to_right() -> None:
    assert bearing(0.0) == pytest.approx(math.pi / 2)
    assert mirror_pose(Pose(1.0, 2.0, 0.3)) == Pose(1.0, -2.0, -0.3)
    assert set_down(Pose(0.0, 0.0, math.pi / 2), 1.0, 0.0) == pytest.approx((0.0, 1.0))
