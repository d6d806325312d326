"""How the hold and sort switches stand in a rehearsal, and what people do by it: one table for each way they stand.

A line is prepared for one setting. Here the lines of all settings are brought into one order, so that a task, habit or
job has the same number in each, and a rehearsal goes over from one to another while it runs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any, TypeVar

import numpy as np

from stockproof.flow import tables as t
from stockproof.flow.model import Job, Line, Press, Task
from stockproof.flow.translate import translate
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["BARRED", "CATCH", "Setting", "ask_anew", "bar", "in_one_order", "models_of", "setting_of"]

T = TypeVar("T", Task, Press, Job)
#: Added to the unmet conditions of a habit that is not had: more than any list has conditions.
BARRED = 1_000_000
#: What a zone's bail does to a head; while an animal is there it stays as it is.
CATCH = ("bail", "length_m", "sensor_m", "head_m", "neck_m", "body_m", "head_at", "neck_at", "lead_s")


@dataclass(frozen=True, slots=True)
class Setting:
    """How the two switches stand: animals are held for work, and sorted; with both off all is worked by hand.

    `by_hand` is no setting of the switches: animals are held and sorted so, and people work every motion themselves,
    as they do where a switch was turned over an animal and the program has stopped.
    """

    hold: bool
    sort: bool
    by_hand: bool = False


def setting_of(on: Mapping[str, bool], now: Setting) -> Setting:
    """Give the setting from which controls are on: one switch of a word, wherever it is, is enough.

    What has no switch stays as it is now.
    """
    hold, sort = ([is_on for name, is_on in on.items() if name.endswith(end)] for end in (".hold", ".sort"))
    return Setting(any(hold) if hold else now.hold, any(sort) if sort else now.sort)


def in_one_order(lines: Mapping[Setting, Line]) -> dict[Setting, tuple[Line, frozenset[str]]]:
    """Give the lines, each with the tasks, habits and jobs of all in the first one's order, and the habits not its own.

    A task that a line does not have is asked for by none of its animals. Jobs are looked after in every setting: one
    that went down while it was held is helped up though the switch has been turned since.
    """
    tasks = _filled([line.tasks for line in lines.values()])
    presses = _filled([line.presses for line in lines.values()])
    jobs = _filled([line.jobs for line in lines.values()])
    return {
        setting: (
            replace(
                line,
                tasks=tuple(task if own else replace(task, share=0.0, role="") for task, own in tasks[k]),
                presses=tuple(press for press, _ in presses[k]),
                jobs=tuple(job for job, _ in jobs[k]),
            ),
            frozenset(press.name for press, own in presses[k] if not own),
        )
        for k, (setting, line) in enumerate(lines.items())
    }


def _filled(lists: Sequence[tuple[T, ...]]) -> list[list[tuple[T, bool]]]:
    """Each list with the items of all, in one order and of one priority, and whether an item is the list's own."""
    first = {item.name: item for item in chain(*reversed(lists))}
    order = list(_merged([[item.name for item in items] for items in lists]))
    owned = [{item.name: item for item in items} for items in lists]
    return [
        [(replace(own.get(name, first[name]), priority=first[name].priority), name in own) for name in order]
        for own in owned
    ]


def _merged(lists: Sequence[Sequence[str]]) -> Iterator[str]:
    """The names of all lists: the first in its order, those of the others after the one they follow in theirs."""
    order: list[str] = []
    for names in lists:
        at = 0
        for name in names:
            if name not in order:
                order.insert(at, name)
            at = order.index(name) + 1
    yield from order


def models_of(
    lines: Mapping[Setting, tuple[Line, frozenset[str]]], netlist: Netlist, plant: Plant, latest_s: float
) -> dict[Setting, t.Records]:
    """Give the kernel's table for each setting, from lines in one order.

    Raises
    ------
    InputError
        The lines together are larger than the kernel's tables.
    """
    models = {}
    for setting, (line, barred) in lines.items():
        models[setting] = model = translate(line, netlist, plant, latest_s)
        for q, press in enumerate(line.presses):
            model[0]["unmet"][t.OF_PRESSES + q] += BARRED * (press.name in barred)
    return models


def ask_anew(herd: t.Records, fresh: t.Records, models: tuple[t.Records, t.Records], crush: Any) -> None:
    """Give animals not yet on their way into the crush the way and tasks another setting had given them at the start.

    Parameters
    ----------
    herd : ANIMAL[head]
        Changed where it stands.
    fresh : ANIMAL[head]
        The herd as it begins in the new setting.
    models : pair of MODEL[1]
        Of the setting that was, and of the new one.
    crush : ZONE_STATE
        As it is now.
    """
    asked = [model[0]["task"]["share"] > 0.0 for model in models]
    changed = sum(1 << int(k) for k in np.flatnonzero(asked[0] != asked[1]))
    waiting = herd["zone"] < int(models[0][0]["main_zone"])
    if crush["coming"] >= 0:
        waiting[crush["comer"]] = False
    herd["todo"] = np.where(waiting, herd["todo"] & ~changed | fresh["todo"] & changed, herd["todo"])
    herd["way"] = np.where(waiting, fresh["way"], herd["way"])


def bar(by: int, line: Line, *tables: Any) -> None:
    """Keep the crew's hands off every control (`BARRED`), or let them at them again (less as much)."""
    for q, press in enumerate(line.presses):
        if not press.part:
            for table in tables:
                table["unmet"][t.OF_PRESSES + q] += by
