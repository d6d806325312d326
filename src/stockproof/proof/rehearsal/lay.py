"""Where everything of a line lies, in the crush's own frame: x the way the animals walk, y to their right. [m]

Seen from above with y down the page, animals walk from left to right. Where the site has no layout the line is drawn
straight, with pens of a plain size round it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from stockproof.plant.model import Plant, ZoneKind
from stockproof.proof.machine import pens_of_ways
from stockproof.scene import Circle, Entity, Line, Polygon, Polyline
from stockproof.yard import Yard, draft_pens_by_side
from stockproof.yard.plan import plan_scene
from stockproof.yard.stands import CRUSH_STAND, DRAFT_STAND, FORCING_STAND, PACK

__all__ = ["Lay", "Point", "Ring", "Shape", "Track", "lay_of"]

Point = tuple[float, float]
Ring = tuple[Point, ...]
#: Layers of the yard's plan that stand still under a rehearsal.
GROUND = (
    *("SLAB", "WORK", "APRON", "EXISTING", "MACHINE", "FENCE-RAIL", "FENCE-SHEETED", "GATE", "PASS"),
    "POWER",
)
#: Words are set out for some scale or other and not used here.
ANY_SCALE = 200.0
#: A line without a layout: clear width, width of the crush, place of an animal, side of a pen (common practice). [m]
PLAIN_WIDTH_M, PLAIN_CRUSH_M, PLAIN_PLACE_M, PLAIN_PEN_M = 0.75, 2.75, 1.6, 7.0
PLAIN_BODY_M = (2.2, 0.55)


@dataclass(frozen=True, slots=True)
class Shape:
    """A still outline of the plan: the layer it lies on, its points, whether it is closed."""

    look: str
    points: Ring
    closed: bool


@dataclass(frozen=True, slots=True)
class Track:
    """The animals' way from the race's mouth on; distances along it are counted from the mouth."""

    points: Ring

    def at(self, along_m: float) -> tuple[float, float, float]:
        """Give place and heading at a distance; before and beyond its ends the track goes straight on."""
        left = along_m
        stretches = list(pairwise(self.points))
        for k, (a, b) in enumerate(stretches):
            long = math.dist(a, b)
            if left <= long or k == len(stretches) - 1:
                share = left / long if long > 0 else 0.0
                heading = math.atan2(b[1] - a[1], b[0] - a[0])
                return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share, heading
            left -= long
        return (*self.points[-1], 0.0)


@dataclass(frozen=True, slots=True)
class Lay:
    """Places and sizes of one line.

    Parameters
    ----------
    track : Track
        From the race's mouth through crush and draft unit.
    race_m, crush_m, draft_m : float
        Lengths of race, crush and draft unit along it.
    half_m, inside_m, beside_m, draft_half_m : float
        Half widths: race, clear crush, crush from outside, draft unit.
    near : float
        +1 where the operator's side is the animals' right (down the page), else -1.
    slides : tuple of float
        Where gates across the race stand, in order of their names: distance along the track.
    forcing : Ring
        The forcing pen.
    receiving, pens : tuple of (Ring, head)
        Pens animals are brought from; pens of the draft ways, in the plant's order of ways.
    approach : Ring
        How a batch is brought to the forcing pen.
    body : (length, width)
        Of a middle animal.
    stands : dict of str to Point
        Where people stand, by the names of flow's places.
    pack : Point or None
        Where the power pack stands.
    """

    track: Track
    race_m: float
    crush_m: float
    draft_m: float
    half_m: float
    inside_m: float
    beside_m: float
    draft_half_m: float
    near: float
    slides: tuple[float, ...]
    forcing: Ring
    receiving: tuple[tuple[Ring, int], ...]
    pens: tuple[tuple[Ring, int], ...]
    approach: Ring
    body: tuple[float, float]
    stands: dict[str, Point]
    pack: Point | None
    shapes: tuple[Shape, ...]
    is_plan: bool

    @property
    def entry_m(self) -> float:
        return self.race_m

    @property
    def bail_m(self) -> float:
        return self.race_m + self.crush_m

    def gate_m(self, name: str) -> float:
        """Where a gate across the line stands; a slide gate without a place is a body behind the one before it."""
        if name == "entry":
            return self.entry_m
        number = int(name.removeprefix("slide") or 1)
        if number <= len(self.slides):
            return self.slides[number - 1]
        before = self.slides[-1] if self.slides else self.entry_m
        return max(0.0, before - (number - len(self.slides)) * self.body[0])


def lay_of(yard: Yard | None, plant: Plant) -> Lay:
    """Give the places of a line on its yard, or of a plain straight one where there is no layout."""
    return _on_yard(yard, plant) if yard is not None else _plain(plant)


def _on_yard(yard: Yard, plant: Plant) -> Lay:
    machine, near = yard.ask.machine, 1.0 if yard.mirrored else -1.0
    turn = _Turn(yard.crush.x, yard.crush.y, yard.crush.heading)
    spots = {spot.key: turn.point(spot.at) for spot in yard.spots}
    long, race = machine.crush_length_m, yard.race_length_m
    lane = yard.animal_path[: len(yard.animal_path) - len(yard.line) - 1]
    forcing = turn.ring(next(zone.ring for zone in yard.zones if zone.kind == "forcing"))
    lay = Lay(
        track=Track(turn.ring(yard.line)),
        race_m=race,
        crush_m=long,
        draft_m=machine.draft_length_m if machine.ways > 1 else 0.0,
        half_m=yard.size("race_width") / 2,
        inside_m=machine.crush_clear_width_m / 2,
        beside_m=machine.crush_width_m / 2,
        draft_half_m=machine.draft_width_m / 2,
        near=near,
        slides=tuple(race + at for name, at in machine.moving_parts if name.startswith("slide")),
        forcing=forcing,
        receiving=tuple((turn.ring(z.ring), z.head) for z in yard.zones if z.key.startswith("receiving")),
        pens=tuple(_pens(yard, plant, turn)),
        approach=(*turn.ring(lane), turn.point(yard.line[0])),
        body=(yard.ask.mob.body_length_m, yard.ask.mob.body_width_m),
        stands={},
        pack=spots.get(PACK),
        shapes=tuple(_still(yard, turn)),
        is_plan=True,
    )
    return _with_stands(lay, spots)


@dataclass(frozen=True, slots=True)
class _Turn:
    """From the site's axes to the crush's, y down the page."""

    x: float
    y: float
    heading: float

    def point(self, at: Point) -> Point:
        c, s = math.cos(self.heading), math.sin(self.heading)
        dx, dy = at[0] - self.x, at[1] - self.y
        return c * dx + s * dy, s * dx - c * dy

    def ring(self, ring: Iterable[Point]) -> Ring:
        return tuple(map(self.point, ring))


def _with_stands(lay: Lay, spots: dict[str, Point]) -> Lay:
    """Places of flow that the yard has no spot for lie beside the line on the operator's side."""
    out = lay.near * (lay.beside_m + 0.75)
    middle = spots.get(CRUSH_STAND, (lay.crush_m / 2, out))
    mouth = lay.track.at(0.0)
    beside_race = lay.track.at(lay.race_m / 2)
    stands = {
        "crush_side": middle,
        "crush_rear": (0.35, middle[1]),
        "crush_front": (lay.crush_m - 0.1, middle[1]),
        "draft": _apart(spots.get(DRAFT_STAND, (lay.crush_m + 0.5, middle[1])), lay),
        "race": _off(beside_race, lay.near * (lay.half_m + 0.6)),
        "forcing_pen": spots.get(FORCING_STAND, _off(mouth, lay.near * (lay.half_m + 0.8))),
        "yard": lay.approach[0] if len(lay.approach) < 3 else _between(lay.approach[-1], lay.approach[-2], 0.9),
    }
    return replace(lay, stands=stands)


def _apart(at: Point, lay: Lay) -> Point:
    """The one at the draft unit stands past its corner, clear of the one at the crush."""
    return max(at[0], lay.crush_m + 0.4), at[1] + lay.near * 0.9


def _off(pose: tuple[float, float, float], side_m: float) -> Point:
    """A point so far to the right of a pose, y being down."""
    x, y, heading = pose
    return x - math.sin(heading) * side_m, y + math.cos(heading) * side_m


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _pens(yard: Yard, plant: Plant, turn: _Turn) -> Iterator[tuple[Ring, int]]:
    """The pens of the draft ways, in the plant's order."""
    pens = draft_pens_by_side(yard)
    for side in pens_of_ways(pens, plant).values():
        yield turn.ring(pens[side].ring), pens[side].head


def _still(yard: Yard, turn: _Turn) -> Iterator[Shape]:
    """The yard's own plan without what moves and without words."""
    for entity in plan_scene(yard, (), ANY_SCALE).entities:
        if entity.layer in GROUND and not (entity.layer == "MACHINE" and isinstance(entity, Line)):
            yield from _shape(entity, turn)


def _shape(entity: Entity, turn: _Turn) -> Iterator[Shape]:
    if isinstance(entity, Line):
        yield Shape(entity.layer, turn.ring((entity.a, entity.b)), False)
    elif isinstance(entity, Polyline):
        yield Shape(entity.layer, turn.ring(entity.points), False)
    elif isinstance(entity, Polygon):
        yield Shape(entity.layer, turn.ring(entity.points), True)
    elif isinstance(entity, Circle):
        steps = [2 * math.pi * k / 16 for k in range(16)]
        (x, y), r = entity.centre, entity.radius
        yield Shape(entity.layer, turn.ring((x + r * math.cos(a), y + r * math.sin(a)) for a in steps), True)


def _plain(plant: Plant) -> Lay:
    """A straight line with square pens."""
    places = sum(zone.places for zone in plant.zones if zone.kind == ZoneKind.RACE)
    race, half = max(3, places) * PLAIN_PLACE_M, PLAIN_WIDTH_M / 2
    ways = [zone for zone in plant.zones if zone.kind == ZoneKind.WAY]
    draft = 2.4 if len(ways) > 1 else 0.0
    end, pen = PLAIN_CRUSH_M + draft, PLAIN_PEN_M
    forcing = _box(-race - 3.5, -race, -2.2, 2.2)
    receiving = _box(-race - 3.5 - pen, -race - 3.5, -pen / 2, pen / 2)
    count = max(1, len(ways))
    high = max(3.0, pen * 1.5 / count)
    tops = [(-count / 2 + k) * high for k in range(count)]
    pens = [(_box(end, end + pen, top, top + high), 40) for top in tops]
    slides = tuple(
        race - 2.5 * (k + 1) for k, _ in enumerate(part for part in plant.parts if part.name.startswith("slide"))
    )
    rings = [forcing, receiving, *(ring for ring, _ in pens)]
    sides = [((-race, side * half), (0.0, side * half)) for side in (-1, 1)]
    shapes = [Shape("FENCE-RAIL", ring, True) for ring in rings]
    shapes += [Shape("FENCE-SHEETED", side, False) for side in sides]
    shapes.append(Shape("MACHINE", _box(0.0, PLAIN_CRUSH_M, -0.6, 0.6), True))
    shapes += [Shape("MACHINE", _box(PLAIN_CRUSH_M, end, -1.2, 1.2), True)] if draft else []
    lay = Lay(
        track=Track(((-race, 0.0), (end, 0.0))),
        race_m=race,
        crush_m=PLAIN_CRUSH_M,
        draft_m=draft,
        half_m=half,
        inside_m=0.4,
        beside_m=0.6,
        draft_half_m=1.2,
        near=1.0,
        slides=slides,
        forcing=forcing,
        receiving=((receiving, 60),),
        pens=tuple(pens),
        approach=((-race - 3.5 - pen / 2, 0.0), (-race, 0.0)),
        body=PLAIN_BODY_M,
        stands={},
        pack=None,
        shapes=tuple(shapes),
        is_plan=False,
    )
    return _with_stands(lay, {})


def _box(x0: float, x1: float, y0: float, y1: float) -> Ring:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
