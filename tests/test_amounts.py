"""Amounts of money as people write them, and as many of them misread."""

from __future__ import annotations

import pytest
from pydantic import TypeAdapter, ValidationError

from stockproof.amounts import Amount, Price, PricePerLitre


@pytest.mark.parametrize(
    ("text", "value", "written"),
    [
        ("60,000 EUR", 60_000.0, "60,000 EUR"),
        ("60.50 EUR", 60.5, "60.50 EUR"),
        ("115000 NZD", 115_000.0, "115,000 NZD"),
    ],
)
def test_a_sum_is_read_and_written(text: str, value: float, written: str) -> None:
    amount = TypeAdapter(Price).validate_python(text)
    assert isinstance(amount, Amount)
    assert (amount.value, str(amount)) == (value, written)


def test_a_price_per_unit_may_have_three_decimals() -> None:
    assert str(TypeAdapter(PricePerLitre).validate_python("1.855 USD/L")) == "1.855 USD/L"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("60.000 EUR", "may mean thousands"),
        ("6,00 EUR", "a comma that parts no thousands"),
        ("60 euro", "is not an amount of money"),
        ("-5 EUR", "is not an amount of money"),
    ],
)
def test_what_can_be_misread_is_refused(text: str, why: str) -> None:
    with pytest.raises(ValidationError, match=why):
        TypeAdapter(Price).validate_python(text)
