"""Builds that differ by one thing, so that flow says what it is worth: a slide gate more, the head lift left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache, partial

from stockproof import flow, power, yard
from stockproof.catalogue import ItemBase
from stockproof.catalogue.items import HeadLift, Sensor, SlideGate
from stockproof.installation import Chosen, Installation, broken_rules
from stockproof.motion.laws import MotionLaws
from stockproof.proof.machine import Control, assemble, circuit_on

__all__ = ["builds", "flow_machine", "other_machines"]

ORDINALS = {1: "a", 2: "a second", 3: "a third"}


def builds(installation: Installation) -> Iterator[tuple[str, Installation]]:
    """Give each build that differs by one thing, with what is different about it in words."""
    for lift in installation.items(HeadLift):
        if (less := _without(installation, lift)) is not None:
            yield "the head lift left out", less
    gates = installation.items(SlideGate)
    for gate in gates:
        if (less := _without(installation, gate)) is not None:
            yield "the slide gate left out", less
    wanted = len(gates) + 1
    for item in installation.catalogue.items:
        if isinstance(item, SlideGate) and item.from_crush == wanted:
            more = replace(installation, build=_in_order(installation, (*installation.build, Chosen(item, 1))))
            if not any(broken_rules(more)):
                yield f"{ORDINALS.get(wanted, 'another')} slide gate ({item.name})", more
                return


def flow_machine(control: Control, laws: MotionLaws) -> flow.Machine:
    """Give the control on its plant, with the catalogue's times for what the oil does not move."""
    catalogue_times = {motion.name: motion.time_s for motion in control.plant.motions}
    return flow.Machine(control.netlist, control.plant, laws.joined_by(catalogue_times))


def other_machines(installation: Installation, numbers: yard.Quantities | None) -> dict[str, flow.Other]:
    """Give what makes each of those builds with the machine that runs it on the same yard, once it is wanted."""
    return {words: cache(partial(_running, build, numbers)) for words, build in builds(installation)}


def _running(build: Installation, numbers: yard.Quantities | None) -> tuple[Installation, flow.Machine]:
    laws = power.laws(power.prepare(circuit_on(build, numbers)))
    return build, flow_machine(assemble(build, numbers), laws)


def _without(installation: Installation, item: ItemBase) -> Installation | None:
    """The build without an item and the sensors that are of use with it alone; None where anything else needs it."""
    kept = tuple(chosen for chosen in installation.build if chosen.item is not item)
    while True:
        less = replace(installation, build=kept)
        waiting = {chosen.item.code for chosen, _ in broken_rules(less)}
        if not waiting:
            return less
        if any(not isinstance(chosen.item, Sensor) for chosen in kept if chosen.item.code in waiting):
            return None
        kept = tuple(chosen for chosen in kept if chosen.item.code not in waiting)


def _in_order(installation: Installation, build: tuple[Chosen, ...]) -> tuple[Chosen, ...]:
    places = {item.code: k for k, item in enumerate(installation.catalogue.items)}
    return tuple(sorted(build, key=lambda chosen: places[chosen.item.code]))
