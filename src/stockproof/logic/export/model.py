"""A program organisation unit as data: its variables by section and its body as lines of Structured Text."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

__all__ = ["SCAN_INTERVAL_S", "Code", "Pou", "Variable"]

#: Time from scan to scan that the files propose (common practice); every timer is much longer.
SCAN_INTERVAL_S = 0.02


@dataclass(frozen=True, slots=True)
class Variable:
    """A variable of a unit; `start` is a literal, empty for the type's own start value."""

    name: str
    type: str = "BOOL"
    start: str = ""
    comment: str = ""


@dataclass(frozen=True, slots=True)
class Pou:
    """A function block or program."""

    name: str
    kind: Literal["FUNCTION_BLOCK", "PROGRAM"]
    comment: str
    inputs: tuple[Variable, ...]
    outputs: tuple[Variable, ...]
    locals: tuple[Variable, ...]
    body: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Code:
    """A whole control program; the last unit is the program that is run once a scan.

    Parameters
    ----------
    form : {'rules', 'operations'}
        Whether the text keeps the form in which the rules were written, or states the netlist operation by operation.
    inputs, outputs : dict of str to str
        Identifier of every field signal by its dotted name.
    names : dict of str to str
        Identifier of every other named signal.
    """

    form: Literal["rules", "operations"]
    pous: tuple[Pou, ...]
    inputs: dict[str, str]
    outputs: dict[str, str]
    names: dict[str, str] = field(default_factory=dict)

    @property
    def program(self) -> Pou:
        return self.pous[-1]
