"""What a proof gives: verdicts with margins and evidence, the ledger of figures, cautions and room results."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Measure", "State", "Verdict"]

State = Literal["met", "not met", "not shown"]


@dataclass(frozen=True, slots=True)
class Measure:
    """One number asked and found.

    Parameters
    ----------
    label : str
        What is measured, in words.
    asked, found : float
        SI values.
    dimension : str
        Name in `units.DIMENSIONS`, or empty for a plain number of `unit`.
    better : {'more', 'less'}
        Which way is the good way.
    figure : str
        Name of the ledger's figure that holds what was found.
    unit : str
        Unit of a plain number: `years`, `people`, a currency code.
    """

    label: str
    asked: float
    found: float
    dimension: str
    better: Literal["more", "less"]
    figure: str
    unit: str = ""

    @property
    def met(self) -> bool:
        return self.found >= self.asked if self.better == "more" else self.found <= self.asked

    @property
    def margin_share(self) -> float | None:
        """(found - asked) / asked, positive on the good side; None where nothing was asked for."""
        if self.asked == 0:
            return None
        share = (self.found - self.asked) / abs(self.asked)
        return share if self.better == "more" else 0.0 - share


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer to one promise.

    Parameters
    ----------
    number : int
        Which promise of the brief, from 1.
    kind, promise, says : str
        Kind of promise, the promise in our words, and in the customer's where the brief has them.
    state : State
        `met`, `not met`, or `not shown` where something is missing.
    measures : tuple of Measure
        The numbers it rests on; empty where it is not a matter of numbers.
    because : str
        What decided it, or what is missing.
    mend : str
        What would mend it, or empty.
    figures : tuple of str
        Further figures of the ledger it rests on.
    bounds : str
        Within which bounds it was checked, or empty.
    """

    number: int
    kind: str
    promise: str
    state: State
    measures: tuple[Measure, ...] = ()
    because: str = ""
    mend: str = ""
    figures: tuple[str, ...] = ()
    bounds: str = ""
    says: str = ""

    @property
    def worst(self) -> Measure | None:
        """The measure with the smallest margin."""
        known = [measure for measure in self.measures if measure.margin_share is not None]
        return min(known, key=lambda measure: measure.margin_share or 0.0, default=None)

    @property
    def margin_share(self) -> float | None:
        """The smallest margin of its measures."""
        worst = self.worst
        return worst.margin_share if worst else None

    @property
    def evidence(self) -> tuple[str, ...]:
        """Names of every figure the verdict rests on."""
        return (*(measure.figure for measure in self.measures), *self.figures)
