"""What speaks against a circuit beside the promises, what a stuck valve leaves, and bursts on a cold morning."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from stockproof import power
from stockproof.brief import promises as kinds
from stockproof.dossier.chapters.commissioning import settings
from stockproof.dossier.chapters.supplying import supply_in_full
from stockproof.money import price
from stockproof.power.components import components
from stockproof.power.diagram import diagram
from stockproof.power.failures import single_failures
from stockproof.power.forces import part_forces
from stockproof.power.times import BurstStep, burst_times_s
from stockproof.power.ways import supply_ways
from stockproof.proof import read_installation
from stockproof.proof.ruling import JUDGES
from stockproof.scene import TitleBlock, blemishes
from stockproof.units import Units

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def hill() -> power.Prepared:
    return power.prepare(power.circuit(read_installation(EXAMPLES / "hill" / "brief.toml")))


@pytest.fixture(scope="module")
def solved(hill: power.Prepared) -> power.PowerResult:
    return power.solve(hill, options=False)


def changed(prepared: power.Prepared, **pack: Any) -> power.Prepared:
    return power.Prepared(replace(prepared.circuit, pack=replace(prepared.circuit.pack, **pack)), prepared.throttles)


def test_a_part_wanted_again_before_it_arrived_goes_on_first(hill: power.Prepared) -> None:
    """A log of a warm day, on a cold morning: the gate is wanted back sooner than thick oil lets it arrive."""
    made = hill.arrays(hill.circuit.condition("cold_morning"))
    alone = burst_times_s(hill, made, [BurstStep(0.0, "slide.open")])
    back = [BurstStep(0.0, "slide.open"), BurstStep(0.4 * alone["slide.open"], "slide.close")]
    both = burst_times_s(hill, made, back)
    assert both["slide.open"] == pytest.approx(alone["slide.open"], rel=1e-6)
    assert math.isfinite(both["slide.close"])
    later = burst_times_s(hill, made, [BurstStep(0.0, "slide.open"), BurstStep(alone["slide.open"], "slide.close")])
    assert both["slide.close"] == pytest.approx(later["slide.close"], rel=1e-3)


def test_what_never_arrives_in_a_burst_slows_without_end_and_is_not_met(solved: power.PowerResult) -> None:
    stuck = replace(
        solved,
        times=tuple(
            replace(row, burst_s=math.inf) if (row.motion, row.condition) == ("slide.open", "cold_morning") else row
            for row in solved.times
        ),
    )
    assert stuck.slower_share() == ("slide.open", math.inf)
    promise = SimpleNamespace(motion="slide.open", when="cold_morning", at_most_s=60.0)
    ruling = JUDGES[kinds.MotionTime](promise, SimpleNamespace(power=stuck))  # type: ignore[arg-type]
    assert (ruling.state, ruling.measures) == ("not met", ())


def test_hoses_are_judged_by_the_largest_draw_of_burst_and_day(hill: power.Prepared, solved: power.PowerResult) -> None:
    quiet = solved
    busy = power.solve(hill, options=False, day_peak_m3_per_s=2 * quiet.peak_flow_m3_per_s)
    assert busy.peak_flow_m3_per_s == 2 * quiet.peak_flow_m3_per_s
    trunk = {row.name: row for row in busy.hoses}["pressure hose to the block"]
    assert trunk.flow_m3_per_s == busy.peak_flow_m3_per_s
    found = {each.code: each for each in busy.findings}["line.pressure hose to the block"]
    assert (found.found, found.limit) == (trunk.velocity_m_per_s, trunk.guide_m_per_s)
    assert found.what.endswith("every part at once, since no day was replayed")
    wider = replace(hill.circuit.pack.trunk, bore_m=found.enough)
    mended = power.solve(changed(hill, trunk=wider), options=False, day_peak_m3_per_s=busy.peak_flow_m3_per_s)
    assert "line.pressure hose to the block" not in {each.code for each in mended.findings}


def test_pressure_over_the_limit_on_the_neck_is_a_finding_and_no_setting() -> None:
    feedlot = power.prepare(power.circuit(read_installation(EXAMPLES / "feedlot" / "brief.toml")))
    solved = power.solve(feedlot, options=False)
    bail = feedlot.circuit.actuator("bail")
    found = {each.code: each for each in solved.findings}["pad.bail.neck"]
    assert found.found > found.limit
    assert found.enough < bail.valve.setting_min_pa
    assert {row.possible for row in solved.part_settings if row.part == "bail"} == {False}
    assert {row.possible for row in solved.part_settings if row.part == "slide"} == {True}
    settings_table = next(part for part in settings(solved) if getattr(part, "name", "") == "valve settings")
    assert {row[2] for row in settings_table.rows if row[0] == "bail"} == {"not possible"}  # type: ignore[union-attr]
    low = replace(bail, valve=replace(bail.valve, setting_min_pa=0.9 * found.enough, setting_pa=found.enough))
    others = tuple(low if a.part == "bail" else a for a in feedlot.circuit.actuators)
    mended = power.Prepared(replace(feedlot.circuit, actuators=others), feedlot.throttles)
    pad = next(row for row in part_forces(mended) if row.part == "bail").pads[0]
    assert pad.at_rest_pa == pytest.approx(pad.limit_pa)
    rooms = SimpleNamespace(power=solved, units=Units({}))
    promise = SimpleNamespace(part="bail", at_least_n=1.0)
    ruling = JUDGES[kinds.HoldingForce](promise, rooms)  # type: ignore[arg-type]
    assert "on the neck, more than the stated limit of 0.6 bar" in ruling.because


def test_a_mains_pack_without_an_outlet_is_a_finding(hill: power.Prepared, solved: power.PowerResult) -> None:
    bare = power.Prepared(replace(hill.circuit, outlets=()), hill.throttles)
    assert "no_outlet" in {each.code for each in power.solve(bare, options=False).findings}
    assert "no_outlet" not in {each.code for each in solved.findings}


def test_an_engine_is_listed_with_its_rating_and_no_empty_column() -> None:
    circuit = power.circuit(read_installation(EXAMPLES / "dairy" / "brief.toml"))
    own = next(way for way in supply_ways(circuit) if way.present)
    assert own.rating == circuit.pack.shaft_power_w
    dairy = power.solve(power.prepare(circuit), options=False)
    table = next(part for part in supply_in_full(dairy) if getattr(part, "name", "") == "ways to supply")
    assert [column.title for column in table.columns] == ["Way", "Rated for", "What speaks against it"]  # type: ignore[union-attr]


def test_a_bypass_is_drawn_listed_and_named_in_the_failures(hill: power.Prepared) -> None:
    bail = hill.circuit.actuator("bail")
    with_one = replace(bail, valve=replace(bail.valve, bypass=True))
    circuit = replace(
        hill.circuit, actuators=tuple(with_one if a.part == "bail" else a for a in hill.circuit.actuators)
    )
    assert [row.part for row in components(circuit) if row.role == "bypass"] == ["bail"]
    assert blemishes(diagram(circuit, TitleBlock("Hydraulic circuit"))) == ()
    stuck = {f.code: f.remains for f in single_failures(power.Prepared(circuit, hill.throttles)) if "stuck" in f.code}
    assert "bypass" in stuck["valve_stuck.bail"]
    # every valve of this build has an override, which works the spool that is stuck
    assert all(a.valve.manual_override for a in circuit.actuators)
    assert "override works the same spool" in stuck["valve_stuck.squeeze"]


def test_the_price_asks_for_a_cable_where_a_mains_pack_has_no_outlet_yet() -> None:
    hill = read_installation(EXAMPLES / "hill" / "brief.toml")
    site = hill.brief.file.site.model_copy(update={"supply": ()})
    bare = replace(hill, brief=replace(hill.brief, file=hill.brief.file.model_copy(update={"site": site})))
    row = next(row for row in price(bare).scope if row.what == "Cable to the mains")
    assert (row.party, row.in_price) == ("not agreed", False)
