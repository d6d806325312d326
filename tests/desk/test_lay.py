"""Each way of the draft unit has one pen, wherever it is asked for: head for the flow, place for the picture."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stockproof.logic.rig import MAXIMAL, plant_of
from stockproof.plant.model import ZoneKind
from stockproof.proof.machine import draft_pen_places, pens_of_ways
from stockproof.proof.rehearsal.lay import lay_of
from stockproof.proof.rehearsal.pieces import side_of
from stockproof.yard import draft_pens_by_side, quantities
from stockproof.yard.model import Side
from tests.yard.sample import MACHINE, ask, laid_out

#: From the left: what the plant calls its ways, and the pens they lead to where the second side way lies left or right.
RULE = {
    2: (("left", "right"), ({"left", "ahead"}, {"ahead", "right"})),
    3: (("left", "straight", "right"), ({"left", "ahead", "right"},) * 2),
    4: (
        ("left", "straight", "right_left", "right_right"),
        ({"left back", "left", "ahead", "right"}, {"left", "ahead", "right", "right back"}),
    ),
    5: (
        ("left", "straight", "right_left", "right_straight", "right_right"),
        ({"left back", "left", "ahead", "right", "right back"},) * 2,
    ),
}
ORDER = ("left back", "left", "ahead", "right", "right back")


@pytest.mark.parametrize("ways", RULE)
@pytest.mark.parametrize("operator_side", ["left", "right"])
def test_flow_and_picture_lead_each_way_to_the_same_pen(ways: int, operator_side: Side) -> None:
    machine = replace(MACHINE, ways=ways)
    yard = laid_out(replace(ask(machine=machine, families=("straight",)), operator_side=operator_side))
    plant = plant_of(replace(MAXIMAL, ways=ways))
    names, pens = RULE[ways]
    assert [z.name for z in plant.zones if z.kind == ZoneKind.WAY] == [f"way_{name}" for name in names]
    sides = pens_of_ways(draft_pens_by_side(yard), plant)
    assert set(sides.values()) in pens
    assert list(sides.values()) == sorted(sides.values(), key=ORDER.index)
    places, lay = draft_pen_places(quantities(yard), plant), lay_of(yard, plant)
    assert [head for _, head in lay.pens] == [places[f"way_{name}"] for name in names]
    for (ring, _), side in zip(lay.pens, sides.values(), strict=True):
        assert side_of(ring) == {"left": -1.0, "ahead": 0.0, "right": 1.0}[side.partition(" ")[0]]
