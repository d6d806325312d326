"""Money against numpy-financial (installed for tests only), published worked examples, and hand-worked cases.

Sources stand beside each value. Vectors named "docstring" are printed in the documentation of numpy-financial 1.0.
"""

from __future__ import annotations

import math

import numpy_financial
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.money import formulas, interest
from stockproof.money.appraisal import appraise, payback, present_value, present_values, rates_of_return

modest = settings(max_examples=80, deadline=None, derandomize=True)
rates = st.floats(-0.5, 1.0).filter(lambda rate: abs(rate) > 1e-3)
years = st.integers(1, 40)
amounts = st.floats(-1e6, 1e6).map(lambda amount: round(amount, 2))


# numpy-financial, docstrings of npv, irr, pmt, pv, fv


def test_npv_docstring() -> None:
    assert present_value([-40000, 5000, 8000, 12000, 30000], 0.08) == pytest.approx(3065.22267, abs=5e-6)


@pytest.mark.parametrize(
    ("flows", "rate", "places"),
    [
        ([-100, 39, 59, 55, 20], 0.28095, 5),
        ([-100, 0, 0, 74], -0.0955, 4),
        ([-100, 100, 0, -7], -0.0833, 4),
        ([-100, 100, 0, 7], 0.06206, 5),
        ([-5, 10.5, 1, -8, 1], 0.0886, 4),
    ],
)
def test_irr_docstring(flows: list[float], rate: float, places: int) -> None:
    """Where several rates fit, the docstring's is one of ours."""
    assert rate in [round(found, places) for found in rates_of_return(flows)]


def test_pmt_docstring() -> None:
    payment = 200000 * interest.capital_recovery_factor(0.075 / 12, 180)
    assert payment == pytest.approx(1854.0247200054619, rel=1e-12)


def test_pv_and_fv_docstring() -> None:
    annuity, discount = interest.annuity_factor(0.05 / 12, 120), interest.discount_factor(0.05 / 12, 120)
    assert 100 * annuity - 15692.93 * discount == pytest.approx(-100.00067131625819, rel=1e-9)
    assert 100 * annuity + 100 == pytest.approx(15692.928894335748 * discount, rel=1e-12)


# numpy-financial itself


@given(st.lists(amounts, min_size=1, max_size=40), rates)
@modest
def test_npv_is_numpy_financials(flows: list[float], rate: float) -> None:
    scale = sum(abs(flow) * (1 + rate) ** -year for year, flow in enumerate(flows))
    assert present_value(flows, rate) == pytest.approx(numpy_financial.npv(rate, flows), abs=1e-12 * scale + 1e-9)


@given(rates, years)
@modest
def test_capital_recovery_is_numpy_financials_payment(rate: float, count: int) -> None:
    assert interest.capital_recovery_factor(rate, count) == pytest.approx(
        -numpy_financial.pmt(rate, count, 1), rel=1e-9
    )


@given(rates, years)
@modest
def test_annuity_is_numpy_financials_present_value(rate: float, count: int) -> None:
    assert interest.annuity_factor(rate, count) == pytest.approx(-numpy_financial.pv(rate, count, 1), rel=1e-9)


@given(st.floats(100, 1e6), st.lists(st.floats(10, 1e5), min_size=2, max_size=25))
@modest
def test_irr_is_numpy_financials_where_the_sign_changes_once(outlay: float, returns: list[float]) -> None:
    flows = [-outlay, *returns]
    theirs, ours = float(numpy_financial.irr(flows)), rates_of_return(flows)
    if math.isnan(theirs) or not -0.98 < theirs < 9.9:
        return
    assert len(ours) == 1
    assert ours[0] == pytest.approx(theirs, rel=1e-6, abs=1e-8)


# A made-up machine: 80,000 down, 18,000 saved a year, 12,000 left after 10 years, 8 % a year.
# Values from the factor tables of engineering economy, reproduced here by numpy-financial where it has them.

SAVED = [-80000.0, *[18000.0] * 10]
FLOWS = [*SAVED[:-1], 30000.0]


def test_machine_by_numpy_financial() -> None:
    assert float(numpy_financial.npv(0.08, FLOWS)) == pytest.approx(46339.787, abs=5e-4)
    assert float(numpy_financial.irr(FLOWS)) == pytest.approx(0.1907216, abs=5e-8)


def test_machine() -> None:
    found = appraise(FLOWS, SAVED, rate=0.08)
    assert found.npv == pytest.approx(46339.787, abs=5e-4)
    assert list(found.irr) == pytest.approx([0.1907216], abs=5e-8)
    assert found.simple_payback_years == pytest.approx(80000 / 18000, rel=1e-12)
    assert found.discounted_payback_years == pytest.approx(5.71685, abs=5e-6)
    assert found.equivalent_annual == pytest.approx(6905.995, abs=5e-4)
    assert found.flags == ()


def test_machine_by_level_formulas() -> None:
    annuity, discount = interest.annuity_factor(0.08, 10), interest.discount_factor(0.08, 10)
    assert annuity == pytest.approx(6.710081, abs=5e-7)
    npv = interest.net_present_value(
        net=18000, annuity=annuity, salvage=12000, discount=discount, outlay=80000, renewals=0
    )
    assert npv == pytest.approx(46339.787, abs=5e-4)
    assert 1 + npv / 80000 == pytest.approx(1.579247, abs=5e-7)


def test_machine_ownership() -> None:
    factor = interest.capital_recovery_factor(0.08, 10)
    assert factor == pytest.approx(0.1490295, abs=5e-8)
    recovery = interest.capital_recovery(outlay=80000, salvage=12000, factor=factor, rate=0.08)
    assert recovery == pytest.approx(11094.005, abs=5e-4)
    assert interest.depreciation(80000, 12000, 10) == 6800
    assert interest.interest_on_average(80000, 12000, 0.08) == pytest.approx(3680)


def test_machine_recovery_is_the_saving_less_the_equivalent_annual_worth() -> None:
    """An identity between three ways of counting: saving - capital recovery = NPV as a level yearly amount."""
    factor = interest.capital_recovery_factor(0.08, 10)
    recovery = interest.capital_recovery(outlay=80000, salvage=12000, factor=factor, rate=0.08)
    assert 18000 - recovery == pytest.approx(appraise(FLOWS, SAVED, rate=0.08).equivalent_annual, rel=1e-12)


def test_loan_of_60000_over_5_years_at_9_percent() -> None:
    assert 60000 * interest.capital_recovery_factor(0.09, 5) == pytest.approx(15425.547, abs=5e-4)
    assert 60000 * interest.capital_recovery_factor(0.09 / 12, 60) == pytest.approx(1245.501, abs=5e-4)


def test_straight_line_worked_example() -> None:
    """White, Case and Pratt, Principles of Engineering Economic Analysis, 5th ed., example 9.2."""
    assert interest.depreciation(500_000, 50_000, 10) == 45_000


def test_two_rates_of_return() -> None:
    """By hand: 132 x^2 - 230 x + 100 = 2 (11 x - 10) (6 x - 5), so x = 1/1.1 and 1/1.2."""
    found = appraise([-100, 230, -132], [-100, 230, -132], rate=0.08)
    assert list(found.irr) == pytest.approx([0.10, 0.20], abs=1e-9)
    assert "several_irr" in found.flags
    assert float(numpy_financial.irr([-100, 230, -132])) == pytest.approx(0.10, abs=1e-9), "the peer gives only one"


# Partial budget and labour


def test_partial_budget_beans_to_corn() -> None:
    """Southeast Farm Press, partial budget of 100 acres from beans to corn (its text misprints the first sum)."""
    net = formulas.net_benefit(added_returns=97_500, reduced_costs=55_000, added_costs=88_000, reduced_returns=69_000)
    assert net == -4_500


def test_labour_of_a_head() -> None:
    """Two people at 30 an hour: 3.5 min a head is 3.50, 1.6 min is 1.60 (worked by hand)."""
    crew_cost = 2 * 30 / 3600
    assert formulas.labour_per_head(crew_cost, 1 / (3.5 * 60)) == pytest.approx(3.50)
    assert formulas.labour_per_head(crew_cost, 1 / (1.6 * 60)) == pytest.approx(1.60)


# Closed form of payback


@given(st.floats(1e3, 1e6), st.floats(1e2, 1e6), st.floats(0, 0.3))
@modest
def test_paybacks_of_a_level_saving_lie_where_the_closed_forms_say(outlay: float, saved: float, rate: float) -> None:
    """Simple: outlay / saving. Discounted: numpy-financial's number of periods, within its own year."""
    flows = [-outlay, *[saved] * 40]
    simple, discounted = payback(flows), payback(present_values(flows, rate))
    if simple is not None:
        assert simple == pytest.approx(outlay / saved, rel=1e-9)
    if discounted is not None and rate > 1e-3:
        periods = float(numpy_financial.nper(rate, saved, -outlay))
        assert math.floor(periods - 1e-9) <= discounted <= math.ceil(periods + 1e-9)
