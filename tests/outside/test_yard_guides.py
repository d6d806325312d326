"""Yard sizes against published guides, areas against closed forms, and layouts on sites nobody chose.

Feet and inches by the NIST factors 0.3048 and 0.0254.
"""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stockproof.errors import InputError
from stockproof.yard import Yard, lay_out
from stockproof.yard.assemble import race_places
from stockproof.yard.families import FAMILIES
from stockproof.yard.forcing import forcing_pen
from stockproof.yard.formulas import forcing_area_needed, forcing_pen_area, funnel_length, race_pitch, ramp_length
from stockproof.yard.guides import GUIDES, find, read_guides
from stockproof.yard.model import Gateway, Held, MachineAsk, RaceAsk, SiteAsk, Truck, YardAsk
from stockproof.yard.sizes import holding_space, read_sizes

FT2, INCH = 0.3048**2, 0.0254

#: University of Arkansas, Cooperative Extension, "Beef Cattle Handling Facilities", table of dimensions: columns
#: calves to 600 lb, growing and yearling, mature.
ARKANSAS = {
    "holding_area": ((14, 17, 20), FT2),
    "crowding_area": ((6, 10, 12), FT2),
    "race_width": ((18, 22, 26), INCH),
    "race_width_floor": ((15, 15, 16), INCH),
    "race_width_sloped_top": ((20, 24, 28), INCH),
}


@pytest.mark.parametrize("quantity", ARKANSAS)
@pytest.mark.parametrize(("column", "weight_kg"), [(0, 220.0), (1, 420.0), (2, 600.0)])
def test_arkansas_table(quantity: str, column: int, weight_kg: float) -> None:
    printed, factor = ARKANSAS[quantity]
    value = find(quantity, weight_kg, "arkansas", "least", "").value
    assert value == pytest.approx(printed[column] * factor, abs=0.005)


def test_arkansas_single_values() -> None:
    """Fence 60-72 in, gates 10 ft, posts 36-48 in deep, sick pen 40-50 ft2: same page."""
    for quantity, use, printed, factor in (
        ("fence_height", "least", 60, INCH),
        ("fence_height", "most", 72, INCH),
        ("lane_width", "least", 120, INCH),
        ("post_depth", "least", 36, INCH),
        ("post_depth", "most", 48, INCH),
        ("sick_area", "least", 40, FT2),
        ("sick_area", "most", 50, FT2),
    ):
        value = find(quantity, 600.0, "arkansas", use, "").value  # type: ignore[arg-type]
        assert value == pytest.approx(printed * factor, abs=0.06)


def test_band_edge_is_600_pounds() -> None:
    edge = 600 * 0.45359237
    assert find("holding_area", edge - 0.5, "arkansas", "least", "").value == 1.30
    assert find("holding_area", edge + 0.5, "arkansas", "least", "").value == 1.58


def test_guides_disagree_about_a_grown_cow_s_race_and_none_is_averaged() -> None:
    """660 mm (Arkansas), 675 (Australian), 700-750 (Irish), 760-800 (breeder manual)."""
    picked = {
        guide: find("race_width", 650.0, guide, "least", "") for guide in ("arkansas", "australia", "ireland", "manual")
    }
    assert [used.value for used in picked.values()] == [0.660, 0.675, 0.70, 0.76]
    assert [used.guide for used in picked.values()] == list(picked)


def test_guide_that_is_silent_is_stood_in_for_by_name() -> None:
    assert find("race_width", 150.0, "ireland", "least", "").guide == "arkansas"
    assert find("holding_area", 600.0, "grandin", "least", "").guide == "arkansas"


def test_cow_with_calf_takes_the_irish_pair_figure() -> None:
    """2.3 to 2.75 m2 a pair (Irish advisory text, secondary)."""
    cow = Held("pairs", "cow_with_calf", 40, 600.0, 700.0, 500.0, 2.4, 0.55, with_calf=True)
    assert holding_space(cow, "ireland").value == 2.75


def test_what_is_recalled_or_assumed_is_never_marked_seen() -> None:
    guides, rows = read_guides()
    for key, status in (
        ("mwps", "from memory"),
        ("memory", "from memory"),
        ("house", "assumed"),
        ("ireland", "secondary"),
    ):
        assert guides[key].status == status
    assert {row.guide for row in rows} <= set(GUIDES)
    assert find("pass_width", 500.0, "arkansas", "least", "").status == "from memory"


def test_nine_metres_of_race_hold_five_adult_cattle() -> None:
    """Irish advisory text: 9 m holds 5 to 6 adult cattle."""
    cow = Held("cows", "cow", 60, 600.0, 680.0, 520.0, 2.4, 0.55)
    machine = MachineAsk(2.5, 1.8, 0.75, 2.0, 800.0)
    site = SiteAsk(((0.0, 0.0), (90.0, 0.0), (90.0, 60.0), (0.0, 60.0)), 0.0, 0.0, ())
    wanted = YardAsk("nine", (cow,), "cows", machine, site, "ireland", race=RaceAsk(length_m=9.0))
    assert race_places(read_sizes(wanted)) == 5
    assert race_pitch(1.5, 600.0) * 6 == pytest.approx(9.0)


def test_australian_ramp_for_a_rise_of_1200_mm() -> None:
    """3.5 to 4.6 m long for 1.2 m rise: 14.6 to 18.9 degrees if that is plan length."""
    assert ramp_length(1.2, math.radians(18.92)) == pytest.approx(3.5, abs=0.01)
    assert ramp_length(1.2, math.radians(14.62)) == pytest.approx(4.6, abs=0.01)


def test_half_circle_of_twelve_feet_in_closed_form() -> None:
    """Half disc of 3.6 m and the funnel's trapezium."""
    funnel = 0.5 * (3.6 + 0.66) * (3.6 - 0.66) / math.tan(math.radians(30))
    assert forcing_pen_area(3.6, 0.66, math.radians(30), math.pi, 0.0) == pytest.approx(0.5 * math.pi * 3.6**2 + funnel)
    assert funnel_length(3.6, 0.66, math.radians(30)) == pytest.approx(5.092, abs=1e-3)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.key)
def test_drawn_forcing_pen_has_its_closed_form_area(family: object) -> None:
    cow = Held("cows", "cow", 60, 600.0, 680.0, 520.0, 2.4, 0.55)
    machine = MachineAsk(2.5, 1.8, 0.75, 2.0, 800.0)
    site = SiteAsk(((0.0, 0.0), (90.0, 0.0), (90.0, 60.0), (0.0, 60.0)), 0.0, 0.0, ())
    sizes = read_sizes(YardAsk("f", (cow,), "cows", machine, site, "arkansas", race=RaceAsk(length_m=14.0)))
    part, _ = forcing_pen(family, sizes, 6)  # type: ignore[arg-type]
    sweep = family.sweep_rad  # type: ignore[attr-defined]
    needed = forcing_area_needed(6, 1.11, 0.5)
    plain = forcing_pen_area(3.6, sizes["race_width"], math.radians(30), sweep, 0.0)
    expected = max(plain, needed) if sweep == 0.0 else plain
    # chords of 5 degrees take 0.13 % off the sector
    assert part.zones[0].area_m2 == pytest.approx(expected, rel=2e-3)


# random sites and mobs ---------------------------------------------------------------------------


@st.composite
def sites(draw: st.DrawFn) -> tuple[tuple[float, float], ...]:
    """Rectangles, some with a corner cut out, some sheared."""
    wide, deep = draw(st.floats(25.0, 110.0)), draw(st.floats(25.0, 90.0))
    shear = draw(st.sampled_from([0.0, 0.0, 8.0]))
    if draw(st.booleans()):
        cut_x, cut_y = draw(st.floats(0.2, 0.6)) * wide, draw(st.floats(0.2, 0.6)) * deep
        return (
            (0.0, 0.0),
            (wide, 0.0),
            (wide, deep - cut_y),
            (wide - cut_x, deep - cut_y),
            (wide - cut_x, deep),
            (0.0, deep),
        )
    return ((0.0, 0.0), (wide, 0.0), (wide + shear, deep), (shear, deep))


@st.composite
def asks(draw: st.DrawFn) -> YardAsk:
    mean = draw(st.floats(120.0, 750.0))
    mob = Held(
        "mob", "cow", draw(st.integers(5, 160)), mean, mean * 1.15, mean * 0.85, 2.4 * (mean / 600) ** (1 / 3), 0.5
    )
    machine = MachineAsk(2.6, draw(st.floats(1.0, 2.0)), 0.8, 2.1, 900.0, 2.4, 1.2, draw(st.integers(1, 5)))
    ring = draw(sites())
    site = SiteAsk(
        ring, draw(st.floats(0.0, 0.1)), draw(st.floats(0.0, 6.2)), (Gateway("gate", ring[0], 5.0, ("stock", "truck")),)
    )
    return YardAsk(
        "random",
        (mob,),
        "mob",
        machine,
        site,
        draw(st.sampled_from(["arkansas", "ireland", "manual"])),
        race=RaceAsk(length_m=draw(st.floats(6.0, 16.0))),
        operator_side=draw(st.sampled_from(["left", "right"])),
        bypass=draw(st.booleans()),
        truck=draw(st.sampled_from([None, Truck(9.0, 2.5, 10.0, 1.2)])),
        families=(draw(st.sampled_from([family.key for family in FAMILIES])),),
    )


def _lies_well(yard: Yard) -> None:
    shapes = [shapely.Polygon(zone.ring) for zone in yard.zones]
    whole = shapely.union_all(shapes)
    assert sum(shape.area for shape in shapes) == pytest.approx(whole.area, abs=0.05)
    assert shapely.Polygon(yard.ask.site.boundary).buffer(1e-6).covers(whole)
    assert sum(zone.head for zone in yard.zones if zone.key.startswith("receiving")) == yard.ask.mob.head


def _lay_out_or_refuse(wanted: YardAsk) -> None:
    yard, told = None, ""
    try:
        yard = lay_out(wanted)
    except InputError as refusal:
        told = str(refusal)
    if yard is None:
        assert "fits the site" in told
        assert "mend:" in told
    else:
        _lies_well(yard)


@given(asks())
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_random_sites_and_mobs(wanted: YardAsk) -> None:
    """No overlap, all inside the boundary, the whole mob held; or a clear refusal."""
    _lay_out_or_refuse(wanted)


@pytest.mark.deep
@given(asks())
@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_many_random_sites_and_mobs(wanted: YardAsk) -> None:
    """The same at length."""
    _lay_out_or_refuse(wanted)
