"""Head rate from taps: values worked out by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockproof.flow.tapped import LEAST_TAPS, head_rate


def test_even_taps_give_their_rate_and_no_spread() -> None:
    rate = head_rate([0, 30, 60, 90, 120, 150])
    assert rate is not None
    assert rate.head_per_s * 3600 == pytest.approx(120)
    assert (rate.low_head_per_s, rate.high_head_per_s) == pytest.approx((1 / 30, 1 / 30))
    assert rate.animals == 5
    assert rate.spread_share == 0


def test_uneven_taps_by_hand() -> None:
    """Gaps 20, 40, 30, 50, 10 s: mean 30 s, deviation 15.811 s, t(0.95, 4) = 2.1318 (a printed table of t)."""
    rate = head_rate([0, 20, 60, 90, 140, 150])
    assert rate is not None
    assert rate.mean_s == pytest.approx(30)
    assert rate.spread_share == pytest.approx(15.811 / 30, rel=1e-4)
    half = 2.1318 * 15.8114 / math.sqrt(5)
    assert rate.low_head_per_s == pytest.approx(1 / (30 + half), rel=1e-4)
    assert rate.high_head_per_s == pytest.approx(1 / (30 - half), rel=1e-4)


def test_too_few_taps_or_a_clock_gone_back_give_no_rate() -> None:
    assert head_rate([float(i) for i in range(LEAST_TAPS - 1)]) is None
    assert head_rate([0, 10, 5, 20, 30, 40]) is None
    assert head_rate([5.0] * 9) is None


@given(st.lists(st.floats(0.5, 600), min_size=LEAST_TAPS, max_size=60))
def test_the_rate_lies_in_its_interval_and_does_not_depend_on_when_the_clock_began(gaps: list[float]) -> None:
    taps = [1000.0]
    for gap in gaps:
        taps.append(taps[-1] + gap)
    rate, again = head_rate(taps), head_rate([tap + 5000 for tap in taps])
    assert rate is not None
    assert again is not None
    assert rate.low_head_per_s <= rate.head_per_s * (1 + 1e-9)
    assert rate.head_per_s <= rate.high_head_per_s * (1 + 1e-9)
    assert again.head_per_s == pytest.approx(rate.head_per_s)
    assert rate.head_per_s == pytest.approx(len(gaps) / sum(gaps))
