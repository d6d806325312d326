"""What a rehearsal is made of: its script, the tables the kernel is given for it, and the acts done in it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stockproof.flow import tables as t
from stockproof.flow.live_troubles import Trouble, troubles_of
from stockproof.flow.model import Line
from stockproof.flow.translate import Names, names_of, program_of, translate
from stockproof.motion.laws import MotionLaws
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["VERBS", "Act", "Script", "Tables", "Verb", "tables_of"]

Verb = str
#: What can be done to a rehearsal: a button, a switch, an access gate by hand, the crew's hands, a fault.
VERBS: tuple[Verb, ...] = ("press", "turn", "gate", "crew", "trouble")


@dataclass(frozen=True, slots=True)
class Act:
    """Something done to a rehearsal: when, one of `VERBS`, to what, and whether on or off.

    `press` and `turn` name a control, `gate` an access gate (on: open), `crew` nothing (on: it works the controls),
    `trouble` the kind and target of a fault, as `kind:target`.
    """

    time_s: float
    verb: Verb
    name: str
    on: bool


@dataclass(frozen=True, slots=True)
class Script:
    """What a rehearsal runs: the line with the control and plant it belongs to, the motion laws, and the seed.

    `holds` is how a head bail behaves from the start: it catches necks only while the line holds animals for work.
    """

    line: Line
    netlist: Netlist
    plant: Plant
    laws: MotionLaws | None
    seed: int
    replication: int = 0
    holds: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """What the kernel is given, made once and copied for each rehearsal of a script."""

    names: Names
    model: t.Records
    program: t.Records
    troubles: dict[str, Trouble]


def tables_of(script: Script) -> Tables:
    line, netlist, plant = script.line, script.netlist, script.plant
    return Tables(
        names_of(line, netlist, plant),
        translate(line, netlist, plant, math.inf),
        program_of(netlist, plant, script.laws),
        {f"{each.kind.name}:{each.target}": each for each in troubles_of(netlist, plant)},
    )
