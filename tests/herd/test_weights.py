"""Weight in a mob: quantile and share are each other's inverse, percentiles keep their order, the mean stays."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from stockproof.errors import InternalError
from stockproof.herd import ListedWeights, NormalWeights, normal_quantile, normal_share
from stockproof.herd.weights import nodes_kg

MEANS = st.floats(40, 1200)
SPREADS = st.floats(0.01, 0.5)
SHARES = st.floats(0.001, 0.999)


@given(MEANS, SPREADS, SHARES)
@settings(max_examples=60, deadline=None)
def test_share_is_the_inverse_of_quantile(mean: float, spread: float, share: float) -> None:
    weights = NormalWeights(mean, spread)
    assert weights.share_at_most(weights.quantile_kg(share)) == pytest.approx(share, abs=1e-9)


@given(MEANS, st.floats(0, 0.5), st.lists(st.floats(0, 1), min_size=2, max_size=8))
@settings(max_examples=60, deadline=None)
def test_quantiles_rise_and_no_weight_is_absurd(mean: float, spread: float, shares: list[float]) -> None:
    found = [NormalWeights(mean, spread).quantile_kg(share) for share in sorted(shares)]
    assert found == sorted(found)
    assert 0.1 * mean - 1e-9 <= found[0] <= found[-1] <= 1.9 * mean + 1e-9


@given(MEANS, SPREADS)
@settings(max_examples=40, deadline=None)
def test_the_cut_keeps_the_mean(mean: float, spread: float) -> None:
    assert float(np.mean(nodes_kg(NormalWeights(mean, spread), 500))) == pytest.approx(mean, rel=1e-9)


def test_a_usual_spread_is_the_plain_normal() -> None:
    weights = NormalWeights(450.0, 0.10)
    for share in (0.01, 0.05, 0.5, 0.95, 0.99):
        assert weights.quantile_kg(share) == pytest.approx(stats.norm(450, 45).ppf(share), rel=1e-6)


def test_a_mob_without_spread_is_one_weight() -> None:
    weights = NormalWeights(450.0, 0.0)
    assert weights.quantile_kg(0.01) == weights.quantile_kg(0.99) == 450.0
    assert (weights.share_at_most(449.9), weights.share_at_most(450.0)) == (0.0, 1.0)


@given(st.lists(st.floats(50, 900), min_size=2, max_size=40), SHARES)
@settings(max_examples=60, deadline=None)
def test_a_list_is_read_as_numpy_reads_it_by_hazens_rule(listed: list[float], share: float) -> None:
    weights = ListedWeights(tuple(sorted(listed)))
    assert weights.quantile_kg(share) == pytest.approx(float(np.quantile(listed, share, method="hazen")))
    assert weights.share_at_most(max(listed)) == 1.0
    assert weights.mean_kg == pytest.approx(float(np.mean(listed)))
    assert weights.spread_kg == pytest.approx(float(np.std(listed, ddof=1)))


def test_an_unsorted_list_and_a_share_beyond_one_are_our_own_mistakes() -> None:
    with pytest.raises(InternalError, match=r"^a list of weights is empty or not sorted$"):
        ListedWeights((300.0, 200.0))
    with pytest.raises(InternalError, match=r"^a share of a mob is 1.5$"):
        NormalWeights(300.0, 0.1).quantile_kg(1.5)


def test_the_normal_distribution_agrees_with_scipy() -> None:
    z = np.linspace(-8, 8, 101)
    assert np.allclose(normal_share(z), stats.norm.cdf(z), atol=1e-15)
    assert normal_quantile(0.975) == pytest.approx(stats.norm.ppf(0.975), rel=1e-9)
