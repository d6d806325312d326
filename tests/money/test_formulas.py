"""The money formulas keep the two currencies apart: dimensions with each as a unit of its own."""

from __future__ import annotations

import re

import pint
import pytest

from stockproof.figures import FORMULAS, Formula
from stockproof.money import formulas, interest

DECLARED = [
    declared for declared in FORMULAS.values() if declared.function.__module__ in (formulas.__name__, interest.__name__)
]
#: Compounding raises a number by a count of years, which no unit check can follow.
COMPOUNDING = (interest.discount_factor, interest.annuity_factor, interest.capital_recovery_factor)


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    """Pint's units with animals and the two currencies as units of their own."""
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    for unit in ("head", "money", "works_money"):
        registry.define(f"{unit} = [{unit}]")
    return registry


@pytest.mark.parametrize("declared", DECLARED, ids=lambda declared: declared.function.__name__)
def test_units_of_the_body_are_those_declared(declared: Formula, registry: pint.UnitRegistry[float]) -> None:
    if declared.function in COMPOUNDING:
        assert declared.exempt
        return
    spelled = {name: re.sub(r"\bm([23])\b", r"m**\1", unit) for name, unit in declared.inputs.items()}
    inputs = {name: registry.Quantity(declared.example[0][name], unit) for name, unit in spelled.items()}
    result = declared.function(**inputs)
    assert getattr(result, "units") == registry.Unit(declared.unit)  # noqa: B009 -- a float to the type checker


def test_every_formula_is_public_and_named_in_its_module() -> None:
    names = {declared.function.__name__ for declared in DECLARED}
    assert names == {*formulas.__all__, *interest.__all__}


def test_a_rate_of_nothing_makes_annuities_plain_counts() -> None:
    assert interest.annuity_factor(0, 12) == 12
    assert interest.capital_recovery_factor(0, 12) == 1 / 12
