"""Shares that fit: between nought and one, agreeing with animals drawn one by one, and never worse in a wider part."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof import fit
from stockproof.fit.limits import Limit, animals_of, build_limits, clear_width_m
from stockproof.fit.shares import animal_at, share_passing, share_passing_all
from stockproof.fit.tables import allowances
from stockproof.herd import WEIGHT, MobSizes
from tests.fit.support import changed, first_of, installed
from tests.herd.support import mob_of

# Kind, attribute, and the check that must not get worse when the attribute grows.
WIDER = [
    ("crush_body", "inside_width_m", "crush.hips"),
    ("crush_body", "inside_length_m", "crush.length"),
    ("crush_body", "inside_height_m", "crush.height"),
    ("crush_body", "animal_capacity_kg", "crush.capacity"),
    ("entry_gate", "clear_width_m", "entry.belly"),
    ("entry_gate", "clear_height_m", "entry.height"),
    ("head_bail", "open_width_m", "bail.shoulders"),
    ("head_bail", "neck_max_m", "bail.neck_most"),
    ("squeeze", "width_max_m", "squeeze.hips"),
    ("head_lift", "height_max_m", "lift.high"),
    ("slide_gate", "clear_width_m", "slide.hips"),
    ("draft_unit", "clear_width_m", "draft.hips"),
    ("weigh_platform", "capacity_kg", "platform.capacity"),
    ("weigh_platform", "platform_length_m", "platform.length"),
    ("race_part", "clear_width_m", "race.floor"),
    ("race_part", "clear_width_top_m", "race.hips"),
]
# And the ones that must not get better: what is wider or higher lets small animals through.
NARROWER = [
    ("head_bail", "neck_min_m", "bail.neck_least"),
    ("squeeze", "width_min_m", "squeeze.holds"),
    ("head_lift", "height_min_m", "lift.low"),
    ("race_part", "clear_width_top_m", "race.turn_round"),
]


def share_of(kind: str, code: str, mob: MobSizes, **attributes: float) -> float:
    installation = installed([changed(first_of(kind), **attributes)])
    limits = build_limits([c.item for c in installation.build], None, animals_of(installation, mob, allowances()))
    return share_passing(mob, next(limit for limit in limits if limit.code == code))


SIZE = st.floats(0.05, 3.0)


@pytest.mark.parametrize(("kind", "attribute", "code"), WIDER)
@given(SIZE, st.floats(0, 1), st.sampled_from(["weaner", "cow", "bull"]))
@settings(max_examples=8, deadline=None)
def test_a_wider_part_never_lowers_the_share(
    kind: str, attribute: str, code: str, size: float, more: float, stock: str
) -> None:
    unit = 400 if attribute.endswith("_kg") else 1
    mob = mob_of(stock, 400.0)
    small = share_of(kind, code, mob, **{attribute: size * unit})
    large = share_of(kind, code, mob, **{attribute: (size + more) * unit})
    assert 0 <= small <= large <= 1


@pytest.mark.parametrize(("kind", "attribute", "code"), NARROWER)
@given(SIZE, st.floats(0, 1))
@settings(max_examples=8, deadline=None)
def test_a_looser_part_never_raises_the_share(kind: str, attribute: str, code: str, size: float, more: float) -> None:
    mob = mob_of("weaner", 220.0)
    tight = share_of(kind, code, mob, **{attribute: size})
    loose = share_of(kind, code, mob, **{attribute: size + more})
    assert 0 <= loose <= tight <= 1


def whole_line(mob: MobSizes) -> tuple[Limit, ...]:
    kinds = ("crush_body", "entry_gate", "head_bail", "squeeze", "slide_gate", "draft_unit", "race_part")
    installation = installed([first_of(kind) for kind in kinds])
    return build_limits([c.item for c in installation.build], None, animals_of(installation, mob, allowances()))


@pytest.mark.parametrize(("stock", "mean"), [("calf", 90.0), ("weaner", 210.0), ("cow", 620.0), ("bull", 880.0)])
def test_the_share_everywhere_agrees_with_animals_drawn_one_by_one(stock: str, mean: float) -> None:
    mob = mob_of(stock, mean, 0.12)
    limits = whole_line(mob)
    drawn = mob.sample(np.random.default_rng(23), 20_000)
    passing = np.ones(20_000, dtype=bool)
    for limit in limits:
        bound, size = limit.bound(drawn[WEIGHT]), drawn[limit.measure]
        passes = size <= bound if limit.at_most else size >= bound
        # 20,000 draws: one standard error is at most 0.0036
        assert share_passing(mob, limit) == pytest.approx(float(np.mean(passes)), abs=0.015), limit.code
        passing &= passes | (not limit.counts)
    assert share_passing_all(mob, limits) == pytest.approx(float(np.mean(passing)), abs=0.015)


def test_the_share_everywhere_is_below_each_share() -> None:
    mob = mob_of("cow", 640.0)
    limits = whole_line(mob)
    assert share_passing_all(mob, limits) <= min(share_passing(mob, limit) for limit in limits if limit.counts) + 1e-9


def test_nothing_to_pass_is_passed_by_all() -> None:
    assert share_passing_all(mob_of("cow", 540.0), ()) == 1.0


def test_the_margin_is_nought_where_the_animal_just_fits() -> None:
    mob = mob_of("cow", 540.0)
    hips = mob.percentile("hip_width", 0.95)
    clearance = allowances()["hip_clearance"]
    installation = installed([changed(first_of("slide_gate"), clear_width_m=hips + clearance)])
    limits = build_limits([c.item for c in installation.build], None, animals_of(installation, mob, allowances()))
    limit = next(each for each in limits if each.code == "slide.hips")
    assert animal_at(mob, limit, 0.95).margin == pytest.approx(0, abs=2e-6)
    assert share_passing(mob, limit) == pytest.approx(0.95, abs=1e-4)


def test_a_sloped_side_leaves_more_the_higher_one_looks() -> None:
    # Arkansas extension, mature cattle: 16 in at the floor, 28 in at 4 ft; half way up, the mean of the two
    assert clear_width_m(0.4064, 0.7112, 0.6096, 1.2192) == pytest.approx(0.5588)
    mob = mob_of("cow", 540.0)
    race = first_of("race_part", sides="sloped")
    straight = changed(race, clear_width_m=getattr(race, "clear_width_top_m"))  # noqa: B009
    turning = {}
    for name, item in (("sloped", race), ("straight", straight)):
        installation = installed([item])
        limits = build_limits([item], None, animals_of(installation, mob, allowances()))
        turning[name] = share_passing(mob, next(limit for limit in limits if limit.code == "race.turn_round"))
    assert turning["sloped"] >= turning["straight"]


def test_race_head() -> None:
    # Irish advice: a 9 m race holds 5 or 6 adult cattle
    assert fit.race_head(9.0, 1.7) == 5
    assert fit.race_head(9.0, 1.5) == 6
