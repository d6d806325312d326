"""A story as a strip: one small plan of the line for each step, with what happens in it written underneath.

The plan is a scheme and not to scale: the line runs from left to right, gates stand across it, people are dots. Parts
that the search for the story took to stand at rest are drawn in grey.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stockproof.logic.story import Story
from stockproof.plant.model import Boundary, Part, PartKind, Plant, Position, Space, SpaceKind, ZoneKind
from stockproof.scene import Box, Circle, Entity, Layer, Line, Polygon, Scene, Text, View, wrap_text

__all__ = ["story_strip"]

RAILS, PARTS, QUIET, ANIMALS = "RAILS", "PARTS", "QUIET", "ANIMALS"
PEOPLE, WORDS, NAMES, BAD = "PEOPLE", "WORDS", "NAMES", "BAD"
LAYERS = (
    Layer(RAILS, "steel", 0.25),
    Layer(QUIET, "steel", 0.5),
    Layer(ANIMALS, "hide", 0.25),
    Layer(PARTS, "ink", 0.7),
    Layer(PEOPLE, "ink", 0.3),
    Layer(WORDS, "ink", 0.18),
    Layer(NAMES, "steel", 0.18),
    Layer(BAD, "rust", 0.35),
)
LETTER_MM, PITCH_MM = 2.2, 3.5
#: Lengths of the zones along the line, half its width, and the room a picture keeps above and below it.
LENGTHS_MM = {ZoneKind.RACE: 13.0, ZoneKind.CRUSH: 23.0, ZoneKind.DRAFT: 15.0}
HALF_MM, ABOVE_MM, BELOW_MM, FAN_MM = 4.0, 8.0, 9.0, 9.0
GAP_MM, MARGIN_MM, ROW_MM = 7.0, 4.0, 250.0
TRUNK_MM = (10.0, 3.6)
#: Part of a panel's width that its words may take, which leaves room where a viewer lacks the house's letters.
FILLED = 0.84
REST, NOTHING = "Everything stands at rest.", "Nobody presses anything; what was set going goes on."

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Plan:
    """Where zones and boundaries lie along the line, in mm from its left end."""

    plant: Plant
    starts: Mapping[int, float]
    end: float

    @property
    def width(self) -> float:
        return self.end + FAN_MM

    def middle(self, zone: int) -> Place:
        if zone in self.starts:
            return self.starts[zone] + LENGTHS_MM[self.plant.zones[zone].kind] / 2, 0.0
        return self.end + FAN_MM / 2, self._aside(self.plant.zones[zone].name)

    def across(self, boundary: Boundary) -> Place:
        """The middle of a boundary: where its target begins, or where a way leaves the line."""
        if boundary.target in self.starts:
            return self.starts[boundary.target], 0.0
        return self.end, self._aside(self.plant.zones[boundary.target].name) / 2

    def _aside(self, way: str) -> float:
        return {"way_left": 1.0, "way_right": -1.0}.get(way, 0.0) * HALF_MM

    def place(self, space: Space) -> Place:
        """Where a person of a space is drawn."""
        crush = self.starts[self.plant.crush]
        long = LENGTHS_MM[ZoneKind.CRUSH]
        if space.kind == SpaceKind.WHOLE_BODY:
            return crush + 3.4, 0.0
        if space.kind == SpaceKind.OUTSIDE:
            return crush + long + 5.0, HALF_MM + 2.6
        return crush + self._along(self.plant.parts[space.through].name) * long, -HALF_MM - 2.2

    def _along(self, access: str) -> float:
        """How far along the crush an access gate lies."""
        word = access.partition("_")[0]
        return {"rear": 0.14, "neck": 0.88}.get(word, 0.5)


def story_strip(story: Story, plant: Plant) -> View:
    """Draw a story step by step.

    Parameters
    ----------
    story : Story
        As `logic.story.tell` gives it.
    plant : Plant
        The plant it was found in.
    """
    plan = _plan(plant)
    width = max(plan.width, 46.0)
    panels = [_panel(plan, story, k, width) for k in range(len(story.states) + 1)]
    columns = max(1, int((ROW_MM + GAP_MM) // (width + GAP_MM)))
    entities: list[Entity] = []
    top = 0.0
    for first in range(0, len(panels), columns):
        row = panels[first : first + columns]
        for k, (marks, _) in enumerate(row):
            entities += _moved(marks, k * (width + GAP_MM), top)
        top -= max(height for _, height in row) + GAP_MM
    right = min(columns, len(panels)) * (width + GAP_MM) - GAP_MM
    window = Box(-MARGIN_MM, top - MARGIN_MM + GAP_MM, right + MARGIN_MM, MARGIN_MM)
    return View(Scene("mm", LAYERS, tuple(entities)), window, 1.0, (0.0, 0.0), story.sentences[-1])


def _plan(plant: Plant) -> _Plan:
    starts, x = {}, 0.0
    for k, zone in enumerate(plant.zones):
        if zone.kind in LENGTHS_MM:
            starts[k] = x
            x += LENGTHS_MM[zone.kind]
    return _Plan(plant, starts, x)


def _panel(plan: _Plan, story: Story, number: int, width: float) -> tuple[list[Entity], float]:
    """One step: picture on top, words under it; the last one says what is bad, and is framed."""
    last = number == len(story.states)
    state = story.states[min(number, len(story.states) - 1)]
    facts = {name: bool(state >> k & 1) for k, name in enumerate(story.bits)}
    room = FILLED * width - 6.0
    said = (story.steps[number - 1].said or (() if last else (NOTHING,))) if number else (REST,)
    lines = [line for sentence in said for line in wrap_text(sentence, room, LETTER_MM)]
    bad = list(wrap_text(story.sentences[-1], room, LETTER_MM)) if last else []
    marks = [_shifted(mark, (width - plan.width) / 2, -ABOVE_MM - HALF_MM) for mark in _picture(plan, facts)]
    low = -ABOVE_MM - 2 * HALF_MM - BELOW_MM
    marks.append(Text(BAD if last else WORDS, (0.0, low), str(number), LETTER_MM, bold=True))
    if not number:
        marks += [_shifted(name, (width - plan.width) / 2, -ABOVE_MM - HALF_MM) for name in _names(plan)]
    for k, line in enumerate(lines + bad):
        marks.append(Text(BAD if k >= len(lines) else WORDS, (6.0, low - k * PITCH_MM), line, LETTER_MM))
    height = -low + max(1, len(lines) + len(bad)) * PITCH_MM
    if last:
        marks.append(Polygon(BAD, ((-2.0, -height), (width + 2.0, -height), (width + 2.0, 1.0), (-2.0, 1.0))))
    return marks, height


def _picture(plan: _Plan, facts: Mapping[str, bool]) -> Iterator[Entity]:
    """The line with its parts, animals and people, its middle at height 0."""
    yield from _rails(plan)
    yield from _animals(plan, facts)
    for part in plan.plant.parts:
        yield from _part(plan, part, facts)
    for space in plan.plant.spaces:
        if facts.get(f"person.{space.name}"):
            x, y = plan.place(space)
            yield Circle(PEOPLE, (x, y), 1.5, "paper")
            yield Circle(PEOPLE, (x, y), 0.7, "solid")


def _rails(plan: _Plan) -> Iterator[Entity]:
    gates = [
        plan.place(s)[0] if s.kind != SpaceKind.WHOLE_BODY else plan.starts[plan.plant.crush] + 3.2
        for s in plan.plant.spaces
        if s.through >= 0
    ]
    yield Line(RAILS, (0.0, HALF_MM), (plan.end, HALF_MM))
    x = 0.0
    for gate in sorted(gates):  # the lower rail is broken where an access gate stands in it
        yield Line(RAILS, (x, -HALF_MM), (gate - 2.0, -HALF_MM))
        x = gate + 2.0
    yield Line(RAILS, (x, -HALF_MM), (plan.end, -HALF_MM))


def _names(plan: _Plan) -> Iterator[Entity]:
    for k, start in plan.starts.items():
        zone = plan.plant.zones[k]
        word = {ZoneKind.RACE: "race", ZoneKind.CRUSH: "crush", ZoneKind.DRAFT: "draft unit"}[zone.kind]
        yield Text(NAMES, (start + LENGTHS_MM[zone.kind] / 2, HALF_MM + 1.2), word, 1.9, "centre")


def _animals(plan: _Plan, facts: Mapping[str, bool]) -> Iterator[Entity]:
    for k, zone in enumerate(plan.plant.zones):
        number = sum(facts.get(f"{zone.name}.{least}", False) for least in (1, 2))
        x, y = plan.middle(k)
        if facts.get("neck") and k == plan.plant.crush:
            x = plan.starts[k] + LENGTHS_MM[zone.kind] - TRUNK_MM[0] / 2 - 0.4
        for one in range(number):
            yield from _animal((x - one * (TRUNK_MM[0] + 0.8) + (number - 1) * 2.6, y), 0.0)
    for boundary in plan.plant.boundaries:
        if facts.get(f"astride.{boundary.name}"):
            x, y = plan.across(boundary)
            yield from _animal((x, y), math.atan2(y, FAN_MM))


def _animal(at: Place, turned: float) -> Iterator[Entity]:
    """A trunk with its head to the right, seen from above."""
    long, wide = TRUNK_MM
    around = [(math.cos(a), math.sin(a)) for a in (k * math.tau / 24 for k in range(24))]
    trunk = [(u * long / 2, v * wide / 2) for u, v in around]
    head = [(long / 2 + 0.9 + u * 1.5, v * 1.0) for u, v in around]
    for shape in (head, trunk):
        yield Polygon(ANIMALS, tuple(_turned(p, turned, at) for p in shape), "tint")


def _turned(point: Place, angle: float, at: Place) -> Place:
    c, s = math.cos(angle), math.sin(angle)
    return at[0] + c * point[0] - s * point[1], at[1] + s * point[0] + c * point[1]


def _part(plan: _Plan, part: Part, facts: Mapping[str, bool]) -> Iterator[Entity]:
    """A part where it stands; in grey where it was taken to stand at rest."""
    if f"{part.name}.open" in facts:
        position, layer = (Position.OPEN if facts[f"{part.name}.open"] else Position.CLOSED), PARTS
    elif f"{part.name}.is_open" in facts:
        opened, closed = facts[f"{part.name}.is_open"], facts[f"{part.name}.is_closed"]
        position, layer = Position.OPEN if opened else Position.CLOSED if closed else Position.MID, PARTS
    else:
        position, layer = part.rest, QUIET
    if part.kind in (PartKind.ACCESS, PartKind.LOCK):
        yield from _access(plan, part, position, layer)
    elif part.kind in (PartKind.SQUEEZE, PartKind.LIFT):
        yield from _holding(plan, part, position, layer)
    elif part.name.startswith("draft"):
        turned = {Position.CLOSED: 0.42, Position.MID: 0.0, Position.OPEN: -0.42}[position]
        base = plan.end - 1.0 if part.name == "draft" else plan.end + 1.5
        yield Line(layer, (base, 0.0), (base + 7.0 * math.cos(turned), 7.0 * math.sin(turned)))
    else:
        yield from _gate(plan, part, position, layer)


def _gate(plan: _Plan, part: Part, position: Position, layer: str) -> Iterator[Entity]:
    """A sliding gate is drawn out of the line as it opens; a bail is two halves that leave a neck's width."""
    number = plan.plant.part_at(part.name)
    boundary = next((b for b in plan.plant.boundaries if any(p == number for p, _ in b.needs)), None)
    if boundary is None:
        return
    x, _ = plan.across(boundary)
    if part.kind == PartKind.BAIL:
        gap = {Position.CLOSED: 0.9, Position.MID: 2.2, Position.OPEN: HALF_MM - 0.5}[position]
        yield Line(layer, (x, gap), (x, HALF_MM))
        yield Line(layer, (x, -HALF_MM), (x, -gap))
        return
    low = {Position.CLOSED: -HALF_MM, Position.MID: 0.0, Position.OPEN: HALF_MM}[position]
    yield Line(layer, (x, low), (x, low + 2 * HALF_MM))


def _holding(plan: _Plan, part: Part, position: Position, layer: str) -> Iterator[Entity]:
    """Squeeze panels beside the animal; a head lift as a wedge under the neck, filled while it is up."""
    start = plan.starts[plan.plant.crush]
    end = start + LENGTHS_MM[ZoneKind.CRUSH]
    if part.kind == PartKind.SQUEEZE:
        y = {Position.CLOSED: 2.1, Position.MID: 2.7, Position.OPEN: 3.3}[position]
        for side in (1.0, -1.0):
            yield Line(layer, (start + 6.0, side * y), (end - 5.0, side * y))
        return
    up = {Position.CLOSED: 1.5, Position.MID: 0.9, Position.OPEN: 0.4}[position]
    wedge = ((end + 1.2, -1.4), (end + 3.4, -1.4), (end + 2.3, -1.4 + up))
    yield Polygon(layer, wedge, "solid" if position == Position.CLOSED else "paper")


def _access(plan: _Plan, part: Part, position: Position, layer: str) -> Iterator[Entity]:
    """A hand-worked gate in the lower rail, swung out where it is open; its lock is a square, filled while home."""
    name = part.name.removesuffix("_lock")
    start = plan.starts[plan.plant.crush]
    x = start + (3.2 if name.startswith("rear") else plan._along(name) * LENGTHS_MM[ZoneKind.CRUSH])
    if part.kind == PartKind.LOCK:
        square = tuple((x + 2.0 + u * 0.7, -HALF_MM - 1.3 + v * 0.7) for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
        yield Polygon(PEOPLE if layer == PARTS else RAILS, square, "solid" if position == Position.CLOSED else "paper")
        return
    angle = 0.0 if position == Position.CLOSED else -1.1
    yield Line(layer, (x - 2.0, -HALF_MM), (x - 2.0 + 4.0 * math.cos(angle), -HALF_MM + 4.0 * math.sin(angle)))


def _moved(marks: Sequence[Entity], x: float, y: float) -> list[Entity]:
    return [_shifted(mark, x, y) for mark in marks]


def _shifted(mark: Entity, x: float, y: float) -> Entity:
    """The mark moved by (x, y); only the marks a strip is made of."""

    def moved(p: Place) -> Place:
        return p[0] + x, p[1] + y

    match mark:
        case Line(layer, a, b):
            return Line(layer, moved(a), moved(b))
        case Polygon(layer, points, fill):
            return Polygon(layer, tuple(moved(p) for p in points), fill)
        case Circle(layer, centre, radius, fill):
            return Circle(layer, moved(centre), radius, fill)
        case Text(layer, at, text, height, align, level, _, _, bold):
            return Text(layer, moved(at), text, height, align, level, bold=bold)
    return mark
