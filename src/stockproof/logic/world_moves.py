"""What the plant may do between two scans: parts move, animals walk, people come and go, time passes."""

from __future__ import annotations

from collections.abc import Sequence

from stockproof.logic.faults import FaultKind
from stockproof.logic.world import MOST_PEOPLE, World, at_least
from stockproof.plant.model import (
    Boundary,
    Guard,
    Part,
    PartKind,
    PlantMotion,
    Position,
    SpaceKind,
    StopEffect,
    Undriven,
    ZoneKind,
)

__all__ = ["keeps_on", "put_moves"]


def put_moves(world: World, kept: Sequence[int]) -> None:
    """State every move of the plant; `kept` are the memories followed."""
    _part_moves(world)
    _animal_moves(world)
    _people_moves(world)
    _other_moves(world, kept)


def keeps_on(motion: PlantMotion) -> bool:
    """The motion goes on to its end by itself once begun."""
    return motion.undriven == Undriven.STAYS_WHERE_SET or motion.stop_effect == StopEffect.CONTINUES


def _part_moves(world: World) -> None:
    """Driven parts go one position on; what a spring or weight pulls goes back; hand-worked gates are pushed."""
    plant, side = world.plant, world.move
    driven = {m.name: world.carry(m.name, world.driven(m.name)) for m in world.motions}
    for name, node in driven.items():
        driven[name] = side.any_(node, side.bits.get(f"valve.{name}", side.never))
    for motion in world.motions:
        _toward(world, motion.part, motion.target, driven[motion.name], motion.name, f"{_said(motion.label)}.")
        idle = side.no(side.builder.or_([driven[o.name] for o in world.motions if o.part == motion.part]))
        leaks = world.fault is not None and world.fault.kind == FaultKind.LEAKS and world.fault.target == motion.name
        goes_back = motion.undriven in (Undriven.SPRINGS_BACK, Undriven.BY_WEIGHT, Undriven.DRIFTS)
        if leaks or goes_back:
            idle = idle if goes_back else side.all_(idle, world.struck(side))
            back = Position.CLOSED if motion.target == Position.OPEN else Position.OPEN
            sentence = f"{_said(plant.parts[motion.part].label)} goes back by itself."
            _toward(world, motion.part, back, idle, f"{motion.name} back", sentence)
    for part in world.parts:
        k = plant.part_at(part.name)
        if part.kind not in (PartKind.ACCESS, PartKind.LOCK) and all(m.part != k for m in plant.motions):
            for target, word in ((Position.OPEN, "opens"), (Position.CLOSED, "closes")):
                sentence = f"Somebody {word} {part.label} by hand."
                _toward(world, k, target, side.yes, f"{part.name} by hand {word}", sentence)


def _said(label: str) -> str:
    return label[:1].upper() + label[1:]


def _toward(world: World, part: int, target: Position, when: int, name: str, sentence: str) -> None:
    """The part goes one position toward the target; it cannot shut on a body in its way."""
    side, plant = world.move, world.plant
    word = plant.parts[part].name
    if f"{word}.open" in side.bits:
        opened = side.bits[f"{word}.open"]
        goes_open = target == Position.OPEN
        guard = side.all_(when, side.no(opened) if goes_open else opened)
        world.can(name, sentence, guard, [(f"{word}.open", side.builder.constant(goes_open))])
        return
    closed, opened = side.bits[f"{word}.is_closed"], side.bits[f"{word}.is_open"]
    no = side.builder.constant(False)
    if target == Position.MID:
        guard = side.all_(when, side.any_(closed, opened))
        world.can(name, sentence, guard, [(f"{word}.is_closed", no), (f"{word}.is_open", no)])
        return
    there, away = (closed, opened) if target == Position.CLOSED else (opened, closed)
    between = side.no(side.any_(there, away))
    bodies = [world.astride(b.name, side) for b in plant.boundaries if any(p == part for p, _ in b.needs)]
    blocked = side.builder.or_(bodies) if plant.parts[part].kind in (PartKind.GATE, PartKind.BAIL) else no
    opens = target == Position.OPEN and not word.startswith("draft")
    free = side.builder.constant(True) if opens else side.no(side.all_(between, blocked))
    guard = side.all_(when, side.no(there), free)
    names = (f"{word}.is_closed", f"{word}.is_open")
    ends = names if target == Position.CLOSED else names[::-1]
    world.can(name, sentence, guard, [(ends[0], side.no(away)), (ends[1], no)])


def _animal_moves(world: World) -> None:
    plant, side = world.plant, world.move
    zones, boundaries = world.zones, world.boundaries
    present = [side.bits[f"{plant.zones[z].name}.{n}"] for z in zones for n in range(1, world.room(z) + 1)]
    present += [world.astride(b.name, side) for b in boundaries]
    room_for_one_more = side.no(at_least(side, present, world.most_animals))
    for boundary in boundaries:
        _boundary_moves(world, boundary, zones, room_for_one_more)
    for zone in zones:
        if plant.zones[zone].kind == ZoneKind.RACE:
            name, label = plant.zones[zone].name, plant.zones[zone].label
            sentence = f"A worker lets the animal out of {label} at its side, to be taken round."
            world.can(f"{name} let out", sentence, world.within(name, 1, side), _less(world, zone, zones))
    if "neck" in side.bits:
        neck, some = side.bits["neck"], world.within("crush", 1, side)
        guard = side.all_(side.no(neck), some, _up(world, plant.crush), side.no(_bail_shut(world)))
        world.can("neck in", "The animal in the crush puts its head through the bail.", guard, [("neck", side.yes)])
        world.can("neck out", "The animal pulls its head back out of the bail.", neck, [("neck", side.never)])
    if "down" in side.bits:
        down = side.bits["down"]
        falls = side.all_(side.no(down), world.within("crush", 1, side))
        world.can("goes down", "The animal in the crush goes down.", falls, [("down", side.yes)])
        world.can("gets up", "The animal in the crush gets up.", down, [("down", side.never)])


def _up(world: World, zone: int) -> int:
    """An animal in the zone is on its feet: none but one in the crush is followed lying down."""
    side = world.move
    if zone != world.plant.crush or "down" not in side.bits:
        return side.yes
    return side.any_(side.no(side.bits["down"]), world.within("crush", 2, side))


def _bail_shut(world: World) -> int:
    bail = next(part.name for part in world.parts if part.kind == PartKind.BAIL)
    shut = world.at(bail, Position.CLOSED, world.move)
    return world.move.never if shut is None else shut


def _way(world: World, boundary: Boundary) -> int:
    """The way is open; a part that is not looked at may be out of the way at any time."""
    side = world.move
    needs = [world.at(world.plant.parts[part].name, position, side) for part, position in boundary.needs]
    return side.builder.and_([node for node in needs if node is not None])


def _boundary_moves(world: World, boundary: Boundary, held: Sequence[int], room: int) -> None:
    """Begin to cross, finish, turn back halfway, come back."""
    plant, side = world.plant, world.move
    source, target = plant.zones[boundary.source], plant.zones[boundary.target]
    bit, way = f"astride.{boundary.name}", _way(world, boundary)
    astride = side.bits[bit]
    begin = [side.no(astride), way, side.no(_full(world, boundary.target, held))]
    begin += [world.within(source.name, 1, side), _up(world, boundary.source)] if boundary.source in held else [room]
    leaves = [*_less(world, boundary.source, held), *_forgets(world, boundary.source)]
    sentence = f"An animal steps from {source.label} toward {target.label}."
    world.can(f"{boundary.name} begin", sentence, side.builder.and_(begin), [(bit, side.yes), *leaves])
    for word, zone, sentence in (
        ("finish", boundary.target, f"The animal walks on into {target.label}."),
        ("turn back", boundary.source, f"The animal backs up into {source.label}."),
    ):
        guard = side.all_(astride, side.no(_full(world, zone, held)))
        world.can(f"{boundary.name} {word}", sentence, guard, [(bit, side.never), *_more(world, zone, held)])
    if not boundary.one_way and boundary.target in held:
        some = [side.no(astride), way, world.within(target.name, 1, side), _up(world, boundary.target)]
        some.append(_may_back_out(world, boundary))
        leaves = [*_less(world, boundary.target, held), *_forgets(world, boundary.target)]
        sentence = f"An animal backs out of {target.label}."
        world.can(f"{boundary.name} back out", sentence, side.builder.and_(some), [(bit, side.yes), *leaves])


def _may_back_out(world: World, boundary: Boundary) -> int:
    """A single animal held by the neck does not back out of the crush before it has pulled its head out."""
    side = world.move
    if boundary.target != world.plant.crush or "neck" not in side.bits:
        return side.builder.constant(True)
    caught = side.all_(side.bits["neck"], _bail_shut(world))
    return side.any_(side.no(caught), world.within("crush", 2, side))


def _full(world: World, zone: int, held: Sequence[int]) -> int:
    if zone not in held:
        return world.move.builder.constant(False)
    return world.within(world.plant.zones[zone].name, world.room(zone), world.move)


def _more(world: World, zone: int, held: Sequence[int]) -> list[tuple[str, int]]:
    if zone not in held:
        return []
    name, side = world.plant.zones[zone].name, world.move
    writes = [(f"{name}.1", side.builder.constant(True))]
    return [*writes, (f"{name}.2", side.bits[f"{name}.1"])] if f"{name}.2" in side.bits else writes


def _less(world: World, zone: int, held: Sequence[int]) -> list[tuple[str, int]]:
    if zone not in held:
        return []
    name, side = world.plant.zones[zone].name, world.move
    two = side.bits.get(f"{name}.2", side.builder.constant(False))
    writes = [(f"{name}.1", two)]
    return [*writes, (f"{name}.2", side.builder.constant(False))] if f"{name}.2" in side.bits else writes


def _forgets(world: World, zone: int) -> list[tuple[str, int]]:
    """When an animal leaves the crush its weight is forgotten, and its neck is not in the bail."""
    side = world.move
    if zone != world.plant.crush:
        return []
    no = side.builder.constant(False)
    writes = [("neck", no)] if "neck" in side.bits else []
    if "settled" in side.bits:
        ways = [name for name in side.bits if name.startswith("way.")]
        writes += [("settled", no), *((name, no) for name in ways)]
    return writes


def _people_moves(world: World) -> None:
    plant, side = world.plant, world.move
    people = [side.bits[f"person.{s.name}"] for s in world.spaces]
    spare = side.no(at_least(side, people, MOST_PEOPLE)) if len(people) >= MOST_PEOPLE else side.yes
    comes = {SpaceKind.WHOLE_BODY: "goes into the space", SpaceKind.REACH: "reaches in", SpaceKind.OUTSIDE: "stands"}
    for space in world.spaces:
        bit = f"person.{space.name}"
        opened = None if space.through < 0 else world.at(plant.parts[space.through].name, Position.OPEN, side)
        guard = side.all_(side.no(side.bits[bit]), side.yes if opened is None else opened, spare)
        world.can(f"{space.name} enter", f"A worker {comes[space.kind]} {space.label}.", guard, [(bit, side.yes)])
        sentence = f"The worker leaves the place {space.label}."
        world.can(f"{space.name} leave", sentence, side.bits[bit], [(bit, side.never)])
    for part in world.parts:
        if part.kind == PartKind.ACCESS:
            _access_moves(world, part)


def _access_moves(world: World, part: Part) -> None:
    """Somebody opens an access gate, or shuts it, also behind himself; a lock does not keep a person in."""
    plant, side = world.plant, world.move
    k, opened = plant.part_at(part.name), side.bits[f"{part.name}.open"]
    spaces = [s for s in world.spaces if s.through == k]
    inside = side.builder.or_([side.bits[f"person.{s.name}"] for s in spaces if s.kind == SpaceKind.WHOLE_BODY])
    reaching = side.builder.or_([side.bits[f"person.{s.name}"] for s in spaces if s.kind != SpaceKind.WHOLE_BODY])
    may = side.yes
    if part.guard == Guard.LOCKED:
        unlocked = world.at(f"{part.name}_lock", Position.OPEN, side)
        may = side.any_(side.yes if unlocked is None else unlocked, inside)
    guard = side.all_(side.no(opened), may)
    world.can(f"{part.name} opens", f"A worker opens {part.label}.", guard, [(f"{part.name}.open", side.yes)])
    writes = [(f"{part.name}.open", side.never)]
    world.can(f"{part.name} shuts", f"A worker shuts {part.label}.", side.all_(opened, side.no(reaching)), writes)


def _other_moves(world: World, kept: Sequence[int]) -> None:
    """Switches turned, timers run out, a weight settles, the controller restarts."""
    netlist, side = world.netlist, world.move
    yes = side.builder.constant(True)
    for i in netlist.inputs:
        bit = f"switch.{i.name}"
        if bit in side.bits:
            value = side.no(side.bits[bit])
            world.can(f"turn {i.name}", f"Somebody turns the switch '{i.label}'.", yes, [(bit, value)])
    for timer in netlist.timers:
        bit = f"elapsed.{timer.name}"
        if bit in side.bits:
            running = side.bits[f"memory.{timer.name}.running"]
            guard = side.all_(running, side.no(side.bits[bit]))
            world.can(f"{timer.name} elapses", f"Time passes: {timer.label}.", guard, [(bit, yes)])
    if "settled" in side.bits:
        _weigh_moves(world)
    if world.fault is not None and world.fault.kind == FaultKind.RESTART:
        writes = [
            (f"memory.{netlist.memories[k].name}", side.builder.constant(netlist.memories[k].start)) for k in kept
        ]
        world.can(
            "restart",
            "The supply dips and the controller starts anew.",
            world.struck(side),
            [*writes, ("unasked", yes)],
        )


def _weigh_moves(world: World) -> None:
    side = world.move
    ways = [z for z in world.plant.zones if z.kind == ZoneKind.WAY]
    guard = side.all_(side.no(side.bits["settled"]), world.within("crush", 1, side))
    bits = max(0, (len(ways) - 1).bit_length())
    for number, way in enumerate(ways):
        writes = [(f"way.{k}", side.builder.constant(bool(number >> k & 1))) for k in range(bits)]
        sentence = f"The weight settles; the animal is to go to {way.label}."
        world.can(f"settle {way.name}", sentence, guard, [("settled", side.builder.constant(True)), *writes])
