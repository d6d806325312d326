"""What the SimPy yard is made of: happenings, signals, animals, pens, people and their habits."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field
from typing import Any

import simpy

from stockproof.flow.model import Job, Passage, Press, Seen, Task
from stockproof.flow.model import Person as PersonSpec
from stockproof.flow.model import Zone as ZoneSpec

__all__ = ["SETTLE", "Act", "Animal", "Habit", "Happening", "Pen", "Person", "Process", "Signal"]

#: Priorities in SimPy's queue: consequences first, then the yard settles, then the next thing that is due.
AT_ONCE, SETTLE = 0, 0.5
Process = Generator[simpy.Event, Any, Any]
Act = Task | Press | Job


@dataclass(frozen=True, slots=True)
class Happening:
    """One event of the path: when, what, and the two numbers it is about."""

    at_s: float
    what: str
    first: int
    second: int


class Signal(simpy.Event):  # type: ignore[misc]
    """An event given in this instant, before anything else that is due."""

    def give(self, value: Any = None, priority: float = AT_ONCE) -> None:
        if not self.triggered:
            self._ok, self._value = True, value
            self.env.schedule(self, priority=priority)


@dataclass(slots=True, eq=False)
class Animal:
    number: int
    pace: float
    temper: float
    way: int
    todo: set[str]
    running: dict[str, Signal] = field(default_factory=dict)
    doing: str = "walking"
    pen: Pen | None = None
    asks: Signal | None = None
    pushed: Signal | None = None
    life: simpy.Process | None = None
    balks: int = 0
    tried: set[int] = field(default_factory=set)
    crossings: int = 0


@dataclass(slots=True, eq=False)
class Pen:
    """A zone of the line as it is now."""

    index: int
    spec: ZoneSpec
    ways: list[Passage]
    tasks: frozenset[str]
    held_tasks: frozenset[str]
    moved: Signal
    told: Signal
    weigher: str = ""
    reader: str = ""
    animals: list[Animal] = field(default_factory=list)
    comer: Animal | None = None
    free_s: float = 0.0
    batch: int = 0
    end: bool = False
    head: str = ""  # "", coming, sensor, neck, held, let go, early, past
    approach: int = 0
    down: bool = False

    @property
    def fill(self) -> int:
        return len(self.animals) + (self.comer is not None)

    @property
    def front(self) -> Animal | None:
        return self.animals[0] if self.animals else None

    def actors(self) -> list[Animal]:
        """Those that may act: the front one where they stand in single file."""
        return self.animals[:1] if self.spec.single_file else list(self.animals)


@dataclass(slots=True, eq=False)
class Person:
    number: int
    spec: PersonSpec
    place: str
    called: Signal
    act: Act | None = None
    animal: Animal | None = None
    space: str = ""
    watches: tuple[tuple[Seen, ...], Signal] | None = None


@dataclass(slots=True, eq=False)
class Habit:
    """How a press or job stands."""

    active: bool = False
    next_s: float = 0.0
    count: int = 0
    of: int = -2
    of_count: int = 0
    animal: Animal | None = None
