"""Numbers as the reader's market writes them: the only place where a model's SI value becomes another unit.

Choosing a unit here can never change a result; models see SI alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from stockproof.errors import InternalError
from stockproof.proof.model import Measure
from stockproof.scene.pages import Cell, Quantity, Said
from stockproof.units import DIMENSIONS, FOOT_M, Units, show

__all__ = ["NOTHING", "SPACE", "Display", "margin", "number", "percent"]

#: Unit by magnitude, largest first: (smallest absolute value in SI for this unit, unit).
_STEPS: dict[str, tuple[tuple[float, str], ...]] = {
    "mass": ((0.0, "kg"),),
    "length": ((1.0, "m"), (0.0, "mm")),
    "area": ((0.01, "m2"), (0.0, "mm2")),
    "volume": ((1.0, "m3"), (0.0, "L")),
    "duration": ((3600.0, "h"), (120.0, "min"), (0.0, "s")),
    "force": ((1000.0, "kN"), (0.0, "N")),
    "pressure": ((0.0, "bar"),),
    "flow": ((0.0, "L/min"),),
    "power": ((1000.0, "kW"), (0.0, "W")),
    "frequency": ((0.0, "Hz"),),
    "angle": ((0.0, "deg"),),
    "temperature": ((0.0, "degC"),),
    "share": ((0.0, "%"),),
    "head rate": ((0.0, "head/h"),),
    "sound level": ((0.0, "dB(A)"),),
}
_WRITTEN = {"degC": "°C", "degF": "°F", "deg": "°", "ohm": "Ω", "mohm": "mΩ"}
#: Units of the ledger that no dimension holds and that people read in other steps: factor, unit.
_READ_AS = {
    "m2/s": (1e6, "mm2/s"),
    "Pa*s": (1e3, "mPa·s"),
    "J": (1e-3, "kJ"),
    "VA": (1e-3, "kVA"),
    "s/year": (1 / 3600, "h/year"),
    "s/head": (1.0, "s/head"),
    "money/s": (3600.0, "money/h"),
    "works_money/s": (3600.0, "works_money/h"),
    "works_money/m": (1000.0, "works_money/km"),
    "money/J": (3.6e6, "money/kWh"),
}
#: Spellings of SI units in the ledger that differ from those of `units`.
_SPELLINGS = {"°C": "degC", "dimensionless": "1"}
_BY_SI = {dimension.si: dimension for dimension in DIMENSIONS.values() if dimension.si not in ("1", "head")}
_POWER, RAISED = re.compile(r"([a-z])([23])(?![0-9])"), {"2": "²", "3": "³"}
#: Digits after which two numbers that look alike are written alike.
MOST_DIGITS = 6
#: Counted things of which there is one.
ONE = {"people": "person", "days": "day", "years": "year", "animals": "animal"}
MINUS, NOTHING = "\u2212", "\u2013"
SPACE = "\u00a0"


@dataclass(frozen=True, slots=True)
class Display:
    """The units of one market; where it has no wish, the unit goes by magnitude (65 mm, 7.2 m).

    `currency` and `works_currency` are the codes written for the ledger's units `money` and `works_money`.
    """

    units: Units = field(default_factory=lambda: Units({}))
    currency: str = ""
    works_currency: str = ""

    def quantity(self, quantity: Quantity) -> str:
        """Write a quantity with its unit, for example `160 bar`."""
        if not quantity.dimension:
            return self.figure(quantity.value, quantity.unit, quantity.digits)
        unit = self.unit(quantity)
        digits, _, _ = show(quantity.value, unit, DIMENSIONS[quantity.dimension], quantity.digits).partition(" ")
        return _joined(digits, unit)

    def unit(self, quantity: Quantity) -> str:
        """Give the unit a quantity is written in, in the spelling of `units`."""
        if quantity.dimension not in DIMENSIONS:
            raise InternalError(f"no dimension {quantity.dimension!r}")
        if quantity.unit == "mm" and self.units.chosen.get("length") == "ft":
            return "in"
        return quantity.unit or self._unit(quantity.dimension, quantity.value)

    def in_unit(self, quantity: Quantity, unit: str) -> float:
        """Give a quantity's number in a unit, rounded as it is shown."""
        digits, _, _ = show(quantity.value, unit, DIMENSIONS[quantity.dimension], quantity.digits).partition(" ")
        return float(digits)

    def figure(self, value: float, unit: str, digits: int = 4) -> str:
        """Write a ledger's value; a unit that is no dimension of ours is written as it stands."""
        spelled = _SPELLINGS.get(unit, unit).replace("**", "").replace(" ", "")
        if spelled in _BY_SI:
            return self.quantity(Quantity(value, _BY_SI[spelled].name, digits))
        factor, written = _READ_AS.get(spelled, (1.0, spelled))
        if spelled.startswith(("money", "works_money")):
            return self._money(value * factor, written)
        return _joined(number(value * factor, digits), "" if written == "1" else written)

    def measure(self, value: float, dimension: str, unit: str, digits: int = 4) -> str:
        """Write one side of a promise: a quantity, or a plain number with its own unit."""
        if dimension:
            return self.quantity(Quantity(value, dimension, digits))
        return _joined(number(value, digits), ONE.get(unit, unit) if value == 1 else unit)

    def asked_and_found(self, asked: float, found: float, dimension: str, unit: str) -> tuple[str, str]:
        """Write both sides of a promise to as many digits as it takes to tell them apart, three at least."""
        for digits in range(3, MOST_DIGITS + 1):
            written = self.measure(asked, dimension, unit, digits), self.measure(found, dimension, unit, digits)
            if written[0] != written[1]:
                break
        return written

    def cell(self, cell: Cell) -> str:
        """Write a cell of a table; nothing stays empty."""
        if cell is None:
            return ""
        if isinstance(cell, Quantity):
            return self.quantity(cell)
        if isinstance(cell, Said):
            return cell.text
        if isinstance(cell, bool):
            return "yes" if cell else "no"
        if isinstance(cell, int | float):
            return number(cell)
        return cell

    def column(self, cells: Sequence[Cell]) -> list[str]:
        """Write the cells of a column; quantities of one unit get one number of decimals, that of the largest."""
        quantities = [cell for cell in cells if isinstance(cell, Quantity) and cell.dimension]
        units = {(cell.dimension, self.unit(cell)) for cell in quantities}
        if len(quantities) < 2 or len(units) != 1:
            return [self.cell(cell) for cell in cells]
        ((dimension, unit),) = units
        numbers = [self._number(cell, unit) for cell in quantities]
        places = _places(max(map(abs, numbers)), max(cell.digits for cell in quantities))
        if any(value and not round(value, places) for value in numbers):
            return [self.cell(cell) for cell in cells]
        return [
            _joined(f"{self._number(cell, unit):.{places}f}", unit)
            if isinstance(cell, Quantity) and cell.dimension == dimension
            else self.cell(cell)
            for cell in cells
        ]

    def _number(self, quantity: Quantity, unit: str) -> float:
        factor, offset = DIMENSIONS[quantity.dimension].units[unit]
        return (quantity.value - offset) / factor

    def _money(self, value: float, unit: str) -> str:
        """An amount: whole from a thousand on, with hundredths below."""
        text = f"{value:.0f}" if abs(value) >= 1000 or value == round(value) else f"{value:.2f}"
        code = unit.replace("works_money", self.works_currency).replace("money", self.currency)
        return _joined(text, code)

    def _unit(self, dimension: str, value: float) -> str:
        wish = self.units.chosen.get(dimension)
        if wish:
            return "in" if wish == "ft" and abs(value) < FOOT_M * 3 else wish
        steps = _STEPS.get(dimension, ((0.0, DIMENSIONS[dimension].si),))
        return next((unit for least, unit in steps if abs(value) >= least), steps[-1][1])


def number(value: float, digits: int = 4) -> str:
    """Write a plain number: integers in full, others to so many significant digits."""
    if isinstance(value, int) or (value == round(value) and abs(value) < 1e15):
        return _grouped(f"{value:.0f}")
    return _grouped(show(value, "", DIMENSIONS["share"], digits))


def margin(measure: Measure | None) -> str:
    """Write by how much a promise is kept or missed; a sound level in decibels, for a share of them says nothing."""
    if measure is None or measure.margin_share is None:
        return ""
    if measure.dimension == "sound level":
        better = measure.found - measure.asked if measure.better == "more" else measure.asked - measure.found
        return _joined(_signed(better, 1), "dB")
    return percent(measure.margin_share, signed=True)


def _signed(value: float, places: int) -> str:
    """A number with its sign; none where it is written as nought."""
    text = f"{value:+.{places}f}"
    return (text if float(text) else text[1:]).replace("-", MINUS)


def percent(share: float, signed: bool = False) -> str:
    """Write a share in per cent, whole from 10 per cent on and where it is none, with a sign if asked."""
    places = 0 if abs(share) >= 0.0995 or share == 0.0 else 1
    text = _signed(share * 100, places)
    return _joined(text if signed else text.removeprefix("+"), "%")


def _places(largest: float, digits: int) -> int:
    """Decimals that give the largest number so many significant digits, without decimals that are all zero there."""
    if not largest or not math.isfinite(largest):
        return 0
    return max(0, digits - 1 - math.floor(math.log10(largest)))


def _joined(digits: str, unit: str) -> str:
    text = digits if unit == "mm" else _grouped(digits)
    if not unit:
        return text
    written = _POWER.sub(lambda match: match[1] + RAISED[match[2]], _WRITTEN.get(unit, unit))
    return text + written if written == "°" else text + SPACE + written


def _grouped(text: str) -> str:
    """Thousands are set apart by commas, and a minus is a minus, not a hyphen."""
    whole, dot, part = text.lstrip("+-").partition(".")
    if not whole.isdecimal():  # infinite, no number, or grouped already
        return text
    sign = {"-": MINUS, "+": "+"}.get(text[0], "")
    return sign + f"{int(whole):,}" + dot + part
