"""Whether build and crew cover every task of every programme, and which tasks may go on together.

It knows places, skills, restraint and access; how long tasks take and who does them when belongs to stock flow.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import combinations

from stockproof.brief import Person, Programme, Task
from stockproof.catalogue import ItemBase
from stockproof.catalogue import items as kinds
from stockproof.fit.findings import finding
from stockproof.fit.mends import additions, kind_of
from stockproof.fit.model import Finding, TaskPair, TaskRow
from stockproof.installation import Installation

__all__ = ["task_pairs", "task_rows"]

PLACES = {
    "crush_front": "in front of the crush",
    "crush_side": "beside the crush",
    "crush_rear": "behind the crush",
    "forcing_pen": "in the forcing pen",
    "race": "at the race",
    "draft": "at the draft unit",
}
KIND_WORDS = {
    "head_bail": "head bail",
    "head_lift": "head lift",
    "squeeze": "squeeze",
    "rear_access_gate": "rear access gate",
    "draft_unit": "draft unit",
    "weigh_platform": "weigh platform",
    "tag_reader": "tag reader",
}
RESTRAINT: dict[str, tuple[str, ...]] = {
    "none": (),
    "squeeze": ("squeeze",),
    "head": ("head_bail",),
    "head_raised": ("head_bail", "head_lift"),
}
SORTING: dict[str, tuple[str, ...]] = {"weight": ("weigh_platform",), "tag": ("tag_reader",), "eye": ()}

#: Gates on either side of the space behind the crush; a gate across the race behind the person, and the entry gate:
#: University of Kentucky ASC-61 (Sorensen and Beverly 1978), palpation gate.
REAR_SPACE = ("entry", "slide")

Wanted = Callable[[ItemBase], bool]


def task_rows(installation: Installation) -> tuple[TaskRow, ...]:
    """Give a row for every task and duty of every programme, in the brief's order."""
    return tuple(row for programme in installation.brief.file.programme for row in _rows(installation, programme))


def _rows(installation: Installation, programme: Programme) -> Iterator[TaskRow]:
    crew = [installation.brief.people[name] for name in programme.crew]
    yield _moving_stock(programme, crew)
    yield _controls(installation, programme, crew)
    if programme.hold:
        yield _holding(installation, programme)
    for code in programme.tasks:
        yield _task(installation, programme, installation.brief.tasks[code], crew)
    if programme.sort:
        yield _sorting(installation, programme, crew)


def _moving_stock(programme: Programme, crew: list[Person]) -> TaskRow:
    able = [p for p in crew if "stock" in p.skills and {"forcing_pen", "race"} & set(p.places)]
    text = f"nobody of {_names(crew)} has the skill stock and may stand in the forcing pen or at the race"
    lacks = () if able else (finding("nobody_moves_stock", programme.name, text),)
    return TaskRow(programme.name, "move_stock", "Bring stock up", "forcing_pen", _who(able), (), lacks)


def _controls(installation: Installation, programme: Programme, crew: list[Person]) -> TaskRow:
    points = installation.items(kinds.ControlPoint)
    powered = any(chosen.item.motion for chosen in installation.build)
    able = [p for p in crew if "controls" in p.skills and (not powered or _at_a_point(p, points))]
    lacks: list[Finding] = []
    if powered and not points:
        mends = additions(installation, _of_kind("control_point"))
        lacks.append(finding("item_missing", programme.name, "needs a control point", mends=mends))
    elif not able:
        text = f"nobody of {_names(crew)} has the skill controls and may stand at a control point"
        lacks.append(finding("nobody_works_controls", programme.name, text))
    codes = tuple(point.code for point in points)
    return TaskRow(programme.name, "controls", "Work the controls", "crush_side", _who(able), codes, tuple(lacks))


def _at_a_point(person: Person, points: tuple[kinds.ControlPoint, ...]) -> bool:
    where = {"side_panel": {"crush_side"}, "front_panel": {"crush_front"}}
    return any(point.style == "hand_held_remote" or where[point.style] & set(person.places) for point in points)


def _holding(installation: Installation, programme: Programme) -> TaskRow:
    bails = tuple(bail.code for bail in installation.items(kinds.HeadBail))
    mends = () if bails else additions(installation, _of_kind("head_bail"))
    text = "the hold switch is on and the build has no head bail"
    lacks = () if bails else (finding("restraint_missing", programme.name, text, mends=mends),)
    return TaskRow(programme.name, "hold", "Hold each animal", "crush_front", (), bails, lacks)


def _task(installation: Installation, programme: Programme, task: Task, crew: list[Person]) -> TaskRow:
    about = f"{programme.name}: {task.label.lower()}"
    serving: list[str] = []
    lacks: list[Finding] = []
    for code, words, wanted in _wants(task):
        items = [chosen.item.code for chosen in installation.build if wanted(chosen.item)]
        serving += [item for item in items if item not in serving]
        if not items:
            replaces = _closed_crush(installation) if code == "access_missing" and "top" in words else ""
            lacks.append(finding(code, about, f"needs {words}", mends=additions(installation, wanted, replaces)))
    if task.restraint != "none" and not programme.hold:
        lacks.append(finding("hold_switch_off", about, "needs the animal held"))
    able, lack = _people(about, task, crew)
    shut = REAR_SPACE if "rear" in task.access else ()
    return TaskRow(programme.name, task.code, task.label, task.place, able, tuple(serving), (*lacks, *lack), shut)


def _wants(task: Task) -> Iterator[tuple[str, str, Wanted]]:
    """What a task needs of the build: the finding's code where it is missing, words, and the test of an item."""
    for kind in RESTRAINT[task.restraint]:
        yield "restraint_missing", _a(kind), _of_kind(kind)
    for access in task.access:
        yield from _access(access)
    for kind in task.needs:
        yield "item_missing", _a(kind), _of_kind(kind)


def _access(access: str) -> Iterator[tuple[str, str, Wanted]]:
    match access:
        case "front":
            yield "access_missing", "a head bail, so that the head is out in front", _of_kind("head_bail")
        case "rear":
            yield "access_missing", "a rear access gate", _of_kind("rear_access_gate")
        case "back":
            yield "access_missing", "a crush body open at the top", _open_top
        case _:
            yield "access_missing", f"a side access gate at the {access}", _side_gate(access)


def _of_kind(kind: str) -> Wanted:
    return lambda item: kind_of(item) == kind


def _side_gate(place: str) -> Wanted:
    return lambda item: isinstance(item, kinds.SideAccessGate) and item.place == place


def _open_top(item: ItemBase) -> bool:
    return isinstance(item, kinds.CrushBody) and item.top_open


def _closed_crush(installation: Installation) -> str:
    crush = installation.one(kinds.CrushBody)
    return crush.code if crush is not None else ""


def _people(about: str, task: Task, crew: list[Person]) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    if task.skill == "none":
        return (), ()
    skilled = [p for p in crew if task.skill in p.skills]
    able = [p for p in skilled if task.place in p.places]
    if not skilled:
        text = f"nobody of {_names(crew)} has the skill {task.skill}"
        return (), (finding("skill_missing", about, text),)
    if not able:
        text = f"{_names(skilled)} has the skill {task.skill} but may not stand {PLACES[task.place]}"
        return (), (finding("place_missing", about, text),)
    return _who(able), ()


def _sorting(installation: Installation, programme: Programme, crew: list[Person]) -> TaskRow:
    about = f"{programme.name}: sorting"
    lacks: list[Finding] = []
    serving: list[str] = []
    for kind in ("draft_unit", *SORTING[programme.sorted_by]):
        items = [chosen.item.code for chosen in installation.build if kind_of(chosen.item) == kind]
        serving += items
        if not items:
            mends = additions(installation, _of_kind(kind))
            lacks.append(finding("item_missing", about, f"needs {_a(kind)}", mends=mends))
    lacks += _ways(installation, programme, about)
    able = [p for p in crew if "controls" in p.skills] if programme.sorted_by == "eye" else []
    return TaskRow(programme.name, "sort", "Sort", "draft", _who(able), tuple(serving), tuple(lacks))


def _ways(installation: Installation, programme: Programme, about: str) -> Iterator[Finding]:
    groups = len(programme.cuts_kg) + 1 if programme.sorted_by == "weight" else 2
    draft = installation.one(kinds.DraftUnit)
    if draft is not None and draft.ways < groups:
        mends = additions(
            installation, lambda item: isinstance(item, kinds.DraftUnit) and item.ways >= groups, draft.code
        )
        yield finding("too_few_ways", about, f"sorts into {groups} groups; {draft.name} has {draft.ways}", mends=mends)


def task_pairs(installation: Installation, rows: tuple[TaskRow, ...]) -> tuple[TaskPair, ...]:
    """Give every two tasks of each programme and whether they may go on at the same time."""
    return tuple(
        _pair(installation, first, second)
        for programme in installation.brief.file.programme
        for first, second in combinations(_task_rows_of(installation, programme, rows), 2)
    )


def _task_rows_of(installation: Installation, programme: Programme, rows: tuple[TaskRow, ...]) -> Iterable[TaskRow]:
    return [row for row in rows if row.programme == programme.name and row.task in installation.brief.tasks]


def _pair(installation: Installation, first: TaskRow, second: TaskRow) -> TaskPair:
    tasks = installation.brief.tasks
    because = _hindrance(first, second, tasks[first.task], tasks[second.task])
    return TaskPair(first.programme, first.task, second.task, not because, because)


def _hindrance(row: TaskRow, other: TaskRow, one: Task, two: Task) -> str:
    """Why two tasks may not go on at once; empty when they may."""
    if not (row.covered and other.covered):
        return "not_covered"
    if "weigh_platform" in (*one.needs, *two.needs) and (one.access or two.access):
        return "weighing"
    if "none" in (one.skill, two.skill):
        return ""
    if _behind_raised_head(one, two) or _behind_raised_head(two, one):
        return "behind_raised_head"
    if one.place == two.place:
        # what leaves the hands free goes on beside other work of the same person
        return "" if not (one.hand_busy and two.hand_busy) else "same_place"
    return "" if len({*row.people, *other.people}) > 1 else "same_person"


def _behind_raised_head(behind: Task, front: Task) -> bool:
    """Nobody stands behind an animal whose head is being raised: it strains back."""
    return "rear" in behind.access and front.restraint == "head_raised"


def _who(people: list[Person]) -> tuple[str, ...]:
    return tuple(person.name for person in people)


def _names(people: list[Person]) -> str:
    return ", ".join(_who(people))


def _a(kind: str) -> str:
    return f"a {KIND_WORDS.get(kind, kind.replace('_', ' '))}"
