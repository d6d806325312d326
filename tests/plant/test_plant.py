"""The plant table: laid out from parts, compiled, refused where a description names nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stockproof.errors import InputError, Place
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, plant_of
from stockproof.netlist.kernel import fresh, scan
from stockproof.plant import Line, Plant, compile_plant, describe
from stockproof.plant.compile import DescribedMotion, DescribedPart, DescribedSensor
from stockproof.plant.line import ways_of
from stockproof.plant.model import PartKind, Position, SpaceKind, TruthKind

ENTRY = DescribedPart("entry", "the entry gate", PartKind.GATE, rest=Position.CLOSED)
LINE = Line(20, 5, (ENTRY,), (DescribedMotion("entry", "open", 1.0), DescribedMotion("entry", "close", 1.0)))


def sees(plant: Plant, sensor: str, *facts: str) -> tuple[bool, bool]:
    """What a sensor surely sees, and whether it is unsure, while exactly these facts are true."""
    values = fresh(plant.truth)
    for truth, node in zip(plant.truths, plant.truth_node, strict=True):
        values[node] = np.uint64(truth.name in facts)
    scan(plant.truth.op, plant.truth.a, plant.truth.b, values)
    found = next(s for s in plant.sensors if s.name == sensor)
    return bool(values[found.sure] & np.uint64(1)), bool(values[found.unsure] & np.uint64(1))


def test_the_line_runs_from_the_pen_to_the_yard() -> None:
    plant = compile_plant(describe(LINE))
    assert [zone.name for zone in plant.zones] == ["pen", "race", "crush", "out"]
    assert [(b.name, b.source, b.target) for b in plant.boundaries] == [
        ("mouth", 0, 1),
        ("entry", 1, 2),
        ("bail", 2, 3),
    ]
    assert plant.boundaries[1].needs == ((0, Position.OPEN),)
    assert plant.boundaries[2].needs == ()


def test_a_slide_gate_keeps_one_place_ready() -> None:
    plant = plant_of(MAXIMAL)
    ready = plant.zones[plant.zone_at("ready")]
    assert ready.places == 1
    assert plant.zones[plant.zone_at("race")].places == 3
    assert [z.name for z in plant.zones][-3:] == ["way_left", "way_straight", "way_right"]


@pytest.mark.parametrize("count", [2, 3, 4, 5])
def test_each_way_of_a_draft_unit_has_gate_positions_of_its_own(count: int) -> None:
    ways = ways_of(count)
    assert len(ways) == count
    assert len(set(ways.values())) == count


def test_a_beam_is_sure_of_an_animal_and_unsure_of_one_astride() -> None:
    beam = DescribedSensor("crush.occupied", "", "crush.occupied", "entry.astride OR bail.astride")
    plant = compile_plant(describe(replace(LINE, sensors=(beam,))))
    assert sees(plant, "crush.occupied", "crush.occupied") == (True, False)
    assert sees(plant, "crush.occupied", "crush.occupied", "entry.astride") == (True, True)
    assert sees(plant, "crush.occupied") == (False, False)


def test_a_sensor_sees_the_fact_of_its_own_name_if_nothing_is_said() -> None:
    plant = plant_of(SMALL)
    assert sees(plant, "entry.closed", "entry.closed") == (True, False)
    assert sees(plant, "entry.closed", "entry.opened") == (False, False)


def test_spaces_know_what_moves_within_reach_and_what_must_be_shut() -> None:
    spaces = {space.name: space for space in plant_of(MAXIMAL).spaces}
    plant = plant_of(MAXIMAL)
    assert spaces["rear"].kind == SpaceKind.WHOLE_BODY
    assert [plant.boundaries[b].name for b in spaces["rear"].shut_out_by] == ["entry"]
    assert [plant.motions[m].name for m in spaces["neck"].reached_by] == [
        "bail.close",
        "bail.open",
        "lift.lower",
        "lift.raise",
    ]
    assert "front" in {space.name for space in plant_of(SMALL).spaces}


def test_every_truth_has_one_input_and_kinds_are_numbered() -> None:
    plant = plant_of(MAXIMAL)
    assert len(plant.truths) == len(plant.truth.inputs) == len(plant.truth_kind)
    names = [truth.name for truth in plant.truths]
    assert len(set(names)) == len(names)
    assert {TruthKind(int(k)) for k in plant.truth_kind} >= {TruthKind.OCCUPIED, TruthKind.NECK, TruthKind.DECIDED}


def test_arrays_cannot_be_written() -> None:
    with pytest.raises(ValueError, match="read-only"):
        plant_of(SMALL).part_rest[0] = 1


def test_a_sensor_of_no_fact_is_refused_at_its_character() -> None:
    wrong = DescribedSensor("crush.occupied", "", "crush.occupied OR crush.ocupied", "", Place("c.toml", 4, "sees"))
    with pytest.raises(
        InputError, match=r"^c.toml, line 4, sees, character 19: crush.occupied sees 'crush.ocupied'"
    ) as caught:
        compile_plant(describe(replace(LINE, sensors=(wrong,))))
    assert "did you mean 'crush.occupied'?" in str(caught.value)


def test_a_motion_of_no_part_and_a_wrong_word_are_both_refused() -> None:
    wrong = (DescribedMotion("entri", "open", 1.0, place=Place("c.toml", 7)), DescribedMotion("entry", "sideways", 1.0))
    with pytest.raises(InputError) as caught:
        compile_plant(describe(replace(LINE, motions=wrong)))
    text = str(caught.value)
    assert "c.toml, line 7: 'entri' is no part of this installation" in text
    assert "'sideways' cannot stand here" in text


def test_a_rig_by_hand_has_no_sensors_it_does_not_read() -> None:
    assert {s.name for s in plant_of(Rig(hold=False)).sensors} == {
        "entry.closed",
        "entry.astride",
        "bail.closed",
        "bail.astride",
    }
