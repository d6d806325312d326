"""Builds the transition system of an installation for one scope: state, control, observers, properties, moves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import Protocol

import numpy as np
import numpy.typing as npt

from stockproof.logic.faults import Fault, FaultKind
from stockproof.logic.scope import EVERYTHING, Scope
from stockproof.logic.system import Program, System
from stockproof.logic.world import MOST_ANIMALS, Event, World
from stockproof.logic.world_control import kept_memories, put_control
from stockproof.logic.world_moves import keeps_on, put_moves
from stockproof.netlist.model import Int32s, Netlist
from stockproof.plant.model import Guard, PartKind, Plant, Position

__all__ = ["States", "build_world"]

#: How many moves of the plant may fall between two scans, by how many people act in the scan: a sensor that is unsure
#: changes nothing but what the control sees.
BUDGET = (2, 1, 0)
#: Groups of buttons that ask for something, each of which must be pressed anew.
ASKING = ("motion", "start", "done")


class States(Protocol):
    """Something that states bad states on a world, and names the nodes of the control program it reads."""

    @property
    def reads(self) -> tuple[int, ...]: ...

    def state(self, world: World) -> None: ...


def build_world(
    netlist: Netlist,
    plant: Plant,
    properties: Iterable[States] = (),
    scope: Scope = EVERYTHING,
    fault: Fault | None = None,
    strikes: bool = False,
    permissive: bool = False,
    most_animals: int = MOST_ANIMALS,
) -> tuple[World, System]:
    """Build the transition system of the part of an installation that the scope looks at.

    Parameters
    ----------
    properties : iterable
        What must not happen; the exploration tells when it first does.
    fault : Fault or None
        A single fault that is there all the time; start it from the states reachable without it.
    strikes : bool
        The fault is not there at the start, and may strike at any time.
    permissive : bool
        In the place of the control program stands one that drives anything at any time.
    most_animals : int
        How many animals there may be between the first gate looked at and the last.
    """
    properties = list(properties)
    world = World(netlist, plant, scope, fault, permissive, most_animals)
    motions = {motion.name for motion in world.motions}
    nodes = [m.node for m in netlist.motions if m.name in motions]
    nodes += [node for stated in properties for node in stated.reads]
    kept = kept_memories(world, nodes)
    if strikes and fault is not None:
        world.bit("struck", False)
        side = world.move
        world.can("strike", fault.sentence, side.no(side.bits["struck"]), [("struck", side.yes)])
    _state(world, kept)
    put_control(world, nodes, kept)
    _observers(world)
    for stated in properties:
        stated.state(world)
    put_moves(world, kept)
    return world, _system(world)


def _state(world: World, kept: Sequence[int]) -> None:
    """Name the bits of state and say where they stand at the start; the control's inputs add theirs."""
    netlist, plant = world.netlist, world.plant
    for k in kept:
        world.bit(f"memory.{netlist.memories[k].name}", netlist.memories[k].start)
    for part in world.parts:
        if part.kind in (PartKind.ACCESS, PartKind.LOCK):
            world.bit(f"{part.name}.open", part.rest == Position.OPEN)
        else:
            world.bit(f"{part.name}.is_closed", part.rest == Position.CLOSED)
            world.bit(f"{part.name}.is_open", part.rest == Position.OPEN)
    for motion in world.motions:
        if keeps_on(motion):
            world.bit(f"valve.{motion.name}", False)
    for zone in world.zones:
        for least in range(1, world.room(zone) + 1):
            world.bit(f"{plant.zones[zone].name}.{least}", False)
    for boundary in world.boundaries:
        world.bit(f"astride.{boundary.name}", False)
    if world.follows_neck and plant.crush in world.zones:
        world.bit("neck", False)
    if world.scope.falls and plant.crush in world.zones:
        world.bit("down", False)
    for space in world.spaces:
        world.bit(f"person.{space.name}", False)


def _observers(world: World) -> None:
    """What watches people, not the control program.

    `unasked`: since leave was lost, a switch turned or a guard shut, nobody has pressed anything anew. `pressed` is
    whether a button of a group was pressed at the last scan, `seen` where switches and guards stood at it.
    """
    scan = world.scan
    for motion in world.motions:
        bit = f"valve.{motion.name}"
        if bit in scan.bits:
            against = [world.driven(o.name) for o in world.motions if o.part == motion.part and o is not motion]
            kept = scan.all_(scan.bits[bit], scan.no(scan.builder.or_(against)))
            world.following[bit] = scan.builder.exists(scan.any_(world.driven(motion.name), kept), world.free)
    if not world.scope.watch:
        return
    world.bit("unasked", True)
    for group in ASKING:
        world.bit(f"pressed.{group}", False)
    for name in _watched(world):
        world.bit(f"seen.{name}", world.first[name])
    fresh = []
    for group in ASKING:
        bit, words = f"pressed.{group}", {group} if group != "motion" else {m.name for m in world.plant.motions}
        world.following[bit] = scan.builder.or_(
            [e.node for e in world.events if {m.partition(".")[2] for m in e.members} & words and not _dead(world, e)]
        )
        fresh.append(scan.all_(world.following[bit], scan.no(scan.bits[bit])))
    changed = [e.node for e in world.events if e.name.endswith("emergency_ok")]
    for name in _watched(world):
        before, now = scan.bits[f"seen.{name}"], scan.bits[name]
        switch = name.startswith("switch.")
        changed.append(scan.builder.xor([before, now]) if switch else scan.all_(before, scan.no(now)))
        world.following[f"seen.{name}"] = now
    asked_before = scan.all_(scan.bits["unasked"], scan.no(scan.builder.or_(fresh)))
    world.following["unasked"] = scan.any_(*changed, asked_before)


def _dead(world: World, event: Event) -> bool:
    """A button whose contact no longer makes: nobody who presses it asks for anything."""
    fault = world.fault
    return fault is not None and fault.kind == FaultKind.STUCK_OFF and fault.target in event.members


def _watched(world: World) -> list[str]:
    """Bits of switches and of access gates that are guards: a gate without a switch promises nobody a pause."""
    guards = [f"{p.name}.open" for p in world.parts if p.kind == PartKind.ACCESS and p.guard != Guard.NONE]
    return [*guards, *(name for name in world.bits if name.startswith("switch."))]


def _system(world: World) -> System:
    patterns, names, valid, budget, below = _patterns(world)
    bads = [world.scan.builder.exists(node, world.free) for _, node in world.bads]
    scan, move = world.scan.builder.finish(), world.move.builder.finish()
    writes = [write for m in world.moves for write in m.writes]
    return System(
        bits=tuple(world.bits),
        start=(sum(1 << k for k, bit in enumerate(world.bits) if world.first[bit]),),
        scan=Program(scan.op, scan.a, scan.b),
        scan_bit=_int32([world.scan.bits[bit] for bit in world.bits]),
        scan_pattern=_int32([event.node for event in world.events]),
        scan_next=_int32([world.following.get(bit, world.scan.bits[bit]) for bit in world.bits]),
        scan_carried=_int32([node for node, _ in world.carried]),
        scan_bad=_int32(bads),
        moves=Program(move.op, move.a, move.b),
        move_bit=_int32([world.move.bits[bit] for bit in world.bits]),
        move_carried=_int32([node for _, node in world.carried]),
        move_guard=_int32([m.guard for m in world.moves]),
        write_start=np.cumsum([0, *(len(m.writes) for m in world.moves)]).astype(np.int32),
        write_bit=_int32([bit for bit, _ in writes]),
        write_node=_int32([node for _, node in writes]),
        patterns=patterns,
        pattern_valid=valid,
        pattern_budget=budget,
        pattern_below=below,
        stays=True,
        bad_names=tuple(code for code, _ in world.bads),
        move_names=tuple(m.name for m in world.moves),
        pattern_names=names,
    )


def _patterns(
    world: World,
) -> tuple[npt.NDArray[np.uint8], tuple[tuple[str, ...], ...], Int32s, npt.NDArray[np.int8], Int32s]:
    """No event, each event, each pair; beside each of them no free event or any one, and any of the joint ones."""
    counted = [k for k, event in enumerate(world.events) if not (event.free or event.joint)]
    joint = [k for k, event in enumerate(world.events) if event.joint]
    alone: list[tuple[int, ...]] = [(), *((k,) for k, event in enumerate(world.events) if event.free)]
    beside = [(*one, *more) for n in range(len(joint) + 1) for more in combinations(joint, n) for one in alone]
    chosen = [(), *((k,) for k in counted), *combinations(counted, 2)]
    number = {(events, free): n for n, (events, free) in enumerate((e, f) for e in chosen for f in beside)}
    patterns = np.zeros((len(number), len(world.events)), np.uint8)
    valid, below = [], []
    for n, (events, free) in enumerate(number):
        patterns[n, [*events, *free]] = 1
        needs = [world.events[e].valid for e in (*events, *free) if world.events[e].valid >= 0]
        valid.append(world.scan.builder.and_(needs) if needs else -1)
        lower = [number[tuple(e for e in events if e != out), free] for out in events]
        lower += [number[events, ()]] if free else []
        below.append([*lower, -1, -1][:2])
    budget = [BUDGET[sum(not world.events[e].doubt for e in events)] for events, _ in number]
    names = tuple(_names(world.events, [*events, *free]) for events, free in number)
    return patterns, names, _int32(valid), np.array(budget, np.int8), np.array(below, np.int32)


def _names(events: Sequence[Event], chosen: Iterable[int]) -> tuple[str, ...]:
    return tuple(events[k].name for k in chosen)


def _int32(numbers: Sequence[int]) -> Int32s:
    return np.array(numbers, np.int32)
