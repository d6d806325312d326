"""How much of an installation one exploration looks at, and what it takes for granted about the rest."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

__all__ = ["EVERYTHING", "Rest", "Scope"]


class Rest(Enum):
    """What the parts outside the scope do."""

    NONE = "nothing is outside the scope"
    FROZEN = "they stay at rest: whatever is found can happen, but not everything that can happen is found"
    ANY = "they do anything at any time: what is not found cannot happen"


@dataclass(frozen=True, slots=True)
class Scope:
    """Parts, zones and spaces looked at; None means all.

    Parameters
    ----------
    requests : bool
        Motions are asked for as the control program says; else anything may be asked for at any scan, and only the
        permits stand between people and harm.
    joint : bool
        Where anything may be asked for and sensors may be wrong, what is driven together is what can be driven
        together; else each motion is looked at by itself, which is quicker and may find what cannot happen.
    memory : bool
        Remembered bits are followed; else they may have any value at any scan.
    steps : bool
        Sequences take their transitions as the sensors say; else whenever some reading would let them.
    falls : bool
        An animal in the crush may go down; else all stay on their feet, which finds fewer stories, and sooner.
    watch : bool
        Whether anybody has asked anew is followed (for motions that start by themselves).
    """

    parts: frozenset[str] | None = None
    zones: frozenset[str] | None = None
    spaces: frozenset[str] | None = None
    neck: bool = True
    rest: Rest = Rest.NONE
    requests: bool = True
    joint: bool = False
    memory: bool = True
    steps: bool = True
    falls: bool = True
    watch: bool = True

    def has_part(self, name: str) -> bool:
        return self.parts is None or name in self.parts

    def has_zone(self, name: str) -> bool:
        return self.zones is None or name in self.zones

    def has_space(self, name: str) -> bool:
        return self.spaces is None or name in self.spaces


EVERYTHING = Scope()
