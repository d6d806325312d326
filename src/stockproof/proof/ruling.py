"""How a judge rules: measures and reasons, entered by kind of promise."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from stockproof.brief import PromiseBase
from stockproof.proof.model import Measure, State
from stockproof.proof.rooms import Rooms

__all__ = ["JUDGES", "Judge", "Ruling", "flow_in_doubt", "judges", "not_shown"]


@dataclass(frozen=True, slots=True)
class Ruling:
    """A verdict before it has its number and words; the state follows from the measures unless it is stated."""

    measures: tuple[Measure, ...] = ()
    state: State | None = None
    because: str = ""
    mend: str = ""
    figures: tuple[str, ...] = ()
    bounds: str = ""

    @property
    def verdict(self) -> State:
        """The state as stated, or as the measures make it."""
        return self.state or ("met" if all(measure.met for measure in self.measures) else "not met")


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


def flow_in_doubt(rooms: Rooms, programmes: Iterable[str]) -> str:
    """Say why what flow found of these programmes is not to be relied on, or nothing where nothing speaks against it.

    Flow scans the logic at events alone, which wants a logic that settles, and moves parts by laws that power's full
    model must bear out. A quick run tries neither, so there is nothing to say.
    """
    if rooms.settling is not None and not rooms.settling.shown:
        return rooms.settling.words
    against = [name for name in programmes if name in rooms.duties and not rooms.duties[name].agrees]
    if not against:
        return ""
    return (
        f"the replay of {', '.join(against)} with the full model of the hydraulics disagrees with the motion times "
        f"flow ran on{_furthest_off(rooms, against)}"
    )


def _furthest_off(rooms: Rooms, programmes: Iterable[str]) -> str:
    rows = [row for name in programmes if (row := rooms.duties[name].worst_motion) is not None]
    if not rows:
        return ""
    worst = max(rows, key=lambda row: abs(row.off_share))
    times = [rooms.units.text(time_s, "duration") for time_s in (worst.replay_s, worst.law_s)]
    return f"; furthest off is {worst.motion}: {times[0]} instead of {times[1]} in the mean"
