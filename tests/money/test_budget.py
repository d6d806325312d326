"""Partial budget and appraisal of the paper farm, each worked out on paper in the comments."""

from __future__ import annotations

import pytest

from stockproof.errors import InternalError
from stockproof.money import Budget, Energy, Rate, budget, nameplate_energy
from tests.money.conftest import BRIEF, Build

RATES = {
    "weigh": Rate(120 / 3600, 100 / 3600, 150 / 3600, source="made up"),
    "treat": Rate(60 / 3600, 50 / 3600, 75 / 3600, source="made up"),
}
PACK = """
[[item]]
code = "pack"
kind = "power_pack"
name = "Power pack"
description = "A pack."
source = "invented"
price = "2,000 USD"
mass = "60 kg"
length = "600 mm"
width = "400 mm"
height = "500 mm"
install_time = "2 h"
service_cost = "0 USD/year"
drive = "{drive}"
shaft_power = "3 kW"
supply = "230 V"
full_load_current = "10 A"
power_factor = "80 %"
rated_speed = "24 Hz"
displacement = "4 mL"
relief = "140 bar"
cut_out = "130 bar"
cut_in = "110 bar"
tank = "20 L"
tank_area = "0.5 m2"
oil_grade = "VG32"
fuel_kg_per_kwh = 0.5
noise = "70 dB(A)"
"""


def amounts(found: Budget) -> dict[str, float | None]:
    return {line.key: None if line.amount is None else line.amount.central for line in found.lines}


def pack(drive: str) -> tuple[tuple[str, str], ...]:
    return (('\n[[item]]\ncode = "body"', PACK.format(drive=drive) + '\n[[item]]\ncode = "body"'),)


WITH_PACK = ("sensor_a = 2", "sensor_a = 2\npack = 1")


def test_the_lines_are_those_worked_on_paper(build: Build) -> None:
    found = budget(build(), RATES, None)
    # 6,000 head weighed and 600 treated a year. Today 110 h at 60 head/h; with the build 50 h + 10 h.
    # Paid: two hands today, one with the build: 110 x 60 - 60 x 30. Unpaid: the owner both times: 50 h x 36.
    # Service: (300 + 4 x 10) USD x 1.5.
    # Outlay 64,995 - 1,000; salvage 15 % of 64,995 = 9,749.25; life 34,800 / (30,000/20 + 4,000/15 + 800/4).
    life = 34_800 / (1_500 + 4_000 / 15 + 200)
    assert amounts(found) == {
        "change[1]": 9_000,
        "labour_paid": pytest.approx(4_800),
        "labour_unpaid": pytest.approx(1_800),
        "upkeep_today": 500,
        "service": 510,
        "depreciation": pytest.approx((63_995 - 9_749.25) / life),
        "interest": pytest.approx((63_995 + 9_749.25) / 2 * 0.08),
    }
    assert found.cash is not None
    assert found.with_unpaid is not None
    assert found.cash.net_per_year.central == pytest.approx(9_000 + 4_800 + 500 - 510)
    assert found.with_unpaid.net_per_year.central == pytest.approx(9_000 + 4_800 + 500 - 510 + 1_800)
    ownership = (63_995 - 9_749.25) / life + (63_995 + 9_749.25) / 2 * 0.08
    assert found.net is not None
    assert found.net.central == pytest.approx(13_790 + 1_800 - ownership)


def test_sides_stand_in_the_printed_order(build: Build) -> None:
    sides = [line.side for line in budget(build(), RATES, None).lines]
    assert sides == sorted(sides, key=["added_return", "reduced_cost", "added_cost", "reduced_return"].index)


def test_labour_is_told_by_programme_and_by_head(build: Build) -> None:
    weigh, treat = budget(build(), RATES, None).work
    assert (weigh.head_per_year, treat.head_per_year) == (6_000, 600)
    assert weigh.build is not None
    assert weigh.today.paid_s_per_year == pytest.approx(2 * 100 * 3600)
    assert weigh.build.central.paid_s_per_year == pytest.approx(50 * 3600)
    assert weigh.build.central.unpaid_s_per_year == pytest.approx(50 * 3600)
    assert weigh.today.per_head == pytest.approx((36 + 30 + 30) / 60)
    assert weigh.build.central.per_head == pytest.approx((36 + 30) / 120)


def test_the_flows_are_those_worked_on_paper(build: Build) -> None:
    found = budget(build(), RATES, None)
    assert found.cash is not None
    # the two light beams last 4 years: renewed in years 4 and 8 at 800 USD + 20 % + 1 h of fitting
    renewal = (800 * 1.2 + 90) * 1.5
    net = [13_790.0] * 10
    net[3] -= renewal
    net[7] -= renewal
    net[9] += 9_749.25
    assert found.cash.appraisal.central.flows == pytest.approx([-63_995, *net])


def test_low_and_high_ends_bracket_the_expected_case(build: Build) -> None:
    found = budget(build(), RATES, None)
    for view in (found.cash, found.with_unpaid):
        assert view is not None
        low, central, high = view.appraisal
        assert low.npv < central.npv < high.npv
        assert low.simple_payback_years is not None
        assert central.simple_payback_years is not None
        assert high.simple_payback_years is not None
        assert low.simple_payback_years > central.simple_payback_years > high.simple_payback_years
        assert low.irr[0] < central.irr[0] < high.irr[0]


def test_payback_is_moved_by_each_input_the_way_it_must(build: Build) -> None:
    found = budget(build(), RATES, None)
    assert found.cash is not None
    expected = found.cash.appraisal.central
    moved = {sensitivity.key: sensitivity for sensitivity in found.cash.sensitivity}
    assert list(moved) == ["rate", "wage", "price", "discount"]
    worse, better = moved["rate"].simple_payback_years
    assert worse == found.cash.appraisal.low.simple_payback_years, "nothing but the rates has an interval here"
    assert better == found.cash.appraisal.high.simple_payback_years
    less, more = moved["wage"].simple_payback_years
    cheap, dear = moved["price"].simple_payback_years
    assert less is not None
    assert more is not None
    assert cheap is not None
    assert dear is not None
    assert less > more
    assert cheap < dear
    assert moved["discount"].simple_payback_years == (expected.simple_payback_years,) * 2
    soon, late = moved["discount"].discounted_payback_years
    assert soon is not None
    assert late is not None
    assert soon < late


def test_a_dearer_build_keeps_the_trade_in(build: Build) -> None:
    found = budget(build(), RATES, None)
    by_hand = budget(build(catalogue=(("30,000", "33,000"), ("1,000", "1,100"), ("400 USD", "440 USD"))), RATES, None)
    assert found.cash is not None
    assert by_hand.cash is not None
    moved = next(sensitivity for sensitivity in found.cash.sensitivity if sensitivity.key == "price")
    exact = by_hand.cash.appraisal.central.simple_payback_years
    # freight and fitting (1,570 of 43,330) do not rise with the items, so the moved price is 1/3 of a per cent higher
    assert moved.simple_payback_years[1] == pytest.approx(exact, rel=5e-3)


def test_a_dearer_build_is_worth_less_by_its_price_less_its_salvage(build: Build) -> None:
    found = budget(build(("horizon_years = 10", "horizon_years = 4")), RATES, None)
    assert found.cash is not None
    cheap, dear = next(each.npv for each in found.cash.sensitivity if each.key == "price")
    # no renewal within 4 years: 20 % of 64,995, less the 15 % of it that is left in 4 years at 8 %
    assert cheap - dear == pytest.approx(0.2 * 64_995 * (1 - 0.15 / 1.08**4))


def test_nothing_is_renewed_in_the_last_year(build: Build) -> None:
    long = budget(build(catalogue=(("life_years = 4", "life_years = 9.5"),)), RATES, None)
    assert long.investment is not None
    assert long.investment.renewals == ()
    short = budget(build(catalogue=(("life_years = 4", "life_years = 4.5"),)), RATES, None)
    assert short.investment is not None
    assert [year for year, _ in short.investment.renewals] == [5, 9]


def test_more_labour_is_an_added_cost(build: Build) -> None:
    slow = {name: Rate(20 / 3600, 15 / 3600, 25 / 3600) for name in RATES}
    line = next(line for line in budget(build(), slow, None).lines if line.key == "labour_paid")
    assert line.side == "added_cost"
    assert line.amount is not None
    # 6,600 head at 20 an hour by one hand at 30, less 110 h by two
    assert line.amount.central == pytest.approx(330 * 30 - 110 * 60)
    assert line.amount.low > line.amount.central > line.amount.high


def test_a_skill_that_todays_crew_lacks_is_at_work_today_too(build: Build) -> None:
    edits = (
        ('tasks = ["drench"]', 'tasks = ["pregnancy_test"]'),
        ('crew = ["owner", "hand"]\n\n[today]', 'crew = ["owner", "hand", "vet"]\n\n[today]'),
    )
    _, treat = budget(build(*edits), RATES, None).work
    assert treat.crew_today.names == ("owner", "hand", "second hand", "vet")
    assert treat.crew.names == ("owner", "hand", "vet")


def test_without_todays_case_nothing_is_judged_and_it_says_what_is_missing(build: Build) -> None:
    terms = BRIEF[BRIEF.index("[today]") : BRIEF.index("[[promise]]")]
    found = budget(build((terms, "")), RATES, None)
    assert found.cash is None
    assert found.net is None
    assert found.lines == ()
    assert found.price.total == pytest.approx(64_995)
    assert [text.split(":")[0] for text in found.missing] == [
        "the brief does not tell today's case",
        "the brief gives no terms for judging the outlay",
    ]


def test_without_todays_case_alone_the_labour_is_missing_too(build: Build) -> None:
    today = BRIEF[BRIEF.index("[today]") : BRIEF.index("[money]")]
    found = budget(build((today, "")), RATES, None)
    assert found.work == ()
    assert len(found.missing) == 1


def test_an_unknown_rate_leaves_labour_and_appraisal_not_shown(build: Build) -> None:
    found = budget(build(), {"weigh": RATES["weigh"]}, None)
    assert found.missing == ("head rate with the build, treat: nothing has computed its head rate with the build",)
    assert found.cash is None
    assert amounts(found)["labour_paid"] is None
    assert amounts(found)["service"] == 510, "what does not rest on rates is shown all the same"


def test_energy_not_computed_is_left_out_and_said_so(build: Build) -> None:
    found = budget(build(WITH_PACK, catalogue=pack("mains_1ph")), RATES, None)
    assert amounts(found)["energy"] is None
    assert found.left_out == (
        "Electricity for the power pack: the energy the power pack takes in a year has not been computed",
    )
    assert found.cash is not None


def test_electricity_costs_what_it_takes_times_its_price(build: Build) -> None:
    priced = (WITH_PACK, ('salvage = "15 %"', 'salvage = "15 %"\nelectricity = "0.30 NZD/kWh"'))
    found = budget(build(*priced, catalogue=pack("mains_1ph")), RATES, Energy("electricity", 100, 80, 130))
    line = next(line for line in found.lines if line.key == "energy")
    assert line.amount is not None
    assert list(line.amount) == pytest.approx([39, 30, 24]), "more energy is the unfavourable end"
    assert found.left_out == ()


def test_petrol_is_burnt_by_the_shaft_kwh(build: Build) -> None:
    priced = (WITH_PACK, ('salvage = "15 %"', 'salvage = "15 %"\nfuel = "2.00 NZD/L"'))
    found = budget(build(*priced, catalogue=pack("petrol")), RATES, Energy("shaft", 100, 80, 130))
    # 100 kWh x 0.5 kg/kWh / 0.7475 kg/L x 2.00
    assert amounts(found)["energy"] == pytest.approx(100 * 0.5 / 0.7475 * 2)


def test_energy_without_a_price_or_of_the_wrong_carrier_is_not_shown(build: Build) -> None:
    mains = build(WITH_PACK, catalogue=pack("mains_1ph"))
    assert "no price of electricity" in budget(mains, RATES, Energy("electricity", 100, 80, 130)).left_out[0]
    assert "counted as shaft" in budget(mains, RATES, Energy("shaft", 100, 80, 130)).left_out[0]
    petrol = build(WITH_PACK, catalogue=pack("petrol"))
    assert "no price of petrol" in budget(petrol, RATES, Energy("shaft", 100, 80, 130)).left_out[0]


def test_the_nameplate_bounds_the_energy(build: Build) -> None:
    # 230 V x 10 A x 0.8 = 1.84 kW for 6,000 / 100 + 600 / 50 = 72 h at the low rates
    mains = nameplate_energy(build(WITH_PACK, catalogue=pack("mains_1ph")), RATES)
    assert mains is not None
    assert mains.carrier == "electricity"
    assert mains.kwh_per_year == mains.high_kwh_per_year == pytest.approx(1.84 * 72)
    three = nameplate_energy(build(WITH_PACK, catalogue=pack("mains_3ph")), RATES)
    assert three is not None
    assert three.kwh_per_year == pytest.approx(1.84 * 72 * 3**0.5)
    petrol = nameplate_energy(build(WITH_PACK, catalogue=pack("petrol")), RATES)
    assert petrol is not None
    assert petrol.carrier == "shaft"
    assert petrol.kwh_per_year == pytest.approx(3 * 72)
    assert nameplate_energy(build(WITH_PACK, catalogue=pack("petrol")), {}) is None
    assert nameplate_energy(build(), RATES) is None


def test_what_the_firm_supplies_unpriced_makes_the_payback_a_best_case(build: Build) -> None:
    found = budget(build(('concrete = "customer"', 'concrete = "firm"')), RATES, None)
    assert found.left_out == ("Concrete: the firm supplies it and the price does not hold it",)


@pytest.mark.parametrize("interval", [(1.0, 2.0, 3.0), (1.0, 0.0, 3.0), (4.0, 1.0, 3.0)])
def test_a_rate_outside_its_interval_is_our_own_bug(interval: tuple[float, float, float]) -> None:
    with pytest.raises(InternalError, match="interval"):
        Rate(*interval)
