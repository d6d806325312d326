"""What a proof gives: verdicts with margins and evidence, the ledger of figures, cautions and room results."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["State", "Verdict"]

State = Literal["met", "not met", "not shown"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer to one promise.

    Parameters
    ----------
    number : int
        Which promise of the brief, from 1.
    kind, promise : str
        Kind of promise, and the promise in words.
    state : State
        `met`, `not met`, or `not shown` where something is missing.
    asked, found : str
        What was asked and what was found, each with its unit, for people.
    margin_share : float or None
        (found - asked) / asked toward the good side; negative where not met; None where it has no scale.
    because : str
        Why: what limits, or what is missing.
    mend : str
        What would mend it, or empty.
    figures : tuple of str
        Names of the ledger's figures the verdict rests on.
    bounds : str
        Within which bounds it was checked, or empty.
    """

    number: int
    kind: str
    promise: str
    state: State
    asked: str
    found: str = ""
    margin_share: float | None = None
    because: str = ""
    mend: str = ""
    figures: tuple[str, ...] = ()
    bounds: str = ""
