"""Price, scope and delivery of the paper build, each worked out on paper in the comments."""

from __future__ import annotations

import pytest

from stockproof.catalogue import KINDS
from stockproof.figures import Ledger
from stockproof.money import GROUPS, price
from stockproof.money.publish_price import publish_price
from stockproof.stated import Stated
from tests.money.conftest import BRIEF, Build


def test_the_price_is_the_sum_worked_on_paper(build: Build) -> None:
    found = price(build())
    # 30,000 + 4 x 1,000 + 2 x 400; margin 20 %; 100 km x 4; (8 + 4 x 1 + 2 x 0.5) h x 90; 1.5 NZD for 1 USD
    assert found.ex_works == 34_800
    assert found.margin_works == pytest.approx(6_960)
    assert found.freight_works == pytest.approx(400)
    assert found.fitting_s == 13 * 3600
    assert found.fitting_works == pytest.approx(1_170)
    assert found.total_works == pytest.approx(43_330)
    assert found.total == pytest.approx(64_995)
    assert (found.works_currency, found.currency) == ("USD", "NZD")


def test_one_currency_needs_no_exchange(build: Build) -> None:
    catalogue = (('currency = "USD"', 'currency = "NZD"'), *((" USD", " NZD"),) * 8)
    found = price(build(("exchange = 1.5\n", ""), catalogue=catalogue))
    assert found.exchange == 1
    assert found.total == found.total_works == pytest.approx(43_330)


def test_groups_hold_every_line_once(build: Build) -> None:
    found = price(build())
    assert [(group.name, group.price_works, group.mass_kg) for group in found.groups] == [
        ("Race and forcing pen", 4_000, 1_800),
        ("Crush and head", 30_000, 900),
        ("Control", 800, 2),
    ]
    assert sum(group.price for group in found.groups) == pytest.approx(34_800 * 1.5)


def test_every_kind_of_item_has_one_group() -> None:
    grouped = [kind for kinds in GROUPS.values() for kind in kinds]
    declared = [kind.model_fields["kind"].annotation.__args__[0] for kind in KINDS]  # type: ignore[union-attr]
    assert sorted(grouped) == sorted(declared)


def test_delivery_goes_by_the_heaviest_piece_and_the_whole_load(build: Build) -> None:
    delivery = price(build()).delivery
    # the body comes apart into pieces of 400 kg, the race panel of 450 kg does not
    assert (delivery.heaviest_item, delivery.heaviest_piece_kg) == ("Race panel", 450)
    assert delivery.lifting_margin_kg == -30
    assert delivery.total_mass_kg == 2_702
    assert delivery.access_margin_kg == 5_000 - 2_702


def test_scope_says_who_supplies_what_and_that_tax_is_out(build: Build) -> None:
    found = price(build())
    rows = {row.what: row for row in found.scope}
    assert rows["Concrete"].party == "customer"
    assert rows["Cable, and its connection by a licensed electrician"].party == "third_party"
    assert [row.what for row in found.scope if row.in_price] == [
        "The items listed",
        "Delivery to the yards",
        "Fitting on site",
    ]
    assert not rows["Value added or sales tax, duty"].in_price
    assert found.unpriced == ()


def test_what_the_firm_supplies_without_a_price_is_named(build: Build) -> None:
    found = price(build(('concrete = "customer"', 'concrete = "firm"')))
    assert found.unpriced == ("Concrete",)
    assert {row.what: row.note for row in found.scope}["Concrete"] == "not counted: no layout of the yard says how much"


def test_where_there_is_no_mains_no_cable_is_asked_of_the_firm(build: Build) -> None:
    supply = BRIEF[BRIEF.index("[[site.supply]]") : BRIEF.index("[scope]")]
    found = price(build((supply, ""), ('cable = "third_party"', 'cable = "firm"')))
    assert found.unpriced == ()
    assert {row.what: row.party for row in found.scope}["Cable to the mains"] == "not needed"


YARD = (("fence", 362.0), ("gate", 20.0), ("concrete", 21.9))
RATES = ("install_rate", 'fence_rate = "100 USD/m"\ngate_rate = "500 USD"\ninstall_rate')


def test_scope_says_how_much_of_the_yard_each_party_supplies(build: Build) -> None:
    rows = {row.what: row for row in price(build(), YARD).scope}
    assert rows["Concrete"].note == "21.9 m3 of concrete; supplied and paid by the customer"
    assert rows["Fences, gates, catwalk and ramp of the yard"].note.startswith("362 m of fence, 20 gates; ")


def test_the_firms_share_of_the_yard_is_priced_at_the_catalogues_rates(build: Build) -> None:
    firms = build(('cable = "third_party"', 'cable = "third_party"\nsteelwork = "firm"'), catalogue=(RATES,))
    without, found = price(firms), price(firms, YARD)
    assert found.materials_works == pytest.approx(362 * 100 + 20 * 500)
    assert found.total_works - without.total_works == pytest.approx(found.materials_works)
    assert {row.what: row.in_price for row in found.scope}["Fences, gates, catwalk and ramp of the yard"]
    assert found.unpriced == ()


def test_what_the_firm_supplies_is_derived_from_the_yards_amounts(build: Build) -> None:
    firms = build(('cable = "third_party"', 'cable = "third_party"\nsteelwork = "firm"'), catalogue=(RATES,))
    ledger, found = Ledger(), price(firms, YARD)
    for what, unit, amount in (("fence", "m", 362.0), ("gate", "1", 20.0)):
        ledger.run(f"yard.material.{what}", amount, unit, what, "measured")
    publish_price(Stated(firms, ledger), found)
    assert ledger["money.material.fence"].value == pytest.approx(36_200)
    assert ledger["money.material.fence"].substituted == "362 * 100"
    assert ledger["money.price.materials"].value == found.materials_works
    assert ledger["money.price.works"].value == found.total_works
