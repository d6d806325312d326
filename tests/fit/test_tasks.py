"""Tasks against build and crew: each lack is found by itself, with its code and the items that mend it."""

from __future__ import annotations

import pytest

from stockproof import fit
from stockproof.brief import Brief
from stockproof.catalogue import ItemBase
from stockproof.fit import TaskPair, TaskRow
from stockproof.fit.tasks import task_pairs, task_rows
from stockproof.installation import Installation
from tests.fit.support import changed, first_of, installed, with_item
from tests.herd.support import brief_of

TASKS = 'tasks = ["inject_neck", "pour_on"]'
SKILLS = 'skills = ["stock", "controls", "husbandry"]'
PLACES = 'places = ["crush_side", "crush_front", "race", "forcing_pen"]'
WHOLE = ("crush_body", "head_bail", "squeeze", "head_lift", "rear_access_gate", "control_point", "weigh_platform")


def whole_build() -> list[ItemBase]:
    return [
        *(first_of(kind) for kind in WHOLE),
        first_of("side_access_gate", place="neck"),
        first_of("side_access_gate", place="flank"),
    ]


def without(kind: str, **wanted: object) -> list[ItemBase]:
    gone = {item.code for item in [first_of(kind, **wanted)]}
    return [item for item in whole_build() if item.code not in gone]


def brief_with(tasks: str, *changes: tuple[str, str]) -> Brief:
    return brief_of((TASKS, f"tasks = {tasks}"), *changes)


def row_of(installation: Installation, task: str) -> TaskRow:
    return next(row for row in task_rows(installation) if row.task == task)


def first_pair(installation: Installation) -> TaskPair:
    return task_pairs(installation, task_rows(installation))[0]


def codes(row: TaskRow) -> list[str]:
    return [lack.code for lack in row.lacks]


def test_everything_there_covers_the_template() -> None:
    result = fit.assess(installed(whole_build()))
    assert all(row.covered for row in result.tasks)
    assert {row.task for row in result.tasks} == {"move_stock", "controls", "hold", "inject_neck", "pour_on"}
    assert result.lacks("autumn cows") == ()


LACKS = [
    ("inject_neck", "squeeze", {}, "restraint_missing"),
    ("inject_neck", "side_access_gate", {"place": "neck"}, "access_missing"),
    ("udder_check", "side_access_gate", {"place": "flank"}, "access_missing"),
    ("castrate", "rear_access_gate", {}, "access_missing"),
    ("dehorn", "head_lift", {}, "restraint_missing"),
    ("weigh", "weigh_platform", {}, "item_missing"),
    ("hold", "head_bail", {}, "restraint_missing"),
    ("controls", "control_point", {}, "item_missing"),
]


@pytest.mark.parametrize(("task", "kind", "wanted", "code"), LACKS)
def test_what_is_taken_out_is_missed_and_its_kind_mends(
    task: str, kind: str, wanted: dict[str, object], code: str
) -> None:
    tasks = f'["{task}"]' if task not in ("hold", "controls") else '["inject_neck"]'
    brief = brief_with(tasks, (PLACES, 'places = ["crush_side", "crush_front", "crush_rear", "race"]'))
    assert row_of(installed(whole_build(), brief), task).covered
    lacking = installed(without(kind, **wanted), brief)
    row = row_of(lacking, task)
    assert codes(row) == [code]
    assert row.lacks[0].stops
    assert row.lacks[0].mends
    for mend in row.lacks[0].mends[:3]:
        assert row_of(with_item(lacking, lacking.catalogue.by_code[mend.item]), task).covered


def test_a_head_task_lacks_bail_and_front_at_once() -> None:
    row = row_of(installed(without("head_bail"), brief_with('["ear_tag"]')), "ear_tag")
    assert codes(row) == ["restraint_missing", "access_missing"]


def test_a_closed_top_hides_the_back() -> None:
    closed = changed(first_of("crush_body"), top_open=False)
    row = row_of(installed([*without("crush_body"), closed]), "pour_on")
    assert codes(row) == ["access_missing"]
    assert all(mend.replaces == closed.code for mend in row.lacks[0].mends)


def test_held_work_with_the_hold_switch_off() -> None:
    row = row_of(installed(whole_build(), brief_of(("hold = true", "hold = false"))), "inject_neck")
    assert codes(row) == ["hold_switch_off"]


PEOPLE = [
    (SKILLS, 'skills = ["stock", "controls"]', "inject_neck", "skill_missing", "nobody of Person 1 has the skill"),
    (SKILLS, 'skills = ["stock", "husbandry"]', "controls", "nobody_works_controls", "nobody of Person 1"),
    (SKILLS, 'skills = ["controls", "husbandry"]', "move_stock", "nobody_moves_stock", "nobody of Person 1"),
    (PLACES, 'places = ["crush_front", "race"]', "inject_neck", "place_missing", "may not stand beside the crush"),
]


@pytest.mark.parametrize(("old", "new", "task", "code", "text"), PEOPLE)
def test_the_crew_is_asked_for_skill_and_place(old: str, new: str, task: str, code: str, text: str) -> None:
    row = row_of(installed(whole_build(), brief_of((old, new))), task)
    assert codes(row) == [code]
    assert text in row.lacks[0].text


def test_sorting_needs_a_draft_unit_with_ways_and_a_scale() -> None:
    brief = brief_of(("sort = false", 'sort = true\nsorted_by = "weight"\ncuts = ["480 kg", "560 kg"]'))
    nothing = row_of(installed(without("weigh_platform"), brief), "sort")
    assert codes(nothing) == ["item_missing", "item_missing"]
    two = installed([*whole_build(), first_of("draft_unit", ways=2)], brief)
    row = row_of(two, "sort")
    assert codes(row) == ["too_few_ways"]
    ways = [getattr(two.catalogue.by_code[mend.item], "ways") for mend in row.lacks[0].mends]  # noqa: B009
    assert ways
    assert min(ways) >= 3
    assert row_of(installed([*whole_build(), first_of("draft_unit", ways=3)], brief), "sort").covered


TWO_PEOPLE = (
    "[[programme]]",
    '[[person]]\nname = "Person 2"\nskills = ["husbandry", "vet"]\n'
    'places = ["crush_front", "crush_rear", "crush_side"]\ncost = "35 NZD/h"\npaid = true\n\n[[programme]]',
)
BOTH = ('crew = ["Person 1"]', 'crew = ["Person 1", "Person 2"]')

PAIRS = [
    ('["inject_neck", "ear_tag"]', True, ""),
    ('["inject_neck", "pour_on"]', False, "same_place"),
    ('["pregnancy_test", "dehorn"]', False, "behind_raised_head"),
    ('["pregnancy_test", "drench"]', True, ""),
    ('["weigh", "drench"]', False, "weighing"),
    ('["weigh", "read_tag"]', False, "not_covered"),
    ('["weigh", "look_over"]', True, ""),
]


@pytest.mark.parametrize(("tasks", "together", "because"), PAIRS)
def test_which_tasks_go_on_together(tasks: str, together: bool, because: str) -> None:
    pair = first_pair(installed(whole_build(), brief_with(tasks, TWO_PEOPLE, BOTH)))
    assert (pair.together, pair.because) == (together, because)


def test_one_person_cannot_be_in_two_places() -> None:
    pair = first_pair(installed(whole_build(), brief_with('["inject_neck", "ear_tag"]')))
    assert (pair.together, pair.because) == (False, "same_person")


def test_somebody_behind_the_animal_keeps_the_gates_there_shut() -> None:
    rows = task_rows(installed(whole_build(), brief_with('["pregnancy_test", "drench"]', TWO_PEOPLE, BOTH)))
    shut = {row.task: row.keeps_shut for row in rows}
    assert shut["pregnancy_test"] == ("entry", "slide")
    assert shut["drench"] == ()
