"""The limits themselves, against bounds worked out by hand for one animal: a beef cow of 540 kg.

By the laws of `classes.toml`: withers 0.96 * 1.010 * (540/167.2)**0.242 = 1.2877 m, neck 0.47 * (540/657)**0.298 =
0.4433 m. By the allowances: 40 mm beside hips and shoulders, 200 mm over the withers, half the neck behind the bail,
a squeeze that closes to 0.95, a jaw at 0.8 of the withers at rest and level with them raised, turning from 0.55.
"""

from __future__ import annotations

import numpy as np
import pytest

from stockproof.fit.limits import Limit, animals_of, build_limits
from stockproof.fit.tables import allowances
from tests.fit.support import changed, first_of, installed
from tests.herd.support import brief_of, mob_of

COW = np.array([540.0])
WITHERS, NECK = 1.2877, 0.4433
ALL_DONE = ('tasks = ["inject_neck", "pour_on"]', 'tasks = ["dehorn", "castrate", "weigh"]')


def limits_of(kind: str, **attributes: float) -> dict[str, Limit]:
    item = changed(first_of(kind), **attributes)
    mob = mob_of("cow", 540.0)
    animals = animals_of(installed([item], brief_of(ALL_DONE)), mob, allowances())
    return {limit.code: limit for limit in build_limits([item], None, animals)}


BOUNDS = [
    ("crush_body", {"inside_width_m": 0.75}, "crush.hips", "hip_width", 0.71),
    ("crush_body", {"inside_width_m": 0.75}, "crush.shoulders", "shoulder_width", 0.71),
    ("crush_body", {"inside_width_m": 0.75}, "crush.belly", "belly_width", 0.75),
    ("crush_body", {"inside_width_m": 0.77}, "crush.turn_round", "body_length", 1.40),
    ("crush_body", {"inside_length_m": 2.0}, "crush.length", "body_length", 2.0 - NECK / 2),
    ("crush_body", {"inside_height_m": 1.75}, "crush.height", "withers_height", 1.55),
    ("crush_body", {"animal_capacity_kg": 900.0}, "crush.capacity", "weight", 900.0),
    ("entry_gate", {"clear_height_m": 1.75}, "entry.height", "withers_height", 1.55),
    ("head_bail", {"open_width_m": 0.70}, "bail.hips", "hip_width", 0.66),
    ("head_bail", {"clear_height_m": 1.60}, "bail.height", "withers_height", 1.60),
    ("head_bail", {"neck_min_m": 0.10}, "bail.neck_least", "neck_width", 0.10),
    ("head_bail", {"neck_max_m": 0.25}, "bail.neck_most", "neck_width", 0.25),
    ("squeeze", {"width_min_m": 0.38}, "squeeze.holds", "belly_width", 0.40),
    ("squeeze", {"width_max_m": 0.80}, "squeeze.hips", "hip_width", 0.76),
    ("head_lift", {"height_min_m": 0.60}, "lift.low", "withers_height", 0.75),
    ("head_lift", {"height_max_m": 1.50}, "lift.high", "withers_height", 1.50),
    ("weigh_platform", {"platform_length_m": 2.2}, "platform.length", "foot_length", 2.2),
    ("draft_unit", {"clear_width_m": 0.70}, "draft.belly", "belly_width", 0.70),
    ("race_part", {"clear_width_m": 0.40, "clear_width_top_m": 0.70}, "race.floor", "stance_width", 0.40),
    # hips at 0.95, belly at 0.55 of the withers, between 0.40 m at the floor and 0.70 m at 1.2 m height
    (
        "race_part",
        {"clear_width_m": 0.40, "clear_width_top_m": 0.70},
        "race.hips",
        "hip_width",
        0.40 + 0.30 * 0.95 * WITHERS / 1.2 - 0.04,
    ),
    (
        "race_part",
        {"clear_width_m": 0.40, "clear_width_top_m": 0.70},
        "race.turn_round",
        "body_length",
        (0.40 + 0.30 * 0.55 * WITHERS / 1.2) / 0.55,
    ),
]
AT_LEAST = {"bail.neck_least", "squeeze.holds", "lift.low", "crush.turn_round", "race.turn_round"}


@pytest.mark.parametrize(("kind", "attributes", "code", "measure", "bound"), BOUNDS, ids=[row[2] for row in BOUNDS])
def test_bounds_by_hand(kind: str, attributes: dict[str, float], code: str, measure: str, bound: float) -> None:
    limit = limits_of(kind, **attributes)[code]
    assert limit.measure == measure
    assert float(limit.bound(COW)[0]) == pytest.approx(bound, abs=2e-4)
    assert limit.at_most == (code not in AT_LEAST)
    assert limit.counts


def test_items_that_animals_never_pass_set_no_limit() -> None:
    for kind in ("power_pack", "accumulator", "controller", "control_point", "tag_reader", "rear_access_gate"):
        assert limits_of(kind) == {}


def test_a_squeeze_keeps_small_animals_from_turning_in_the_crush() -> None:
    mob = mob_of("calf", 120.0)
    crush, squeeze = first_of("crush_body"), first_of("squeeze")
    animals = animals_of(installed([crush]), mob, allowances())
    alone, squeezed = (
        next(limit for limit in build_limits(items, None, animals) if limit.code == "crush.turn_round")
        for items in ([crush], [crush, squeeze])
    )
    assert float(squeezed.bound(COW)[0]) < float(alone.bound(COW)[0])
