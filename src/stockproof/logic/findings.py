"""What the check of a control program found: answers, findings about properties and single faults, and the bounds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from stockproof.logic.faults import Fault
from stockproof.logic.properties import Property
from stockproof.logic.world import MOST_ANIMALS, MOST_PEOPLE

if TYPE_CHECKING:  # what tells stories brings the compiled search along, and only the shape of its answer stands here
    from stockproof.logic.story import Story

__all__ = ["BOUNDS", "Answer", "FaultEffect", "FaultFinding", "Finding", "Verification"]

BOUNDS = (
    f"at most {MOST_ANIMALS} animals and {MOST_PEOPLE} people in the scope of each property; at most two buttons or "
    "unsure sensors at once; up to two changes between two scans; timers may run out at any scan once they run; a "
    "reset with a view of a space is pressed only while nobody is in it; valves not worked by hand; one animal at a "
    "time is down, and only in the crush; which way an animal faces is not followed, since no sensor tells head from "
    "tail and one that has turned does what another does backing up"
)


class Answer(Enum):
    HOLDS = "holds"
    REACHED = "reached"
    NOT_SHOWN = "not shown"


class FaultEffect(Enum):
    """What a single fault does; `ALREADY`: it strikes at what fails without it, so nothing can be said for it."""

    TOLERATED = "tolerated"
    DETECTED = "detected"
    DANGEROUS = "dangerous"
    ALREADY = "fails already without the fault"
    NOT_SHOWN = "not shown"


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found about one property.

    `states` is how many states were explored in all; `reason` says why it holds by design or why nothing is shown.
    """

    property: Property
    answer: Answer
    states: int
    seconds: float
    story: Story | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class FaultFinding:
    """What one fault does to the properties that rest on what it strikes.

    `dangerous` are codes of properties with the story that breaks them; `already` are codes of properties that rest on
    what it strikes and fail without it; `lost` are motions that are no longer driven, by which people notice; `answer`
    is what a designer does against a dangerous one; `reason` is why something is not shown.
    """

    fault: Fault
    effect: FaultEffect
    dangerous: tuple[tuple[str, Story], ...]
    not_shown: tuple[str, ...]
    lost: tuple[str, ...]
    states: int
    already: tuple[str, ...] = ()
    answer: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Verification:
    """The whole answer about an installation's control logic, with the bounds it holds within.

    `never_driven` are motions for which no way was found to drive them at all: a cover that must be empty.
    """

    findings: tuple[Finding, ...]
    faults: tuple[FaultFinding, ...]
    never_driven: tuple[str, ...] = ()
    bounds: str = BOUNDS

    def finding(self, code: str) -> Finding:
        return next(f for f in self.findings if f.property.code == code)
