"""Appraisal of flows: properties that must hold whatever the flows."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.money.appraisal import appraise, payback, present_value, rates_of_return, sign_changes

modest = settings(max_examples=100, deadline=None, derandomize=True)
flows = st.lists(st.integers(-1000, 1000).map(float), min_size=2, max_size=16)


@given(flows)
@modest
def test_worth_is_zero_at_every_rate_found_and_no_more_are_found_than_sign_changes(found: list[float]) -> None:
    rates = rates_of_return(found)
    assert len(rates) <= sign_changes(found), "Descartes' rule of signs"
    for rate in rates:
        scale = sum(abs(flow) * (1 + rate) ** -year for year, flow in enumerate(found))
        assert present_value(found, rate) == pytest.approx(0, abs=1e-9 * scale + 1e-9)


@given(flows)
@modest
def test_no_change_of_sign_of_the_worth_is_missed(found: list[float]) -> None:
    """Against a plain scan: wherever the worth changes sign between two scanned rates, a rate lies between."""
    rates = rates_of_return(found)
    scan = [-0.9 + 0.02 * step for step in range(300)]
    worth = [present_value(found, rate) for rate in scan]
    for i, (before, after) in enumerate(pairwise(worth)):
        if before * after < 0:
            assert any(scan[i] - 1e-9 <= rate <= scan[i + 1] + 1e-9 for rate in rates)


@given(st.lists(st.floats(-1000, 1000), min_size=1, max_size=12), st.floats(1, 1000))
@modest
def test_payback_marks_the_last_time_the_sum_is_below_zero(later: list[float], outlay: float) -> None:
    found = [-outlay, *later]
    years = payback(found)
    if years is None:
        assert sum(found) < 1e-9
        return
    whole = int(years)
    through = sum(found[: whole + 1]) + (years - whole) * (found[whole + 1] if whole + 1 < len(found) else 0)
    assert through == pytest.approx(0, abs=1e-6)
    assert all(sum(found[:end]) >= -1e-6 for end in range(whole + 2, len(found) + 1))


def test_payback_counts_the_last_recovery_when_a_renewal_dips_below() -> None:
    assert payback([-100, 60, 60, -70, 60, 60]) == pytest.approx(3 + 50 / 60)


def test_an_outlay_that_is_no_outlay_is_back_at_once() -> None:
    assert payback([0, 5, 5]) == 0
    assert payback([5, 5]) == 0


def test_what_brings_nothing_never_pays_back() -> None:
    found = appraise([-100, -5, -5], [-100, -5, -5], rate=0.05)
    assert found.flags == ("no_irr", "never_pays_back")
    assert found.irr == ()
    assert found.simple_payback_years is None
    assert found.npv < -100


def test_what_is_too_slow_is_not_back_within_the_horizon() -> None:
    found = appraise([-100, 5, 5], [-100, 5, 5], rate=0.05)
    assert "not_within_horizon" in found.flags
    assert "never_pays_back" not in found.flags


def test_salvage_counts_for_worth_and_not_for_payback() -> None:
    found = appraise([-100, 30, 130], [-100, 30, 30], rate=0.05)
    assert found.npv > 0
    assert found.simple_payback_years is None
