"""Puts the control program into a world: where each of its inputs comes from, and what is remembered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stockproof.errors import InternalError
from stockproof.logic.faults import FaultKind
from stockproof.logic.scope import Rest
from stockproof.logic.world import World
from stockproof.logic.world_buttons import drive_of, loosely, put_controls
from stockproof.netlist.build import cone
from stockproof.netlist.model import Chart, Input, InputKind
from stockproof.plant.model import Plant, Position, TruthKind, ZoneKind

__all__ = ["kept_memories", "looked_at", "put_control"]

#: Facts that no exploration follows: they may be either way at any scan.
UNFOLLOWED = (TruthKind.SUPPLY, TruthKind.READ)


def kept_memories(world: World, nodes: Iterable[int]) -> list[int]:
    """Give the memories (positions) that nodes depend on, now or later, as far as the scope follows them."""
    netlist = world.netlist
    if not world.scope.memory:
        return []
    by_node = {m.node: k for k, m in enumerate(netlist.memories)}
    cut = _cut(world)
    stop = dict.fromkeys(cut, 0)
    found: set[int] = set()
    todo = [node for node in nodes if node not in cut]
    while todo:
        reached = cone(netlist, todo, stop)
        fresh = {by_node[node] for node in reached if node in by_node and node not in cut} - found
        found |= fresh
        todo = [node for k in sorted(fresh) for node in (*_decides(world, k), *_lets(world, k))]
    return sorted(found)


def looked_at(world: World, reads: Sequence[int]) -> tuple[dict[str, int], dict[int, str]]:
    """Give by name the nodes that decide what a world does, and those at which the program is cut."""
    netlist = world.netlist
    mine = {motion.name for motion in world.motions}
    found = {m.name: m.node for m in netlist.motions if m.name in mine}
    found |= {f"read {k}": node for k, node in enumerate(reads)}
    for k in kept_memories(world, list(found.values())):
        found |= {f"{netlist.memories[k].name} {j}": n for j, n in enumerate((*_decides(world, k), *_lets(world, k)))}
    return found, _cut(world)


def _decides(world: World, memory: int) -> list[int]:
    """Nodes that give a memory its next value; a sequence's steps only while they are followed exactly."""
    for chart in _loose_charts(world):
        if memory in chart.memories:
            return [chart.enabled]
    return [world.netlist.memories[memory].next]


def _lets(world: World, memory: int) -> list[int]:
    """Nodes that let a sequence take a transition, where that is all that is asked of them."""
    return [t.when for chart in _loose_charts(world) if memory in chart.memories for t in chart.transitions]


def _loose_charts(world: World) -> tuple[Chart, ...]:
    return () if world.scope.steps else world.netlist.charts


def put_control(world: World, nodes: Sequence[int], kept: Sequence[int]) -> None:
    """Splice the control program in for the wanted nodes and the memories kept.

    Inputs that a remembered bit depends on become events or bits of state; the others may, where the scope lets the
    rest do anything, have any value.
    """
    netlist, scan = world.netlist, world.scan
    cut = _cut(world)
    stop = dict.fromkeys(cut, 0)
    nexts = list(dict.fromkeys(node for k in kept for node in _decides(world, k)))
    lets = [node for k in kept for node in _lets(world, k)]
    steps = [node for chart in _loose_charts(world) if set(chart.memories) <= set(kept) for _, _, node in chart.steps]
    wanted = [*nodes, *nexts, *lets, *steps]
    remembering = cone(netlist, nexts, stop)
    reached = cone(netlist, wanted, stop)
    inputs = [i for i in netlist.inputs if i.node in reached]
    given = {
        node: world.choice(name, True) if world.scope.joint else world.anything(name)
        for node, name in cut.items()
        if node in reached
    }
    given |= {netlist.memories[k].node: scan.bits[f"memory.{netlist.memories[k].name}"] for k in kept}
    given |= {
        m.node: world.anything(f"memory {m.name}")
        for m in netlist.memories
        if m.node in reached and m.node not in given
    }
    _input_bits(world, inputs, remembering)
    given |= _sensors(world, [i for i in inputs if i.kind == InputKind.SENSOR and i.node not in given], remembering)
    controls = [i for i in inputs if i.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED) and i.node not in given]
    given |= put_controls(world, controls, remembering, [*nexts, *lets, *steps] if loosely(world) else wanted)
    # a fault of an input that may have any value anyway changes nothing
    world.tracked = frozenset(i.name for i in inputs if i.node in given and given[i.node] not in world.free)
    _strike(world, given, inputs, remembering)
    for timer in netlist.timers:
        if timer.elapsed in reached:
            bit = f"elapsed.{timer.name}"
            given[timer.elapsed] = scan.bits[bit] if bit in scan.bits else world.anything(bit)
    timers = [t for t in netlist.timers if f"elapsed.{t.name}" in scan.bits]
    world.logic = scan.builder.splice(netlist, given, [*wanted, *(t.when for t in timers)])
    _follow(world, kept)
    for timer in timers:
        bit = f"elapsed.{timer.name}"
        world.following[bit] = scan.all_(scan.bits[bit], world.logic[timer.when])
    world.reads = frozenset(i.name for i in inputs)
    for motion in netlist.motions:
        if world.permissive:
            world.drive[motion.name] = world.anything(f"drive {motion.name}")
        elif motion.node in world.logic:
            world.drive[motion.name] = _with_fault(world, motion.name, drive_of(world, motion.node, given))


def _cut(world: World) -> dict[int, str]:
    """Nodes that may have any value: requests that may be anything; timers, where steps are not followed."""
    netlist = world.netlist
    cut = {} if world.scope.requests else {m.request: f"request {m.name}" for m in netlist.motions}
    return cut if world.scope.steps else cut | {t.running: f"{t.name} running" for t in netlist.timers}


def _input_bits(world: World, inputs: Sequence[Input], remembering: set[int]) -> None:
    """Bits of state for switches, timers and the weigher's decision, as far as they must be followed."""
    exact = world.scope.rest != Rest.ANY
    followed = {i.node for i in inputs if exact or i.node in remembering}
    for i in inputs:
        if i.kind == InputKind.MAINTAINED and not i.name.endswith("emergency_ok") and i.node in followed:
            world.bit(f"switch.{i.name}", False)
    for timer in world.netlist.timers:
        if timer.elapsed in followed:
            world.bit(f"elapsed.{timer.name}", False)
    names = {i.name for i in inputs if i.node in followed}
    seen = {k for s in world.plant.sensors if s.name in names for k in _kinds_seen(world.plant, s.sure, s.unsure)}
    if exact and seen & {TruthKind.SETTLED, TruthKind.DECIDED} and world.plant.crush in world.zones:
        world.bit("settled", False)
        ways = sum(z.kind == ZoneKind.WAY for z in world.plant.zones)
        for k in range(max(0, (ways - 1).bit_length())):
            world.bit(f"way.{k}", False)


def _kinds_seen(plant: Plant, *nodes: int) -> set[TruthKind]:
    reached = cone(plant.truth, nodes)
    return {t.kind for t, i in zip(plant.truths, plant.truth.inputs, strict=True) if i.node in reached}


def _sensors(world: World, sensors: Sequence[Input], remembering: set[int]) -> dict[int, int]:
    """Node of each sensor's value: what it surely sees, or the other value where it is unsure."""
    by_name = {sensor.name: sensor for sensor in world.plant.sensors}
    missing = [i.name for i in sensors if i.name not in by_name]
    if missing:
        raise InternalError(f"no sensor in the plant for {', '.join(missing)}")
    truths = {
        i.node: _truth(world, t.kind, t.of) for t, i in zip(world.plant.truths, world.plant.truth.inputs, strict=True)
    }
    known = {node: value for node, value in truths.items() if value is not None}
    return {
        i.node: _sensor(world, i, by_name[i.name].sure, by_name[i.name].unsure, known, remembering) for i in sensors
    }


def _sensor(world: World, i: Input, sure: int, unsure: int, known: dict[int, int], remembering: set[int]) -> int:
    scan, plant = world.scan, world.plant
    value = _value(world, sure, known)
    if value is None:
        return _loose(world, i) if i.node in remembering else world.anything(i.name)
    doubt = _value(world, unsure, known)
    if doubt is None or _kinds_seen(plant, sure) & set(UNFOLLOWED):
        doubt = scan.yes
    if doubt == scan.never:
        return value
    if i.node in remembering or world.scope.rest != Rest.ANY:
        flip = world.event(f"unsure {i.name}", f"The sensor '{i.label}' shows the wrong value.", (i.name,), doubt, True)
    else:
        flip = world.choice(f"unsure {i.name}", True) if world.scope.joint else world.anything(f"unsure {i.name}")
    return scan.builder.xor([value, scan.all_(flip, doubt)])


def _value(world: World, node: int, known: dict[int, int]) -> int | None:
    """A node of the plant's truth program, or None where it rests on something unknown."""
    inputs = {i.node for i in world.plant.truth.inputs} & cone(world.plant.truth, [node])
    if not inputs <= set(known):
        return None
    return world.scan.builder.splice(world.plant.truth, known, [node])[node]


def _loose(world: World, i: Input) -> int:
    """A sensor whose truth is not followed but which something remembered depends on: it may change at any time."""
    bit = f"loose.{i.name}"
    world.bit(bit, False)
    world.loose.append(bit)
    value = world.move.no(world.move.bits[bit])
    world.can(f"{i.name} changes", f"The sensor '{i.label}' changes.", world.move.yes, [(bit, value)])
    return world.scan.bits[bit]


def _truth(world: World, kind: TruthKind, of: int) -> int | None:
    """Node of an atomic fact on the scan's side, None where the scope does not know it."""
    plant, scan = world.plant, world.scan
    exact = world.scope.rest != Rest.ANY
    match kind:
        case TruthKind.OCCUPIED | TruthKind.CROWDED:
            least = 1 if kind == TruthKind.OCCUPIED else 2
            known = of in world.zones or (exact and plant.zones[of].kind not in (ZoneKind.RACE, ZoneKind.PEN))
            return world.touching(plant.zones[of].name, least, scan) if known else None
        case TruthKind.ASTRIDE:
            boundary = plant.boundaries[of]
            known = boundary in world.boundaries or (exact and boundary.target in range(len(plant.zones)))
            return world.astride(boundary.name, scan) if known else None
        case TruthKind.DOWN:
            return world.down if of == plant.crush and (exact or of in world.zones) else None
        case TruthKind.NECK:
            return scan.bits.get("neck", scan.never if exact else None)
        case TruthKind.AT_CLOSED | TruthKind.AT_MID | TruthKind.AT_OPEN:
            position = {TruthKind.AT_CLOSED: Position.CLOSED, TruthKind.AT_MID: Position.MID}.get(kind, Position.OPEN)
            return world.at(plant.parts[of].name, position, scan)
        case TruthKind.PERSON:
            space = plant.spaces[of].name
            return world.person(space) if exact or world.scope.has_space(space) else None
        case TruthKind.GRIPPED:
            shut = world.at(plant.parts[of].name, Position.CLOSED, scan)
            known = exact or plant.crush in world.zones
            return scan.all_(shut, world.within("crush", 1, scan)) if shut is not None and known else None
        case TruthKind.SETTLED:
            return scan.bits.get("settled", scan.never if exact else None)
        case TruthKind.DECIDED:
            return _decided(world, of)
        case _:
            return scan.builder.constant(kind == TruthKind.SUPPLY)


def _decided(world: World, zone: int) -> int | None:
    scan = world.scan
    ways = [k for k, z in enumerate(world.plant.zones) if z.kind == ZoneKind.WAY]
    number = ways.index(zone)
    if "settled" not in scan.bits:
        return scan.never if world.scope.rest != Rest.ANY else None
    bits = [scan.bits[f"way.{k}"] for k in range(max(0, (len(ways) - 1).bit_length()))]
    terms = [bit if number >> k & 1 else scan.no(bit) for k, bit in enumerate(bits)]
    return scan.all_(scan.bits["settled"], *terms)


def _with_fault(world: World, motion: str, node: int) -> int:
    """What the valve of a motion is driven to; a fault overrides it from when it strikes."""
    kind = world.fault.kind if world.fault and world.fault.target == motion else None
    struck = world.struck(world.scan)
    if kind == FaultKind.VALVE_DRIVES:
        return world.scan.any_(node, struck)
    return world.scan.all_(node, world.scan.no(struck)) if kind == FaultKind.VALVE_DEAD else node


def _strike(world: World, given: dict[int, int], inputs: Sequence[Input], remembering: set[int]) -> None:
    """Let a fault of a sensor or contact override what is given for it, from when it strikes."""
    scan = world.scan
    for i in inputs:
        if world.fault is None or world.fault.target != i.name:
            continue
        struck, healthy = world.struck(scan), given[i.node]
        match world.fault.kind:
            case FaultKind.STUCK_ON:
                given[i.node] = scan.any_(healthy, struck)
            case FaultKind.STUCK_OFF:
                given[i.node] = scan.all_(healthy, scan.no(struck))
            case FaultKind.INTERMITTENT:
                given[i.node] = scan.builder.xor([healthy, scan.all_(_flicker(world, i, remembering), struck)])


def _flicker(world: World, i: Input, remembering: set[int]) -> int:
    if i.node in remembering or world.scope.rest != Rest.ANY:
        return world.choice(f"flicker {i.name}", True, f"The faulty sensor '{i.label}' shows the wrong value.")
    return world.anything(f"flicker {i.name}")


def _follow(world: World, kept: Sequence[int]) -> None:
    """What each remembered bit is at the next scan."""
    netlist = world.netlist
    loose = [chart for chart in _loose_charts(world) if set(chart.memories) <= set(kept)]
    for k in kept:
        if all(k not in chart.memories for chart in loose):
            world.following[f"memory.{netlist.memories[k].name}"] = world.logic[netlist.memories[k].next]
    for chart in loose:
        _follow_freely(world, chart)


def _follow_freely(world: World, chart: Chart) -> None:
    """Take any transition of the active step that some reading of the sensors would let be taken."""
    scan, netlist = world.scan, world.netlist
    number = {name: k for k, (name, _, _) in enumerate(chart.steps)}
    node = {name: world.logic[n] for name, _, n in chart.steps}
    terms: list[list[int]] = [[] for _ in chart.memories]
    goes, ways = [], dict.fromkeys(node, 0)
    events: list[int] = []
    for t in chart.transitions:
        way = ways[t.source]
        ways[t.source] += 1
        if way == len(events):
            events.append(world.choice(f"{chart.name} way {way + 1}", False))
        taken = scan.all_(node[t.source], events[way], scan.builder.exists(world.logic[t.when], world.free))
        goes.append(taken)
        for k, found in enumerate(terms):
            if number[t.target] >> k & 1:
                found.append(taken)
    stays = scan.no(scan.builder.or_(goes))
    enabled = world.logic[chart.enabled]
    if scan.builder.depends(enabled, world.free):
        ends = world.choice(f"{chart.name} ends", True)
        enabled = scan.all_(scan.builder.exists(enabled, world.free), scan.no(ends))
    for k, position in enumerate(chart.memories):
        bit = f"memory.{netlist.memories[position].name}"
        kept = scan.all_(scan.bits[bit], stays)
        world.following[bit] = scan.all_(enabled, scan.builder.or_([*terms[k], kept]))
