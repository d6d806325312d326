"""The tasks a programme may name: where each is done, by whom, how the animal is held, and how long it takes."""

from __future__ import annotations

from functools import cache
from importlib import resources
from pathlib import Path
from typing import Literal

from stockproof.records import Record, attribute, load
from stockproof.tomlfile import parse_toml
from stockproof.units import Duration, Share

__all__ = ["Access", "Restraint", "Task", "task_table"]

Access = Literal["front", "neck", "flank", "rear", "back"]
Restraint = Literal["none", "squeeze", "head", "head_raised"]


class Task(Record):
    """One thing done to an animal."""

    code: str = attribute("task code", pattern=r"^[a-z][a-z0-9_]*$")
    label: str = attribute("plain words", min_length=1)
    place: Literal["crush_front", "crush_side", "crush_rear"] = attribute("where the person stands")
    skill: Literal["none", "husbandry", "vet", "ai"] = attribute("skill needed; none where a machine does it")
    restraint: Restraint = attribute("how the animal must be held")
    access: tuple[Access, ...] = attribute("parts of the animal that must be reached")
    needs: tuple[str, ...] = attribute("kinds of item that must be there", ())
    time_s: Duration = attribute("mean time for one animal", gt=0)
    spread_share: Share = attribute("standard deviation over mean", gt=0, le=2)
    hand_busy: bool = attribute("the person can do nothing else meanwhile", True)
    source: str = attribute("where the time comes from", min_length=1)


class _TaskFile(Record):
    format: Literal[1] = attribute("version of the file's form")
    task: tuple[Task, ...] = attribute("tasks", min_length=1)


@cache
def task_table() -> dict[str, Task]:
    """Give every known task by its code."""
    raw = resources.files("stockproof.brief").joinpath("tasks.toml").read_bytes()
    return {task.code: task for task in load(_TaskFile, parse_toml(raw, "tasks.toml", Path())).task}
