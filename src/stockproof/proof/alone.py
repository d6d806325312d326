"""People alone with cattle and animals held with nobody by: what a rate that is met must not hide."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from stockproof.proof.rooms import Rooms

__all__ = ["alone_with_cattle", "left_alone"]


def alone_with_cattle(rooms: Rooms, programme: str, crew: tuple[str, ...]) -> str:
    """Say that one person alone brings the animals of a programme on foot; empty where that is not so."""
    study = rooms.flows.studies.get((programme, crew))
    if study is None or len(crew) != 1:
        return ""
    result = study.result
    bringing = [j for j, job in enumerate(result.line.jobs) if job.kind == "bring"]
    times = float(np.median(result.worlds["job"]["count"][:, bringing].sum(axis=1)))
    return (
        f"{crew[0]} alone goes among the animals on foot {times:.0f} times in a round of {programme}, against the "
        "caution that nobody is ever alone in a pen with cattle that can reach them"
    )


def left_alone(rooms: Rooms) -> Iterator[str]:
    """Give every such finding: who is alone with cattle, and animals held with nobody beside the crush."""
    for programme, crew in rooms.flows.studies:
        words = alone_with_cattle(rooms, programme, crew)
        if words:
            yield f"{words}. A second person is needed, whatever the rate."
    for programme, found in rooms.unwatched.items():
        if found.left_alone:
            limit, longest = (rooms.units.text(each, "duration") for each in (found.at_most_s, found.longest_s))
            yield (
                f"{programme}: {found.left_alone} of {found.held} animals caught stand held for more than {limit} with "
                f"nobody beside the crush, the longest {longest}, against the caution to watch the animal. Keep "
                "somebody beside the crush while one is held."
            )
