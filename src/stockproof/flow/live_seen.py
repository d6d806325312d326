"""What is seen of a rehearsal at one moment: animals, people, parts, signals and oil, as frozen data.

Numbers of zones, places, parts and so on are positions in `Live.names`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Any

from stockproof.flow import tables as t

__all__ = [
    "AnimalSeen",
    "Bringing",
    "Doing",
    "Neck",
    "PartSeen",
    "PersonSeen",
    "Snapshot",
    "Walk",
    "animals_in",
    "bringing_in",
    "parts_in",
    "people_in",
]

#: An animal that has left the line is still shown for so long, on its way into its pen. [s]
LEAVING_S = 30.0


class Doing(Enum):
    """What an animal is doing."""

    WALKING = t.WALKING
    STANDING = t.STANDING_STILL
    BALKING = t.BALKING
    CROSSING = t.CROSSING
    LYING = t.LYING
    GONE = t.GONE
    NOT_COME = t.NOT_COME
    REFUSING = t.REFUSING


class Neck(Enum):
    """How far the head of the animal at a bail has come."""

    NONE = t.NO_HEAD
    COMING = t.COMING
    AT_SENSOR = t.AT_SENSOR
    IN_NECK = t.IN_NECK
    HELD = t.NECK_HELD
    LET_GO = t.LET_GO
    STOPPED_EARLY = t.STOPPED_EARLY
    PAST = t.PAST


@dataclass(frozen=True, slots=True)
class AnimalSeen:
    """One animal in the line, or on its way out of it.

    Parameters
    ----------
    number : int
        Place in the mob, from 0.
    zone, order : int
        The zone it is in, and how many stand before it there.
    toward : int
        The zone it is crossing into, -1 while it is not.
    share : float
        Of the crossing, from nose at the plane (0) to tail through (1).
    nose_m : float
        In a zone with a bail: nose past the entry plane by now, were nothing in its way; NaN elsewhere. [m]
    since_s : float
        When it came into the zone. [s]
    way : int
        Draft way it was marked for, 0 where it was not.
    at_work : bool
        Somebody or something works on it.
    """

    number: int
    zone: int
    order: int
    doing: Doing
    toward: int
    share: float
    nose_m: float
    neck: Neck
    since_s: float
    way: int
    at_work: bool


@dataclass(frozen=True, slots=True)
class Walk:
    """A person's last walk: from place to place, begun when. [s]"""

    start: int
    end: int
    begun_s: float


@dataclass(frozen=True, slots=True)
class PersonSeen:
    """One of the crew: what they are doing and where.

    `place` is where they stand or walk to, `start` where they walk from, `share` how much of the walk is done;
    `space` is the space of the plant they are in, -1 outside; `act` says in words what they are at.
    """

    doing: str
    place: int
    start: int
    share: float
    space: int
    act: str
    brings: bool


@dataclass(frozen=True, slots=True)
class Bringing:
    """A batch on its way into the line: how many, and how far it is between there (0) and here (1)."""

    size: int
    share: float


@dataclass(frozen=True, slots=True)
class PartSeen:
    """A part: position between 0 (closed) and 1 (open), whether it moves, and by which motion (-1: none)."""

    at: float
    moving: bool
    motion: int
    cycles: int


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Everything seen at one moment of a rehearsal.

    Parameters
    ----------
    animals, people, parts : tuples
        Animals in the line; the crew and the plant's parts in the order of the names.
    bringing : Bringing or None
        The batch somebody is bringing.
    waiting : int
        Animals not brought yet.
    counts : tuple of int
        Animals in each zone.
    head, through, missed, early, touches : int
        The mob; so many have left the line; catches that failed; gates that began to move on an animal.
    driven, refused : tuple of bool
        For each motion: the control drives it; it is asked for and not driven.
    pressed : tuple of bool
        For each control: its contact is closed.
    sensors, lamps : tuple of bool
        What each of the control program's sensors shows; which lamps burn.
    pressure_pa, stored_m3 : float
        Of the store of oil now.
    pumping, powered : bool
        The pump delivers; the control has power.
    next_s : float
        When the next thing is due, infinite where nothing is. [s]
    crew_works, catches : bool
        The crew works the controls; the bail catches necks.
    """

    time_s: float
    animals: tuple[AnimalSeen, ...]
    people: tuple[PersonSeen, ...]
    parts: tuple[PartSeen, ...]
    bringing: Bringing | None
    waiting: int
    counts: tuple[int, ...]
    head: int
    through: int
    missed: int
    early: int
    touches: int
    driven: tuple[bool, ...]
    refused: tuple[bool, ...]
    pressed: tuple[bool, ...]
    sensors: tuple[bool, ...]
    lamps: tuple[bool, ...]
    pressure_pa: float
    stored_m3: float
    pumping: bool
    powered: bool
    next_s: float
    crew_works: bool
    catches: bool


PEOPLE_DOING = {
    t.IDLE: "waits",
    t.ON_THE_WAY: "walks",
    t.REACTING: "reaches for the control",
    t.PRESSING: "presses",
    t.OPENING: "opens the gate",
    t.AT_WORK: "works",
    t.CLOSING: "shuts the gate",
    t.RELOADING: "reloads",
    t.ON_BREAK: "has a break",
    t.FETCHING: "moves animals",
}


def animals_in(model: Any, world: Any, herd: Any) -> Iterator[AnimalSeen]:
    """Give the animals between where they were brought to and their pens, and those just out of the line."""
    now = float(world["now"])
    count = int(model["zones"])
    for z in range(1, count):
        zone = world["zone"][z]
        comer = int(zone["comer"])
        if comer >= 0:
            yield _crossing(world, herd, z, comer)
        a, order = int(zone["front"]), 0
        if model["zone"][z]["is_end"]:
            a = int(zone["back"])
        while a >= 0:
            animal = herd[a]
            if model["zone"][z]["is_end"]:
                if now - float(animal["entered_s"]) > LEAVING_S:
                    break
                yield _standing(model, world, animal, z, a, order)
                a = int(animal["prev"])
            else:
                if animal["doing"] != t.CROSSING:
                    yield _standing(model, world, animal, z, a, order)
                a = int(animal["next"])
            order += 1


def _crossing(world: Any, herd: Any, z: int, a: int) -> AnimalSeen:
    zone, animal = world["zone"][z], herd[a]
    took_s = float(zone["took_s"])
    share = 1.0 if took_s <= 0 else min(1.0, (float(world["now"]) - float(zone["began_s"])) / took_s)
    return AnimalSeen(
        number=a,
        zone=int(animal["zone"]),
        order=0,
        doing=Doing.CROSSING,
        toward=z,
        share=share,
        nose_m=math.nan,
        neck=Neck(int(zone["phase"])),
        since_s=float(animal["entered_s"]),
        way=int(animal["way"]),
        at_work=bool(animal["running"]),
    )


def _standing(model: Any, world: Any, animal: Any, z: int, a: int, order: int) -> AnimalSeen:
    zone = world["zone"][z]
    front = order == 0
    return AnimalSeen(
        number=a,
        zone=z,
        order=order,
        doing=Doing(int(animal["doing"])),
        toward=-1,
        share=0.0,
        nose_m=_nose_m(model["zone"][z], zone, float(world["now"])) if front else math.nan,
        neck=Neck(int(zone["phase"])) if front else Neck.NONE,
        since_s=float(animal["entered_s"]),
        way=int(animal["way"]),
        at_work=bool(animal["running"]),
    )


def _nose_m(line: Any, zone: Any, now: float) -> float:
    """Where the nose would be at the pace of the crossing, whatever bail stands in its way."""
    if line["bail"] < 0 or zone["took_s"] <= 0:
        return math.nan
    return float(line["body_m"]) * (now - float(zone["began_s"])) / float(zone["took_s"])


def people_in(model: Any, world: Any, walks: list[Walk], words: list[str]) -> Iterator[PersonSeen]:
    """Give the crew; `words` says for each act what it is."""
    now = float(world["now"])
    for p, walk in enumerate(walks):
        person = world["person"][p]
        doing = int(person["doing"])
        share = 1.0
        if doing == t.ON_THE_WAY:
            arrives_s = float(world["leaf_s"][int(model["first_person_slot"]) + p])
            share = (now - walk.begun_s) / max(arrives_s - walk.begun_s, 1e-9) if math.isfinite(arrives_s) else 1.0
        act = int(person["act"])
        yield PersonSeen(
            doing=PEOPLE_DOING[doing],
            place=int(person["place"]),
            start=walk.start,
            share=min(1.0, max(0.0, share)),
            space=int(person["space"]),
            act=words[act] if act >= 0 else "",
            brings=act >= 0 and _brings(model, act),
        )


def _brings(model: Any, act: int) -> bool:
    row = model["act"][act]
    return bool(row["kind"] == t.ACT_JOB and model["job"][int(row["index"])]["kind"] == t.BRING)


def bringing_in(model: Any, world: Any, crew: int) -> Bringing | None:
    """Give the batch that somebody is bringing, if anybody is."""
    for p in range(crew):
        person = world["person"][p]
        act = int(person["act"])
        if person["doing"] == t.FETCHING and act >= 0 and _brings(model, act):
            begun_s, ends_s = float(person["since_s"]), float(world["leaf_s"][int(model["first_person_slot"]) + p])
            size = int(world["job"][int(model["act"][act]["index"])]["size"])
            return Bringing(size, (float(world["now"]) - begun_s) / max(ends_s - begun_s, 1e-9))
    return None


def parts_in(world: Any, count: int) -> Iterator[PartSeen]:
    """Give the plant's parts where they are now."""
    now = float(world["now"])
    for k in range(count):
        part = world["part"][k]
        at, moving = float(part["at"]), bool(part["moving"])
        since_s, until_s = float(part["since_s"]), float(part["until_s"])
        if moving and until_s > since_s:
            at += (float(part["to"]) - at) * min(1.0, max(0.0, (now - since_s) / (until_s - since_s)))
        yield PartSeen(at, moving, int(part["motion"]) if moving else -1, int(part["cycles"]))
