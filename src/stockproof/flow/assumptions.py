"""Every default the flow room uses that nobody stated: value, unit, meaning, source and the band it may lie in.

Read as data by `prepare`, varied within their bands by replications, and set down in the ledger by the proof.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stockproof.errors import InternalError
from stockproof.figures import COMMON_PRACTICE, FROM_MEMORY, Source

__all__ = ["ASSUMPTIONS", "Assumed", "chosen"]

HALF_FULL = Source("Grandin, 'A matter of atmosphere', Beef Magazine: fill the forcing pen half full")
FEEDLOTS = Source("Stockman's Scorecard, 39 Texas feedlots 2018-19, Transl. Anim. Sci. (PMC7759733): 39 of 84 overfill")
HALF_EMPTY = Source("Grandin, animalimagegallery.org, image 757: wait until the race is half empty before refilling")
SERVICE = Source(
    "no published distribution of crush times was found; a lognormal law of CV 0.4 to 0.6 is our judgement"
)
CAUGHT = Source("miscaught 2 % on 28 feedlots (Woiwode and Grandin, ASAS 2014), 0.2 % on 56 (Barnhardt et al.)")


@dataclass(frozen=True, slots=True)
class Assumed:
    """One default; `band` is the range within which nobody would wonder."""

    name: str
    value: float
    unit: str
    label: str
    source: Source
    band: tuple[float, float]


ASSUMPTIONS: tuple[Assumed, ...] = (
    Assumed("flow.people.walking", 1.3, "m/s", "how fast people walk at the yards", FROM_MEMORY, (1.0, 1.6)),
    Assumed("flow.animal.spread", 0.25, "1", "spread of animals' own pace (SD over mean)", FROM_MEMORY, (0.15, 0.4)),
    Assumed(
        "flow.crush.pace",
        0.65,
        "1",
        "pace into the crush as a share of the walking pace in the race",
        FROM_MEMORY,
        (0.5, 0.9),
    ),
    Assumed("flow.exit.pace", 1.5, "1", "pace out of the crush as a share of the walking pace", FROM_MEMORY, (1.0, 2.2)),
    Assumed("flow.headway", 1.2, "s", "time before the next animal closes up", FROM_MEMORY, (0.6, 2.5)),
    Assumed("flow.balk.wait", 9.0, "s", "how long an animal that balks stands when nobody helps", FROM_MEMORY, (5.0, 20.0)),
    Assumed("flow.balk.wait_spread", 0.8, "1", "spread of that time (SD over mean)", FROM_MEMORY, (0.5, 1.2)),
    Assumed("flow.balk.pushed", 3.0, "s", "time to move one that balks on, once beside it", FROM_MEMORY, (2.0, 8.0)),
    Assumed("flow.balk.persistence", 0.3, "1", "how alike in temper neighbours in the race are", FROM_MEMORY, (0.0, 0.6)),
    Assumed("flow.balk.own", 0.4, "1", "share of the balking temper that is the animal's own", FROM_MEMORY, (0.1, 0.8)),
    Assumed("flow.balk.day", 0.3, "1", "spread of the day's temper, standard normal scale", FROM_MEMORY, (0.1, 0.6)),
    Assumed("flow.balk.following", 0.5, "1", "share of balkers left when one can follow another", FROM_MEMORY, (0.3, 0.9)),
    Assumed("flow.balk.mouth", 0.6, "1", "balkers at the mouth of the race over those at the crush", FROM_MEMORY, (0.3, 1.2)),
    Assumed("flow.balk.refuse_after", 4.0, "1", "so many balks at one gate make a refuser", FROM_MEMORY, (3.0, 6.0)),
    Assumed("flow.follow.within", 5.0, "s", "an animal follows one that went so long before", FROM_MEMORY, (3.0, 8.0)),
    Assumed("flow.follow.quicker", 0.8, "1", "time to cross when following, over usual", FROM_MEMORY, (0.6, 1.0)),
    Assumed("flow.pen.fill", 0.5, "1", "share of the forcing pen that is filled", HALF_FULL, (0.4, 1.0)),
    Assumed("flow.pen.crowding", 0.6, "1", "slowing out of an overfilled pen, per share over half full", FEEDLOTS, (0.2, 1.5)),
    Assumed("flow.pen.straggling", 1.7, "1", "the last of a batch take so many times longer", FROM_MEMORY, (1.2, 3.0)),
    Assumed("flow.race.refill_at", 0.5, "1", "share of the race that is full when a refill begins", HALF_EMPTY, (0.2, 0.8)),
    Assumed("flow.bring.time", 22.0, "s", "to turn a batch out of the receiving pen and shut it in", FROM_MEMORY, (12.0, 45.0)),
    Assumed("flow.bring.per_head", 1.5, "s", "and for each animal in it", FROM_MEMORY, (0.8, 3.0)),
    Assumed("flow.bring.spread", 0.35, "1", "spread of the time to bring a batch (SD over mean)", FROM_MEMORY, (0.2, 0.6)),
    Assumed("flow.operator.reaction", 0.8, "s", "from seeing to pressing", FROM_MEMORY, (0.4, 1.5)),
    Assumed("flow.operator.spread", 0.4, "1", "spread of that time (SD over mean)", FROM_MEMORY, (0.2, 0.7)),
    Assumed("flow.hand.gate", 2.0, "s", "to open or shut an access gate by hand", COMMON_PRACTICE, (1.0, 4.0)),
    Assumed("flow.hand.part", 3.0, "s", "to move a hand-worked gate or head rest", COMMON_PRACTICE, (1.5, 6.0)),
    Assumed("flow.reload.every", 50.0, "head", "animals between reloads of tags, doses or gear", COMMON_PRACTICE, (20.0, 100.0)),
    Assumed("flow.reload.time", 45.0, "s", "to reload", COMMON_PRACTICE, (20.0, 120.0)),
    Assumed("flow.task.uncertain", 0.12, "1", "how wrong the mean times of tasks may be (SD over mean)", SERVICE, (0.05, 0.25)),
    Assumed("flow.animal.uncertain", 0.15, "1", "how wrong the mean pace may be (SD over mean)", FROM_MEMORY, (0.05, 0.3)),
    Assumed("flow.bring.uncertain", 0.2, "1", "how wrong the time to bring may be (SD over mean)", FROM_MEMORY, (0.1, 0.4)),
    Assumed("flow.operator.uncertain", 0.2, "1", "how wrong the reaction may be (SD over mean)", FROM_MEMORY, (0.1, 0.4)),
    Assumed("flow.catch.head_at", 0.3, "1", "share of its opening a bail must leave for a head", CAUGHT, (0.2, 0.5)),
    Assumed("flow.catch.neck_at", 0.4, "1", "share of its opening at which a shoulder cannot follow", CAUGHT, (0.25, 0.5)),
    Assumed("flow.down.share", 0.002, "1", "animals that go down while held", FROM_MEMORY, (0.0, 0.02)),
    Assumed("flow.down.time", 90.0, "s", "until one that went down is up and led on", FROM_MEMORY, (30.0, 300.0)),
    Assumed("flow.refuser.time", 60.0, "s", "to lead a refuser round the crush", FROM_MEMORY, (30.0, 180.0)),
    Assumed("flow.draft_pen.places", 45.0, "head", "a draft pen holds before it must be emptied", COMMON_PRACTICE, (20.0, 200.0)),
    Assumed("flow.draft_pen.time", 60.0, "s", "to walk a full draft pen away", FROM_MEMORY, (30.0, 180.0)),
    Assumed("flow.draft_pen.per_head", 0.8, "s", "and for each animal in it", FROM_MEMORY, (0.3, 2.0)),
    Assumed("flow.place.step", 5.0, "m", "between neighbouring places of work, until the yard tells", COMMON_PRACTICE, (2.0, 10.0)),
    Assumed("flow.race.place", 1.8, "m", "length of race an animal takes", Source(
        "donedeal.ie 'Winter accommodation for beef animals': 9 m hold 5 to 6 adult cattle", seen=True), (1.5, 2.3)),
)  # fmt: skip
_KNOWN = {assumed.name: assumed for assumed in ASSUMPTIONS}


def chosen(changes: Mapping[str, float] | None = None) -> dict[str, float]:
    """Give every assumption's value by name, with some of them changed.

    Raises
    ------
    InternalError
        A change names no assumption.
    """
    changes = changes or {}
    unknown = sorted(set(changes) - set(_KNOWN))
    if unknown:
        raise InternalError(f"no flow assumption is called {', '.join(unknown)}")
    return {name: changes.get(name, assumed.value) for name, assumed in _KNOWN.items()}
