"""What must not happen to people and animals, stated about the plant and not about wiring.

Each property carries the scope that is enough to prove it: in it, everything outside may do anything at any time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from stockproof.logic.scope import Rest, Scope
from stockproof.logic.world import World
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Effect, Part, PartKind, Plant, PlantMotion, Position, Space, SpaceKind

__all__ = ["Property", "properties_of"]

NOBODY: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Property:
    """A bad state that must not be reached.

    Parameters
    ----------
    code : str
        Stable name, `kind.where`.
    title : str
        What must not happen, in a farmer's words.
    why : str
        What comes of it.
    scope : Scope
        What is looked at to prove it.
    reads : tuple of int
        Nodes of the control program that `node` reads besides the motions of the scope.
    node : callable
        Gives the node that is true in the bad state.
    by_design : str
        Why it cannot happen whatever the control does, or empty.
    about_down : bool
        It happens to an animal that is down, and to no other.
    """

    code: str
    title: str
    why: str
    scope: Scope
    reads: tuple[int, ...]
    node: Callable[[World], int]
    by_design: str = ""
    about_down: bool = False

    def state(self, world: World) -> None:
        world.bad(self.code, self.node(world))


def properties_of(netlist: Netlist, plant: Plant) -> tuple[Property, ...]:
    """Give every property that applies to an installation, in a fixed order."""
    return tuple(_properties(netlist, plant))


def _properties(netlist: Netlist, plant: Plant) -> Iterator[Property]:
    for space in plant.spaces:
        if space.kind == SpaceKind.WHOLE_BODY and space.shut_out_by:
            yield _person_among_animals(plant, space)
        yield from _in_reach(plant, space)
    for part in plant.parts:
        if part.powered and part.kind in (PartKind.GATE, PartKind.BAIL):
            yield from _closes_on_animal(plant, part)
    if plant.part_at("lift") >= 0 and plant.part_at("bail") >= 0 and plant.parts[plant.part_at("lift")].powered:
        yield _lift_up(plant)
    yield from _down(plant)
    if any(t.source == "work" and t.target == "set" for chart in netlist.charts for t in chart.transitions):
        yield _two_as_one(netlist)
    for motion in plant.motions:
        yield _starts_by_itself(netlist, plant, motion)
    yield _moves_while_stopped(netlist, plant)


def _scope(parts: set[str], zones: set[str] = set(), spaces: set[str] = set()) -> Scope:  # noqa: B006
    return Scope(
        frozenset(parts), frozenset(zones), frozenset(spaces), neck=False, rest=Rest.ANY, requests=False, watch=False
    )


def _access(plant: Plant, space: Space) -> set[str]:
    """The access gate of a space and its lock."""
    if space.through < 0:
        return set()
    name = plant.parts[space.through].name
    return {name, f"{name}_lock"} & {part.name for part in plant.parts}


def _person_among_animals(plant: Plant, space: Space) -> Property:
    boundaries = [plant.boundaries[b] for b in space.shut_out_by]
    gates = [plant.parts[part] for b in boundaries for part, _ in b.needs]
    moving = [m for m in plant.motions if plant.parts[m.part] in gates and m.target != Position.CLOSED]

    def node(world: World) -> int:
        scan = world.scan
        shut = scan.builder.and_([world.stands(gate.name, Position.CLOSED) for gate in gates])
        opening = scan.builder.or_([world.driven(m.name) for m in moving])
        return scan.all_(world.person(space.name), scan.any_(scan.no(shut), opening))

    return Property(
        f"person_among_animals.{space.name}",
        f"A person is {space.label} while {' and '.join(gate.label for gate in gates)} is not shut and held.",
        "The next animal walks onto the person.",
        replace(_scope({gate.name for gate in gates} | _access(plant, space), spaces={space.name}), joint=True),
        (),
        node,
    )


def _in_reach(plant: Plant, space: Space) -> Iterator[Property]:
    """Parts that press, and parts that swing, within reach of a body."""
    if space.kind == SpaceKind.WHOLE_BODY:
        return
    for effect, code, does, why in (
        (Effect.CLOSES_ON, "presses_in_reach", "closes or presses", "A hand, an arm or a head is crushed."),
        (Effect.OPENS_TOWARD, "opens_toward", "opens toward", "The person is struck, by the part or by the animal."),
    ):
        motions = [plant.motions[m] for m in space.reached_by if plant.motions[m].effect == effect]
        if motions:
            yield _reached(plant, space, motions, f"{code}.{space.name}", does, why)


def _reached(plant: Plant, space: Space, motions: list[PlantMotion], code: str, does: str, why: str) -> Property:
    parts = {plant.parts[m.part].name: plant.parts[m.part].label for m in motions}

    def lawful(world: World, motion: PlantMotion) -> int:
        """Held to run by somebody with sight of it: beside the line its own button, with a guard open two buttons."""
        word = motion.name if space.kind == SpaceKind.OUTSIDE else "enable"
        return world.pressed(word)

    def node(world: World) -> int:
        scan = world.scan
        unlawful = [scan.all_(world.moving(m), scan.no(lawful(world, m))) for m in motions]
        return scan.all_(world.person(space.name), scan.builder.or_(unlawful))

    return Property(
        code,
        f"{_said(' or '.join(parts.values()))} {does} somebody {space.label}.",
        why,
        _scope(set(parts) | _access(plant, space), spaces={space.name}),
        (),
        node,
    )


def _closes_on_animal(plant: Plant, part: Part) -> Iterator[Property]:
    k = plant.part_at(part.name)
    crossed = [b for b in plant.boundaries if any(p == k for p, _ in b.needs)]
    motions = [m for m in plant.motions if m.part == k and m.effect == Effect.CLOSES_ON]
    if not crossed or not motions:
        return
    design = f"{_said(part.label)} stops or gives way when it meets a body." if part.limited else ""
    if part.name.startswith("draft"):
        yield _draft_moves(plant, part, motions, design)
        return
    body = part.kind == PartKind.BAIL

    def node(world: World) -> int:
        bodies = [world.astride(b.name, world.scan) for b in crossed]
        moving = [world.moving(m) for m in motions]
        return world.scan.all_(world.scan.builder.or_(bodies), world.scan.builder.or_(moving))

    yield Property(
        f"{'closes_on_trunk' if body else 'closes_on_animal'}.{part.name}",
        f"{_said(part.label)} closes on an animal{chr(39) + 's trunk' if body else ''} with no stop or reverse.",
        "The animal is bruised or choked, and fights.",
        _scope({part.name}, {plant.zones[z].name for b in crossed for z in (b.source, b.target)}),
        (),
        node,
        design,
    )


def _draft_moves(plant: Plant, part: Part, motions: list[PlantMotion], design: str) -> Property:
    def node(world: World) -> int:
        return world.scan.all_(
            world.touching("draft", 1, world.scan), world.scan.builder.or_([world.moving(m) for m in motions])
        )

    gates = {p.name for p in plant.parts if p.name.startswith("draft")}
    return Property(
        f"moves_on_animal.{part.name}",
        f"{_said(part.label)} moves on an animal in the draft unit.",
        "The animal is struck, or goes where it should not.",
        _scope(gates, {"draft"}),
        (),
        node,
        design,
    )


def _lift_up(plant: Plant) -> Property:
    opening = plant.motions[plant.motion_at("bail.open")]

    def node(world: World) -> int:
        scan = world.scan
        return scan.all_(world.moving(opening), scan.no(world.stands("lift", Position.OPEN)))

    return Property(
        "lift_up.bail",
        "The head lift is up while the head bail opens.",
        "The animal leaves with its neck over the lift.",
        _scope({"bail", "lift"}),
        (),
        node,
    )


def _down(plant: Plant) -> Iterator[Property]:
    """What may not happen by itself to an animal that lies in the crush; that it can be freed is relief and release."""
    pressing = [m for m in plant.motions if plant.parts[m.part].zone == plant.crush and m.effect == Effect.CLOSES_ON]
    crossed = [part for b in plant.boundaries if b.target == plant.crush for part, _ in b.needs]
    letting_in = [m for m in plant.motions if m.part in crossed and m.target == Position.OPEN]
    for motions, code, does, why in (
        (pressing, "presses_on_down.crush", "closes or presses by itself on", "It cannot get up, and chokes."),
        (letting_in, "lets_in_on_down.crush", "opens by itself onto", "The next animal tramples it."),
    ):
        if motions:
            yield _moves_on_down(plant, motions, code, does, why)


def _moves_on_down(plant: Plant, motions: list[PlantMotion], code: str, does: str, why: str) -> Property:
    """Held to run by its own button a part may move: whoever holds it has sight of the animal."""
    parts = {plant.parts[m.part].name: plant.parts[m.part].label for m in motions}

    def node(world: World) -> int:
        scan = world.scan
        alone = [scan.all_(world.moving(m), scan.no(world.pressed(m.name))) for m in motions]
        return scan.all_(world.down, scan.builder.or_(alone))

    return Property(
        code,
        f"{_said(' or '.join(parts.values()))} {does} an animal that is down in the crush.",
        why,
        replace(_scope(set(parts), {"crush"}), requests=True, memory=False),
        (),
        node,
        about_down=True,
    )


def _two_as_one(netlist: Netlist) -> Property:
    steps = [node for chart in netlist.charts for name, _, node in chart.steps if name == "work"]
    whens = [t.when for chart in netlist.charts for t in chart.transitions if t.source == "work" and t.target == "set"]

    def node(world: World) -> int:
        return world.scan.all_(world.takes("work", "set"), world.within("crush", 2, world.scan))

    scope = replace(_scope({"entry", "bail"}, {"crush"}), memory=False)
    return Property(
        "two_as_one.crush",
        "A second animal in the crush is weighed and drafted as one with the first.",
        "Both go to one pen by a weight that belongs to neither.",
        scope,
        (*steps, *whens),
        node,
    )


def _starts_by_itself(netlist: Netlist, plant: Plant, motion: PlantMotion) -> Property:
    guards = frozenset(p.name for p in plant.parts if p.kind in (PartKind.ACCESS, PartKind.LOCK))

    def node(world: World) -> int:
        return world.scan.all_(world.following["unasked"], world.driven(motion.name))

    return Property(
        f"starts_by_itself.{motion.name}",
        f"{_said(motion.label)} though nobody has asked anew since power or leave returned, a switch was turned or a "
        "guard shut.",
        "People who trust the pause have their hands in the machine.",
        Scope(guards, NOBODY, NOBODY, neck=False, rest=Rest.ANY, steps=False),
        tuple(m.node for m in netlist.motions if m.name == motion.name),
        node,
    )


def _moves_while_stopped(netlist: Netlist, plant: Plant) -> Property:
    def node(world: World) -> int:
        driven = [world.driven(m.name) for m in plant.motions]
        stops = [e.node for e in world.events if e.name.endswith("emergency_ok")]
        return world.scan.all_(world.scan.builder.or_(stops), world.scan.builder.or_(driven))

    return Property(
        "moves_while_stopped.line",
        "The control drives a part while an emergency stop is pressed.",
        "The last resort does not work.",
        _scope(set()),
        tuple(m.node for m in netlist.motions),
        node,
    )


def _said(label: str) -> str:
    return label[:1].upper() + label[1:]
