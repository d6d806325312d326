"""How the plant's numbers and a line's go together: its zones, gates and truths in the words of the kernel's tables."""

from __future__ import annotations

from typing import Any

from stockproof.flow import tables as t
from stockproof.flow.model import Line, Passage
from stockproof.plant.model import Boundary, PartKind, Plant, Position, Truth, TruthKind

__all__ = ["TRUTHS", "Ground"]

#: Plant truths by the kind of fact they are for sensors and people.
TRUTHS = {
    TruthKind.OCCUPIED: t.OCCUPIED,
    TruthKind.CROWDED: t.CROWDED,
    TruthKind.NECK: t.NECK,
    TruthKind.DOWN: t.DOWN,
    TruthKind.SETTLED: t.SETTLED,
    TruthKind.READ: t.READ,
    TruthKind.DECIDED: t.DECIDED,
    TruthKind.AT_CLOSED: t.AT_CLOSED,
    TruthKind.AT_MID: t.AT_MID,
    TruthKind.AT_OPEN: t.AT_OPEN,
    TruthKind.PERSON: t.PERSON,
}


class Ground:
    """A plant as one line uses it."""

    def __init__(self, line: Line, plant: Plant) -> None:
        self.line, self.plant = line, plant
        self.zones = [zone.name for zone in line.zones]

    def put(self, m: Any) -> None:
        """Write where parts rest and press, whose time they take, and which spaces lie in which zones."""
        for k, part in enumerate(self.plant.parts):
            m["rest"][k], m["grip_zone"][k] = part.rest / 2, self.grip_zone(k)
            m["zone_of_part"][k] = self.zone_of_plant(part.zone) if part.zone >= 0 else self.zone_before(k)
        for k, space in enumerate(self.plant.spaces):
            m["space_gate"][k] = space.through
            inside = space.kind.name == "WHOLE_BODY" and space.zone >= 0
            m["space_zone"][k] = self.zone_of_plant(space.zone) if inside else -1

    def shown(self, truth: Truth) -> tuple[int, int]:
        """A plant truth that a sensor shows, as a fact of the line; never so of what the line leaves out."""
        plant, of, kind = self.plant, truth.of, truth.kind
        if kind in (TruthKind.AT_CLOSED, TruthKind.AT_OPEN, TruthKind.PERSON):
            return TRUTHS[kind], of
        if kind == TruthKind.AT_MID:
            midway = any(motion.part == of and motion.target == Position.MID for motion in plant.motions)
            return (t.AT_MID if midway else t.BETWEEN), of
        if kind == TruthKind.GRIPPED:
            zone = self.grip_zone(of)
            bail = plant.parts[of].kind == PartKind.BAIL
            return (t.NEVER, 0) if zone < 0 else ((t.HELD, zone) if bail else (t.PRESSED_ON, of))
        if kind == TruthKind.ASTRIDE:
            passage = self.passage_of_boundary(plant.boundaries[of])
            return (t.ASTRIDE, passage) if passage >= 0 else (t.NEVER, 0)
        if kind not in TRUTHS:
            return t.ALWAYS, 0  # the supply is on
        zone = self.zone_of_plant(of)
        return (TRUTHS[kind], zone) if zone >= 0 else (t.NEVER, 0)

    def grip_zone(self, part: int) -> int:
        """The zone in which a part presses on the animal, -1 where in none."""
        zone = self.plant.parts[part].zone
        return self.zone_of_plant(zone) if zone >= 0 else -1

    def passage_of_boundary(self, boundary: Boundary) -> int:
        """The passage on which a boundary of the plant lies, -1 where on none."""
        zones = self.plant.zones
        ends = (zones[boundary.source].name, zones[boundary.target].name)
        ways = [(passage.out_of, passage.into) for passage in self.line.passages]
        return ways.index(ends) if ends in ways else -1

    def zone_of_plant(self, k: int) -> int:
        """The line's number of a plant zone, -1 where the line leaves it out."""
        name = self.plant.zones[k].name
        return self.zones.index(name) if name in self.zones else -1

    def gates(self, passage: Passage) -> tuple[tuple[int, int], ...]:
        """The parts the plant puts on this way."""
        zones = [zone.name for zone in self.plant.zones]
        return next(
            (
                tuple((part, int(position)) for part, position in boundary.needs)
                for boundary in self.plant.boundaries
                if (zones[boundary.source], zones[boundary.target]) == (passage.out_of, passage.into)
            ),
            (),
        )

    def lock_of(self, gate: int) -> int:
        """The lock that keeps an access gate shut (`rear_access_lock` for `rear_access`), or -1."""
        if gate < 0:
            return -1
        return self.plant.part_at(f"{self.plant.parts[gate].name}_lock")

    def zone_before(self, part: int) -> int:
        """The zone an animal leaves through a gate: its time is spent when the gate moves."""
        source = next((b.source for b in self.plant.boundaries if any(need[0] == part for need in b.needs)), -1)
        return self.zone_of_plant(source) if source >= 0 else -1
