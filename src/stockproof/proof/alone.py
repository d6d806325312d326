"""People alone with cattle and animals held with nobody by: what a rate that is met must not hide."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from stockproof.flow import FlowResult
from stockproof.proof.rooms import Rooms

__all__ = ["alone_with_cattle", "left_alone"]


def alone_with_cattle(rooms: Rooms, programme: str, crew: tuple[str, ...]) -> str:
    """Say that one person alone brings the animals of a programme on foot; empty where that is not so."""
    if len(crew) != 1:
        return ""
    study = rooms.flows.studies.get((programme, crew))
    often = f"{_fetched(study.result):.0f} times in a round of" if study else "for every batch of"
    return (
        f"{crew[0]} alone goes among the animals on foot {often} {programme}, against the caution that nobody is ever "
        "alone in a pen with cattle that can reach them"
    )


def _fetched(result: FlowResult) -> float:
    """How often a batch is brought in a round."""
    bringing = [j for j, job in enumerate(result.line.jobs) if job.kind == "bring"]
    return float(np.median(result.worlds["job"]["count"][:, bringing].sum(axis=1)))


def left_alone(rooms: Rooms) -> Iterator[str]:
    """Give every such finding: who is alone with cattle, and animals held with nobody beside the crush."""
    smallest = ((promise.programme, crew) for promise, crew in rooms.flows.people.items() if crew)
    for programme, crew in dict.fromkeys([*rooms.flows.studies, *smallest]):
        words = alone_with_cattle(rooms, programme, crew)
        if words:
            yield f"{words}. A second person is needed, whatever the rate."
    for programme, found in rooms.unwatched.items():
        if found.left_alone:
            limit, longest = (rooms.units.text(each, "duration") for each in (found.at_most_s, found.longest_s))
            yield (
                f"In a round of {programme} {found.left_alone} of {found.held} animals caught stand held for more than "
                f"{limit} with nobody beside the crush, the longest {longest}, against the caution to watch it. "
                "Keep somebody beside the crush while one is held."
            )
