"""How a mob parts over the ways of a draft unit: by its own weights, by what the brief states, or evenly as listed."""

from __future__ import annotations

import csv
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from stockproof.brief import Brief, read_brief
from stockproof.errors import InputError
from stockproof.herd import ListedWeights, NormalWeights, parting, shares_by_weight

EXAMPLES = Path(__file__).parents[2] / "examples"


def brief(name: str) -> Brief:
    return read_brief(EXAMPLES / name / "brief.toml")


def test_shares_of_a_normal_mob_are_those_of_the_closed_form() -> None:
    # outside check: the standard library's normal distribution; the mob's own is cut at 1.9 times the mean
    shares = shares_by_weight(NormalWeights(640.0, 0.07), (600.0, 680.0), 3)
    normal = NormalDist(640.0, 0.07 * 640.0)
    expected = (normal.cdf(600.0), normal.cdf(680.0) - normal.cdf(600.0), 1 - normal.cdf(680.0))
    assert shares == pytest.approx(expected, abs=1e-9)


def test_shares_of_a_listed_mob_are_counted_in_its_csv() -> None:
    mob_brief = brief("hill")
    programme = mob_brief.programmes["weaning weigh and draft"]
    with (EXAMPLES / "hill" / mob_brief.mobs[programme.mob].weights_csv).open() as file:
        weights = [float(row["weight_kg"]) for row in csv.DictReader(file)]
    light, heavy = programme.cuts_kg
    counted = (
        sum(weight <= light for weight in weights),
        sum(light < weight <= heavy for weight in weights),
        sum(weight > heavy for weight in weights),
    )
    parted = parting(mob_brief, programme, 3)
    assert parted.assumption is None
    assert np.array(parted.shares) * len(weights) == pytest.approx(counted)


@pytest.mark.parametrize("weights", [NormalWeights(300.0, 0.1), ListedWeights(tuple(200.0 + k for k in range(400)))])
def test_an_animals_place_in_the_mob_is_its_weight_and_its_way(weights: NormalWeights | ListedWeights) -> None:
    cuts_kg = (270.0, 330.0)
    ends = np.cumsum(shares_by_weight(weights, cuts_kg, 3))
    for place in np.linspace(0.001, 0.999, 777).tolist():
        by_weight = sum(weights.quantile_kg(place) > cut for cut in cuts_kg)
        if min(abs(place - end) for end in ends) > 0.002:  # a list is read between neighbours, half an animal wide
            assert int(np.searchsorted(ends, place)) == by_weight


def test_ways_without_a_group_stay_empty_and_the_last_takes_what_is_left() -> None:
    weights = NormalWeights(400.0, 0.1)
    assert shares_by_weight(weights, (400.0,), 3) == pytest.approx((0.5, 0.5, 0.0))
    assert shares_by_weight(weights, (360.0, 400.0, 440.0), 2) == pytest.approx((0.158655, 0.841345), abs=1e-6)


def test_what_no_weight_decides_goes_as_stated_or_evenly_as_an_assumption() -> None:
    mob_brief = brief("hill")
    programme = mob_brief.programmes["pregnancy test"]
    evenly = parting(mob_brief, programme, 3)
    assert evenly.shares == pytest.approx((1 / 3, 1 / 3, 1 / 3))
    assert evenly.assumption is not None
    assert evenly.assumption.source.text
    stated = parting(mob_brief, programme, 3, (0.07, 0.9, 0.03))
    assert stated.shares == pytest.approx((0.07, 0.9, 0.03))
    assert stated.assumption is None
    by_weight = mob_brief.programmes["weaning weigh and draft"]
    assert parting(mob_brief, by_weight, 3, (0.07, 0.9, 0.03)).shares == parting(mob_brief, by_weight, 3).shares


def test_stated_shares_that_do_not_add_up_are_refused() -> None:
    mob_brief = brief("hill")
    programme = mob_brief.programmes["pregnancy test"]
    with pytest.raises(InputError, match="do not match the draft unit"):
        parting(mob_brief, programme, 3, (0.5, 0.5))
    with pytest.raises(InputError, match="do not make the whole mob"):
        parting(mob_brief, programme, 2, (0.5, 0.4))
