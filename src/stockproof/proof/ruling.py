"""How a judge rules: measures and reasons, entered by kind of promise."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from stockproof.brief import PromiseBase
from stockproof.proof.model import Measure, State
from stockproof.proof.rooms import Rooms

__all__ = ["JUDGES", "Judge", "Ruling", "judges", "not_shown"]


@dataclass(frozen=True, slots=True)
class Ruling:
    """A verdict before it has its number and words; the state follows from the measures unless it is stated."""

    measures: tuple[Measure, ...] = ()
    state: State | None = None
    because: str = ""
    mend: str = ""
    figures: tuple[str, ...] = ()
    bounds: str = ""


Judge = Callable[[Any, Rooms], Ruling]
JUDGES: dict[type[PromiseBase], Judge] = {}


def judges(kind: type[PromiseBase]) -> Callable[[Judge], Judge]:
    """Enter a function as the judge of one kind of promise."""

    def enter(function: Judge) -> Judge:
        JUDGES[kind] = function
        return function

    return enter


def not_shown(missing: str, **more: Any) -> Ruling:
    """Give a ruling that says what is missing."""
    return Ruling(state="not shown", because=missing, **more)
