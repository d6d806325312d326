"""Amounts of money as people write them: `4,200 NZD`, `36 NZD/h`, `1.85 USD/L`."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

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


@dataclass(frozen=True, slots=True)
class Amount:
    """A sum of money: value in whole currency units, ISO 4217 code, and what it is per (empty for a sum)."""

    value: float
    currency: str
    per: str = ""

    def __str__(self) -> str:
        return f"{self.value:,.2f}".removesuffix(".00") + f" {self.currency}" + (f"/{self.per}" if self.per else "")


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
            raise PydanticCustomError(
                "quantity", "{what}", {"what": f"{text!r} is not an amount of money", "allowed": self.allowed()}
            )
        value = float(match[1].replace(",", "").replace("_", ""))
        if not math.isfinite(value):
            what = f"{text!r} is not finite"
            raise PydanticCustomError("quantity", "{what}", {"what": what, "allowed": self.allowed()})
        return Amount(value, match[2], self.per)

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
