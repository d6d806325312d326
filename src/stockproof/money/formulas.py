"""Formulas of price, labour, running cost and the partial budget, declared with text, units and source.

As units, `money` is the brief's currency and `works_money` the catalogue's; the exchange turns one into the other.
"""

from __future__ import annotations

from stockproof.figures import COMMON_PRACTICE, Source, formula

__all__ = [
    "added_labour",
    "area_price",
    "electricity_cost",
    "exchanged",
    "exchanged_per_year",
    "fitting_charge",
    "freight",
    "fuel_cost",
    "head_per_year",
    "items_price",
    "labour_cost",
    "labour_per_head",
    "length_price",
    "line_mass",
    "line_price",
    "line_service",
    "line_time",
    "margin",
    "net_benefit",
    "person_time",
    "saved_labour",
    "volume_price",
    "working_time",
    "works_price",
]

PARTIAL_BUDGET = Source(
    "University of Maryland Cooperative Extension, Fact Sheet 547, partial budgeting: "
    "(added returns + reduced costs) - (added costs + reduced returns)"
)


@formula(
    "count * unit_price",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"count": 2, "unit_price": 1250}, 2500),
    count="1",
    unit_price="works_money",
)
def line_price(count: float, unit_price: float) -> float:
    """Give the price of so many of an item ex works. [works_money]"""
    return count * unit_price


@formula(
    "count * unit_mass",
    unit="kg",
    sources=(COMMON_PRACTICE,),
    example=({"count": 2, "unit_mass": 310}, 620),
    count="1",
    unit_mass="kg",
)
def line_mass(count: float, unit_mass: float) -> float:
    """Give the mass of so many of an item. [kg]"""
    return count * unit_mass


@formula(
    "count * unit_time",
    unit="s",
    sources=(COMMON_PRACTICE,),
    example=({"count": 2, "unit_time": 5400}, 10800),
    count="1",
    unit_time="s",
)
def line_time(count: float, unit_time: float) -> float:
    """Give the fitting time of so many of an item for one person. [s]"""
    return count * unit_time


@formula(
    "count * unit_service",
    unit="works_money/year",
    sources=(COMMON_PRACTICE,),
    example=({"count": 2, "unit_service": 90}, 180),
    count="1",
    unit_service="works_money/year",
)
def line_service(count: float, unit_service: float) -> float:
    """Give a year's service of so many of an item. [works_money/year]"""
    return count * unit_service


@formula(
    "ex_works * share",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"ex_works": 40000, "share": 0.15}, 6000),
    ex_works="works_money",
    share="1",
)
def margin(ex_works: float, share: float) -> float:
    """Give the firm's margin, a share of the items' price ex works. [works_money]"""
    return ex_works * share


@formula(
    "distance * rate",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"distance": 180e3, "rate": 4.5e-3}, 810),
    distance="m",
    rate="works_money/m",
)
def freight(distance: float, rate: float) -> float:
    """Give the charge for one delivery by road. [works_money]"""
    return distance * rate


@formula(
    "time * rate",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"time": 36000, "rate": 0.025}, 900),
    time="s",
    rate="works_money/s",
)
def fitting_charge(time: float, rate: float) -> float:
    """Give the charge for fitting on site. [works_money]"""
    return time * rate


@formula(
    "ex_works + margin",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"ex_works": 40000, "margin": 6000}, 46000),
    ex_works="works_money",
    margin="works_money",
)
def items_price(*, ex_works: float, margin: float) -> float:
    """Give the price of the items listed, as a customer is charged for them. [works_money]"""
    return ex_works + margin


@formula(
    "length * rate",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"length": 120, "rate": 95}, 11400),
    length="m",
    rate="works_money/m",
)
def length_price(length: float, rate: float) -> float:
    """Give the price of a material of the yard that is charged by the metre. [works_money]"""
    return length * rate


@formula(
    "area * rate",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"area": 12, "rate": 560}, 6720),
    area="m2",
    rate="works_money/m2",
)
def area_price(area: float, rate: float) -> float:
    """Give the price of a material of the yard that is charged by its area. [works_money]"""
    return area * rate


@formula(
    "volume * rate",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"volume": 21.5, "rate": 600}, 12900),
    volume="m3",
    rate="works_money/m3",
)
def volume_price(volume: float, rate: float) -> float:
    """Give the price of a material of the yard that is charged by its volume. [works_money]"""
    return volume * rate


@formula(
    "items + freight + fitting + materials",
    unit="works_money",
    sources=(COMMON_PRACTICE,),
    example=({"items": 46000, "freight": 810, "fitting": 900, "materials": 0}, 47710),
    items="works_money",
    freight="works_money",
    fitting="works_money",
    materials="works_money",
)
def works_price(*, items: float, freight: float, fitting: float, materials: float) -> float:
    """Give the price delivered and fitted, without tax, in the catalogue's currency. [works_money]

    Parameters
    ----------
    items, freight, fitting, materials : float
        The items with the firm's margin, delivery, fitting on site, and the yard's materials. [works_money]

    References
    ----------
    Common practice; the terms are the catalogue's.
    """
    return items + freight + fitting + materials


@formula(
    "amount * exchange",
    unit="money",
    sources=(COMMON_PRACTICE,),
    example=({"amount": 47710, "exchange": 0.6}, 28626),
    amount="works_money",
    exchange="money/works_money",
)
def exchanged(amount: float, exchange: float) -> float:
    """Give an amount of the catalogue's currency in the brief's. [money]"""
    return amount * exchange


@formula(
    "amount * exchange",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"amount": 900, "exchange": 0.6}, 540),
    amount="works_money/year",
    exchange="money/works_money",
)
def exchanged_per_year(amount: float, exchange: float) -> float:
    """Give a yearly amount of the catalogue's currency in the brief's. [money/year]"""
    return amount * exchange


@formula(
    "head * share * rounds",
    unit="head/year",
    sources=(COMMON_PRACTICE,),
    example=({"head": 480, "share": 0.5, "rounds": 3}, 720),
    head="head",
    share="1",
    rounds="1/year",
)
def head_per_year(head: float, share: float, rounds: float) -> float:
    """Give the animals a programme puts through the line in a year. [head/year]

    Parameters
    ----------
    head : float
        Head of the mob. [head]
    share : float
        Share of the mob that comes through in a round. [1]
    rounds : float
        Rounds a year. [1/year]

    References
    ----------
    Common practice.
    """
    return head * share * rounds


@formula(
    "head / rate",
    unit="s/year",
    sources=(COMMON_PRACTICE,),
    example=({"head": 720, "rate": 60 / 3600}, 43200),
    head="head/year",
    rate="head/s",
)
def working_time(head: float, rate: float) -> float:
    """Give the hours the line is worked in a year, in seconds. [s/year]"""
    return head / rate


@formula(
    "people * time",
    unit="s/year",
    sources=(COMMON_PRACTICE,),
    example=({"people": 3, "time": 43200}, 129600),
    people="1",
    time="s/year",
)
def person_time(people: float, time: float) -> float:
    """Give the time of all the people at work. [s/year]"""
    return people * time


@formula(
    "time * crew_cost",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"time": 43200, "crew_cost": 72 / 3600}, 864),
    time="s/year",
    crew_cost="money/s",
)
def labour_cost(time: float, crew_cost: float) -> float:
    """Give a year's cost of a crew that works so long. [money/year]"""
    return time * crew_cost


@formula(
    "crew_cost / rate",
    unit="money/head",
    sources=(COMMON_PRACTICE,),
    example=({"crew_cost": 60 / 3600, "rate": 1 / 210}, 3.5),
    crew_cost="money/s",
    rate="head/s",
)
def labour_per_head(crew_cost: float, rate: float) -> float:
    """Give the labour cost of one animal. [money/head]"""
    return crew_cost / rate


@formula(
    "today - build",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"today": 4200, "build": 1920}, 2280),
    today="money/year",
    build="money/year",
)
def saved_labour(today: float, build: float) -> float:
    """Give what a year of labour costs less with the build than today. [money/year]"""
    return today - build


@formula(
    "build - today",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"build": 1920, "today": 1500}, 420),
    build="money/year",
    today="money/year",
)
def added_labour(build: float, today: float) -> float:
    """Give what a year of labour costs more with the build than today. [money/year]"""
    return build - today


@formula(
    "energy * price",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"energy": 240, "price": 0.31}, 74.4),
    energy="kWh/year",
    price="money/kWh",
)
def electricity_cost(energy: float, price: float) -> float:
    """Give a year's cost of electricity. [money/year]"""
    return energy * price


@formula(
    "energy * burn / density * price",
    unit="money/year",
    sources=(COMMON_PRACTICE,),
    example=({"energy": 150, "burn": 0.4, "density": 750, "price": 2000}, 160),
    energy="kWh/year",
    burn="kg/kWh",
    density="kg/m3",
    price="money/m3",
)
def fuel_cost(*, energy: float, burn: float, density: float, price: float) -> float:
    """Give a year's cost of fuel from the energy at the engine's shaft. [money/year]

    Parameters
    ----------
    energy : float
        Energy at the shaft in a year. [kWh/year]
    burn : float
        Fuel burnt for a kWh at the shaft. [kg/kWh]
    density : float
        Density of the fuel. [kg/m3]
    price : float
        Price of the fuel. [money/m3]

    References
    ----------
    Common practice.
    """
    return energy * burn / density * price


@formula(
    "(added_returns + reduced_costs) - (added_costs + reduced_returns)",
    unit="money/year",
    sources=(PARTIAL_BUDGET,),
    example=({"added_returns": 97500, "reduced_costs": 55000, "added_costs": 88000, "reduced_returns": 69000}, -4500),
    added_returns="money/year",
    reduced_costs="money/year",
    added_costs="money/year",
    reduced_returns="money/year",
)
def net_benefit(*, added_returns: float, reduced_costs: float, added_costs: float, reduced_returns: float) -> float:
    """Give the bottom line of a partial budget. [money/year]

    Parameters
    ----------
    added_returns, reduced_costs, added_costs, reduced_returns : float
        The four sides: only what changes. [money/year]

    References
    ----------
    University of Maryland Cooperative Extension, Fact Sheet 547.
    """
    return (added_returns + reduced_costs) - (added_costs + reduced_returns)
