"""Animals held with nobody beside the crush: counted in one run whose events were kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stockproof.flow import notes
from stockproof.flow.run import FlowResult

__all__ = ["Unwatched", "unwatched"]

#: Places from which a person sees the animal that is held and reaches the controls.
BESIDE = ("crush_rear", "crush_side", "crush_front")
Spell = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Unwatched:
    """How animals were held in one round: how many, how many of them unwatched for too long, the longest. [s]"""

    held: int
    left_alone: int
    longest_s: float
    at_most_s: float


def unwatched(result: FlowResult, at_most_s: float) -> Unwatched:
    """Give how many animals stood caught with nobody beside the crush for longer than allowed.

    Parameters
    ----------
    result : FlowResult
        A run whose events were kept (`simulate(traced=...)`).
    at_most_s : float
        How long that may be. [s]
    """
    seen = sorted(_beside(result))
    alone = [_longest_outside(spell, seen) for spell in _held(result)]
    return Unwatched(len(alone), sum(time > at_most_s for time in alone), max(alone, default=0.0), at_most_s)


def _held(result: FlowResult) -> Iterator[Spell]:
    """From the catch of each animal to the moment the bail lets it go."""
    since: dict[int, float] = {}
    for time_s, kind, animal, _ in result.log:
        if kind == notes.CAUGHT:
            since[int(animal)] = float(time_s)
        elif kind == notes.LET_OUT and int(animal) in since:
            yield since.pop(int(animal)), float(time_s)


def _beside(result: FlowResult) -> Iterator[Spell]:
    """Spells in which somebody stands beside the crush; whoever walks is nowhere until there."""
    line = result.line
    near = {line.places.index(place) for place in BESIDE if place in line.places}
    at = [line.places.index(person.home) if person.home else 0 for person in line.crew]
    since = [0.0] * len(at)
    for time_s, kind, first, second in result.log:
        person, place, there_s = int(first), int(second), float(time_s)
        if kind == notes.PERSON_GOES:
            there_s += line.distances_m[at[person]][place] / line.walking_m_per_s
        elif kind == notes.JOB_ENDS and line.jobs[place].end_place:
            place = line.places.index(line.jobs[place].end_place)
        else:
            continue
        if at[person] in near:
            yield since[person], float(time_s)
        at[person], since[person] = place, there_s
    for place, from_s in zip(at, since, strict=True):
        if place in near:
            yield from_s, float("inf")


def _longest_outside(spell: Spell, covered: list[Spell]) -> float:
    """The longest stretch of a spell outside spells that are sorted by their beginning."""
    at, end = spell
    longest = 0.0
    for begins, ends in covered:
        if begins >= end:
            break
        longest = max(longest, begins - at)
        at = max(at, ends)
    return max(longest, end - at)
