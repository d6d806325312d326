"""Buttons and switches of a world: which the control can tell apart, and what each drives."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from threading import Lock

from stockproof.logic.scope import Rest
from stockproof.logic.world import World
from stockproof.netlist.build import cone
from stockproof.netlist.diagram import Diagrams, TooLarge
from stockproof.netlist.model import Input, InputKind, Netlist, Op

__all__ = ["drive_of", "interchangeable", "loosely", "put_controls"]


def put_controls(
    world: World, controls: Sequence[Input], remembering: set[int], wanted: Sequence[int]
) -> dict[int, int]:
    """Node of each button and switch; buttons that the wanted nodes cannot tell apart are one event."""
    scan = world.scan
    nodes: dict[int, int] = {}
    motions = {motion.name for motion in world.plant.motions}
    buttons: dict[str, list[Input]] = {}
    for i in controls:
        faulty = world.fault is not None and world.fault.target == i.name
        if f"switch.{i.name}" in scan.bits:
            nodes[i.node] = scan.bits[f"switch.{i.name}"]
        elif world.scope.rest == Rest.ANY and i.node not in remembering:
            nodes[i.node] = world.buttons[i.name] = world.anything(i.name)
        else:
            word = i.name.partition(".")[2]
            buttons.setdefault(i.name if faulty else ("motion" if word in motions else word), []).append(i)
    for group in [
        g for members in buttons.values() for g in interchangeable(world.netlist, tuple(members), tuple(wanted))
    ]:
        nodes |= _button(world, group)
        if len(group) > 1 and loosely(world) and not group[0].name.endswith("emergency_ok"):
            world.groups.append((world.buttons[group[0].name], group))
    return nodes


def _button(world: World, group: Sequence[Input]) -> dict[int, int]:
    """One event for controls alike; the first stands for all, the others rest. An emergency stop rests closed."""
    scan, first = world.scan, group[0]
    stop = first.name.endswith("emergency_ok")
    sentence = "Somebody presses an emergency stop." if stop else f"Somebody presses '{first.label}'."
    event = world.event(first.name, sentence, (i.name for i in group), _seen_empty(world, first.name))
    world.buttons[first.name] = event
    return {
        i.node: scan.builder.constant(stop) if i is not first else (scan.no(event) if stop else event) for i in group
    }


def _seen_empty(world: World, button: str) -> int:
    """A reset with a view is pressed only while nobody is seen in its space; other buttons at any time."""
    for space in world.spaces:
        through = world.plant.parts[space.through].name if space.through >= 0 else ""
        if space.reset_view and button == f"{through}.reset":
            return world.scan.no(world.person(space.name))
    return -1


@lru_cache(maxsize=512)
def interchangeable(
    netlist: Netlist, controls: tuple[Input, ...], wanted: tuple[int, ...]
) -> tuple[tuple[Input, ...], ...]:
    """Group controls that no wanted node can tell apart, which is shown by swapping them in the program."""
    groups: list[list[Input]] = []
    users: dict[int, list[int]] = {control.node: [] for control in controls}
    for node in dict.fromkeys(wanted):
        for used in cone(netlist, [node]) & set(users):
            users[used].append(node)
    for control in controls:
        mine = users[control.node]
        group = next((g for g in groups if users[g[0].node] == mine and _same(netlist, g[0], control, mine)), None)
        if group is None:
            groups.append([control])
        else:
            group.append(control)
    return tuple(tuple(group) for group in groups)


def _same(netlist: Netlist, one: Input, other: Input, wanted: Sequence[int]) -> bool:
    """One pressed alone, the other alone, both: each time every wanted node is the same function of the rest."""
    return all(_same_to(netlist, one, other, node) for node in wanted)


@lru_cache(maxsize=1 << 16)
def _same_to(netlist: Netlist, one: Input, other: Input, node: int) -> bool:
    with _one_at_a_time:
        return _compared(netlist, one, other, node)


def _compared(netlist: Netlist, one: Input, other: Input, node: int) -> bool:
    down = not one.name.endswith("emergency_ok")  # an emergency stop's contact is true while it is not pressed
    try:
        diagrams, known = _diagrams(netlist)
        diagrams.of_rows(netlist.rows, sorted(cone(netlist, [node])), known)
        alone, other_alone, both = (
            diagrams.given(known[node], {one.node: a, other.node: b})
            for a, b in ((down, not down), (not down, down), (down, down))
        )
    except TooLarge:  # told apart, which is always right
        return False
    return alone == other_alone == both


#: Faults are struck by several threads, and they share the diagrams.
_one_at_a_time = Lock()


@lru_cache(maxsize=4)
def _diagrams(netlist: Netlist) -> tuple[Diagrams, dict[int, int]]:
    """Give the diagrams of a control program's nodes, filled as they are asked for."""
    return Diagrams(), {}


def drive_of(world: World, node: int, given: dict[int, int]) -> int:
    """The node of a motion, with buttons told apart that what is remembered does not tell apart.

    While the event of a group of buttons happens, any of those that this motion looks at may be pressed; if none of
    them is, it is another of the group.
    """
    apart: dict[int, int] = {}
    for event, members in world.groups:
        looked_at = cone(world.netlist, [node], dict.fromkeys(_any_of(world.netlist, members), 0))
        own = [i for i in members if i.node in looked_at]
        others = [i for i in members if i.node not in looked_at]
        pressed = [world.scan.all_(event, _which(world, i)) for i in own]
        apart |= {i.node: n for i, n in zip(own, pressed, strict=True)}
        apart |= {i.node: world.scan.never for i in others}
        if others:
            apart[others[0].node] = world.scan.all_(event, world.scan.no(world.scan.builder.or_(pressed)))
    return world.scan.builder.splice(world.netlist, given | apart, [node])[node] if apart else world.logic[node]


def _which(world: World, control: Input) -> int:
    if control.name not in world.which:
        world.which[control.name] = world.anything(f"press {control.name}")
    return world.which[control.name]


def _any_of(netlist: Netlist, members: Sequence[Input]) -> list[int]:
    """Nodes that only tell whether any button is pressed, of all these buttons and perhaps others."""
    buttons = {i.node for i in netlist.inputs if i.kind == InputKind.MOMENTARY}
    mine = {i.node for i in members}
    below: dict[int, frozenset[int]] = {node: frozenset((node,)) for node in buttons}
    for node, (op, a, b) in enumerate(netlist.rows):
        if op == Op.OR and a in below and b in below:
            below[node] = below[a] | below[b]
    return [node for node, found in below.items() if found >= mine]


def loosely(world: World) -> bool:
    """What is driven is asked for in any way that is possible, not in one way at a time."""
    return world.scope.rest == Rest.ANY
