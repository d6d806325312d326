"""The plant of a story: parts, animals and people as its moves leave them; see `logic.world_moves` for what they do."""

from __future__ import annotations

from dataclasses import dataclass, field

from stockproof.plant.model import Boundary, PartKind, Plant, Position, Truth, TruthKind

__all__ = ["TalePlant"]

ENDS = {"opens": Position.OPEN, "closes": Position.CLOSED, "shuts": Position.CLOSED}


@dataclass(slots=True)
class TalePlant:
    """The plant at rest, until moves are carried out.

    Parameters
    ----------
    parts : list of Position
    within : dict of zone to int; astride : set of str
        Animals wholly in each zone; boundaries an animal stands across.
    neck, down : bool
        A head is through the bail; an animal lies in the crush.
    people : set of str
        Spaces somebody is in.
    settled : str
        The way decided for the animal weighed, empty while none is.
    """

    plant: Plant
    parts: list[Position]
    within: dict[str, int] = field(default_factory=dict)
    astride: set[str] = field(default_factory=set)
    neck: bool = False
    down: bool = False
    people: set[str] = field(default_factory=set)
    settled: str = ""

    def carry_out(self, move: str) -> bool:
        """Do what a move says; False where it is none of the plant's."""
        word, _, what = move.rpartition(" ")
        motions = {motion.name: motion for motion in self.plant.motions}
        if move in motions:
            self._toward(motions[move].part, motions[move].target)
        elif what == "back" and word in motions:
            back = Position.CLOSED if motions[word].target == Position.OPEN else Position.OPEN
            self._toward(motions[word].part, back)
        elif what in ENDS and self.plant.part_at(word.removesuffix(" by hand")) >= 0:
            self._toward(self.plant.part_at(word.removesuffix(" by hand")), ENDS[what])
        elif what in ("enter", "leave") and any(space.name == word for space in self.plant.spaces):
            (self.people.add if what == "enter" else self.people.discard)(word)
        elif move in ("neck in", "neck out"):
            self.neck = what == "in"
        elif move in ("goes down", "gets up"):
            self.down = what == "down"
        elif word == "settle":
            self.settled = what
        elif move.endswith(" let out"):
            self._add(move.removesuffix(" let out"), -1)
        else:
            boundary = next((b for b in self.plant.boundaries if move.startswith(f"{b.name} ")), None)
            if boundary is None:
                return False
            self._walk(boundary, move.removeprefix(f"{boundary.name} "))
        return True

    def _toward(self, part: int, target: Position) -> None:
        """One position on; a part that people or a magnet move is at one end or the other."""
        if self.plant.parts[part].kind in (PartKind.ACCESS, PartKind.LOCK) or target == Position.MID:
            self.parts[part] = target
        else:
            at = self.parts[part]
            self.parts[part] = Position(at + (target > at) - (target < at))

    def _walk(self, boundary: Boundary, what: str) -> None:
        source, target = (self.plant.zones[k].name for k in (boundary.source, boundary.target))
        if what in ("begin", "back out"):
            self.astride.add(boundary.name)
            left = source if what == "begin" else target
            self._add(left, -1)
            if left == self.plant.zones[self.plant.crush].name:
                self.neck, self.settled = False, ""
        else:
            self.astride.discard(boundary.name)
            self._add(target if what == "finish" else source, 1)

    def _add(self, zone: str, by: int) -> None:
        self.within[zone] = max(0, self.within.get(zone, 0) + by)

    def so(self, truth: Truth) -> bool:
        """One atomic fact as the logic check takes it to be; tags it does not follow."""
        kind, of = truth.kind, truth.of
        if kind in (TruthKind.AT_CLOSED, TruthKind.AT_MID, TruthKind.AT_OPEN):
            return self.parts[of] == kind - TruthKind.AT_CLOSED
        if kind == TruthKind.PERSON:
            return self.plant.spaces[of].name in self.people
        if kind == TruthKind.ASTRIDE:
            return self.plant.boundaries[of].name in self.astride
        if kind in (TruthKind.OCCUPIED, TruthKind.CROWDED):
            return self.touching(of) > (kind == TruthKind.CROWDED)
        if kind == TruthKind.GRIPPED:
            inside = self.within.get(self.plant.zones[self.plant.crush].name, 0)
            return inside > 0 and self.parts[of] == Position.CLOSED
        if kind == TruthKind.DOWN:
            return self.down and of == self.plant.crush
        if kind == TruthKind.DECIDED:
            return self.plant.zones[of].name == self.settled
        return {TruthKind.NECK: self.neck, TruthKind.SETTLED: bool(self.settled)}.get(kind, kind == TruthKind.SUPPLY)

    def touching(self, zone: int) -> int:
        """How many animals are wholly or partly in a zone."""
        across = sum(b.name in self.astride for b in self.plant.boundaries if zone in (b.source, b.target))
        return self.within.get(self.plant.zones[zone].name, 0) + across
