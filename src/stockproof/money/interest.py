"""Formulas of outlay, depreciation and the worth of money over time, declared with text, units and source.

As a unit, `money` is the brief's currency. Discounting is yearly; rates are per year. What has no closed form (rate
of return, payback) is in `appraisal`.
"""

from __future__ import annotations

from stockproof.figures import COMMON_PRACTICE, Source, formula

__all__ = [
    "annuity_factor",
    "capital_recovery",
    "capital_recovery_factor",
    "depreciation",
    "discount_factor",
    "equivalent_annual",
    "interest_on_average",
    "net_outlay",
    "net_present_value",
    "salvage_value",
]

COMPOUND_INTEREST = Source(
    "OASIS OpenDocument v1.2, Part 2: OpenFormula (2009), the equation of PV and PMT with payments at the end of a "
    "period, as quoted in the documentation of numpy-financial 1.0"
)
MACHINERY_COST = Source("J. R. Molenhuis, Budgeting farm machinery costs, OMAFRA factsheet, February 2020, fixed costs")
COMPOUNDS = "(1 + rate) compounds a rate per year over whole years"
#: A made-up machine: 80,000 down, 18,000 saved a year, 12,000 left after 10 years, 8 %.
_MACHINE = {"rate": 0.08, "years": 10.0}


@formula(
    "price - trade_in",
    unit="money",
    sources=(COMMON_PRACTICE,),
    example=({"price": 84000, "trade_in": 4000}, 80000),
    price="money",
    trade_in="money",
)
def net_outlay(price: float, trade_in: float) -> float:
    """Give what must be found on the day: the price less what today's crush brings. [money]"""
    return price - trade_in


@formula(
    "price * share",
    unit="money",
    sources=(COMMON_PRACTICE,),
    example=({"price": 80000, "share": 0.15}, 12000),
    price="money",
    share="1",
)
def salvage_value(price: float, share: float) -> float:
    """Give what the build is worth at the end of the horizon. [money]"""
    return price * share


@formula(
    "(outlay - salvage) / life",
    unit="money/year",
    sources=(MACHINERY_COST,),
    example=({"outlay": 80000, "salvage": 12000, "life": 10}, 6800),
    outlay="money",
    salvage="money",
    life="year",
)
def depreciation(outlay: float, salvage: float, life: float) -> float:
    """Give straight-line depreciation. [money/year]

    Parameters
    ----------
    outlay, salvage : float
        What was paid, and what is left at the end of the life. [money]
    life : float
        Working life. [year]

    References
    ----------
    J. R. Molenhuis, Budgeting farm machinery costs, OMAFRA factsheet, 2020: total depreciation is price less
    salvage, in equal parts over the life.
    """
    return (outlay - salvage) / life


@formula(
    "(outlay + salvage) / 2 * rate",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"outlay": 80000, "salvage": 12000, "rate": 0.08}, 3680),
    outlay="money",
    salvage="money",
    rate="1/year",
)
def interest_on_average(outlay: float, salvage: float, rate: float) -> float:
    """Give interest on the average of what is tied up. [money/year]

    Parameters
    ----------
    outlay, salvage : float
        What is tied up at the beginning and at the end. [money]
    rate : float
        Interest rate. [1/year]

    References
    ----------
    Common practice of farm machinery budgets. The exact yearly sum is `capital_recovery`.
    """
    return (outlay + salvage) / 2 * rate


@formula(
    "(1 + rate) ** -years",
    unit="1",
    sources=(COMPOUND_INTEREST,),
    example=(_MACHINE, 0.463193),
    exempt=COMPOUNDS,
    rate="1/year",
    years="year",
)
def discount_factor(rate: float, years: float) -> float:
    """Give what one unit at the end of so many years is worth today. [1]

    Parameters
    ----------
    rate : float
        Discount rate, above -1. [1/year]
    years : float
        Years until then. [year]

    References
    ----------
    OpenFormula (see `COMPOUND_INTEREST`), the equation of PV without payments.
    """
    return float((1 + rate) ** -years)


@formula(
    "(1 - (1 + rate) ** -years) / rate if rate else years",
    unit="year",
    sources=(COMPOUND_INTEREST,),
    example=(_MACHINE, 6.710081),
    exempt=COMPOUNDS,
    rate="1/year",
    years="year",
)
def annuity_factor(rate: float, years: float) -> float:
    """Give what one unit at the end of each of so many years is worth today. [year]

    Parameters
    ----------
    rate : float
        Discount rate, above -1; 0 gives the plain count of years. [1/year]
    years : float
        How many years. [year]

    References
    ----------
    OpenFormula (see `COMPOUND_INTEREST`), the equation of PV with payments at the end of a period.
    """
    return (1 - (1 + rate) ** -years) / rate if rate else years


@formula(
    "rate / (1 - (1 + rate) ** -years) if rate else 1 / years",
    unit="1/year",
    sources=(COMPOUND_INTEREST,),
    example=(_MACHINE, 0.1490295),
    exempt=COMPOUNDS,
    rate="1/year",
    years="year",
)
def capital_recovery_factor(rate: float, years: float) -> float:
    """Give the yearly sum that repays one unit with interest in so many years. [1/year]

    Parameters
    ----------
    rate : float
        Interest rate, above -1; 0 gives equal parts. [1/year]
    years : float
        How many years. [year]

    References
    ----------
    OpenFormula (see `COMPOUND_INTEREST`), the equation of PMT with payments at the end of a period.
    """
    return rate / (1 - (1 + rate) ** -years) if rate else 1 / years


@formula(
    "(outlay - salvage) * factor + salvage * rate",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"outlay": 80000, "salvage": 12000, "factor": 0.1490295, "rate": 0.08}, 11094.005),
    outlay="money",
    salvage="money",
    factor="1/year",
    rate="1/year",
)
def capital_recovery(*, outlay: float, salvage: float, factor: float, rate: float) -> float:
    """Give the yearly sum that recovers the outlay less salvage, with interest. [money/year]

    Parameters
    ----------
    outlay, salvage : float
        What is paid now, and what comes back at the end. [money]
    factor : float
        Capital recovery factor for the rate and the years. [1/year]
    rate : float
        Interest rate, which the salvage bears all along. [1/year]

    References
    ----------
    Common practice of engineering economy: (P - S)(A/P, i, n) + S i.
    """
    return (outlay - salvage) * factor + salvage * rate


@formula(
    "net * annuity + salvage * discount - outlay - renewals",
    unit="money",
    sources=(COMPOUND_INTEREST,),
    example=(
        {"net": 18000, "annuity": 6.710081, "salvage": 12000, "discount": 0.463193, "outlay": 80000, "renewals": 0},
        46339.787,
    ),
    net="money/year",
    annuity="year",
    salvage="money",
    discount="1",
    outlay="money",
    renewals="money",
)
def net_present_value(
    *, net: float, annuity: float, salvage: float, discount: float, outlay: float, renewals: float
) -> float:
    """Give the net present value of an outlay with a level yearly net, salvage, and renewals in today's worth.

    Parameters
    ----------
    net : float
        What a year brings. [money/year]
    annuity, discount : float
        Annuity factor [year] and discount factor [1] of the horizon.
    salvage, outlay : float
        What is left at the horizon, and what is paid now. [money]
    renewals : float
        What is renewed within the horizon, in today's worth. [money]

    Returns
    -------
    float
        [money]

    References
    ----------
    OpenFormula (see `COMPOUND_INTEREST`), the equation of PV.
    """
    return net * annuity + salvage * discount - outlay - renewals


@formula(
    "npv * factor",
    unit="money/year",
    sources=(COMPOUND_INTEREST,),
    example=({"npv": 46339.787, "factor": 0.1490295}, 6905.995),
    npv="money",
    factor="1/year",
)
def equivalent_annual(npv: float, factor: float) -> float:
    """Give the level yearly amount that is worth as much as a net present value. [money/year]"""
    return npv * factor
