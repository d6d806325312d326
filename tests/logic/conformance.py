"""A run of stock flow as moves of the checked plant, in the order in which they happened.

Flow tells when an animal sets out and is in, when a motion begins and a part is there, when people go in and come out.
What lies between is filled in: an access gate is opened before a person goes in; a head is through the bail before the
bail begins to shut on it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from stockproof.flow import notes
from stockproof.flow.run import FlowResult
from stockproof.plant.model import Plant, Position

from .acceptor import Acceptor

__all__ = ["first_refused", "steps_of"]

#: One thing that happened: (kind, names of what it is about).
Step = tuple[str, str, str]
ANIMAL = {notes.SETS_OUT: "sets out", notes.COMES_IN: "comes in", notes.LEAVES_END: "comes in"}
PART = {notes.MOTION_BEGINS: "begins", notes.PART_ARRIVES: "arrives"}
#: Where flow takes an animal that will not go on.
ROUND = "round"
DOWN = {notes.GOES_DOWN: "goes down", notes.GETS_UP: "gets up"}
PERSON = {notes.PERSON_IN: "goes in", notes.PERSON_OUT: "comes out"}


def steps_of(result: FlowResult) -> list[Step]:
    """Give what happened in the traced replication; animals by their number."""
    names = result.names
    found: list[Step] = []
    closing = 0
    for row in result.log:
        kind, first, second = (int(value) for value in row[1:4])
        if kind in ANIMAL:
            found.append((ANIMAL[kind], str(first), names.zones[second]))
        elif kind in PART and second >= 0:
            closing = len(found) if (kind, names.motions[second]) == (notes.MOTION_BEGINS, "bail.close") else closing
            found.append((PART[kind], names.parts[first], names.motions[second]))
        elif kind in PERSON:
            found.append((PERSON[kind], str(first), names.spaces[second]))
        elif kind in DOWN:
            found.append((DOWN[kind], str(first), ""))
        elif kind == notes.CAUGHT:
            found.insert(closing, ("head through", str(first), ""))
        elif kind == notes.LET_OUT:
            found.append(("head back", str(first), ""))
    return found


def first_refused(acceptor: Acceptor, plant: Plant, steps: list[Step]) -> tuple[int, Step, str] | None:
    """Give the first step that the plant cannot take, with the move it would have been; None where it takes all."""
    where: dict[str, str] = {}
    inside: Counter[str] = Counter()
    for number, step in enumerate(steps):
        for move in _moves(acceptor, plant, where, inside, step):
            if not acceptor.take(move):
                return number, step, move
    return None


def _moves(acceptor: Acceptor, plant: Plant, where: dict[str, str], inside: Counter[str], step: Step) -> Iterator[str]:
    kind, _, second = step
    if kind in ("sets out", "comes in"):
        yield from _walks(acceptor, plant, where, step)
    elif kind in ("begins", "arrives"):
        yield from _moved(acceptor, plant, second, kind == "arrives")
    elif kind in ("goes in", "comes out"):
        enters = kind == "goes in"
        inside[second] += 1 if enters else -1
        # the plant follows whether anybody is there, not how many
        if inside[second] == int(enters):
            yield from _person(acceptor, plant, second, enters)
    elif kind in DOWN.values():
        yield kind
    elif kind == "head through" and "neck" in acceptor.state and not acceptor.state["neck"]:
        yield "neck in"
    elif kind == "head back" and acceptor.state.get("neck", False):
        yield "neck out"


def _walks(acceptor: Acceptor, plant: Plant, where: dict[str, str], step: Step) -> Iterator[str]:
    """Across a boundary of the plant; places that only flow knows (the yard, the round way) are passed over."""
    kind, animal, zone = step
    known = {z.name: k for k, z in enumerate(plant.zones)}
    source = where.get(animal, "")
    boundary = next(
        (
            b.name
            for b in plant.boundaries
            if zone in known and source in known and (b.source, b.target) == (known[source], known[zone])
        ),
        "",
    )
    if kind == "comes in":
        where[animal] = zone
        if zone == ROUND and f"{source} let out" in acceptor.moves:
            yield f"{source} let out"
    if f"{boundary} begin" not in acceptor.moves:
        return
    if kind == "sets out":
        yield f"{boundary} begin"
    elif acceptor.state[f"astride.{boundary}"]:
        yield f"{boundary} finish"
    else:  # flow does not tell of every setting out
        yield f"{boundary} begin"
        yield f"{boundary} finish"


def _moved(acceptor: Acceptor, plant: Plant, motion: str, arrives: bool) -> Iterator[str]:
    """A part leaves its end when its motion begins, and is at its target when it arrives."""
    number = next(k for k, m in enumerate(plant.motions) if m.name == motion)
    target = plant.motions[number].target
    part = plant.parts[plant.motions[number].part].name
    if arrives:
        for _ in range(2):
            if _position(acceptor, part) != target:
                yield motion
    elif target != Position.MID and _position(acceptor, part) not in (Position.MID, target):
        yield motion


def _position(acceptor: Acceptor, part: str) -> Position:
    state = acceptor.state
    if f"{part}.open" in state:
        return Position.OPEN if state[f"{part}.open"] else Position.CLOSED
    if state[f"{part}.is_open"]:
        return Position.OPEN
    return Position.CLOSED if state[f"{part}.is_closed"] else Position.MID


def _person(acceptor: Acceptor, plant: Plant, space: str, enters: bool) -> Iterator[str]:
    through = next(s.through for s in plant.spaces if s.name == space)
    gate = plant.parts[through].name if through >= 0 else ""
    if enters and gate and not acceptor.state[f"{gate}.open"]:
        lock = f"{gate}_lock.open"
        if lock in acceptor.moves and not acceptor.state[lock]:
            yield lock
        yield f"{gate} opens"
    yield f"{space} {'enter' if enters else 'leave'}"
    if not enters and gate:
        yield f"{gate} shuts"
