"""Load sheet, ways of supply and the card of timers: sums by hand, and what is not stated is said."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite, isnan
from pathlib import Path

import pytest

from stockproof import power
from stockproof.catalogue.reader import check_catalogue
from stockproof.errors import InputError
from stockproof.figures import Ledger
from stockproof.power.assumed import assumed
from stockproof.power.card import ClassNeed, class_card
from stockproof.power.consumers import control
from stockproof.power.loads import load_sheet, pack_shaft_power_w, together_a
from stockproof.power.model import Circuit, Consumer
from stockproof.power.supply import engine_rating_w, supplies, with_cable
from stockproof.power.ways import supply_ways
from stockproof.proof import read_installation
from stockproof.tomlfile import parse_toml

EXAMPLES = Path(__file__).parents[2] / "examples"


def circuit_of(farm: str) -> Circuit:
    return power.circuit(read_installation(EXAMPLES / farm / "brief.toml"))


@pytest.fixture(scope="module")
def hill() -> Circuit:
    return circuit_of("hill")


def with_pack(circuit: Circuit, **pack: object) -> Circuit:
    return replace(circuit, pack=replace(circuit.pack, **pack))  # type: ignore[arg-type]


def test_the_load_sheet_adds_up_what_the_catalogue_states(hill: Circuit) -> None:
    rows = {row.consumer: row for row in load_sheet(hill)}
    assert hill.control is not None
    fed = [row for row in rows.values() if row.fed_by == "supply unit"]
    assert sum(row.power_w for row in fed) == pytest.approx(hill.control.power_w)
    assert all(row.current_a == pytest.approx(row.power_w / 24.0) for row in fed)
    unit = rows["supply unit of the controller"]
    assert unit.power_w == pytest.approx(hill.control.power_w / hill.control.supply_efficiency)
    assert unit.current_a == pytest.approx(unit.power_w / (230.0 * assumed("electronics_power_factor")))
    # 29 W for each on/off coil, 24 W for the bail's proportional one, one coil a part
    assert rows["coils of valves, one driven in each"].power_w == pytest.approx(4 * 29.0 + 24.0)
    assert rows["sensors"].count == 16
    together = rows["together at the outlet"]
    assert together.current_a == pytest.approx(19.2 + unit.current_a) == together_a(hill)
    assert [row.together for row in load_sheet(hill)] == [False] * (len(rows) - 1) + [True]


def test_a_heater_and_a_cooler_are_on_the_sheet_and_in_its_sum(hill: Circuit) -> None:
    heated = with_pack(hill, heater_w=460.0, cooler_w=115.0)
    rows = {row.consumer: row for row in load_sheet(heated)}
    assert rows["oil heater in the tank"].current_a == pytest.approx(2.0)
    assert together_a(heated) == pytest.approx(together_a(hill) + 2.5)
    three = with_pack(heated, drive="mains_3ph", supply_v=400.0)
    assert {row.consumer: row for row in load_sheet(three)}["oil heater in the tank"].volts_v == pytest.approx(230.94)


def test_power_nobody_stated_is_named() -> None:
    installation = read_installation(EXAMPLES / "hill" / "brief.toml")
    bare = tuple(
        replace(each, item=each.item.model_copy(update={"electric_w": None}))
        if each.item.code == "reader_panel"
        else each
        for each in installation.build
    )
    made = control(replace(installation, build=bare))
    assert made is not None
    reader = next(each for each in made.consumers if each.label == "tag reader")
    name = next(each.item.name for each in bare if each.item.code == "reader_panel")
    assert reader == Consumer("tag reader", 1, 0.0, (name,))
    rows = {row.consumer: row for row in load_sheet(replace(power.circuit(installation), control=made))}
    assert isnan(rows["tag reader"].power_w)
    assert rows["tag reader"].note == f"not stated for: {name}"
    assert isfinite(rows["together at the outlet"].power_w)
    assert "a lower bound" in rows["together at the outlet"].note
    assert "a lower bound" in rows["supply unit of the controller"].note


def test_a_sheet_that_leaves_nothing_out_is_no_lower_bound(hill: Circuit) -> None:
    assert not any("lower bound" in row.note for row in load_sheet(hill))


def test_power_nobody_stated_is_printed_so_and_listed_as_an_assumption() -> None:
    installation = read_installation(EXAMPLES / "hill" / "brief.toml")
    circuit = power.circuit(installation)
    assert circuit.control is not None
    nameless = replace(circuit.control, consumers=(Consumer("tag reader", 1, 0.0, ("Reader",)),))
    result = power.solve(power.prepare(replace(circuit, control=nameless)), options=False)
    ledger = Ledger()
    power.publish(result, ledger)
    assert ledger["power.load.tag reader.unstated"] in ledger.assumptions()
    assert "power.load.tag reader.power" not in ledger


def test_an_engine_feeds_the_control_from_a_battery() -> None:
    dairy = circuit_of("dairy")
    rows = load_sheet(dairy)
    assert not any(row.fed_by == "outlet" or row.together for row in rows)
    assert rows[-1].fed_by == "battery"


def test_the_control_may_be_one_load_too_many(hill: Circuit) -> None:
    """The motor alone fits its outlet; with everything the control feeds it does not."""
    crowded = with_pack(
        hill, full_load_current_a=14.9, start_current_ratio=1.5, shaft_power_w=pack_shaft_power_w(hill.pack)
    )
    option = supplies(crowded)[0]
    assert option.current_a < option.allowed_a < option.together_a
    assert any("with control and tank" in problem for problem in option.problems)


def test_ways_of_supply_stand_side_by_side(hill: Circuit) -> None:
    ways = {way.way: way for way in supply_ways(hill)}
    assert [way.present for way in ways.values()] == [True, False, False, False]
    outlet, thicker = ways["woolshed outlet"], ways["woolshed outlet, thicker cable"]
    assert thicker.cable_mm2 == supplies(hill)[0].cable_needed_mm2 > outlet.cable_mm2
    assert thicker.start_share > outlet.start_share
    assert len(thicker.problems) < len(outlet.problems)
    again = with_cable(hill, hill.outlets[0], thicker.cable_mm2)
    assert again.start_torque_share >= again.needed_torque_share
    engine = ways["petrol engine on the pump"]
    assert engine.rating == engine_rating_w(hill) > pack_shaft_power_w(hill.pack)
    assert engine_rating_w(replace(hill, altitude_m=2000.0)) > engine.rating
    assert ways["generator beside the pack"].rating > 230.0 * 19.2
    only = supply_ways(circuit_of("dairy"))
    assert len(only) == 1
    assert only[0].present
    weak = supply_ways(with_pack(circuit_of("dairy"), shaft_power_w=1500.0))
    assert weak[0].problems


def test_the_card_gives_timers_for_every_class(hill: Circuit) -> None:
    prepared = power.prepare(hill)
    needs = (ClassNeed("weaner", 230.0), ClassNeed("cow", 540.0))
    rows = {(row.stock, row.part): row for row in class_card(prepared, needs, {"bail": 4.0, "squeeze": 1.0})}
    cow, weaner = rows["cow", "squeeze"], rows["weaner", "squeeze"]
    assert weaner.setting_pa < cow.setting_pa
    assert weaner.closing_s > cow.closing_s, "less pressure closes slower, so the timer is another"
    assert cow.watch_s > 1.25 * cow.closing_s, "a frosty morning is slower than a mild one"
    assert not cow.watch_long_enough
    assert rows["cow", "bail"].watch_long_enough
    assert class_card(prepared, needs, {})[0].control_s is None


def test_a_lifted_part_must_say_what_it_weighs() -> None:
    """A lift whose load was left out would rise for nothing: refused, with file, line and key."""
    text = (EXAMPLES / "firm" / "catalogue.toml").read_text(encoding="utf-8")
    assert 'load = "235 N", ' in text
    with pytest.raises(InputError, match="the lift is lifted, and its cylinder does not say what it carries"):
        check_catalogue(parse_toml(text.replace('load = "235 N", ', "").encode(), "catalogue.toml", Path()))


def test_a_lift_is_slower_with_its_weight() -> None:
    feedlot = circuit_of("feedlot")
    lift = feedlot.actuator("lift")
    assert lift.load_n > 0.0
    light = replace(
        feedlot, actuators=tuple(replace(a, load_n=0.0) if a.part == "lift" else a for a in feedlot.actuators)
    )
    heavy, bare = (power.laws(power.Prepared(one, power.prepare(feedlot).throttles)) for one in (feedlot, light))
    k = heavy.index("lift.raise")
    assert heavy.time_s[k, -1] > bare.time_s[k, -1]
    down = heavy.index("lift.lower")
    assert heavy.time_s[down, -1] < bare.time_s[down, -1], "its weight helps it down"
