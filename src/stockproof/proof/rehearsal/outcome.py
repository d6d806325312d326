"""Whether what a story names has come about in the plant it was acted in: its property's own condition, asked there."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from stockproof.logic.faults import Fault, FaultKind
from stockproof.logic.properties import Property
from stockproof.logic.world import Event, World
from stockproof.logic.world_build import ASKING
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import Guard, PartKind, Position
from stockproof.proof.rehearsal.tale_plant import TalePlant

__all__ = ["Unasked", "has_come_about"]

CONTROLS = (InputKind.MOMENTARY, InputKind.MAINTAINED)


@dataclass(slots=True)
class Unasked:
    """Whether anybody has asked anew since leave was lost, a switch was turned or a guard was shut; scan by scan."""

    so: bool = True
    pressed: frozenset[str] = frozenset()
    seen: dict[str, bool] = field(default_factory=dict)

    def after(self, events: Collection[str], switches: dict[str, bool], plant: TalePlant, fault: Fault | None) -> None:
        """Take one scan in: what is pressed in it, how the switches and the guarded gates stand."""
        motions = {motion.name for motion in plant.plant.motions}
        dead = fault.target if fault is not None and fault.kind == FaultKind.STUCK_OFF else ""
        words = [name.partition(".")[2] for name in events if name != dead]
        now = frozenset("motion" if word in motions else word for word in words) & frozenset(ASKING)
        guards = {
            part.name: plant.parts[k] == Position.OPEN
            for k, part in enumerate(plant.plant.parts)
            if part.kind == PartKind.ACCESS and part.guard != Guard.NONE
        }
        turned = any(self.seen.get(name, False) != on for name, on in switches.items())
        shut = any(self.seen.get(name, False) and not is_open for name, is_open in guards.items())
        stopped = any(name.endswith("emergency_ok") for name in events)
        self.so = turned or shut or stopped or (self.so and not now - self.pressed)
        self.pressed, self.seen = now, switches | guards


def has_come_about(
    stated: Property,
    netlist: Netlist,
    acted: TalePlant,
    events: Collection[str],
    values: Sequence[bool],
    driven: Collection[str],
    unasked: bool,
) -> bool:
    """Say whether a property's bad state is there.

    Parameters
    ----------
    events : collection of str
        What is pressed in this scan, as in `Story`.
    values : sequence of bool
        Of the netlist's nodes, as scanned.
    driven : collection of str
        Motions whose valve drives, whatever the control says to it.
    unasked : bool
        After this scan nobody has asked anew; see `Unasked`.
    """
    world = World(netlist, acted.plant)
    scan, so = world.scan, world.scan.builder.constant
    for k, part in enumerate(acted.plant.parts):
        if part.kind in (PartKind.ACCESS, PartKind.LOCK):
            scan.bits[f"{part.name}.open"] = so(acted.parts[k] == Position.OPEN)
        else:
            scan.bits[f"{part.name}.is_closed"] = so(acted.parts[k] == Position.CLOSED)
            scan.bits[f"{part.name}.is_open"] = so(acted.parts[k] == Position.OPEN)
    scan.bits |= {f"{zone}.{least}": so(count >= least) for zone, count in acted.within.items() for least in (1, 2)}
    scan.bits |= {f"astride.{b.name}": so(b.name in acted.astride) for b in acted.plant.boundaries}
    scan.bits |= {f"person.{space.name}": so(space.name in acted.people) for space in acted.plant.spaces}
    scan.bits["down"] = so(acted.down)
    world.drive = {motion.name: so(motion.name in driven) for motion in netlist.motions}
    world.logic = {node: so(value) for node, value in enumerate(values)}
    world.following["unasked"] = so(unasked)
    pressed = {i.name: so(i.name in events) for i in netlist.inputs if i.kind in CONTROLS}
    world.buttons = pressed
    world.events = [Event(name, "", (name,), node) for name, node in pressed.items()]
    return stated.node(world) == so(True)
