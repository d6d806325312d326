"""The table of body sizes, classes of stock and temperaments, read from `classes.toml`. No numbers live in code."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Literal, get_args

from stockproof.brief.model import StockClass
from stockproof.errors import InternalError
from stockproof.figures import Source
from stockproof.records import Record, attribute, load
from stockproof.tomlfile import parse_toml
from stockproof.units import Length, Mass, Share, Speed

__all__ = ["ClassOfStock", "Factor", "HerdTable", "Measure", "Temperament", "herd_table", "source_of"]


class Measure(Record):
    """One body size and its law against live weight."""

    code: str = attribute("name of the size", pattern=r"^[a-z][a-z_]*$")
    label: str = attribute("plain words", min_length=1)
    law: Literal["power", "girth"] = attribute("power law of weight, or a share of heart girth", "power")
    at_reference_m: Length | None = attribute("size at the reference weight (power law)", None, gt=0)
    reference_weight_kg: Mass | None = attribute("reference weight (power law)", None, gt=0)
    exponent: float | None = attribute("exponent of weight (power law)", None, gt=0, le=1)
    per_girth: float = attribute("size over heart girth (girth law)", 1.0, gt=0)
    spread_share: Share = attribute("spread between animals of one weight, of the logarithm", gt=0, le=0.5)
    band_share: Share = attribute("how far the law itself may be out", gt=0, lt=1)
    source: str = attribute("where the law comes from", min_length=1)
    seen: bool = attribute("False for a value recalled from memory")


class Factor(Record):
    """How a class differs from the general law."""

    measure: str = attribute("code of the size")
    times: float = attribute("factor on the general law", gt=0)
    source: str = attribute("where the factor comes from", min_length=1)


class ClassOfStock(Record):
    """A class of stock: its usual weights, its spread, its pace, and how its body differs."""

    code: StockClass = attribute("class, as a brief writes it")
    label: str = attribute("plain words", min_length=1)
    weight_low_kg: Mass = attribute("a mob's mean weight is hardly ever below this", gt=0)
    weight_high_kg: Mass = attribute("a mob's mean weight is hardly ever above this", gt=0)
    usual_spread_share: Share = attribute("standard deviation over mean of weight in a usual mob", gt=0, le=0.5)
    spread_source: str = attribute("where the usual spread comes from", min_length=1)
    walking_m_per_s: Speed = attribute("walking pace in a race, from memory", gt=0)
    factor: tuple[Factor, ...] = attribute("differences from the general law", ())


class Temperament(Record):
    """How a mob takes handling."""

    code: Literal["quiet", "usual", "flighty"] = attribute("temperament, as a brief writes it")
    label: str = attribute("plain words", min_length=1)
    balk_share: Share = attribute("share of animals that stop at a gate and must be urged on", ge=0, le=1)
    pace: float = attribute("factor on the walking pace", gt=0)
    source: str = attribute("where the values come from", min_length=1)


class HerdTable(Record):
    """The file as written."""

    format: Literal[1] = attribute("version of the file's form")
    measure: tuple[Measure, ...] = attribute("body sizes", min_length=1)
    stock_class: tuple[ClassOfStock, ...] = attribute("classes of stock", min_length=1)
    temperament: tuple[Temperament, ...] = attribute("temperaments", min_length=1)


@dataclass(frozen=True, slots=True)
class Herd:
    """The table by code."""

    measures: dict[str, Measure]
    classes: dict[str, ClassOfStock]
    temperaments: dict[str, Temperament]


@cache
def herd_table() -> Herd:
    """Give body sizes, classes and temperaments by code.

    Raises
    ------
    InternalError
        The table lacks a class, doubles a code, or a law is not whole: our own file is wrong.
    """
    raw = resources.files("stockproof.herd").joinpath("classes.toml").read_bytes()
    file = load(HerdTable, parse_toml(raw, "classes.toml", Path()))
    herd = Herd(
        {measure.code: measure for measure in file.measure},
        {each.code: each for each in file.stock_class},
        {each.code: each for each in file.temperament},
    )
    _check(file, herd)
    return herd


def _check(file: HerdTable, herd: Herd) -> None:
    if set(herd.classes) != set(get_args(StockClass)) or len(herd.measures) != len(file.measure):
        raise InternalError("classes.toml: classes are missing, or a measure is there twice")
    for measure in file.measure:
        whole = None not in (measure.at_reference_m, measure.reference_weight_kg, measure.exponent)
        if whole != (measure.law == "power"):
            raise InternalError(f"classes.toml: the law of {measure.code} is not whole")
    for each in file.stock_class:
        if {factor.measure for factor in each.factor} - set(herd.measures):
            raise InternalError(f"classes.toml: {each.code} has a factor on an unknown measure")


def source_of(text: str, seen: bool | None = None) -> Source:
    """A source of this table: one that says `from memory` was not read."""
    return Source(text, seen="from memory" not in text if seen is None else seen)
