"""The tables of this room: allowances that turn body sizes into limits, and what published guides ask of a race."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Literal, TypeVar

from stockproof.figures import Source
from stockproof.herd import Assumption
from stockproof.records import Record, attribute, load
from stockproof.tomlfile import parse_toml
from stockproof.units import Length, Mass

__all__ = [
    "Allowances",
    "FenceGuide",
    "RaceGuide",
    "RaceLengthGuide",
    "allowances",
    "fence_guide",
    "race_guides",
    "race_length_guides",
]

R = TypeVar("R", bound=Record)


class LengthAllowance(Record):
    """Room that an animal needs."""

    code: str = attribute("name", pattern=r"^[a-z_]+$")
    label: str = attribute("plain words", min_length=1)
    value_m: Length = attribute("value used", ge=0)
    low_m: Length = attribute("lowest value it may have", ge=0)
    high_m: Length = attribute("highest value it may have", ge=0)
    source: str = attribute("where it comes from", min_length=1)


class ShareAllowance(Record):
    """A ratio of two sizes."""

    code: str = attribute("name", pattern=r"^[a-z_]+$")
    label: str = attribute("plain words", min_length=1)
    value: float = attribute("value used", gt=0)
    low: float = attribute("lowest value it may have", gt=0)
    high: float = attribute("highest value it may have", gt=0)
    source: str = attribute("where it comes from", min_length=1)


class AllowanceFile(Record):
    format: Literal[1] = attribute("version of the file's form")
    length: tuple[LengthAllowance, ...] = attribute("rooms")
    share: tuple[ShareAllowance, ...] = attribute("ratios")


class RaceGuide(Record):
    """What one guide asks of the clear width of a race for animals of some weight."""

    guide: str = attribute("name of the guide", min_length=1)
    sides: Literal["straight", "sloped"] = attribute("upright, or sloped and then measured at 1.2 m height")
    weight_from_kg: Mass = attribute("the class begins above this weight", ge=0)
    weight_to_kg: Mass = attribute("heaviest animal of the class", gt=0)
    width_low_m: Length = attribute("least clear width", gt=0)
    width_high_m: Length = attribute("largest clear width", gt=0)
    source: str = attribute("title, table and value", min_length=1)


class FenceGuide(Record):
    """How high the sides must be for a temperament."""

    temperament: Literal["quiet", "usual", "flighty"] = attribute("temperament, as a brief writes it")
    height_m: Length = attribute("height of the sides", gt=0)
    source: str = attribute("title, table and value", min_length=1)


class RaceLengthGuide(Record):
    """How long a race should be."""

    guide: str = attribute("name of the guide", min_length=1)
    least_m: Length = attribute("least length", gt=0)
    most_head: int | None = attribute("more head than this in the race is not recommended", None, ge=1)
    source: str = attribute("title, table and value", min_length=1)


class GuideFile(Record):
    format: Literal[1] = attribute("version of the file's form")
    race: tuple[RaceGuide, ...] = attribute("race widths")
    fence: tuple[FenceGuide, ...] = attribute("side heights")
    race_length: tuple[RaceLengthGuide, ...] = attribute("race lengths")


@dataclass(frozen=True, slots=True)
class Allowances:
    """Every allowance in use, as the assumptions they are."""

    used: Mapping[str, Assumption]

    def __getitem__(self, code: str) -> float:
        return self.used[code].value


def allowances(changes: Mapping[str, float] | None = None) -> Allowances:
    """Give the allowances, some of them changed by assumption name (`fit.headroom`) to see what they move."""
    using = dict(changes or {})
    file = _allowances()
    used = {
        row.code: _assumption(row.code, row.label, row.source, "m", (row.value_m, row.low_m, row.high_m), using)
        for row in file.length
    }
    used |= {
        row.code: _assumption(row.code, row.label, row.source, "1", (row.value, row.low, row.high), using)
        for row in file.share
    }
    return Allowances(used)


def _assumption(
    code: str, label: str, source: str, unit: str, values: tuple[float, float, float], using: Mapping[str, float]
) -> Assumption:
    name = f"fit.{code}"
    seen = "from memory" not in source
    return Assumption(name, using.get(name, values[0]), unit, label, Source(source, seen), values[1:])


def race_guides() -> tuple[RaceGuide, ...]:
    """Give every published race width."""
    return _guides().race


def race_length_guides() -> tuple[RaceLengthGuide, ...]:
    """Give what guides ask of the length of a race."""
    return _guides().race_length


def fence_guide(temperament: str) -> FenceGuide:
    """Give the side height for a temperament."""
    return next(row for row in _guides().fence if row.temperament == temperament)


@cache
def _allowances() -> AllowanceFile:
    return _read(AllowanceFile, "allowances.toml")


@cache
def _guides() -> GuideFile:
    return _read(GuideFile, "guides.toml")


def _read(model: type[R], name: str) -> R:
    raw = resources.files("stockproof.fit").joinpath(name).read_bytes()
    return load(model, parse_toml(raw, name, Path()))
