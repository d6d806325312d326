"""What is done by hand on the plan becomes the `[yard]` table, and comes out again without a trace."""

from __future__ import annotations

from functools import cache

import pytest

from stockproof.desk.store import Papers
from stockproof.desk.text import value_at, values
from stockproof.desk.verbs import installation_of
from stockproof.desk.yarding import Plan, anew, by_hand, draw_plan, held, judge_plan, moved, sized, turned
from stockproof.errors import InputError
from stockproof.yard import Yard
from stockproof.yard.handles import Handle
from tests.desk.test_work import HILL, papers_of

PEN = "receiving pen 2"
PAPERS = papers_of(HILL)


@cache
def plan() -> Plan:
    return draw_plan(installation_of(PAPERS), 230.0)


def yard() -> Yard:
    found = plan().yard
    assert found is not None
    return found


def handle(key: str) -> Handle:
    return next(handle for handle in plan().handles if handle.key == key)


def at(text: str, *path: str | int) -> object:
    return value_at(values(text), ("yard", *path))


def test_a_plan_is_drawn_for_a_screen_with_its_parts_and_findings() -> None:
    assert plan().svg.startswith("<svg")
    assert {finding.verdict for finding in plan().findings} == {"met", "not met", "not shown"}
    x, y = handle("crush").at
    assert 0 < (x - plan().corner[0]) * plan().mm_per_m < 230.0
    assert y < plan().corner[1]
    assert {box.kind for box in plan().boxes} >= {"slab", "gate", "crush", "power pack"}


def test_steps_of_a_part_add_up_and_what_comes_to_nothing_is_taken_out() -> None:
    text = moved(PAPERS.text, yard(), handle(PEN), (0.3, 0.1))
    text = moved(text, yard(), handle("power pack"), (1.0, 0.0))
    text = moved(text, yard(), handle(PEN), (0.1, -0.2))
    assert at(text, "move") == [
        {"part": PEN, "east": 0.4, "north": -0.1},
        {"part": "power pack", "east": 1.0, "north": 0.0},
    ]
    text = moved(text, yard(), handle(PEN), (-0.4, 0.1))
    assert [row["part"] for row in at(text, "move")] == ["power pack"]  # type: ignore[attr-defined]


def test_the_line_carries_the_yard_and_a_sized_pen_holds_it_where_it_stands() -> None:
    shifted = moved(PAPERS.text, yard(), handle("race"), (2.0, 1.0))
    x, y = yard().crush.x, yard().crush.y
    assert at(shifted, "fix", "at") == [pytest.approx(x + 2.0, abs=0.006), pytest.approx(y + 1.0, abs=0.006)]
    assert held(shifted)
    text = sized(PAPERS.text, yard(), PEN, 60.04)
    assert at(text, "resize") == [{"part": PEN, "area": "60.0 m2"}]
    heading_deg = float(str(at(text, "fix", "heading")).removesuffix(" deg"))
    assert at(turned(PAPERS.text, yard(), 5.0), "fix", "heading") == f"{(heading_deg + 5.0) % 360.0:g} deg"
    again = draw_plan(installation_of(Papers(text, PAPERS.files)), 230.0).yard
    assert again is not None
    assert again.zone(PEN).area_m2 == pytest.approx(60.0)
    assert again.zone("crush").ring[0] == pytest.approx(yard().zone("crush").ring[0], abs=0.02)


def test_found_anew_leaves_no_trace_of_a_hand() -> None:
    text = sized(moved(PAPERS.text, yard(), handle(PEN), (0.3, 0.1)), yard(), PEN, 60.0)
    assert by_hand(text)
    assert values(anew(text)) == values(PAPERS.text)
    assert not by_hand(anew(text))


def test_what_is_done_by_hand_is_judged_and_a_wrong_part_refused() -> None:
    text = moved(PAPERS.text, yard(), handle(PEN), (3.0, 0.0))
    before = {finding.code for finding in plan().findings if finding.verdict == "not met"}
    after = {
        finding.code
        for finding in judge_plan(installation_of(Papers(text, PAPERS.files)))
        if finding.verdict == "not met"
    }
    assert after > before
    with pytest.raises(InputError, match="no part of the yard is called 'receiving pen 22'"):
        judge_plan(installation_of(Papers(text.replace(PEN, f"{PEN}2"), PAPERS.files)))


def test_text_that_is_no_toml_is_left_alone() -> None:
    with pytest.raises(InputError, match="no TOML"):
        moved("a = = 1", yard(), handle(PEN), (1.0, 0.0))
