"""Quantities at the doors: text with a unit in, SI float inside, text with a unit out.

People type and read `232 kg`, `15 A`, `160 bar`; between the doors there are only SI floats under
unit-suffixed names. A pydantic field is declared with one of the annotated types below
(`mass_kg: Mass`); a display choice is made in the dossier and can never reach a model.

References
----------
BIPM, *The International System of Units*, 9th ed. 2019, tables 2-8. NIST SP 811 (2008), appendix B.8,
for the pound, foot, inch, psi, US gallon and horsepower factors.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

__all__ = [
    "DIMENSIONS",
    "SUFFIXES",
    "Acceleration",
    "Angle",
    "Area",
    "AreaPerHead",
    "Current",
    "Dimension",
    "Duration",
    "Flow",
    "Force",
    "Frequency",
    "HeadRate",
    "Headcount",
    "Length",
    "Mass",
    "Power",
    "Pressure",
    "Resistance",
    "Share",
    "SoundLevel",
    "Speed",
    "Temperature",
    "Units",
    "Voltage",
    "Volume",
    "number_of",
    "parse_quantity",
    "show",
]

KELVIN_AT_0_DEGC = 273.15
POUND_KG = 0.45359237
FOOT_M = 0.3048
PSI_PA = 6894.757293168
GALLON_US_M3 = 3.785411784e-3
HORSEPOWER_W = 745.69987158227


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: its SI unit and the units people may type, each as factor and offset to SI.

    As metadata of an `Annotated[float, ...]` field it makes pydantic read the text form.
    """

    name: str
    si: str
    suffix: str
    units: Mapping[str, tuple[float, float]] = field(hash=False)
    example: str

    def allowed(self) -> str:
        units = ", ".join(unit for unit in self.units if unit)
        return f"a number with one of the units {units}, for example '{self.example}'"

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        def read(text: object) -> float:
            try:
                return parse_quantity(text, self)
            except ValueError as error:
                context = {"what": str(error), "allowed": self.allowed()}
                raise PydanticCustomError("quantity", "{what}", context) from error

        return core_schema.no_info_before_validator_function(read, handler(source))  # limits are the handler's

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        units = "|".join(re.escape(unit) for unit in self.units if unit)
        optional = "?" if "" in self.units else ""
        text = {
            "type": "string",
            "pattern": rf"^\s*[+-]?[0-9][0-9.,_eE+-]*\s*({units}){optional}\s*$",
            "examples": [self.example],
        }
        return {"anyOf": [text, {"type": "number"}]} if optional else text


def _linear(**factors: float) -> dict[str, tuple[float, float]]:
    return {unit: (factor, 0.0) for unit, factor in factors.items()}


def _units(factors: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    return {unit: (factor, 0.0) for unit, factor in factors.items()}


_ALL = (
    Dimension("mass", "kg", "kg", _linear(kg=1.0, g=1e-3, t=1e3, lb=POUND_KG), "232 kg"),
    Dimension(
        "length",
        "m",
        "m",
        _units({"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": FOOT_M, "in": FOOT_M / 12}),
        "650 mm",
    ),
    Dimension("area", "m2", "m2", _units({"m2": 1.0, "mm2": 1e-6, "cm2": 1e-4, "ft2": FOOT_M**2}), "1.4 m2"),
    Dimension(
        "area per head",
        "m2/head",
        "m2_per_head",
        _units({"m2/head": 1.0, "ft2/head": FOOT_M**2}),
        "1.4 m2/head",
    ),
    Dimension(
        "volume", "m3", "m3", _units({"m3": 1.0, "L": 1e-3, "mL": 1e-6, "cm3": 1e-6, "gal": GALLON_US_M3}), "10 L"
    ),
    Dimension("duration", "s", "s", _units({"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "d": 86400.0}), "25 min"),
    Dimension(
        "speed", "m/s", "m_per_s", _units({"m/s": 1.0, "mm/s": 1e-3, "km/h": 1 / 3.6, "ft/s": FOOT_M}), "1.2 m/s"
    ),
    Dimension("acceleration", "m/s2", "m_per_s2", _units({"m/s2": 1.0}), "9.81 m/s2"),
    Dimension("force", "N", "n", _units({"N": 1.0, "kN": 1e3, "lbf": 4.4482216152605}), "12 kN"),
    Dimension(
        "pressure", "Pa", "pa", _units({"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "bar": 1e5, "psi": PSI_PA}), "160 bar"
    ),
    Dimension(
        "flow",
        "m3/s",
        "m3_per_s",
        _units({"m3/s": 1.0, "L/min": 1e-3 / 60, "L/s": 1e-3, "gpm": GALLON_US_M3 / 60}),
        "8 L/min",
    ),
    Dimension("power", "W", "w", _units({"W": 1.0, "kW": 1e3, "hp": HORSEPOWER_W}), "2.2 kW"),
    Dimension("voltage", "V", "v", _units({"V": 1.0, "kV": 1e3}), "230 V"),
    Dimension("current", "A", "a", _units({"A": 1.0, "mA": 1e-3}), "15 A"),
    Dimension("resistance", "ohm", "ohm", _units({"ohm": 1.0, "mohm": 1e-3}), "0.2 ohm"),
    Dimension("frequency", "Hz", "hz", _units({"Hz": 1.0, "/min": 1 / 60, "/h": 1 / 3600}), "50 Hz"),
    Dimension("angle", "rad", "rad", _units({"deg": math.pi / 180, "rad": 1.0}), "30 deg"),
    Dimension(
        "temperature",
        "degC",
        "degc",
        {"degC": (1.0, 0.0), "K": (1.0, -KELVIN_AT_0_DEGC), "degF": (5 / 9, -32 * 5 / 9)},
        "-4 degC",
    ),
    Dimension("share", "1", "share", _units({"%": 1e-2, "": 1.0}), "4 %"),
    Dimension("head rate", "head/s", "head_per_s", _units({"head/h": 1 / 3600, "head/min": 1 / 60}), "95 head/h"),
    Dimension("head", "head", "head", _units({"head": 1.0, "": 1.0}), "240 head"),
    Dimension("sound level", "dB", "db", _units({"dB(A)": 1.0, "dB": 1.0}), "78 dB(A)"),
)
DIMENSIONS: Mapping[str, Dimension] = {dimension.name: dimension for dimension in _ALL}
#: Suffixes a field name carries for its unit; the key in a file is the name without it.
SUFFIXES = tuple(sorted({f"_{d.suffix}" for d in _ALL} | {"_per_s"}, key=len, reverse=True))

_QUANTITY = re.compile(r"\s*([+-]?(?:\d[\d,_]*\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*", re.DOTALL)


_IN_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d*)?(?:[eE][+-]?\d+)?")


def number_of(digits: str, text: str) -> float:
    """Read a number whose thousands may be parted by commas.

    Raises
    ------
    ValueError
        A comma parts no thousands: who writes 1,5 means another number than 15.
    """
    if "," in digits and not _IN_THOUSANDS.fullmatch(digits):
        raise ValueError(f"{text!r} has a comma that parts no thousands; decimals follow a point")
    return float(digits.replace(",", "").replace("_", ""))


def parse_quantity(text: object, dimension: Dimension) -> float:
    """Read a number with its unit and give it in the dimension's SI unit (degC for temperatures).

    Raises
    ------
    ValueError
        The text is no number with a unit of this dimension, or is not finite.
    """
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise ValueError(f"{text!r} is not a {dimension.name}")
    if isinstance(text, int | float):
        if "" not in dimension.units:
            raise ValueError(f"{text!r} has no unit")
        number, unit = float(text), ""
    else:
        match = _QUANTITY.fullmatch(text)
        if match is None or not match[1]:
            raise ValueError(f"{text!r} is not a number with a unit")
        number, unit = number_of(match[1], text), match[2]
    if unit not in dimension.units:
        raise ValueError(f"{text!r} is not a {dimension.name}")
    factor, offset = dimension.units[unit]
    # 160 bar must give the very float 16e6 that 160e5 gives, so divide where the inverse is exact
    value = number / (1 / factor) if factor < 1 and (1 / factor).is_integer() else number * factor
    value += offset
    if not math.isfinite(value):
        raise ValueError(f"{text!r} is not finite")
    return value


def show(value: float, unit: str, dimension: Dimension, digits: int = 4) -> str:
    """Write an SI value in the unit a reader wants, to so many significant digits, for example `160 bar`."""
    factor, offset = dimension.units[unit]
    return f"{_plain((value - offset) / factor, digits)} {unit}".rstrip()


def _plain(number: float, digits: int) -> str:
    """A number without exponent and without false digits: 12400, 0.0031, 7.5."""
    if number == 0 or not math.isfinite(number):
        return "0" if number == 0 else str(number)
    places = max(0, digits - 1 - math.floor(math.log10(abs(number))))
    text = f"{number:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


Mass = Annotated[float, DIMENSIONS["mass"]]
Length = Annotated[float, DIMENSIONS["length"]]
Area = Annotated[float, DIMENSIONS["area"]]
AreaPerHead = Annotated[float, DIMENSIONS["area per head"]]
Volume = Annotated[float, DIMENSIONS["volume"]]
Duration = Annotated[float, DIMENSIONS["duration"]]
Speed = Annotated[float, DIMENSIONS["speed"]]
Acceleration = Annotated[float, DIMENSIONS["acceleration"]]
Force = Annotated[float, DIMENSIONS["force"]]
Pressure = Annotated[float, DIMENSIONS["pressure"]]
Flow = Annotated[float, DIMENSIONS["flow"]]
Power = Annotated[float, DIMENSIONS["power"]]
Voltage = Annotated[float, DIMENSIONS["voltage"]]
Current = Annotated[float, DIMENSIONS["current"]]
Resistance = Annotated[float, DIMENSIONS["resistance"]]
Frequency = Annotated[float, DIMENSIONS["frequency"]]
Angle = Annotated[float, DIMENSIONS["angle"]]
Temperature = Annotated[float, DIMENSIONS["temperature"]]
Share = Annotated[float, DIMENSIONS["share"]]
HeadRate = Annotated[float, DIMENSIONS["head rate"]]
Headcount = Annotated[float, DIMENSIONS["head"]]
SoundLevel = Annotated[float, DIMENSIONS["sound level"]]


@dataclass(frozen=True, slots=True)
class Units:
    """The units one market reads: text out of SI values, chosen per dimension."""

    chosen: Mapping[str, str]

    def text(self, value: float, dimension: str, digits: int = 3) -> str:
        """Write an SI value in this market's unit, for example `511 lb`."""
        known = DIMENSIONS[dimension]
        return show(value, self.unit(dimension), known, digits)

    def unit(self, dimension: str) -> str:
        """Give the unit this market reads a dimension in."""
        return self.chosen.get(dimension) or READ_IN.get(dimension) or next(iter(DIMENSIONS[dimension].units))


#: What people read a dimension in, where it is not the first unit of its table.
READ_IN: Mapping[str, str] = {
    "pressure": "bar",
    "flow": "L/min",
    "volume": "L",
    "force": "kN",
    "power": "kW",
    "length": "m",
    "angle": "deg",
    "share": "%",
    "head rate": "head/h",
    "sound level": "dB(A)",
}
