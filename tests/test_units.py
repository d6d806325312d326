"""Quantities at the doors: factors against an independent library, round trips, refusals."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockproof.units import DIMENSIONS, SUFFIXES, parse_quantity, show

#: Our spelling of a unit in pint's, where they differ.
PINT = {
    "m2": "m**2",
    "mm2": "mm**2",
    "cm2": "cm**2",
    "ft2": "ft**2",
    "m3": "m**3",
    "cm3": "cm**3",
    "gal": "gallon",
    "gpm": "gallon/minute",
    "lbf": "lbf",
    "/min": "1/minute",
    "/h": "1/hour",
    "hp": "horsepower",
    "mohm": "milliohm",
    "%": "percent",
    "m/s2": "m/s**2",
    "d": "day",
    "in": "inch",
    "t": "metric_ton",
    "L/min": "L/minute",
    "m3/s": "m**3/s",
    "g": "gram",
}
SI = {"share": "dimensionless", "m3/s": "m**3/s", "m2": "m**2", "m3": "m**3", "m/s2": "m/s**2"}
COUNTED = ("head", "head rate", "area per head", "sound level", "temperature")


@pytest.mark.parametrize("name", [name for name in DIMENSIONS if name not in COUNTED])
def test_every_factor_agrees_with_pint(name: str) -> None:
    registry = pint.UnitRegistry()
    dimension = DIMENSIONS[name]
    for unit in dimension.units:
        if unit:
            expected = registry.Quantity(3.7, PINT.get(unit, unit)).to(SI.get(dimension.si, dimension.si)).magnitude
            assert parse_quantity(f"3.7 {unit}", dimension) == pytest.approx(expected, rel=1e-9), unit


@pytest.mark.parametrize(
    ("text", "degc"), [("68 degF", 20.0), ("273.15 K", 0.0), ("-40 degF", -40.0), ("-4 degC", -4.0)]
)
def test_temperatures_have_an_offset(text: str, degc: float) -> None:
    assert parse_quantity(text, DIMENSIONS["temperature"]) == pytest.approx(degc, abs=1e-9)


@given(st.sampled_from(sorted(DIMENSIONS)), st.floats(0.001, 1e6), st.data())
def test_what_is_shown_reads_back(name: str, value: float, data: st.DataObject) -> None:
    dimension = DIMENSIONS[name]
    unit = data.draw(st.sampled_from(list(dimension.units)))
    text = show(value, unit, dimension, digits=15)
    assert parse_quantity(text, dimension) == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("12", "mass"),
        (12, "mass"),
        ("12 kN", "mass"),
        ("kg", "mass"),
        ("", "length"),
        ("1e999 m", "length"),
        (True, "share"),
    ],
)
def test_what_is_no_quantity_is_refused(text: object, name: str) -> None:
    with pytest.raises(ValueError, match=r"has no unit|is not a|is not finite"):
        parse_quantity(text, DIMENSIONS[name])


@given(st.text(max_size=30), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_a_finite_number_or_a_value_error(text: str, name: str) -> None:
    try:
        value = parse_quantity(text, DIMENSIONS[name])
    except ValueError:
        return
    assert math.isfinite(value)


@pytest.mark.parametrize(
    ("value", "unit", "name", "text"),
    [(160e5, "bar", "pressure", "160 bar"), (232.0, "kg", "mass", "232 kg"), (12400.0, "N", "force", "12400 N")],
)
def test_people_read_plain_numbers(value: float, unit: str, name: str, text: str) -> None:
    assert show(value, unit, DIMENSIONS[name]) == text


def test_longer_suffixes_are_stripped_first() -> None:
    assert list(SUFFIXES) == sorted(SUFFIXES, key=len, reverse=True)


@pytest.mark.parametrize("text", ["1,5 m", "1,50,000 m", "12,3456 m", "1,5e3 m"])
def test_a_comma_that_parts_no_thousands_is_refused_and_not_read_over(text: str) -> None:
    with pytest.raises(ValueError, match="a comma that parts no thousands"):
        parse_quantity(text, DIMENSIONS["length"])


def test_commas_part_thousands() -> None:
    assert parse_quantity("1,250.5 m", DIMENSIONS["length"]) == 1250.5
    assert parse_quantity("12,000,000 mm", DIMENSIONS["length"]) == 12_000
