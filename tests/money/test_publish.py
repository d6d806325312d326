"""Figures in the ledger: equal to the report, with chains that end in what the brief and catalogue state."""

from __future__ import annotations

import pytest

from stockproof.errors import InternalError
from stockproof.figures import FORMULAS, Ledger
from stockproof.installation import Installation
from stockproof.money import Budget, Energy, Rate, budget, publish
from stockproof.money.model import View
from tests.money.conftest import BRIEF, Build
from tests.money.test_budget import RATES, WITH_PACK, pack

PRICED = ('salvage = "15 %"', 'salvage = "15 %"\nfuel = "2.00 NZD/L"\nelectricity = "0.30 NZD/kWh"')


@pytest.fixture(params=["mains_1ph", "petrol"])
def whole(build: Build, request: pytest.FixtureRequest) -> tuple[Installation, Budget, Ledger]:
    drive = str(request.param)
    installation = build(WITH_PACK, PRICED, catalogue=pack(drive))
    energy = Energy("shaft" if drive == "petrol" else "electricity", 100, 80, 130, source="made up")
    found, ledger = budget(installation, RATES, energy), Ledger()
    publish(found, installation, ledger)
    return installation, found, ledger


def test_the_ledger_says_what_the_report_says(whole: tuple[Installation, Budget, Ledger]) -> None:
    _, found, ledger = whole
    price = found.price
    assert ledger["money.price.total"].value == price.total
    assert ledger["money.price.works"].value == price.total_works
    assert ledger["money.delivery.total_mass"].value == price.delivery.total_mass_kg
    assert ledger["money.delivery.heaviest_piece"].value == price.delivery.heaviest_piece_kg
    for line in found.lines:
        assert line.amount is not None
        assert ledger[f"money.line.{line.key}"].value == line.amount.central, line.key
    assert found.net is not None
    assert [ledger[f"money.net{end}"].value for end in (".low", "", ".high")] == list(found.net)
    assert found.capital_recovery_per_year == ledger["money.capital_recovery"].value
    for name, view in (("money.cash", found.cash), ("money.with_unpaid", found.with_unpaid)):
        assert view is not None
        _same(ledger, name, view)


def _same(ledger: Ledger, name: str, view: View) -> None:
    for end, case in (("", view.appraisal.central), (".low", view.appraisal.low), (".high", view.appraisal.high)):
        # two formulations: level sums times factors in the ledger, year by year in the report
        assert ledger[f"{name}.npv{end}"].value == pytest.approx(case.npv, rel=1e-9, abs=1e-6)
        assert (ledger[f"{name}.irr{end}"].value,) == case.irr
        assert ledger[f"{name}.payback{end}"].value == case.simple_payback_years
        assert ledger[f"{name}.discounted_payback{end}"].value == case.discounted_payback_years
    assert ledger[f"{name}.equivalent_annual"].value == pytest.approx(view.appraisal.central.equivalent_annual)
    for moved in view.sensitivity:
        for number, years in enumerate(moved.simple_payback_years, start=1):
            assert ledger[f"{name}.sensitivity.{moved.key}[{number}].payback"].value == years
        assert ledger[f"{name}.sensitivity.{moved.key}[2].npv"].value == moved.npv[1]


def test_every_chain_ends_in_what_somebody_stated(whole: tuple[Installation, Budget, Ledger]) -> None:
    _, _, ledger = whole
    for figure in ledger:
        assert figure.source
        assert all(name in ledger for name in figure.inputs), figure.name
        if figure.how in ("given", "assumed"):
            assert figure.name.startswith(("brief.", "catalogue.", "money.petrol_density", "money.programme["))
        elif not figure.inputs:
            # sums over nobody are nought, and what other rooms hand in says so
            assert figure.value == 0 or figure.source == "this program's own computation"


def test_sums_and_maxima_are_those_of_their_inputs(whole: tuple[Installation, Budget, Ledger]) -> None:
    _, _, ledger = whole
    summed = [figure for figure in ledger if figure.text == "sum of its inputs"]
    assert len(summed) > 20
    for figure in summed:
        assert figure.value == pytest.approx(sum(ledger[name].value for name in figure.inputs)), figure.name
        assert {ledger[name].unit for name in figure.inputs} <= {figure.unit}
    heaviest = ledger["money.delivery.heaviest_piece"]
    assert heaviest.value == max(ledger[name].value for name in heaviest.inputs)


def test_places_and_sources_are_the_authors(whole: tuple[Installation, Budget, Ledger]) -> None:
    installation, _, ledger = whole
    line = installation.brief.toml.lines["money", "discount"]
    assert ledger["brief.money.discount"].source == f"brief, line {line}, money.discount"
    assert ledger["catalogue.body.price"].source == "catalogue, body: invented"
    assert ledger["money.price.works"].substituted.count("+") == 3


def test_defaults_are_assumptions_and_written_values_are_not(whole: tuple[Installation, Budget, Ledger]) -> None:
    _, _, ledger = whole
    assumed = {figure.name for figure in ledger.assumptions()}
    assert {"catalogue.race.life_years", "brief.programme[1].share"} <= assumed
    assert "catalogue.body.life_years" not in assumed
    assert "brief.money.salvage" not in assumed
    assert ("money.petrol_density" in assumed) == ("catalogue.pack.fuel_kg_per_kwh" in ledger)


def test_a_recalled_density_marks_what_rests_on_it(build: Build) -> None:
    installation, ledger = build(WITH_PACK, PRICED, catalogue=pack("petrol")), Ledger()
    publish(budget(installation, RATES, Energy("shaft", 100, 80, 130)), installation, ledger)
    assert not ledger["money.cash.npv"].seen
    assert ledger["money.price.total"].seen


def test_units_of_derived_figures_are_the_formulas(whole: tuple[Installation, Budget, Ledger]) -> None:
    units = {declared.unit for declared in FORMULAS.values()}
    _, _, ledger = whole
    assert all(figure.unit in units for figure in ledger if figure.how == "derived")


def test_rates_already_in_the_ledger_are_the_chains_input(build: Build) -> None:
    installation, ledger = build(), Ledger()
    named = {
        name: Rate(rate.head_per_s, rate.low_head_per_s, rate.high_head_per_s, figure=f"flow.{name}.rate")
        for name, rate in RATES.items()
    }
    for name, rate in RATES.items():
        ledger.run(f"flow.{name}.rate", rate.head_per_s, "head/s", "rate", "made up")
    publish(budget(installation, named, None), installation, ledger)
    assert ledger["money.programme[1].build.time"].inputs == ("money.programme[1].head", "flow.weigh.rate")
    assert "money.programme[1].rate" not in ledger


def test_a_rate_that_the_ledger_gives_otherwise_is_our_own_bug(build: Build) -> None:
    installation, ledger = build(), Ledger()
    ledger.run("flow.rate", 1.0, "head/s", "rate", "made up")
    named = {**RATES, "weigh": Rate(0.5, 0.4, 0.6, figure="flow.rate")}
    with pytest.raises(InternalError, match="does not say so"):
        publish(budget(installation, named, None), installation, ledger)


def test_what_another_room_set_down_is_used_as_it_stands(build: Build) -> None:
    installation, ledger = build(), Ledger()
    distance = ledger.given("brief.site.road_distance", 100e3, "m", "told by somebody else")
    publish(budget(installation, RATES, None), installation, ledger)
    assert ledger["brief.site.road_distance"] is distance
    assert "brief.site.road_distance" in ledger["money.price.freight"].inputs


def test_publishing_goes_as_far_as_the_budget_is_shown(build: Build) -> None:
    installation, ledger = build(), Ledger()
    publish(budget(installation, {}, None), installation, ledger)
    assert "money.price.total" in ledger
    assert "money.line.service" in ledger
    assert "money.line.labour_paid" not in ledger
    assert "money.cash.npv" not in ledger
    bare = build((BRIEF[BRIEF.index("[today]") : BRIEF.index("[[promise]]")], ""))
    publish(budget(bare, RATES, None), bare, fresh := Ledger())
    assert "money.price.total" in fresh
    assert not any(figure.name.startswith("money.line") for figure in fresh)


def test_a_payback_that_does_not_exist_has_no_figure(build: Build) -> None:
    installation, ledger = build(("9,000", "1")), Ledger()
    slow = {name: Rate(20 / 3600, 15 / 3600, 25 / 3600) for name in RATES}
    publish(budget(installation, slow, None), installation, ledger)
    assert "money.cash.npv" in ledger
    assert "money.cash.payback" not in ledger
    assert "money.line.labour_paid" in ledger
