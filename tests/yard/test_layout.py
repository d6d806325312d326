"""Layouts on sites that are open, bent, narrow, small, occupied or too small; parts fixed, moved and resized."""

import math
from dataclasses import replace

import pytest
import shapely

from stockproof.errors import InputError
from stockproof.yard import Yard, YardAsk, check, draft_pens_by_side
from stockproof.yard.draft_pens import way_names
from stockproof.yard.families import FAMILIES
from stockproof.yard.model import Fix, ForcingAsk, Move, RaceAsk, Resize
from tests.yard.sample import MACHINE, SHED, ask, findings, laid_out, site


def lies_well(yard: Yard) -> None:
    """Nothing over anything else, everything inside and off what stands there."""
    shapes = [shapely.Polygon(zone.ring) for zone in yard.zones]
    assert all(shape.is_valid for shape in shapes)
    whole = shapely.union_all(shapes)
    assert sum(shape.area for shape in shapes) == pytest.approx(whole.area, abs=0.05)
    boundary = shapely.Polygon(yard.ask.site.boundary)
    assert boundary.buffer(1e-6).covers(whole)
    for thing in yard.ask.site.existing:
        if thing.kind != "roof":
            assert whole.intersection(shapely.Polygon(thing.ring)).area < 1e-6


@pytest.mark.parametrize("name", ["open", "ell", "narrow", "small"])
def test_site_gets_a_layout_that_holds_the_mob(name: str) -> None:
    yard = laid_out(ask(name, families=("straight", "half", "half curved")))
    lies_well(yard)
    assert sum(zone.head for zone in yard.zones if zone.key.startswith("receiving")) == 80


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.key)
def test_every_family_can_be_laid_out_when_it_alone_is_wanted(family: object) -> None:
    key = family.key  # type: ignore[attr-defined]
    yard = laid_out(ask(families=(key,)))
    assert yard.family == key
    lies_well(yard)


@pytest.mark.parametrize("ways", [1, 2, 3, 4, 5])
def test_every_number_of_ways_has_its_pens(ways: int) -> None:
    machine = replace(MACHINE, ways=ways)
    yard = laid_out(ask(machine=machine, families=("straight",)))
    lies_well(yard)
    pens = {zone.key for zone in yard.zones if zone.kind == "draft pen"}
    assert pens == {f"draft pen {way}" for way in way_names(ways, True)}
    exits = {gate.between[0] for gate in yard.gates if gate.kind == "exit gate"}
    assert exits == pens


def test_existing_shed_is_kept_clear() -> None:
    yard = laid_out(ask(site=site(existing=(SHED,)), families=("straight", "quarter")))
    lies_well(yard)


def test_small_site_makes_the_long_families_step_back() -> None:
    yard = laid_out(ask("small", families=("straight", "half", "half curved")))
    told = {rank.family: rank for rank in yard.ranking}
    assert not told["straight"].fits
    assert "does not fit the free ground" in told["straight"].reason
    assert yard.family in ("half", "half curved")


def test_hopeless_site_is_refused_with_what_it_would_take() -> None:
    with pytest.raises(InputError, match=r"^no layout for 80 head of cows fits the site\n    got: 625 m2"):
        laid_out(ask("tiny", families=("straight", "half")))


def test_ranking_is_in_order_and_gives_reasons() -> None:
    ranking = laid_out(ask(families=("straight", "quarter", "half", "curved"))).ranking
    scores = [rank.score for rank in ranking if rank.fits]
    assert scores == sorted(scores)
    assert len(scores) == 4
    assert all(rank.reason for rank in ranking)


def test_operator_side_is_kept() -> None:
    for side, left in (("left", 1.0), ("right", -1.0)):
        yard = laid_out(ask(operator_side=side, families=("straight",)))
        stand = yard.spot("crush operator").at
        dx, dy = stand[0] - yard.crush.x, stand[1] - yard.crush.y
        across = -dx * math.sin(yard.crush.heading) + dy * math.cos(yard.crush.heading)
        assert math.copysign(1.0, across) == left


@pytest.mark.parametrize("side", ["left", "right"])
def test_two_ways_draft_to_the_wanted_side(side: str) -> None:
    machine = replace(MACHINE, ways=2)
    yard = laid_out(ask(machine=machine, draft_side=side, operator_side="left", families=("straight",)))
    pen = next(zone for zone in yard.zones if zone.kind == "draft pen" and "ahead" not in zone.key)
    middle = shapely.Polygon(pen.ring).centroid
    across = -(middle.x - yard.crush.x) * math.sin(yard.crush.heading)
    across += (middle.y - yard.crush.y) * math.cos(yard.crush.heading)
    assert (across > 0) is (side == "left")


def test_race_and_forcing_pen_of_the_build_bind_the_families() -> None:
    yard = laid_out(ask(race=RaceAsk(("straight",), 9.0, 0.7), forcing=ForcingAsk(("half circle",), 3.5)))
    assert [rank.family for rank in yard.ranking] == ["half"]
    assert yard.size("race_width") == 0.7
    assert yard.size("forcing_radius") == 3.5


@pytest.mark.parametrize("side", ["left", "right"])
def test_draft_pens_hold_their_share_counted_from_the_left(side: str) -> None:
    yard = laid_out(ask(operator_side=side, draft_shares=(0.15, 0.6, 0.25), draft_hold_share=1.0))
    wanted = [math.ceil(share * yard.ask.mob.head - 1e-9) for share in (0.15, 0.6, 0.25)]
    pens = draft_pens_by_side(yard)
    assert all(pens[key].head >= head for key, head in zip(("left", "ahead", "right"), wanted, strict=True))
    judged = {finding.part: finding.limit for finding in check(yard) if finding.code == "Y104"}
    assert [judged[pens[key].key] for key in ("left", "ahead", "right")] == wanted


def test_contradicting_wishes_are_refused() -> None:
    with pytest.raises(InputError, match="no layout family goes with this race"):
        laid_out(ask(families=("curved",), race=RaceAsk(("straight",), 9.0)))
    with pytest.raises(InputError, match="is no guide of the table"):
        laid_out(ask(guide="arcansas"))
    with pytest.raises(InputError, match="draft shares do not match"):
        laid_out(ask(draft_shares=(0.5, 0.5)))
    with pytest.raises(InputError, match="'bulls' is no mob"):
        laid_out(ask(held="bulls"))
    crossed = ((0.0, 0.0), (50.0, 50.0), (50.0, 0.0), (0.0, 50.0))
    with pytest.raises(InputError, match="no usable piece of ground"):
        laid_out(ask(site=site(boundary=crossed)))


def test_six_ways_are_refused() -> None:
    with pytest.raises(InputError, match=r"6 ways cannot be laid out"):
        laid_out(ask(machine=replace(MACHINE, ways=6)))


def test_fixed_crush_stands_where_it_was_put() -> None:
    fixed = ask(fix=Fix(40.0, 30.0, math.radians(90.0)), families=("straight",))
    yard = laid_out(fixed)
    assert (yard.crush.x, yard.crush.y, yard.crush.heading) == pytest.approx((40.0, 30.0, 0.0))
    assert all(finding.verdict == "met" for finding in findings(fixed, "Y107"))


def test_crush_fixed_at_the_boundary_is_told_off_not_refused() -> None:
    fixed = ask(fix=Fix(1.0, 1.0, math.radians(90.0)), families=("straight",))
    wrong = [finding for finding in findings(fixed, "Y107") if finding.verdict == "not met"]
    assert wrong
    assert "outside the free ground" in wrong[0].what


def test_moved_pen_is_told_off_for_what_it_then_lies_over() -> None:
    yard = laid_out(ask(families=("straight",)))
    (x0, y0), (x1, y1) = yard.zone("draft pen far").ring[0], yard.zone("draft pen near").ring[0]
    moved = ask(families=("straight",), moves=(Move("draft pen far", (x1 - x0) / 2 + 0.5, (y1 - y0) / 2 + 0.5),))
    assert "not met" in {finding.verdict for finding in findings(moved, "Y107")}
    off = [finding for finding in findings(moved, "Y302") if finding.verdict == "not met"]
    assert any("draft pen far" in finding.what for finding in off)


def test_moved_power_pack_is_where_it_was_moved_to() -> None:
    plain, moved = ask(families=("straight",)), ask(families=("straight",), moves=(Move("power pack", 1.0, -2.0),))
    (x0, y0), (x1, y1) = laid_out(plain).spot("power pack").at, laid_out(moved).spot("power pack").at
    assert (x1 - x0, y1 - y0) == pytest.approx((1.0, -2.0))


def test_moving_what_is_not_there_names_the_nearest_part() -> None:
    with pytest.raises(InputError, match="did you mean 'power pack'"):
        laid_out(ask(families=("straight",), moves=(Move("powr pack", 1.0, 0.0),)))


def test_sizing_what_is_no_pen_names_the_nearest_pen() -> None:
    with pytest.raises(InputError, match="no pen of the yard is called 'receiving pen l'"):
        laid_out(ask(families=("straight",), resizes=(Resize("receiving pen l", 40.0),)))
    with pytest.raises(InputError, match="no pen of the yard is called 'race'"):
        laid_out(ask(families=("straight",), resizes=(Resize("race", 40.0),)))


def test_a_build_without_a_race_takes_the_guides_length() -> None:
    yard = laid_out(ask(race=RaceAsk()))
    assert yard.race_length_m == yard.size("race_length") > 3.0


def test_pen_resized_too_small_is_told_off() -> None:
    resized = ask(families=("straight",), resizes=(Resize("receiving pen 1", 40.0),))
    pen = laid_out(resized).zone("receiving pen 1")
    assert pen.area_m2 == pytest.approx(40.0)
    assert [finding.verdict for finding in findings(resized, "Y101")] == ["not met"]


def test_a_pen_sized_by_hand_leaves_the_others_as_they_are() -> None:
    plain, sized = ask(families=("straight", "half")), 40.0
    before = laid_out(plain)
    after = laid_out(replace(plain, resizes=(Resize("receiving pen 1", sized),)))
    assert after.family == before.family
    assert {zone.key for zone in after.zones} == {zone.key for zone in before.zones}
    for zone in before.zones:
        if zone.kind in ("pen", "draft pen", "sick pen"):
            area = sized if zone.key == "receiving pen 1" else zone.area_m2
            assert after.zone(zone.key).area_m2 == pytest.approx(area)
    assert [rank.family for rank in after.ranking] == [rank.family for rank in before.ranking]


def test_a_pen_sized_too_large_for_the_site_is_refused_by_name() -> None:
    with pytest.raises(InputError, match=r"as they are sized by hand\n    got: receiving pen 1 900 m2"):
        laid_out(ask("small", families=("half",), resizes=(Resize("receiving pen 1", 900.0),)))


def test_pens_off_the_ground_hold_what_floor_they_are_left_with() -> None:
    fixed = ask(fix=Fix(1.0, 1.0, math.radians(90.0)), families=("straight",))
    yard = laid_out(fixed)
    free = shapely.Polygon(yard.ask.site.boundary)
    pens = [zone for zone in yard.zones if zone.key.startswith("receiving pen")]
    left = [shapely.Polygon(zone.ring).intersection(free).area for zone in pens]
    held = sum(min(zone.head, int(area / yard.size("holding_area"))) for zone, area in zip(pens, left, strict=True))
    assert held < 80
    assert [finding.measured for finding in findings(fixed, "Y101")] == [held]
    assert "not met" in {finding.verdict for finding in findings(fixed, "Y102")}


def test_large_draft_pens_are_drawn_so_narrow_that_a_way_out_is_in_reach() -> None:
    """Three of four go to one pen; in the middle of a square one of 280 m2 a person is 8 m from every fence."""
    wanted = ask(
        machine=replace(MACHINE, ways=2),
        mobs=(replace(ask().mob, head=240),),
        draft_shares=(0.25, 0.75),
        draft_hold_share=1.0,
        families=("straight",),
    )
    far = max(laid_out(wanted).zones, key=lambda zone: zone.area_m2 if zone.kind == "draft pen" else 0.0)
    assert math.sqrt(far.area_m2) > 12.0
    assert {finding.verdict for finding in findings(wanted, "Y401") if finding.part == far.key} == {"met"}


def test_draft_pens_shrink_before_the_mob_is_turned_away_and_say_so() -> None:
    wanted = ask("small", mobs=(replace(ask().mob, head=95),), families=("half",))
    assert laid_out(wanted).size("draft_hold_share") == 0.5
    assert {finding.verdict for finding in findings(wanted, "Y104")} == {"not met"}
    assert {finding.verdict for finding in findings(wanted, "Y101")} == {"met"}


def test_roof_draws_the_crush_under_it() -> None:
    roof = replace(SHED, kind="roof", name="open roof", ring=((50.0, 30.0), (66.0, 30.0), (66.0, 44.0), (50.0, 44.0)))
    yard = laid_out(ask(site=site(existing=(roof,)), families=("straight",)))
    at = shapely.Point(yard.crush.x + math.cos(yard.crush.heading), yard.crush.y + math.sin(yard.crush.heading))
    assert shapely.Polygon(roof.ring).buffer(0.01).covers(at)


def test_same_ask_gives_the_same_yard() -> None:
    from stockproof.yard import lay_out

    wanted: YardAsk = ask("ell", families=("quarter", "curved"))
    assert lay_out(wanted) == laid_out(wanted)


@pytest.mark.deep
def test_most_head_is_what_still_fits() -> None:
    from stockproof.yard import lay_out, most_head

    wanted = ask("small", families=("half",), truck=None, bypass=False, draft_hold_share=0.5)
    most = most_head(wanted)
    assert most > 80
    lay_out(replace(wanted, mobs=(replace(wanted.mob, head=most),)))
    with pytest.raises(InputError, match="fits the site"):
        lay_out(replace(wanted, mobs=(replace(wanted.mob, head=most + 1),)))
