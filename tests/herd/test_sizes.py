"""Body sizes of a mob: they rise with weight, keep their order, and agree with animals drawn one by one."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof import herd
from stockproof.brief.model import StockClass
from stockproof.errors import InputError, InternalError
from stockproof.figures import Ledger
from stockproof.herd import WEIGHT, Floats, MobSizes, herd_table
from stockproof.herd import sizes as sizes_module
from tests.herd.support import TEMPLATE, brief_of, mob_of

CLASSES = get_args(StockClass)
SIZES = tuple(herd_table().measures)


@given(st.sampled_from(CLASSES), st.sampled_from(SIZES), st.floats(30, 1200), st.floats(1.001, 2))
@settings(max_examples=80, deadline=None)
def test_a_heavier_animal_is_larger_in_every_size(stock: str, size: str, weight: float, times: float) -> None:
    light, heavy = mob_of(stock, 400.0).typical(size, np.array([weight, weight * times]))
    assert heavy >= light


@given(st.sampled_from(CLASSES), st.sampled_from((*SIZES, WEIGHT)), st.floats(0, 0.3))
@settings(max_examples=25, deadline=None)
def test_percentiles_keep_their_order_and_invert_the_share(stock: str, size: str, spread: float) -> None:
    mob = mob_of(stock, 300.0, round(spread, 3))
    found = [mob.percentile(size, share) for share in (0.01, 0.25, 0.5, 0.75, 0.99)]
    assert found == sorted(found)
    if size != WEIGHT:
        assert mob.share_at_most(size, found[3]) == pytest.approx(0.75, abs=1e-4)  # a micrometre of size


@pytest.fixture(scope="module")
def steers() -> MobSizes:
    return mob_of("steer", 450.0, 0.10)


@pytest.fixture(scope="module")
def animals(steers: MobSizes) -> dict[str, Floats]:
    return steers.sample(np.random.default_rng(7), 20_000)


@pytest.mark.parametrize("size", [*SIZES, WEIGHT])
def test_the_distribution_agrees_with_animals_drawn_one_by_one(
    steers: MobSizes, animals: dict[str, Floats], size: str
) -> None:
    drawn = animals[size]
    # 20,000 draws: the mean is out by 0.7 % of the spread, a tail share of 5 % by 0.15 points (one standard error)
    assert steers.mean(size) == pytest.approx(float(np.mean(drawn)), abs=4 * 0.0071 * steers.spread(size))
    assert steers.spread(size) == pytest.approx(float(np.std(drawn)), rel=0.03)
    for share in (0.05, 0.5, 0.95):
        assert float(np.mean(drawn <= steers.percentile(size, share))) == pytest.approx(share, abs=0.015)


def test_the_same_generator_draws_the_same_animals(steers: MobSizes) -> None:
    first, second = (steers.sample(np.random.default_rng(3), 50) for _ in range(2))
    assert all(np.array_equal(first[size], second[size]) for size in first)


def test_sizes_go_with_weight(animals: dict[str, Floats]) -> None:
    # girth rises by 0.35 of weight's 10 %, and animals of one weight differ by 3.2 %
    assert np.corrcoef(animals[WEIGHT], animals["heart_girth"])[0, 1] == pytest.approx(0.75, abs=0.05)


def test_twice_as_many_nodes_move_no_share_by_a_thousandth(monkeypatch: pytest.MonkeyPatch) -> None:
    bound = mob_of("cow", 540.0).percentile("hip_width", 0.95)
    coarse = mob_of("cow", 540.0).share_at_most("hip_width", bound)
    mob_of.cache_clear()
    monkeypatch.setattr(sizes_module, "NODES", 2 * sizes_module.NODES)
    fine = mob_of("cow", 540.0)
    assert fine.share_at_most("hip_width", bound) == pytest.approx(coarse, abs=1e-3)
    mob_of.cache_clear()


def test_a_list_of_weights_is_the_mob(tmp_path: Path) -> None:
    listed = [180 + 5 * i for i in range(20)]
    (tmp_path / "w.csv").write_text("weight_kg\n" + "\n".join(map(str, listed)) + "\n")
    brief = brief_of(
        ('weight_mean = "540 kg"', 'weights_csv = "w.csv"'), ('weight_spread = "9 %"', ""), folder=tmp_path
    )
    mob = herd.mob(brief, "cows")
    assert mob.mean(WEIGHT) == pytest.approx(np.mean(listed))
    assert mob.share_at_most(WEIGHT, 200.0) == 5 / 20
    assert mob.unit(WEIGHT) == "kg"


def test_an_assumption_can_be_moved_by_its_name() -> None:
    brief = brief_of()
    usual = herd.mob(brief, "cows")
    names = [assumption.name for assumption in usual.assumptions()]
    assert len(set(names)) == len(names)
    for assumption in usual.assumptions():
        assert assumption.band is not None
        assert assumption.band[0] <= assumption.value <= assumption.band[1], assumption.name
        moved = herd.mob(brief, "cows", {assumption.name: assumption.band[1]})
        stated = {each.name: each.value for each in moved.assumptions()}
        assert stated[assumption.name] == pytest.approx(assumption.band[1])
    wide = herd.mob(brief, "cows", {"herd.cow.hip_width": 0.53})
    assert wide.percentile("hip_width", 0.5) == pytest.approx(usual.percentile("hip_width", 0.5) * 0.53 / 0.50)


def test_assumptions_go_into_a_ledger_with_recalled_values_marked() -> None:
    ledger = Ledger()
    for assumption in herd.mob(brief_of(), "cows").assumptions():
        assumption.set_down(ledger)
    assert not ledger["herd.cow.hip_width"].seen
    assert ledger["herd.cow.body_length"].seen
    assert "AHDB" in ledger["herd.cow.body_length"].source
    assert "beef cattle stand lower" in ledger["herd.cow.withers_height"].source


def test_temperament_sets_pace_and_balking() -> None:
    quiet, flighty = (
        herd.mob(brief_of(('weight_spread = "9 %"', f'weight_spread = "9 %"\ntemperament = "{word}"')), "cows")
        for word in ("quiet", "flighty")
    )
    assert quiet.walking_m_per_s < flighty.walking_m_per_s
    assert quiet.balk_share < flighty.balk_share


def test_a_mob_that_is_not_there_and_a_weight_of_no_cattle_are_refused() -> None:
    with pytest.raises(InputError, match=r"^is no mob of this brief\n    got: 'goats'\n    allowed: cows$"):
        herd.mob(brief_of(), "goats")
    light = brief_of(('weight_mean = "540 kg"', 'weight_mean = "540 g"'))
    line = next(i for i, text in enumerate(TEMPLATE.splitlines(), 1) if "weight_mean" in text)
    with pytest.raises(InputError, match=rf"^brief.toml, line {line}, mob\[1\].weight_mean: is no mean weight of c"):
        herd.mob(light, "cows")


def test_an_unknown_size_and_percentile_are_our_own_mistakes(steers: MobSizes) -> None:
    with pytest.raises(InternalError, match=r"^no body size 'wool'"):
        steers.percentile("wool", 0.5)
    with pytest.raises(InternalError, match=r"^a size has no percentile at the share 1$"):
        steers.percentile("hip_width", 1)


def test_every_law_says_where_it_comes_from() -> None:
    for measure in herd_table().measures.values():
        assert measure.seen != ("from memory" in measure.source), measure.code


@given(st.floats(5, 4000))
@settings(max_examples=40, deadline=None)
def test_girth_and_weight_are_each_others_inverse(weight: float) -> None:
    girth = float(herd.heart_girth_m(np.array([weight]))[0])
    if 30 < weight < 2600:
        assert herd.weight_francis_kg(girth) == pytest.approx(weight, rel=1e-5)
    assert 0.3 < girth < 4.5
