"""The names of everything in a line, in the order of the kernel's tables."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.flow.model import Line
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import Plant

__all__ = ["Names", "controls_of", "names_of"]


@dataclass(frozen=True, slots=True)
class Names:
    """Every name of a line, in the order of the kernel's tables."""

    zones: tuple[str, ...]
    tasks: tuple[str, ...]
    people: tuple[str, ...]
    presses: tuple[str, ...]
    jobs: tuple[str, ...]
    places: tuple[str, ...]
    parts: tuple[str, ...]
    motions: tuple[str, ...]
    timers: tuple[str, ...]
    spaces: tuple[str, ...]
    controls: tuple[str, ...]
    factors: tuple[str, ...]
    skills: tuple[str, ...]


def names_of(line: Line, netlist: Netlist | None, plant: Plant | None) -> Names:
    """Give the names of everything in a line and what it runs with."""
    skills = dict.fromkeys(skill for person in line.crew for skill in person.skills)
    return Names(
        zones=tuple(zone.name for zone in line.zones),
        tasks=tuple(task.name for task in line.tasks),
        people=tuple(person.name for person in line.crew),
        presses=tuple(press.name for press in line.presses),
        jobs=tuple(job.name for job in line.jobs),
        places=line.places,
        parts=tuple(part.name for part in plant.parts) if plant else (),
        motions=tuple(motion.name for motion in netlist.motions) if netlist else (),
        timers=tuple(timer.name for timer in netlist.timers) if netlist else (),
        spaces=tuple(space.name for space in plant.spaces) if plant else (),
        controls=controls_of(netlist),
        factors=("", *(factor.name for factor in line.uncertain)),
        skills=tuple(skills),
    )


def controls_of(netlist: Netlist | None) -> tuple[str, ...]:
    """Give the names of the inputs that people work."""
    inputs = () if netlist is None else netlist.inputs
    return tuple(entry.name for entry in inputs if entry.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED))
