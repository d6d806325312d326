"""The demonstration catalogue loads, offers real choices, and its invented numbers agree with one another."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from stockproof.catalogue import Catalogue, ItemBase, read_catalogue
from stockproof.catalogue.items import (
    KINDS,
    Accumulator,
    CrushBody,
    EntryGate,
    HeadBail,
    HeadLift,
    PowerPack,
    SideAccessGate,
    SlideGate,
    Squeeze,
)
from stockproof.catalogue.line import plant_of
from stockproof.catalogue.parts import Cylinder, Motion
from stockproof.logic.assembly import assemble
from stockproof.logic.installed import devices_of
from stockproof.logic.lower import lower
from stockproof.netlist.expression import evaluate, names, parse

FIRM = Path(__file__).parents[2] / "examples" / "firm" / "catalogue.toml"
CATALOGUE = read_catalogue(FIRM)
LITRE_PER_MIN = 1e-3 / 60
PA_AT_SEA_LEVEL = 101_325.0
RULES = {
    (item.code, key): [parse(text) for text in getattr(item, key)]
    for item in CATALOGUE.items
    for key in ("needs", "excludes")
}
#: What a motion does to its part: these let the rod out where `extends_to` is closed.
CLOSING = ("close", "in", "raise", "left")
#: Attributes that tell items apart on paper only.
PAPER = {"code", "name", "description", "source", "price", "mass_kg", "needs", "excludes"}


def _kind(item: ItemBase) -> str:
    return str(getattr(item, "kind"))  # noqa: B009


def _items(kind: type[ItemBase]) -> list[ItemBase]:
    return [item for item in CATALOGUE.items if isinstance(item, kind)]


def _driven(catalogue: Catalogue) -> Iterator[tuple[ItemBase, Motion, Cylinder]]:
    for item in catalogue.items:
        for motion in item.motion:
            for cylinder in item.cylinder:
                if cylinder.part == motion.part:
                    yield item, motion, cylinder


def _oil_m3(motion: Motion, cylinder: Cylinder) -> float:
    """Oil that a motion takes from the pressure side; straight on is half way."""
    out = (motion.direction in CLOSING) == (cylinder.extends_to == "closed")
    area = math.pi / 4 * (cylinder.bore_m**2 - (0.0 if out else cylinder.rod_m**2))
    return area * cylinder.stroke_m * cylinder.count * (0.5 if motion.direction == "straight" else 1.0)


def test_it_is_plainly_invented() -> None:
    assert "invented" in CATALOGUE.firm.name.lower()
    assert "invented" in CATALOGUE.firm.note.lower()
    assert FIRM.read_text().splitlines()[0].count("INVENTED") == 1
    assert all(item.source.startswith("Invented: ") for item in CATALOGUE.items)


def test_there_are_enough_items_of_every_kind() -> None:
    by_kind = defaultdict(list)
    for item in CATALOGUE.items:
        by_kind[_kind(item)].append(item)
    assert len(CATALOGUE.items) >= 60
    assert set(by_kind) == CATALOGUE.kinds
    assert all(len(items) >= 2 for items in by_kind.values())


def test_alternatives_differ_in_more_than_name_and_price() -> None:
    for kind in KINDS:
        seen: dict[str, str] = {}
        for item in _items(kind):
            engineering = repr(item.model_dump(exclude=PAPER | {"install_time_s", "service_cost"}))
            assert engineering not in seen, f"{item.code} is {seen[engineering]} under another name"
            seen[engineering] = item.code


def test_every_duty_way_drive_place_and_style_is_there() -> None:
    assert {item.duty for item in CATALOGUE.items if isinstance(item, HeadBail)} == {"light", "heavy"}
    assert {item.place for item in CATALOGUE.items if isinstance(item, SideAccessGate)} == {"neck", "flank"}
    assert {item.drive for item in CATALOGUE.items if isinstance(item, PowerPack)} == {
        "mains_1ph",
        "mains_3ph",
        "petrol",
    }
    assert {getattr(item, "ways", None) for item in CATALOGUE.items} >= {2, 3, 4, 5}
    assert {getattr(item, "style", None) for item in CATALOGUE.items} >= {
        "side_panel",
        "front_panel",
        "hand_held_remote",
    }


def test_every_signal_of_a_sensor_can_be_had_from_two_makes() -> None:
    makes = defaultdict(set)
    for item in CATALOGUE.items:
        if _kind(item) == "sensor":
            for signal in item.signal:
                makes[signal.name].add(item.code)
    assert all(len(codes) >= 2 for codes in makes.values()), makes


def test_a_code_is_never_also_a_kind() -> None:
    assert not CATALOGUE.kinds & set(CATALOGUE.by_code), "a rule could not tell which of them it means"


@pytest.mark.parametrize("item", CATALOGUE.items, ids=lambda item: item.code)
def test_every_item_can_be_part_of_a_build_that_keeps_all_rules(item: ItemBase) -> None:
    assert _completed(frozenset({item.code})), f"no build can hold {item.code}"


@pytest.mark.deep
@pytest.mark.parametrize("item", CATALOGUE.items, ids=lambda item: item.code)
def test_every_item_finds_its_place_in_plant_and_control(item: ItemBase) -> None:
    codes = _completed(frozenset({item.code, "side_panel"})) or _completed(frozenset({item.code}))
    assert codes is not None
    build = [other for other in CATALOGUE.items if other.code in codes]
    plant_of(build, CATALOGUE, pen_places=10, race_places=4)
    lower(assemble(devices_of(build, CATALOGUE)))


def _completed(codes: frozenset[str]) -> frozenset[str] | None:
    """Add items until every rule holds, filling the need with fewest choices first; None where nothing does."""
    if _clash(codes):
        return None
    choices = list(_unmet(codes))
    if not choices:
        return codes
    for helper in min(choices, key=len):
        found = _completed(codes | {helper})
        if found:
            return found
    return None


def _present(codes: frozenset[str]) -> set[str]:
    return {*codes, *(_kind(CATALOGUE.by_code[code]) for code in codes)}


def _clash(codes: frozenset[str]) -> bool:
    has = _present(codes).__contains__
    return any(evaluate(rule, has) for code in codes for rule in RULES[code, "excludes"])


def _unmet(codes: frozenset[str]) -> Iterator[list[str]]:
    """For every need that does not hold, the items that could help and do not clash."""
    present = _present(codes)
    for code in sorted(codes):
        for rule in RULES[code, "needs"]:
            if not evaluate(rule, present.__contains__):
                wanted = {name for name in names(rule) if name not in present}
                helpers = [item.code for item in CATALOGUE.items if {item.code, _kind(item)} & wanted]
                yield [helper for helper in helpers if not _clash(codes | {helper})]


def test_powered_parts_need_pack_controller_and_control_point() -> None:
    rule = "power_pack AND controller AND control_point"
    moved = [item for item in CATALOGUE.items if item.cylinder]
    assert moved
    assert all(rule in item.needs for item in moved)


def test_items_of_which_a_build_takes_one_exclude_one_another() -> None:
    for kind in (CrushBody, EntryGate, HeadBail, Squeeze, SlideGate, PowerPack):
        alike = [item for item in _items(kind) if getattr(item, "from_crush", 1) == 1]
        codes = {item.code for item in alike}
        for item in alike:
            assert set(names(parse(item.excludes[0]))) == codes - {item.code}


def test_signals_have_terminals_of_their_own_and_see_facts() -> None:
    owner: dict[str, str] = {}
    for item in CATALOGUE.items:
        own = [signal.name for signal in item.signal]
        assert len(own) == len(set(own))
        for signal in item.signal:
            assert signal.terminal
            assert owner.setdefault(signal.terminal, signal.name) == signal.name, f"{item.code}: {signal.terminal}"
            if signal.kind == "sensor":
                assert names(parse(signal.sees))
            if signal.unsure:
                assert names(parse(signal.unsure))


def test_items_that_share_a_signal_never_meet_in_a_build() -> None:
    offers = defaultdict(list)
    for item in CATALOGUE.items:
        for signal in item.signal:
            offers[signal.name].append(item)
    for signal_name, items in offers.items():
        for item in items:
            rules = [CATALOGUE.rule(item, "excludes", number) for number in range(len(item.excludes))]
            for other in items:
                if other is not item:
                    met = {other.code, _kind(other)}.__contains__
                    assert any(evaluate(rule, met) for rule in rules), f"{item.code}, {other.code}: {signal_name}"


@pytest.mark.parametrize(
    ("item", "motion", "cylinder"),
    list(_driven(CATALOGUE)),
    ids=[f"{item.code} {motion.part}.{motion.direction}" for item, motion, _ in _driven(CATALOGUE)],
)
def test_motion_times_go_with_oil_hoses_and_valves(item: ItemBase, motion: Motion, cylinder: Cylinder) -> None:
    flow = _oil_m3(motion, cylinder) / motion.time_s
    valve = next(valve for valve in item.valve if valve.part == motion.part)
    hose_speed = flow / (math.pi / 4 * cylinder.hose_bore_m**2)
    assert 3 * LITRE_PER_MIN <= flow <= 30 * LITRE_PER_MIN
    assert flow <= 1.2 * valve.rated_flow_m3_per_s
    assert hose_speed <= 5.5, "pressure lines 2 to 5.5 m/s: HydraulicSupermarket, Velocity and pressure drop, 2000"


def test_a_pump_alone_takes_a_few_times_as_long_as_the_store() -> None:
    usual = CATALOGUE.by_code["pack_15a"]
    assert isinstance(usual, PowerPack)
    pump = usual.displacement_m3 * usual.rated_speed_hz * usual.volumetric_efficiency
    slower = [_oil_m3(m, c) / pump / m.time_s for i, m, c in _driven(CATALOGUE) if _kind(i) != "forcing_pen"]
    assert min(slower) > 0.5
    assert 2 < max(slower) < 5


def test_strokes_and_linkages_give_the_stated_travel() -> None:
    for item in CATALOGUE.items:
        for cylinder in item.cylinder:
            travel = cylinder.stroke_m / cylinder.linkage_ratio
            match item:
                case EntryGate() | SlideGate():
                    assert travel == pytest.approx(item.clear_width_m, rel=0.03)
                case HeadBail():
                    assert 2 * travel == pytest.approx(item.open_width_m - item.neck_min_m, rel=0.03)
                case Squeeze():
                    sides = 2 if item.sides == "both" else 1
                    assert sides * travel == pytest.approx(item.width_max_m - item.width_min_m, rel=0.03)
                case HeadLift():
                    assert travel == pytest.approx(item.height_max_m - item.height_min_m, rel=0.03)


def test_settings_move_the_part_and_stay_far_below_the_pack() -> None:
    lowest_cut_in = min(item.cut_in_pa for item in CATALOGUE.items if isinstance(item, PowerPack))
    for item in CATALOGUE.items:
        for valve in item.valve:
            cylinder = next(cylinder for cylinder in item.cylinder if cylinder.part == valve.part)
            out = math.pi / 4 * cylinder.bore_m**2
            back = out - math.pi / 4 * cylinder.rod_m**2
            load = cylinder.load_n / cylinder.linkage_ratio
            assert valve.relief_min_pa * out > 2 * (cylinder.friction_n + load)
            assert valve.relief_min_pa * back > 2 * (cylinder.friction_n - load)
            assert valve.relief_max_pa <= 70e5 < lowest_cut_in
            if item.pad:
                assert valve.reduces, f"{item.code} presses on an animal without a pressure of its own"
                assert valve.lock_valve


def test_forces_on_animals_are_of_a_plausible_size() -> None:
    """Neck 10 to 200 kPa, flank 1 to 15 kPa over the stated pads: common practice, no published limit is known."""
    bounds = {"neck": (10e3, 200e3), "flank": (1e3, 15e3), "head": (5e3, 100e3)}
    for item in CATALOGUE.items:
        for pad in item.pad:
            cylinder = next(cylinder for cylinder in item.cylinder if cylinder.part == pad.part)
            valve = next(valve for valve in item.valve if valve.part == pad.part)
            per_pa = (
                math.pi / 4 * cylinder.bore_m**2 * cylinder.count * cylinder.linkage_ratio * pad.share / pad.area_m2
            )
            low, high = bounds[pad.touches]
            assert low <= valve.relief_min_pa * per_pa < valve.relief_max_pa * per_pa <= high, item.code


def test_pumps_take_what_their_motor_gives_and_motors_what_their_plate_says() -> None:
    for pack in CATALOGUE.items:
        if not isinstance(pack, PowerPack):
            continue
        shaft = pack.relief_pa * pack.displacement_m3 * pack.rated_speed_hz / pack.mechanical_efficiency
        assert 0.85 * pack.shaft_power_w <= shaft <= pack.shaft_power_w
        assert pack.cut_in_pa < pack.cut_out_pa < pack.relief_pa
        if pack.drive == "petrol":
            assert pack.supply_v is None
            assert pack.fuel_kg_per_kwh is not None
            continue
        assert pack.supply_v is not None
        assert pack.full_load_current_a is not None
        phases = math.sqrt(3) if pack.drive == "mains_3ph" else 1.0
        electric = phases * pack.supply_v * pack.full_load_current_a * pack.power_factor * pack.motor_efficiency
        assert electric == pytest.approx(pack.shaft_power_w, rel=0.01)
        assert (0.84 if phases > 1 else 0.7) <= pack.motor_efficiency <= 0.92


@pytest.mark.parametrize(
    ("code", "outlet_a", "smaller_a"), [("pack_10a", 10, 0), ("pack_15a", 15, 10), ("pack_20a", 20, 15)]
)
def test_single_phase_packs_fit_the_outlet_they_are_named_for(code: str, outlet_a: float, smaller_a: float) -> None:
    pack = CATALOGUE.by_code[code]
    assert isinstance(pack, PowerPack)
    assert pack.full_load_current_a is not None
    assert smaller_a < pack.full_load_current_a <= outlet_a


@pytest.mark.parametrize(
    ("code", "horsepower", "ampere"), [("pack_3ph_5kw_60hz", 7.5, 11), ("pack_3ph_7kw_60hz", 10, 14)]
)
def test_three_phase_packs_at_60_hz_draw_no_more_than_the_code_lists(
    code: str, horsepower: float, ampere: float
) -> None:
    """NFPA 70, table 430.250 at 230 V: 22 A for 7.5 hp, 28 A for 10 hp; half of it at 460 V. Plates stay below."""
    pack = CATALOGUE.by_code[code]
    assert isinstance(pack, PowerPack)
    assert pack.shaft_power_w == pytest.approx(horsepower * 745.7, rel=0.03)
    assert pack.full_load_current_a is not None
    assert 0.8 * ampere <= pack.full_load_current_a <= ampere


def test_precharge_is_right_for_every_pack() -> None:
    """p0 from 0.8 to 0.9 of the lowest working pressure, and that at most four times p0 (bladder): common practice."""
    packs = [item for item in CATALOGUE.items if isinstance(item, PowerPack)]
    stores = [item for item in CATALOGUE.items if isinstance(item, Accumulator)]
    for store in stores:
        for pack in packs:
            assert 0.8 <= store.precharge_pa / pack.cut_in_pa <= 0.9
            assert pack.cut_out_pa <= 4 * store.precharge_pa
            assert pack.relief_pa < store.max_pressure_pa


def test_the_usual_store_gives_the_oil_of_a_catch() -> None:
    """Oil between cut-out and cut-in, ideal gas and slow: V0 p0 (1/p1 - 1/p2), absolute pressures."""
    store, pack = CATALOGUE.by_code["accumulator_10"], CATALOGUE.by_code["pack_15a"]
    assert isinstance(store, Accumulator)
    assert isinstance(pack, PowerPack)
    p0, p1, p2 = (p + PA_AT_SEA_LEVEL for p in (store.precharge_pa, pack.cut_in_pa, pack.cut_out_pa))
    oil = store.shell_m3 * p0 * (1 / p1 - 1 / p2)
    catch = sum(
        _oil_m3(motion, cylinder)
        for item, motion, cylinder in _driven(CATALOGUE)
        if (item.code, motion.direction) in {("entry_slide", "close"), ("bail_light", "close"), ("squeeze_both", "in")}
    )
    assert oil > catch


def test_tanks_hold_the_oil_that_comes_back() -> None:
    """A tank takes what the largest store and all rods give back, and still has oil left for the pump."""
    rods = sum(
        max(math.pi / 4 * c.rod_m**2 * c.stroke_m * c.count for c in item.cylinder)
        for item in (
            CATALOGUE.by_code[code] for code in ("entry_slide", "bail_heavy", "squeeze_both", "slide_standard")
        )
    )
    for pack in CATALOGUE.items:
        if isinstance(pack, PowerPack):
            assert pack.tank_m3 > 2 * (rods + 4e-3)


def test_the_stronger_of_a_kind_is_heavier_and_dearer() -> None:
    for kind, measure in (
        (CrushBody, "animal_capacity_kg"),
        (HeadBail, "animal_capacity_kg"),
        (Accumulator, "shell_m3"),
    ):
        steps = defaultdict(list)
        for item in _items(kind):
            steps[getattr(item, measure)].append(item)
        ordered = [steps[key] for key in sorted(steps)]
        for weaker, stronger in pairwise(ordered):
            assert min(i.mass_kg for i in stronger) > min(i.mass_kg for i in weaker)
            assert min(i.price.value for i in stronger) > min(i.price.value for i in weaker)
