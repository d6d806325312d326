"""What a rehearsal is made of: its script, the tables the kernel is given for it, and the acts done in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from stockproof.flow import tables as t
from stockproof.flow.live_settings import Setting, in_one_order, models_of
from stockproof.flow.live_troubles import Trouble, troubles_of
from stockproof.flow.model import Line
from stockproof.flow.translate import Names, names_of, program_of
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

    `setting` is how the hold and sort switches stand at the start, for which `line` was prepared; `others` are the
    lines for the other ways they can stand, and for working by hand. Where there is no line for a setting, turning to
    it changes no habit.
    """

    line: Line
    netlist: Netlist
    plant: Plant
    laws: MotionLaws | None
    seed: int
    setting: Setting
    replication: int = 0
    others: Mapping[Setting, Line] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """What the kernel is given, made once and copied for each rehearsal of a script.

    `line` is that of the start with the tasks, habits and jobs of every setting; `models` are the kernel's tables, one
    a setting; `herds` the animals as they begin in a setting, made when they are first asked for.
    """

    line: Line
    names: Names
    models: dict[Setting, t.Records]
    program: t.Records
    troubles: dict[str, Trouble]
    herds: dict[Setting, t.Records] = field(default_factory=dict)


def tables_of(script: Script) -> Tables:
    netlist, plant = script.netlist, script.plant
    lines = in_one_order({script.setting: script.line, **script.others})
    line, _ = lines[script.setting]
    return Tables(
        line,
        names_of(line, netlist, plant),
        models_of(lines, netlist, plant, math.inf),
        program_of(netlist, plant, script.laws),
        {f"{each.kind.name}:{each.target}": each for each in troubles_of(netlist, plant)},
    )
