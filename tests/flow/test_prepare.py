"""Every programme of the three invented briefs, prepared and run with the logic of its own build."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from stockproof.brief import read_brief
from stockproof.catalogue import read_catalogue
from stockproof.catalogue.line import plant_of
from stockproof.errors import Fault, InputError, InternalError
from stockproof.flow import (
    Clock,
    Given,
    Machine,
    answers,
    assumptions,
    head_rates,
    people_needed,
    prepare,
    simulate,
    study,
    treated,
)
from stockproof.flow import tables as t
from stockproof.flow.assumptions import chosen
from stockproof.flow.catching import Catching, best_sensor_m, early_share, missed_share
from stockproof.installation import Installation, install
from stockproof.logic import assemble, lower
from stockproof.logic.installed import devices_of
from stockproof.logic.rig import SMALL
from tests.flow.oracle_lines import powered

EXAMPLES = Path(__file__).parents[2] / "examples"
PROGRAMMES = [("hill", k) for k in range(4)] + [("feedlot", k) for k in range(3)] + [("dairy", k) for k in range(4)]


@cache
def machine(name: str) -> tuple[Installation, Machine]:
    brief = read_brief(EXAMPLES / name / "brief.toml")
    catalogue = read_catalogue(EXAMPLES / "firm" / "catalogue.toml")
    installation = install(brief, catalogue)
    items = [chosen.item for chosen in installation.build]
    plant = plant_of(items, catalogue, 12, 7)
    return installation, Machine(lower(assemble(devices_of(items, catalogue))), plant)


@pytest.mark.parametrize("by_hand", [False, True])
@pytest.mark.parametrize(("name", "number"), PROGRAMMES)
def test_every_programme_goes_through(name: str, number: int, by_hand: bool) -> None:
    # so many that rare troubles meet: a head met too early while two people could see to it, a fall while one balks
    installation, built = machine(name)
    programme = installation.brief.file.programme[number]
    line = prepare(installation, programme, built.netlist, built.plant, by_hand=by_hand)
    result = simulate(line, built.netlist, built.plant, seed=1, replications=60)
    assert set(result.endings) == {"all through"}
    assert treated(result).mean() >= 0.9 * line.mob.head
    assert np.all(treated(result) >= 0.6 * line.mob.head)
    assert np.all(result.worlds["touches"] == 0)
    rates = head_rates(result, Clock("first_animal_enters_race", "last_animal_penned")) * 3600
    assert 40 < rates.mean() < 300


def test_the_slowest_task_bounds_the_rate() -> None:
    installation, built = machine("hill")
    programme = installation.brief.programmes["pregnancy test"]
    line = prepare(installation, programme, built.netlist, built.plant)
    rates = head_rates(simulate(line, built.netlist, built.plant, seed=2, replications=8))
    assert rates.mean() < 1 / 22.0


def test_by_hand_is_slower_and_does_the_same_work() -> None:
    installation, built = machine("hill")
    programme = installation.brief.programmes["drench and vaccinate weaners"]
    lines = [prepare(installation, programme, built.netlist, built.plant, by_hand=by_hand) for by_hand in (False, True)]
    runs = [simulate(line, built.netlist, built.plant, seed=2, replications=6) for line in lines]
    assert all(set(run.endings) == {"all through"} for run in runs)
    assert head_rates(runs[1]).mean() < head_rates(runs[0]).mean()
    assert np.all(treated(runs[1]) >= 0.85 * lines[1].mob.head)


def test_a_study_says_what_one_more_brings_and_who_is_missed() -> None:
    installation, built = machine("dairy")
    programme = installation.brief.file.programme[1]
    found = study(installation, programme, built, seed=3, replications=12, variant_replications=6)
    by_name = {variant.name: variant for variant in found.variants}
    assert by_name["without manager"].cannot.startswith("nobody of the crew (junior)")
    faster = by_name["quicker: all"]
    assert faster.gain is not None
    assert faster.gain.value > 0
    base = found.as_it_is
    assert base is not None
    assert base.mean is not None
    assert faster.mean is not None
    assert faster.gain.value == pytest.approx(faster.mean.value - base.mean.value)
    assert base.words == "as it is, in the first 6 runs"
    assert found.limits[0][0] == "work on the animal"
    assert found.at_least(0.8) <= found.day.value


def test_people_needed_is_the_smallest_crew_that_does_it() -> None:
    installation, built = machine("dairy")
    programme = installation.brief.file.programme[2]
    crew = people_needed(installation, programme, built, at_least_head_per_s=40 / 3600, seed=1, replications=4)
    assert crew is not None
    assert "vet" in crew
    assert len(crew) < len(programme.crew)
    none = people_needed(installation, programme, built, at_least_head_per_s=400 / 3600, seed=1, replications=2)
    assert none is None


def test_other_rooms_know_better_than_assumptions() -> None:
    installation, built = machine("hill")
    programme = installation.brief.programmes["weaning weigh and draft"]
    given = Given({("crush_side", "draft"): 31.0}, {"way_left": 77}, assumed={"flow.people.walking": 1.1})
    line = prepare(installation, programme, built.netlist, built.plant, given)
    assert line.distances_m[line.places.index("draft")][line.places.index("crush_side")] == 31.0
    assert next(zone for zone in line.zones if zone.name == "way_left").places == 77
    assert line.walking_m_per_s == 1.1
    with pytest.raises(InternalError, match="no flow assumption is called"):
        chosen({"flow.people.waltzing": 1.0})


def test_animals_go_where_their_weights_send_them() -> None:
    # outside check: counted in the list of weights beside the brief
    installation, built = machine("hill")
    programme = installation.brief.programmes["weaning weigh and draft"]
    weights = np.array(installation.brief.weights_kg["weaners"])
    light, heavy = programme.cuts_kg
    counted = [np.mean(weights <= light), np.mean((weights > light) & (weights <= heavy)), np.mean(weights > heavy)]
    line = prepare(installation, programme, built.netlist, built.plant)
    assert line.mob.ways == pytest.approx(counted)
    result = simulate(line, built.netlist, built.plant, seed=5, replications=8)
    ways = [result.names.zones.index(way) for way in ("way_left", "way_straight", "way_right")]
    sent = np.sum(~np.isnan(result.times[:, :, ways, t.IN]), axis=(0, 1))
    animals = sent.sum()
    scatter = 4 * np.sqrt(np.array(counted) * (1 - np.array(counted)) * animals)
    # a few go another way by the gates' place as they arrive; the rest of the difference is the draw's own
    assert np.all(np.abs(sent - np.array(counted) * animals) < scatter + 0.01 * animals)


def test_a_crew_that_cannot_do_it_is_refused_with_the_mend() -> None:
    installation, built = machine("hill")
    programme = installation.brief.programmes["pregnancy test"]
    with pytest.raises(InputError, match="has the skill 'vet' and may stand at 'crush_rear'") as caught:
        prepare(installation, programme, built.netlist, built.plant, crew=("owner", "shepherd"))
    assert caught.value.faults[0].mend == "add such a person to the crew, or let one of them stand there"


def test_every_assumption_has_a_source_and_a_band_around_it() -> None:
    for assumed in assumptions():
        assert assumed.source.text
        assert assumed.band[0] <= assumed.value <= assumed.band[1]
        assert assumed.band[0] < assumed.band[1]


def test_the_catch_is_begun_where_fewest_fail() -> None:
    quick = Catching(0.5, 0.45, 0.3, 0.4, shut_s=0.5, delay_s=0.0, pace_m_per_s=0.6, spread_share=0.25)
    slow = Catching(0.5, 0.45, 0.3, 0.4, shut_s=1.5, delay_s=0.0, pace_m_per_s=0.6, spread_share=0.25)

    def fails(catching: Catching) -> float:
        place = best_sensor_m(catching)
        return early_share(catching, place) + missed_share(catching, place)

    assert fails(quick) < 0.01 < fails(slow)
    assert best_sensor_m(slow) < best_sensor_m(quick)


def test_the_catch_is_set_for_a_bail_that_shares_the_pump() -> None:
    for oil in ({}, {"store": True}, {"pump": True}):
        run = powered(SMALL, 1, **oil)
        assert run.laws is not None
        row = run.laws.index("bail.close")
        alone_s = run.laws.lag_s[row] + run.laws.time_s[row, -1]
        told_s = Machine(run.netlist, run.plant, run.laws).motion_s()["bail.close"]
        assert told_s > 1.05 * alone_s if oil == {"pump": True} else told_s == alone_s


def test_runs_that_do_not_end_have_no_rate(monkeypatch: pytest.MonkeyPatch) -> None:
    installation, built = machine("hill")
    programme = installation.brief.file.programme[0]
    monkeypatch.setattr(answers, "LONGEST_ROUND_S", 300.0)
    found = study(installation, programme, built, seed=3, replications=2, variant_replications=2)
    assert found.result.unended == "2 of 2 runs never come to an end"
    done = [variant for variant in found.variants if variant.name == "quicker: all"]
    assert [variant.cannot for variant in done] == ["2 of 2 runs never come to an end"]
    assert all(variant.mean is None and variant.gain is None for variant in found.variants)
    assert people_needed(installation, programme, built, at_least_head_per_s=0.0, seed=1, replications=2) is None


def test_a_build_that_cannot_be_made_is_a_variant_that_cannot_be_done() -> None:
    def impossible() -> tuple[Installation, Machine]:
        raise InputError(Fault("nothing presses this motion"))

    installation, built = machine("dairy")
    programme = installation.brief.file.programme[1]
    found = study(
        installation,
        programme,
        built,
        others={"a slide gate": impossible},
        seed=3,
        replications=2,
        variant_replications=2,
    )
    other = next(variant for variant in found.variants if variant.words == "a slide gate")
    assert (other.mean, other.cannot) == (None, "nothing presses this motion")
