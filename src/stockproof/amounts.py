"""Amounts of money as people write them: `4,200 NZD`, `36 NZD/h`, `1.85 USD/L`."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from stockproof.units import number_of

__all__ = [
    "Amount",
    "Price",
    "PricePerCubicMetre",
    "PricePerHead",
    "PricePerHour",
    "PricePerKm",
    "PricePerKwh",
    "PricePerLitre",
    "PricePerMetre",
    "PricePerSquareMetre",
    "PricePerYear",
]

_AMOUNT = re.compile(r"\s*(\d[\d,_]*(?:\.\d+)?)\s*([A-Z]{3})\s*(?:/\s*([A-Za-z]+[23]?))?\s*")
#: A sum of money with three decimals: in half the world that is thousands.
_THREE_DECIMALS = re.compile(r"\d{1,3}\.\d{3}")


@dataclass(frozen=True, slots=True)
class Amount:
    """A sum of money: value in whole currency units, ISO 4217 code, and what it is per (empty for a sum)."""

    value: float
    currency: str
    per: str = ""

    def __str__(self) -> str:
        hundredths = self.value == round(self.value, 2)
        number = f"{self.value:,.2f}".removesuffix(".00") if hundredths else f"{self.value:,.4f}".rstrip("0")
        return f"{number} {self.currency}" + (f"/{self.per}" if self.per else "")


@dataclass(frozen=True, slots=True)
class _Per:
    """Pydantic metadata: an amount per so much of something."""

    per: str

    def allowed(self) -> str:
        tail = f"/{self.per}" if self.per else ""
        return f"an amount of 0 or more with its ISO 4217 currency, for example '36 NZD{tail}'"

    def read(self, text: object) -> Amount:
        match = _AMOUNT.fullmatch(text) if isinstance(text, str) else None
        if match is None or (match[3] or "") != self.per:
            raise self._wrong(f"{text!r} is not an amount of money")
        try:
            value = number_of(match[1], match[0])
        except ValueError as error:
            raise self._wrong(str(error)) from None
        if not self.per and _THREE_DECIMALS.fullmatch(match[1]):
            raise self._wrong(f"{text!r} may mean thousands or three decimals; thousands are parted by a comma")
        if not math.isfinite(value):
            raise self._wrong(f"{text!r} is not finite")
        return Amount(value, match[2], self.per)

    def _wrong(self, what: str) -> PydanticCustomError:
        return PydanticCustomError("quantity", "{what}", {"what": what, "allowed": self.allowed()})

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        tail = f"\\s*/\\s*{self.per}" if self.per else ""
        return {"type": "string", "pattern": rf"^\s*[0-9][0-9,_]*(\.[0-9]+)?\s*[A-Z]{{3}}{tail}\s*$"}


Price = Annotated[Amount, _Per("")]
PricePerHour = Annotated[Amount, _Per("h")]
PricePerHead = Annotated[Amount, _Per("head")]
PricePerYear = Annotated[Amount, _Per("year")]
PricePerKwh = Annotated[Amount, _Per("kWh")]
PricePerLitre = Annotated[Amount, _Per("L")]
PricePerKm = Annotated[Amount, _Per("km")]
PricePerMetre = Annotated[Amount, _Per("m")]
PricePerSquareMetre = Annotated[Amount, _Per("m2")]
PricePerCubicMetre = Annotated[Amount, _Per("m3")]
