"""Where animals and people are drawn at a moment of a rehearsal, from what the kernel says of them.

The kernel knows zones, orders and shares of a crossing; where that lies on the plan is worked out here. What it moves
at once (a queue closing up) walks there at an animal's pace.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import shapely

from stockproof.flow.asked import PLACES
from stockproof.flow.live import AnimalSeen, Doing, Neck, PersonSeen, Snapshot
from stockproof.flow.live_seen import Bringing
from stockproof.plant.model import Boundary, Plant, ZoneKind
from stockproof.proof.rehearsal.lay import Lay, Point, Ring, Track
from stockproof.proof.rehearsal.pieces import VANE_RAD, side_of
from stockproof.proof.rehearsal.slots import Slot, slots_in, slots_toward

__all__ = ["AnimalDrawn", "Drawn", "PersonDrawn", "Places", "inside"]

#: An animal that closes up walks so fast. [m/s]
CLOSING_M_PER_S = 1.7
#: Nose short of a gate; nose past the bail of one held, as a share of its length.
SHORT_M, HELD_SHARE, PAST_SHARE = 0.12, 0.2, 0.4
#: Two animals in a crush stand so much of a length apart.
CROWDED_SHARE = 0.62
TURN_RAD_PER_S = 2.5
#: One so near its place turns as it is to stand. [m]
NEAR_M = 0.6
#: A middle so little outside a fence is not seen to be. [m]
OVER_M = 0.05
MOST_WALKERS = 40


@dataclass(frozen=True, slots=True)
class _Pose:
    """Middle and heading of an animal, and how far along the track its nose is where it is on it (else NaN)."""

    x: float
    y: float
    heading: float
    nose_m: float = math.nan


@dataclass(frozen=True, slots=True)
class AnimalDrawn:
    """An animal as drawn: its number, middle, heading, and how it looks."""

    number: int
    x: float
    y: float
    heading: float
    look: str


@dataclass(frozen=True, slots=True)
class PersonDrawn:
    """One of the crew as drawn."""

    x: float
    y: float
    look: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """Everything that moves, besides parts: animals in the line, a batch on its way, the crew, and how many stand
    in the pens behind and before it."""

    animals: tuple[AnimalDrawn, ...]
    walkers: tuple[Slot, ...]
    people: tuple[PersonDrawn, ...]
    waiting: int
    penned: tuple[int, ...]


class Places:
    """Works out one moment after another; remembers where each animal was drawn last."""

    def __init__(self, plant: Plant, zones: tuple[str, ...], lay: Lay, body: tuple[float, float]) -> None:
        self.plant, self.lay, self.body = plant, lay, body
        self.zones = zones
        number = {name: k for k, name in enumerate(zones)}
        self.kind = {number[zone.name]: zone.kind for zone in plant.zones if zone.name in number}
        self.places = {number[zone.name]: zone.places for zone in plant.zones if zone.name in number}
        self.ways = [number[zone.name] for zone in plant.zones if zone.kind == ZoneKind.WAY]
        self.exit_m = dict(self._exits(number))
        crowd = max(zone.places for zone in plant.zones if zone.kind == ZoneKind.PEN)
        self.forcing = slots_toward(lay.forcing, crowd, body, lay.track.at(0.0)[:2])
        self.pen = shapely.Polygon(lay.forcing).buffer(OVER_M)
        self.widest: Point = shapely.maximum_inscribed_circle(self.pen).coords[0]
        self.receiving = tuple(slots_in(ring, head, body) for ring, head in lay.receiving)
        self.pens = tuple(_from_far(slots_in(ring, head, body), lay) for ring, head in lay.pens)
        self.lane = Track(lay.approach[:2])
        self.lane_m = math.dist(*lay.approach[:2])
        self.last: dict[int, _Pose] = {}
        self.time_s = 0.0

    def draw(self, seen: Snapshot) -> Drawn:
        """Give what is drawn at a moment."""
        by_s = seen.time_s - self.time_s
        self.time_s = seen.time_s
        poses = {animal.number: self._pose(animal, seen, by_s) for animal in seen.animals}
        self.last = poses
        animals = tuple(
            AnimalDrawn(animal.number, pose.x, pose.y, pose.heading, _look(animal))
            for animal, pose in zip(seen.animals, poses.values(), strict=True)
        )
        walkers = tuple(self._walkers(seen.bringing)) if seen.bringing else ()
        moving = [sum(animal.zone == way for animal in seen.animals) for way in self.ways]
        penned = tuple(seen.counts[way] - m for way, m in zip(self.ways, moving, strict=True))
        return Drawn(
            animals, walkers, tuple(self._people(seen, len(walkers))), max(0, seen.waiting - len(walkers)), penned
        )

    def stand(self, zone: str, order: int, neck: bool = False) -> Slot:
        """Where the animal of an order stands in a zone of the line; `neck` where its head is through the bail."""
        k = self.zones.index(zone)
        if self.kind[k] == ZoneKind.CRUSH:
            nose = self.lay.bail_m + (HELD_SHARE * self.body[0] if neck else -SHORT_M)
            nose -= order * CROWDED_SHARE * self.body[0]
        else:
            nose = self.exit_m[k] - SHORT_M - order * self.body[0]
        pose = self._on_track(nose)
        return pose.x, pose.y, pose.heading

    def across(self, source: str) -> Slot:
        """Where an animal stands that is half out of a zone."""
        pose = self._on_track(self.exit_m[self.zones.index(source)] + self.body[0] / 2)
        return pose.x, pose.y, pose.heading

    def forget(self) -> None:
        """The next moment has nothing to do with the last: everything is drawn where it is."""
        self.last = {}
        self.time_s = math.inf

    # Along the line

    def _exits(self, number: dict[str, int]) -> Iterator[tuple[int, float]]:
        """How far along the track each zone ends."""
        for k, zone in enumerate(self.plant.zones):
            if zone.kind == ZoneKind.PEN:
                yield number[zone.name], 0.0
            elif zone.kind == ZoneKind.RACE:
                gate = next((b for b in self.plant.boundaries if b.source == k), None)
                yield number[zone.name], self._gate_m(gate)
            elif zone.kind == ZoneKind.CRUSH:
                yield number[zone.name], self.lay.bail_m
            elif zone.kind == ZoneKind.DRAFT:
                yield number[zone.name], self.lay.bail_m + self.lay.draft_m

    def _gate_m(self, boundary: Boundary | None) -> float:
        name = self.plant.parts[boundary.needs[0][0]].name if boundary and boundary.needs else "entry"
        return self.lay.gate_m(name if name.startswith("slide") else "entry")

    def _before_m(self, zone: int) -> float:
        """Where a zone begins: where the one before it ends."""
        earlier = [end for z, end in self.exit_m.items() if z < zone]
        return max(earlier, default=0.0)

    def _target(self, animal: AnimalSeen, seen: Snapshot) -> _Pose:
        kind = self.kind.get(animal.zone)
        if animal.toward >= 0:
            return self._crossing(animal, seen)
        if kind == ZoneKind.WAY:
            return self._in_pen(animal, seen)
        if kind == ZoneKind.PEN:
            return self._forcing_slot(animal.order)
        if kind == ZoneKind.CRUSH:
            return self._on_track(self._nose_in_crush(animal))
        if animal.zone in self.exit_m:
            start, end = self._before_m(animal.zone), self.exit_m[animal.zone]
            pitch = max((end - start) / self.places[animal.zone], 0.96 * self.body[0])
            return self._on_track(end - SHORT_M - animal.order * pitch)
        return self._on_track(self.lay.bail_m + self.lay.draft_m)

    def _crossing(self, animal: AnimalSeen, seen: Snapshot) -> _Pose:
        plane = self._before_m(animal.toward) if self.kind.get(animal.toward) != ZoneKind.WAY else self._end_m()
        nose = plane + self.body[0] * animal.share
        if self.kind.get(animal.zone) == ZoneKind.CRUSH:
            nose = max(nose, self.lay.bail_m + HELD_SHARE * self.body[0] * min(1.0, 3 * (1 - animal.share)))
        if self.kind.get(animal.toward) != ZoneKind.WAY:
            return self._on_track(nose)
        way = self.ways.index(animal.toward)
        slot = self._pen_slot(way, seen.counts[animal.toward])
        return self._on_way(way, nose - self.body[0] / 2, slot)

    def _end_m(self) -> float:
        return self.lay.bail_m + self.lay.draft_m

    def _nose_in_crush(self, animal: AnimalSeen) -> float:
        bail, long = self.lay.bail_m, self.body[0]
        if math.isnan(animal.nose_m):
            return bail - SHORT_M
        farthest = {
            Neck.STOPPED_EARLY: bail - 0.04,
            Neck.PAST: bail + PAST_SHARE * long,
            Neck.NONE: bail - SHORT_M,
        }.get(animal.neck, bail + HELD_SHARE * long)
        return min(self.lay.entry_m + max(animal.nose_m, long), farthest)

    def _on_track(self, nose_m: float) -> _Pose:
        """Middle of the body of an animal whose nose is so far along the track."""
        tail, nose = self.lay.track.at(nose_m - self.body[0]), self.lay.track.at(nose_m)
        heading = math.atan2(nose[1] - tail[1], nose[0] - tail[0])
        return _Pose((tail[0] + nose[0]) / 2, (tail[1] + nose[1]) / 2, heading, nose_m)

    # In pens

    def _forcing_slot(self, order: int) -> _Pose:
        if not self.forcing:
            return self._on_track(-order * self.body[0])
        x, y, heading = self.forcing[order % len(self.forcing)]
        again = order // len(self.forcing)
        return _Pose(x + 0.3 * again, y + 0.3 * again, heading)

    def _pen_slot(self, way: int, number: int) -> Slot:
        slots = self.pens[way] if way < len(self.pens) else ()
        if not slots:
            return (*self.lay.track.at(self._end_m() + 4.0)[:2], 0.0)
        return slots[number % len(slots)]

    def _in_pen(self, animal: AnimalSeen, seen: Snapshot) -> _Pose:
        """On along its way into the pen, at its own walk since it left the line."""
        way = self.ways.index(animal.zone)
        slot = self._pen_slot(way, seen.counts[animal.zone] - 1 - animal.order)
        gone_m = (seen.time_s - animal.since_s) * CLOSING_M_PER_S
        return self._on_way(way, self._end_m() + self.body[0] / 2 + gone_m, slot)

    def _on_way(self, way: int, middle_m: float, slot: Slot) -> _Pose:
        """From the bail through the draft unit toward a place in a pen, so far along."""
        turned = self._aim(way)
        start = self.lay.crush_m + 0.12 * self.lay.draft_m
        out = 1.05 * self.lay.draft_m
        bend = (start + out * math.cos(turned), out * math.sin(turned))
        path: Ring = ((self.lay.crush_m, 0.0), (start, 0.0), bend, slot[:2])
        along = middle_m - self.lay.bail_m
        whole = math.fsum(math.dist(a, b) for a, b in pairwise(path))
        return _Pose(*slot) if along >= whole else _Pose(*Track(path).at(max(0.0, along)))

    def _aim(self, way: int) -> float:
        if way >= len(self.lay.pens):
            return 0.0
        return VANE_RAD * side_of(self.lay.pens[way][0])

    # Closing up

    def _pose(self, animal: AnimalSeen, seen: Snapshot, by_s: float) -> _Pose:
        """Where an animal has got to: as far toward its place as it walks in the time since the last moment."""
        to = self._target(animal, seen)
        was = self.last.get(animal.number)
        if was is None and by_s > 0 and self.kind.get(animal.zone) == ZoneKind.PEN and seen.time_s - animal.since_s < 1:
            was = _Pose(*self._walker(animal.order))
        if was is None or by_s <= 0:
            return to
        reach = CLOSING_M_PER_S * by_s
        if not (math.isnan(was.nose_m) or math.isnan(to.nose_m)):
            gap = to.nose_m - was.nose_m
            return to if abs(gap) <= reach else self._on_track(was.nose_m + math.copysign(reach, gap))
        if math.isnan(was.nose_m) and not math.isnan(to.nose_m):
            to = self._on_track(min(0.0, to.nose_m))
        elif self.kind.get(animal.zone) != ZoneKind.PEN:
            return _closer(was, to, by_s)
        return _closer(was, self._round_the_corner(was, to), by_s)

    def _round_the_corner(self, was: _Pose, to: _Pose) -> _Pose:
        """Where to walk next in the forcing pen: by its widest place where a fence stands in the way."""
        x, y = self.widest
        way = shapely.LineString([(was.x, was.y), (to.x, to.y)])
        if self.pen.covers(way) or math.dist((was.x, was.y), (x, y)) < NEAR_M:
            return to
        return _Pose(x, y, math.atan2(y - was.y, x - was.x))

    # A batch on its way, and people

    def _walkers(self, bringing: Bringing) -> Iterator[Slot]:
        lead = bringing.share * self.lane_m
        for k in range(min(bringing.size, MOST_WALKERS)):
            if lead - self._back_m(k) > 0:
                yield self._walker(k, lead)

    def _back_m(self, k: int) -> float:
        return (k // 2) * self.body[0] * 0.95 + (k % 2) * 0.5

    def _walker(self, k: int, lead_m: float | None = None) -> Slot:
        x, y, heading = self.lane.at((self.lane_m if lead_m is None else lead_m) - self._back_m(k))
        side = 0.55 if k % 2 else -0.55
        return x - math.sin(heading) * side, y + math.cos(heading) * side, heading

    def _people(self, seen: Snapshot, walkers: int) -> Iterator[PersonDrawn]:
        stood: dict[Point, int] = {}
        for person in seen.people:
            at = self._person(person, seen, walkers)
            key = (round(at[0], 1), round(at[1], 1))
            beside = stood[key] = stood.get(key, 0) + 1
            yield PersonDrawn(at[0] + 0.55 * (beside - 1), at[1], _stance(person))

    def _person(self, person: PersonSeen, seen: Snapshot, walkers: int) -> Point:
        if person.space >= 0:
            return inside(self.lay, self.plant.spaces[person.space].name)
        if person.doing == "moves animals" and seen.bringing and person.brings:
            behind = seen.bringing.share * self.lane_m - self._back_m(max(0, walkers - 1)) - self.body[0]
            return self.lane.at(max(0.0, behind))[:2]
        start, end = (self.lay.stands[PLACES[k]] for k in (person.start, person.place))
        return start[0] + (end[0] - start[0]) * person.share, start[1] + (end[1] - start[1]) * person.share


def inside(lay: Lay, space: str) -> Point:
    """Where somebody is who stands or reaches into a space of the crush."""
    beside = lay.near * lay.beside_m
    if space == "rear":
        return 0.4, 0.12 * lay.near
    if space == "front":
        return lay.crush_m + 0.8, lay.near * lay.inside_m
    return (lay.crush_m - 0.35, beside) if space == "neck" else (lay.crush_m * 0.5, beside)


def _from_far(slots: tuple[Slot, ...], lay: Lay) -> tuple[Slot, ...]:
    """Pens fill from their far end."""
    gate = (lay.crush_m + lay.draft_m, 0.0)
    return tuple(sorted(slots, key=lambda slot: (-round(math.dist(slot[:2], gate), 6), slot)))


def _closer(was: _Pose, to: _Pose, by_s: float) -> _Pose:
    """So much closer as an animal walks in that time, straight over open ground and nose first."""
    gap, reach = math.dist((was.x, was.y), (to.x, to.y)), CLOSING_M_PER_S * by_s
    ahead = math.atan2(to.y - was.y, to.x - was.x) if gap > NEAR_M else to.heading
    turn = math.remainder(ahead - was.heading, 2 * math.pi)
    heading = was.heading + max(-TURN_RAD_PER_S * by_s, min(TURN_RAD_PER_S * by_s, turn))
    if gap <= reach:
        return replace(to, heading=heading)
    share = reach / gap
    return _Pose(was.x + (to.x - was.x) * share, was.y + (to.y - was.y) * share, heading)


def _look(animal: AnimalSeen) -> str:
    if animal.doing == Doing.LYING:
        return "down"
    if animal.doing in (Doing.BALKING, Doing.REFUSING):
        return "balks"
    if animal.neck == Neck.HELD:
        return "held"
    return "work" if animal.at_work else "plain"


def _stance(person: PersonSeen) -> str:
    if person.doing in ("presses", "reaches for the control"):
        return "presses"
    return "works" if person.doing in ("works", "moves animals", "opens the gate", "shuts the gate") else "stands"
