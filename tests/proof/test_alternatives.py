"""Builds that differ by one thing, and crews of which nobody may stand where the work is."""

from __future__ import annotations

from pathlib import Path

import pytest

from stockproof import flow
from stockproof.installation import Installation, broken_rules
from stockproof.proof import read_installation
from stockproof.proof.alternatives import builds, other_machines
from stockproof.proof.machine import assemble

BRIEFS = Path(__file__).parents[2] / "examples"


def _example(name: str) -> Installation:
    return read_installation(BRIEFS / name / "brief.toml")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("hill", ["the head lift left out", "the slide gate left out", "a second slide gate"]),
        ("feedlot", ["the head lift left out", "the slide gate left out", "a second slide gate"]),
        ("dairy", ["a slide gate"]),
    ],
)
def test_each_alternative_is_a_whole_build_by_the_catalogues_rules(name: str, words: list[str]) -> None:
    found = list(builds(_example(name)))
    assert [said.split(" (")[0] for said, _ in found] == words
    assert not any(any(broken_rules(build)) for _, build in found)


def test_sensors_of_a_part_that_is_left_out_go_with_it() -> None:
    feedlot = _example("feedlot")
    without = dict(builds(feedlot))["the head lift left out"]
    assert feedlot.codes - without.codes == {"lift_powered_heavy", "lift_down_proximity"}


def test_a_second_slide_gate_keeps_two_animals_parted_and_ready() -> None:
    (_, machine) = next(make() for words, make in other_machines(_example("hill"), None).items() if "second" in words)
    assert [zone.name for zone in machine.plant.zones][:5] == ["pen", "race", "ready2", "ready", "crush"]


def test_somebody_alone_walks_to_where_nobody_may_stand_by_the_brief() -> None:
    hill = _example("hill")
    control, programme = assemble(hill, None), hill.brief.programmes["weaning weigh and draft"]
    pair = flow.prepare(hill, programme, control.netlist, control.plant)
    alone = flow.prepare(hill, programme, control.netlist, control.plant, crew=("owner",))
    owner = {person.name: person for person in pair.crew}["owner"]
    assert {"race", "forcing_pen"}.isdisjoint(owner.stands)
    assert {"race", "forcing_pen", "yard"} <= set(alone.crew[0].stands)
    assert {job.name: job.start_place for job in alone.jobs}["push at the race"] == "race"


def test_the_briefs_breaks_reach_the_line_for_every_day_the_table_holds() -> None:
    hill = _example("hill")
    control, programme = assemble(hill, None), hill.brief.programmes["pregnancy test"]
    line = flow.prepare(hill, programme, control.netlist, control.plant)
    first, second = programme.breaks
    assert programme.day_s == pytest.approx(7 * 3600 + first.lasts_s + second.lasts_s)
    assert [pause.start_s for pause in line.breaks[:3]] == pytest.approx(
        [first.after_s, second.after_s, programme.day_s + first.after_s]
    )
