"""The honesty tests of provenance: declarations agree with the code, and the ledger refuses to be fooled."""

from __future__ import annotations

import importlib
import math
import pkgutil
import random
import re

import pint
import pytest

import stockproof
from stockproof.errors import InternalError, UnitMismatch
from stockproof.figures import BRIEF, COMMON_PRACTICE, FORMULAS, Formula, Ledger, Source, evaluate, formula

for _module in pkgutil.walk_packages(stockproof.__path__, "stockproof."):
    importlib.import_module(_module.name)

ALL = sorted(FORMULAS.values(), key=lambda declared: f"{declared.function.__module__}.{declared.function.__name__}")
IDS = [f"{declared.function.__module__.split('.')[1]}.{declared.function.__name__}" for declared in ALL]


@pytest.mark.parametrize("declared", ALL, ids=IDS)
def test_declared_units_agree_with_the_dimensions_of_the_body(declared: Formula) -> None:
    if declared.exempt:
        assert len(declared.exempt) > 10
        return
    registry = pint.UnitRegistry()
    registry.define("head = []")
    registry.define("money = []")
    registry.define("works_money = []")
    inputs = {name: registry.Quantity(declared.example[0][name], _pint(unit)) for name, unit in declared.inputs.items()}
    result = registry.Quantity(1, "dimensionless") * declared.function(**inputs)
    assert result.is_compatible_with(_pint(declared.unit)), f"{result.units} is not {declared.unit}"
    assert result.to(_pint(declared.unit)).magnitude == pytest.approx(declared.example[1], rel=1e-3)


@pytest.mark.parametrize("declared", ALL, ids=IDS)
def test_the_text_is_the_code(declared: Formula) -> None:
    draw = random.Random(1)
    for _ in range(20):
        values = {name: value * draw.uniform(0.8, 1.25) for name, value in declared.example[0].items()}
        assert evaluate(declared.text, values) == pytest.approx(declared.function(**values), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("declared", ALL, ids=IDS)
def test_every_formula_has_a_source_and_a_worked_example(declared: Formula) -> None:
    assert declared.sources
    assert all(source.text for source in declared.sources)
    inputs, result = declared.example
    assert declared.function(**inputs) == pytest.approx(result, rel=1e-3)


def _pint(unit: str) -> str:
    """Our spelling of a unit in pint's: m2 is m**2, a bare 1 or nothing is dimensionless."""
    return re.sub(r"([a-z])([2-9])\b", r"\1**\2", unit) if unit not in ("", "1") else "dimensionless"


def test_a_declaration_that_is_not_the_signature_is_refused_at_import() -> None:
    with pytest.raises(InternalError, match="declared"):

        @formula("a * b", unit="N", sources=(COMMON_PRACTICE,), example=({"a": 1, "b": 1}, 1), a="Pa")
        def force(a: float, b: float) -> float:
            return a * b


def _pressure(force: float, area: float) -> float:
    return force / area


def test_a_derived_figure_knows_its_inputs_formula_and_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(
        FORMULAS,
        _pressure,
        Formula(_pressure, "force / area", "Pa", {"force": "N", "area": "m2"}, (COMMON_PRACTICE,), ({}, 0)),
    )
    ledger = Ledger()
    force = ledger.given("squeeze.force", 2e3, "N", "force", BRIEF)
    area = ledger.assume("pad.area", 0.25, "m2", "pad area", Source("somebody", seen=False))
    figure = ledger.derive("squeeze.pressure", "contact pressure", _pressure, force=force, area=area)
    assert figure.value == 8e3
    assert figure.inputs == ("squeeze.force", "pad.area")
    assert figure.substituted == "2000 / 0.25"
    assert not figure.seen, "a figure that rests on a recalled value says so"
    assert ledger.assumptions() == (area,)
    with pytest.raises(UnitMismatch, match=r"takes force in N, but pad.area is in m2"):
        ledger.derive("wrong", "wrong", _pressure, force=area, area=area)
    with pytest.raises(InternalError, match="set down twice"):
        ledger.given("squeeze.force", 3e3, "N", "force")
    with pytest.raises(InternalError, match="nan"):
        ledger.given("nothing", math.nan, "N", "nothing")
