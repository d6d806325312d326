"""Figures with provenance: plain functions declared once, and a ledger at the edge.

Loops call plain functions on floats. Where a number is published, `Ledger.derive` evaluates the same
function on figures and sets the result down with its inputs; `Ledger.given` sets down what somebody
stated; `Ledger.assume` what nobody stated and a default supplied; `Ledger.run` what a seeded run gave.
Documents and pages print figures by name and never recompute.
"""

from __future__ import annotations

import inspect
import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from stockproof.errors import InternalError, UnitMismatch

__all__ = [
    "BRIEF",
    "COMMON_PRACTICE",
    "FORMULAS",
    "FROM_MEMORY",
    "Figure",
    "Formula",
    "Ledger",
    "Source",
    "formula",
]

F = TypeVar("F", bound=Callable[..., float])


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value or formula comes from.

    Parameters
    ----------
    text : str
        Author, title, year, table or equation; or one of the plain words below.
    seen : bool
        False for a value recalled from memory: it stays labelled so wherever it is printed.
    """

    text: str
    seen: bool = True

    def __str__(self) -> str:
        return self.text if self.seen else f"{self.text} (from memory, not checked against the text)"


BRIEF = Source("brief")
COMMON_PRACTICE = Source("common practice")
FROM_MEMORY = Source("from memory", seen=False)


@dataclass(frozen=True, slots=True)
class Formula:
    """The declaration that travels beside a plain function: its text, units and sources.

    `dimensional` is False where the body branches on magnitudes or holds dimensional constants, so that
    the unit check by pint cannot run it; then `exempt` says why.
    """

    function: Callable[..., float]
    text: str
    unit: str
    inputs: Mapping[str, str]
    sources: tuple[Source, ...]
    example: tuple[Mapping[str, float], float]
    exempt: str = ""


FORMULAS: dict[Callable[..., float], Formula] = {}


def formula(
    text: str,
    *,
    unit: str,
    sources: tuple[Source, ...],
    example: tuple[Mapping[str, float], float],
    exempt: str = "",
    **inputs: str,
) -> Callable[[F], F]:
    """Declare a plain function of floats as a formula; gives the function back unchanged.

    Parameters
    ----------
    text : str
        The expression in its parameter names, evaluable with `math` names; it must equal the code.
    unit : str
        Unit of the result, in pint's spelling.
    sources : tuple of Source
        At least one.
    example : (inputs, result)
        A worked example, checked to 0.1 % by the tests.
    exempt : str
        Why the dimensions cannot be checked, or empty.
    **inputs : str
        Unit of each parameter.

    Raises
    ------
    InternalError
        The declared inputs are not the function's parameters, or no source is named.
    """

    def declare(function: F) -> F:
        parameters = list(inspect.signature(function).parameters)
        if parameters != list(inputs) or not sources:
            raise InternalError(f"{function.__qualname__}: declared {list(inputs)}, takes {parameters}")
        FORMULAS[function] = Formula(function, text, unit, dict(inputs), sources, example, exempt)
        return function

    return declare


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its unit and where it comes from.

    `how` is one of `given`, `assumed`, `derived`, `run`; `band` is (low, high) where known; `moves` ranks an
    assumption: the largest share by which its band moves a verdict's margin (0 when never tried).
    """

    name: str
    value: float
    unit: str
    label: str
    how: str
    inputs: tuple[str, ...]
    source: str
    text: str = ""
    substituted: str = ""
    band: tuple[float, float] | None = None
    seen: bool = True


@dataclass(slots=True)
class Ledger:
    """Every figure of one proof, in the order it was set down."""

    figures: dict[str, Figure] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Figure:
        return self.figures[name]

    def __contains__(self, name: object) -> bool:
        return name in self.figures

    def __iter__(self) -> Iterator[Figure]:
        return iter(self.figures.values())

    def assumptions(self) -> tuple[Figure, ...]:
        """The figures nobody stated."""
        return tuple(figure for figure in self if figure.how == "assumed")

    def given(self, name: str, value: float, unit: str, label: str, source: Source | str = BRIEF) -> Figure:
        """Set down what somebody stated, with who stated it."""
        return self._put(Figure(name, value, unit, label, "given", (), str(source), seen=_seen(source)))

    def assume(
        self,
        name: str,
        value: float,
        unit: str,
        label: str,
        source: Source | str,
        band: tuple[float, float] | None = None,
    ) -> Figure:
        """Set down what nobody stated: a default, with its source and the band it may lie in."""
        return self._put(Figure(name, value, unit, label, "assumed", (), str(source), band=band, seen=_seen(source)))

    def derive(self, name: str, label: str, function: Callable[..., float], **inputs: Figure) -> Figure:
        """Evaluate a declared formula on figures and set the result down.

        Raises
        ------
        UnitMismatch
            An input is in another unit than the formula takes.
        """
        declared = FORMULAS[function]
        for parameter, figure in inputs.items():
            if figure.unit != declared.inputs[parameter]:
                raise UnitMismatch(
                    f"{name}: {function.__name__}() takes {parameter} in {declared.inputs[parameter]}, "
                    f"but {figure.name} is in {figure.unit}"
                )
        value = function(**{parameter: figure.value for parameter, figure in inputs.items()})
        return self._put(
            Figure(
                name,
                value,
                declared.unit,
                label,
                "derived",
                tuple(figure.name for figure in inputs.values()),
                "; ".join(str(source) for source in declared.sources),
                declared.text,
                _substituted(declared.text, {p: f.value for p, f in inputs.items()}),
                seen=all(source.seen for source in declared.sources) and all(f.seen for f in inputs.values()),
            )
        )

    def run(
        self,
        name: str,
        value: float,
        unit: str,
        label: str,
        how: str,
        inputs: tuple[Figure, ...] = (),
        source: Source | str = Source("this program's own computation"),
        band: tuple[float, float] | None = None,
    ) -> Figure:
        """Set down what a whole computation gave: `how` says which (method, seed, replications)."""
        return self._put(
            Figure(
                name,
                value,
                unit,
                label,
                "run",
                tuple(figure.name for figure in inputs),
                str(source),
                text=how,
                band=band,
                seen=_seen(source) and all(figure.seen for figure in inputs),
            )
        )

    def _put(self, figure: Figure) -> Figure:
        if not math.isfinite(figure.value):
            raise InternalError(f"figure {figure.name} is {figure.value}")
        known = self.figures.setdefault(figure.name, figure)
        if known != figure:
            raise InternalError(f"figure {figure.name} set down twice: {known.value} and {figure.value}")
        return figure


def _seen(source: Source | str) -> bool:
    return source.seen if isinstance(source, Source) else True


def _substituted(text: str, values: Mapping[str, float]) -> str:
    """The formula's text with numbers for names, for example `12000000 * 0.001963`."""

    def number(match: re.Match[str]) -> str:
        word = match[0]
        return f"{values[word]:.6g}" if word in values else word

    return re.sub(r"[A-Za-z_][A-Za-z_0-9]*", number, text)


def evaluate(text: str, values: Mapping[str, Any]) -> float:
    """Evaluate a formula's text on values: the tests use it to hold text and code equal."""
    names = {name: getattr(math, name) for name in ("pi", "sqrt", "exp", "log", "sin", "cos", "floor", "ceil")}
    return float(eval(text, {"__builtins__": {}}, {**names, "min": min, "max": max, "abs": abs, **values}))
