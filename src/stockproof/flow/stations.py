"""Where each animal's time goes, how busy each person is, and what the line waits for: plain sums over records."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stockproof.flow import tables as t
from stockproof.flow.model import Line
from stockproof.flow.run import FlowResult

__all__ = [
    "CrewUse",
    "Station",
    "Waits",
    "crew_use",
    "cycles_per_head",
    "stations",
    "waits",
    "ways_taken",
    "what_limits",
]

#: What a person does, in words, in the order of `tables.PERSON_STATE.spent_s`.
DOINGS = (
    "free",
    "walking",
    "seeing and reacting",
    "holding a control",
    "opening a gate",
    "working on an animal",
    "shutting a gate",
    "reloading",
    "break",
    "moving stock",
)
#: What the place of work waits for, in words, in the order of `tables.ZONE_STATE.spent_s`.
ZONE_STATES = (
    "empty, waiting for an animal",
    "an animal comes in or goes out",
    "work on the animal",
    "the animal waits for a person or for its turn",
    "powered parts move",
    "an animal balks",
    "blocked by the pen ahead",
    "waiting for a control or the logic",
)
STOP_WORDS = {
    "refill": "refilling the forcing pen",
    "balk": "animals that balk",
    "recatch": "catching again",
    "draft_pen_full": "full draft pens",
    "breaks": "breaks",
    "reload": "reloading",
}


@dataclass(frozen=True, slots=True)
class Station:
    """Mean time of an animal in one zone: coming in, until done there, and waiting to leave. [s]"""

    zone: str
    animals: int
    coming_s: float
    working_s: float
    waiting_s: float
    total_s: float
    longest_s: float


@dataclass(frozen=True, slots=True)
class CrewUse:
    """What one person's time went to, as shares of the run; `busy` is all but free and break."""

    person: str
    shares: dict[str, float]
    busy: float


@dataclass(frozen=True, slots=True)
class Waits:
    """What the main place of work does or waits for, and the kinds of stop, as shares of the run."""

    zone: str
    shares: dict[str, float]
    stops: dict[str, float]


def stations(result: FlowResult) -> tuple[Station, ...]:
    """Give the mean times of all animals in every zone they passed, over all replications."""
    return tuple(
        station
        for z, zone in enumerate(result.line.zones)
        if (station := _station(zone.name, result.times[:, :, z])) is not None
    )


def _station(name: str, times: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Station | None:
    passed = times[~np.isnan(times[..., t.LEFT]) & ~np.isnan(times[..., t.IN])]
    if not passed.size:
        return None
    began = np.where(np.isnan(passed[:, t.BEGAN_IN]), passed[:, t.IN], passed[:, t.BEGAN_IN])
    done = np.where(np.isnan(passed[:, t.DONE_IN]), passed[:, t.LEFT], passed[:, t.DONE_IN])
    total = passed[:, t.LEFT] - began
    return Station(
        name,
        int(passed.shape[0]),
        float(np.mean(passed[:, t.IN] - began)),
        float(np.mean(done - passed[:, t.IN])),
        float(np.mean(passed[:, t.LEFT] - done)),
        float(np.mean(total)),
        float(np.max(total)),
    )


def crew_use(result: FlowResult) -> tuple[CrewUse, ...]:
    """Give how each person's time was spent, over all replications."""
    total_s = float(result.worlds["now"].sum())
    uses = []
    for p, name in enumerate(result.names.people):
        spent = result.worlds["person"]["spent_s"][:, p].sum(axis=0) / total_s
        shares = dict(zip(DOINGS, (float(share) for share in spent), strict=True))
        uses.append(CrewUse(name, shares, 1 - shares["free"] - shares["break"]))
    return tuple(uses)


def ways_taken(line: Line) -> tuple[tuple[str, float], ...]:
    """Give the share of the animals that each way of the draft unit is meant to take, from the left; none unsorted."""
    if not line.decides_in:
        return ()
    names = dict.fromkeys(passage.into for passage in sorted(line.passages, key=lambda p: p.way) if passage.way)
    return tuple(zip(names, line.mob.ways, strict=True))


def waits(result: FlowResult) -> Waits:
    """Give what the main place of work did, and why it stood still, over all replications."""
    z = next(k for k, zone in enumerate(result.line.zones) if zone.work_zone)
    total_s = float(result.worlds["now"].sum())
    spent = result.worlds["zone"]["spent_s"][:, z].sum(axis=0) / total_s
    stops = result.worlds["stop_s"].sum(axis=0) / total_s
    return Waits(
        result.line.zones[z].name,
        dict(zip(ZONE_STATES, (float(share) for share in spent), strict=True)),
        {STOP_WORDS[name]: float(share) for name, share in zip(t.STOPS, stops, strict=True)},
    )


def what_limits(result: FlowResult) -> tuple[tuple[str, float], ...]:
    """Give what takes the line's time, largest first, each as a share of the run.

    The time in which the place of work stands empty is split by why no animal came.
    """
    found = waits(result)
    empty = ZONE_STATES[t.EMPTY_ZONE]
    parts = {name: share for name, share in found.shares.items() if name != empty}
    named = {name: found.stops[STOP_WORDS[key]] for key, name in
             (("refill", "waiting for the next batch"), ("balk", "waiting for an animal that balks"))}  # fmt: skip
    rest = max(0.0, found.shares[empty] - sum(named.values()) - found.stops[STOP_WORDS["breaks"]])
    parts |= named | {"waiting for the next animal to walk up": rest, "breaks": found.stops[STOP_WORDS["breaks"]]}
    return tuple(sorted(parts.items(), key=lambda item: -item[1]))


def cycles_per_head(result: FlowResult) -> dict[str, float]:
    """Give how often each motion begins for each animal of the mob."""
    head = float(result.line.mob.head * result.replications)
    return {name: float(result.worlds["cycles"][:, k].sum() / head) for k, name in enumerate(result.names.motions)}
