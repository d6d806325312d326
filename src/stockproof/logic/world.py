"""The words in which control program and plant become one transition system, and properties are stated.

What is modelled, and no more: one animal or two in the crush and in the draft unit, at most three between the first
gate looked at and the last, standing in a zone or across a boundary, walking on, backing up, putting the neck into
the bail and pulling it out, one of those in the crush going down and getting up again; parts at closed, between or
open; access gates; at most two people in the spaces; switches; timers that may run out at any scan once they run;
sensors that may show either value where they are unsure; at most two buttons or unsure sensors at once. A reset button
with a view of a space is pressed only while nobody is in that space. Valves are not worked by hand here: that is
deliberate, and belongs to relief and release.

Which way an animal faces is no part of it, since it changes nothing that is: no fact a sensor may see tells head from
tail, and one that has turned round does nothing that another may not do at the same place. It walks back where another
backs up, it walks in backward where another walks in, and its tail between the bails is a neck put in.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from stockproof.logic.faults import Fault
from stockproof.logic.scope import EVERYTHING, Rest, Scope
from stockproof.netlist.build import Builder
from stockproof.netlist.model import Input, InputKind, Netlist
from stockproof.plant.model import Boundary, Part, PartKind, Plant, PlantMotion, Position, Space, ZoneKind

__all__ = ["MOST_ANIMALS", "MOST_PEOPLE", "Event", "Move", "Side", "World", "at_least"]

MOST_ANIMALS = 3
MOST_PEOPLE = 2


@dataclass(frozen=True, slots=True)
class Event:
    """A pattern input: a button pressed, an emergency stop, a sensor that shows the other value, a transition taken.

    `valid` is a node of the scan that must be true for it to happen, or -1. Of `free` events any one may happen in
    any scan beside the others, of `joint` ones any number. `doubt` says that it is nobody's doing but a sensor's.
    """

    name: str
    sentence: str
    members: tuple[str, ...]
    node: int
    valid: int = -1
    free: bool = False
    joint: bool = False
    doubt: bool = False


@dataclass(frozen=True, slots=True)
class Move:
    """Something the plant may do: when (a node), what it writes (bit and node), and how a farmer would say it."""

    name: str
    sentence: str
    guard: int
    writes: tuple[tuple[int, int], ...]


@dataclass(slots=True)
class Side:
    """One of the two programs while it is built; `bits` are the nodes of the bits of state."""

    builder: Builder
    bits: dict[str, int] = field(default_factory=dict)

    @property
    def yes(self) -> int:
        return self.builder.constant(True)

    @property
    def never(self) -> int:
        return self.builder.constant(False)

    def all_(self, *terms: int) -> int:
        return self.builder.and_(terms)

    def any_(self, *terms: int) -> int:
        return self.builder.or_(terms)

    def no(self, term: int) -> int:
        return self.builder.not_(term)


class World:
    """The transition system while it is built.

    `scan` is the side of the control program, `move` that of the plant's moves. `free` are inputs of the scan's side
    that may have any value at every scan; what depends on them is taken as true where some value makes it true.
    """

    def __init__(
        self,
        netlist: Netlist,
        plant: Plant,
        scope: Scope = EVERYTHING,
        fault: Fault | None = None,
        permissive: bool = False,
        most_animals: int = MOST_ANIMALS,
    ) -> None:
        self.netlist, self.plant, self.scope, self.fault, self.permissive = netlist, plant, scope, fault, permissive
        self.most_animals = most_animals
        self.reads: frozenset[str] = frozenset()
        self.tracked: frozenset[str] = frozenset()
        self.scan, self.move = Side(Builder()), Side(Builder())
        self.bits: list[str] = []
        self.first: dict[str, bool] = {}
        self.following: dict[str, int] = {}
        self.free: list[int] = []
        self.groups: list[tuple[int, tuple[Input, ...]]] = []
        self.which: dict[str, int] = {}
        self.logic: dict[int, int] = {}
        self.drive: dict[str, int] = {}
        self.buttons: dict[str, int] = {}
        self.events: list[Event] = []
        self.carried: list[tuple[int, int]] = []
        self.moves: list[Move] = []
        self.bads: list[tuple[str, int]] = []
        self.loose: list[str] = []

    def struck(self, side: Side) -> int:
        """The fault is there; always, where it need not strike first."""
        return side.bits.get("struck", side.yes)

    # What the scope keeps ---------------------------------------------------------------------------------------

    @property
    def parts(self) -> list[Part]:
        return [part for part in self.plant.parts if self.scope.has_part(part.name)]

    @property
    def motions(self) -> list[PlantMotion]:
        return [m for m in self.plant.motions if self.scope.has_part(self.plant.parts[m.part].name)]

    @property
    def spaces(self) -> list[Space]:
        return [space for space in self.plant.spaces if self.scope.has_space(space.name)]

    @property
    def zones(self) -> list[int]:
        """Zones whose animals are followed: beyond the first gate, before the ways."""
        gated = {b.target for b in self.plant.boundaries if b.needs}
        passing = (ZoneKind.WAY, ZoneKind.PEN)
        return [
            k
            for k, z in enumerate(self.plant.zones)
            if k in gated and z.kind not in passing and self.scope.has_zone(z.name)
        ]

    @property
    def boundaries(self) -> list[Boundary]:
        kept = self.zones
        touching = [b for b in self.plant.boundaries if b.source in kept or b.target in kept]
        if self.scope.rest != Rest.FROZEN:
            return touching
        # at rest, nobody crosses into a zone that is not looked at: it would not stay at rest
        ways = [k for k, z in enumerate(self.plant.zones) if z.kind == ZoneKind.WAY]
        return [b for b in touching if b.target in (*kept, *ways)]

    def room(self, zone: int) -> int:
        """Two small animals fit where one is meant to stand, except in a place before a gate."""
        return 1 if self.plant.zones[zone].kind == ZoneKind.RACE else 2

    @property
    def follows_neck(self) -> bool:
        return self.scope.neck and any(part.kind == PartKind.BAIL for part in self.parts)

    # Words for the state of the plant ---------------------------------------------------------------------------

    def at(self, part: str, position: Position, side: Side) -> int | None:
        """The part is at that position; None where that is not known."""
        k = self.plant.part_at(part)
        if k < 0:
            return side.never
        if not self.scope.has_part(part):
            frozen = side.builder.constant(self.plant.parts[k].rest == position)
            return frozen if self.scope.rest == Rest.FROZEN else None
        if f"{part}.open" in side.bits:
            opened = side.bits[f"{part}.open"]
            return {Position.OPEN: opened, Position.CLOSED: side.no(opened)}.get(position, side.never)
        closed, opened = side.bits[f"{part}.is_closed"], side.bits[f"{part}.is_open"]
        if position == Position.MID:
            return side.no(side.any_(closed, opened))
        return closed if position == Position.CLOSED else opened

    def stands(self, part: str, position: Position) -> int:
        """The part is at that position, on the scan's side; the part is in the scope."""
        node = self.at(part, position, self.scan)
        assert node is not None
        return node

    def astride(self, boundary: str, side: Side) -> int:
        return side.bits.get(f"astride.{boundary}", side.never)

    def within(self, zone: str, least: int, side: Side) -> int:
        """At least so many animals stand wholly in the zone."""
        return side.bits.get(f"{zone}.{least}", side.never)

    def touching(self, zone: str, least: int, side: Side) -> int:
        """At least so many animals are wholly or partly in the zone."""
        z = self.plant.zone_at(zone)
        terms = [self.within(zone, 1, side), self.within(zone, 2, side)]
        terms += [self.astride(b.name, side) for b in self.plant.boundaries if z in (b.source, b.target)]
        return at_least(side, terms, least)

    @property
    def down(self) -> int:
        """An animal lies in the crush."""
        return self.scan.bits.get("down", self.scan.never)

    def person(self, space: str) -> int:
        return self.scan.bits.get(f"person.{space}", self.scan.never)

    # Words for what the control does ----------------------------------------------------------------------------

    def driven(self, motion: str) -> int:
        """The control drives that motion in this scan."""
        return self.drive.get(motion, self.scan.never)

    def moving(self, motion: PlantMotion) -> int:
        """The control drives that motion and its part is not there yet."""
        at_end = self.stands(self.plant.parts[motion.part].name, motion.target)
        return self.scan.all_(self.driven(motion.name), self.scan.no(at_end))

    def pressed(self, word: str) -> int:
        """Somebody presses a button of that word (`bail.open`, `enable`) at any point."""
        return self.scan.builder.or_([n for name, n in self.buttons.items() if name.partition(".")[2] == word])

    def signal(self, name: str) -> int:
        """The value of a named node of the control program in this scan; false where there is none such."""
        node = self.netlist.names.get(name)
        return self.scan.never if node is None or node not in self.logic else self.logic[node]

    def takes(self, source: str, target: str) -> int:
        """A sequence goes from one step to another in this scan."""
        scan = self.scan
        found = []
        for chart in self.netlist.charts:
            active = {name: node for name, _, node in chart.steps}
            for t in chart.transitions:
                if (t.source, t.target) == (source, target):
                    lets = self.anything(f"go {source} {target}") if self.permissive else self.logic[t.when]
                    found.append(scan.all_(self.logic[active[source]], lets))
        return scan.builder.or_(found)

    def bad(self, code: str, node: int) -> None:
        """State a bad state."""
        self.bads.append((code, node))

    # Building ---------------------------------------------------------------------------------------------------

    def bit(self, name: str, first: bool) -> None:
        """Name a bit of state, with its value at the start."""
        self.bits.append(name)
        self.first[name] = first
        for side in (self.scan, self.move):
            side.bits[name] = side.builder.input(name, InputKind.SENSOR)

    def anything(self, name: str) -> int:
        """Give an input of the scan's side that may have any value at every scan."""
        node = self.scan.builder.input(f"any.{name}", InputKind.SENSOR)
        self.free.append(node)
        return node

    def event(self, name: str, sentence: str, members: Iterable[str], valid: int = -1, doubt: bool = False) -> int:
        node = self.scan.builder.input(f"event.{name}", InputKind.MOMENTARY)
        self.events.append(Event(name, sentence, tuple(members), node, valid, doubt=doubt))
        return node

    def choice(self, name: str, joint: bool, sentence: str = "") -> int:
        """Give an event that may happen beside the others without being counted."""
        node = self.scan.builder.input(f"choice.{name}", InputKind.MOMENTARY)
        self.events.append(Event(name, sentence, (), node, free=not joint, joint=joint))
        return node

    def carry(self, name: str, scan_node: int) -> int:
        """Hand a node of the scan over to the moves; gives the node there."""
        node = self.move.builder.input(f"carried.{name}", InputKind.SENSOR)
        self.carried.append((self.scan.builder.exists(scan_node, self.free), node))
        return node

    def can(self, name: str, sentence: str, guard: int, writes: Iterable[tuple[str, int]]) -> None:
        """State a move; writes are pairs of bit name and node of its new value."""
        if guard != self.move.never:
            numbered = tuple((self.bits.index(bit), node) for bit, node in writes if bit in self.first)
            self.moves.append(Move(name, sentence, guard, numbered))


def at_least(side: Side, terms: Sequence[int], least: int) -> int:
    """At least so many of the terms are true."""
    counts = [side.yes] + [side.never] * least
    for term in terms:
        for k in range(least, 0, -1):
            counts[k] = side.any_(counts[k], side.all_(counts[k - 1], term))
    return counts[least]
