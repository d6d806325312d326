"""Intervals against worked examples, scipy, and simulated coverage."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from stockproof.errors import InternalError
from stockproof.flow.intervals import (
    bound_of_a_day,
    mean_interval,
    paired_difference,
    prediction_interval,
    t_quantile,
)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 9, 10, 29, 60, 199])
@pytest.mark.parametrize("share", [0.025, 0.5, 0.6, 0.9, 0.975, 0.995])
def test_t_quantile_agrees_with_scipy(freedom: int, share: float) -> None:
    assert t_quantile(share, freedom) == pytest.approx(float(stats.t.ppf(share, freedom)), abs=1e-9)


def test_ten_replications_of_the_textbook() -> None:
    # A. M. Law, Simulation Modeling and Analysis, example of ten replications (data as remembered; recomputed)
    values = np.array([1.20, 1.50, 1.68, 1.89, 0.95, 1.49, 1.58, 1.55, 0.50, 1.09])
    interval = mean_interval(values, 0.90)
    assert interval.value == pytest.approx(1.343)
    assert interval.half_width == pytest.approx(0.237253, abs=1e-6)


def test_paired_difference_of_common_random_numbers() -> None:
    # worked by hand with scipy 1.17: mean 2.52, half-width 0.81893, against 2.385 of variance if independent
    one = np.array([61.2, 60.4, 62.8, 59.9, 61.7])
    other = np.array([58.1, 59.0, 60.2, 57.4, 58.8])
    interval = paired_difference(one, other)
    assert interval.value == pytest.approx(2.5)
    assert interval.half_width == pytest.approx(0.81893, abs=1e-5)
    with pytest.raises(InternalError, match=r"^paired replications differ in number: \(5,\) and \(4,\)$"):
        paired_difference(one, other[:4])


def test_intervals_cover_what_they_say() -> None:
    rng = np.random.default_rng(7)
    sets = rng.lognormal(0.0, 0.4, (1500, 40))
    mean = np.exp(0.08)
    covered = np.mean([mean_interval(row).low <= mean <= mean_interval(row).high for row in sets])
    assert 0.92 <= covered <= 0.965
    new = rng.lognormal(0.0, 0.4, 1500)
    predicted = [prediction_interval(row, 0.9) for row in sets]
    within = np.mean([interval.low <= day <= interval.high for interval, day in zip(predicted, new, strict=True)])
    assert 0.875 <= within <= 0.93  # exactly 1 - 4/41 = 0.902 with 40 replications; 3.5 standard errors about it
    reached = np.mean([day >= bound_of_a_day(row, 0.8, at_least=True) for row, day in zip(sets, new, strict=True)])
    assert 0.77 <= reached <= 0.86


def test_too_few_replications_promise_nothing() -> None:
    values = np.arange(5.0)
    assert prediction_interval(values, 0.9).low == -np.inf
    assert bound_of_a_day(values, 0.9, at_least=True) == -np.inf
    assert bound_of_a_day(values, 0.9, at_least=False) == np.inf
    assert mean_interval(values[:1]).high == np.inf
