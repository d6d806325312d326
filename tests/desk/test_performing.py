"""A rehearsal outlives its page and its process, and nobody who leaves takes another's with him."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator

import pytest

from stockproof.desk.performing import Performance
from stockproof.desk.rehearsing import GONE, Begin
from stockproof.desk.telling import Tale
from stockproof.desk.work import Faulty, Worker
from stockproof.logic.verification import verify
from tests.desk.casts import cast_on
from tests.desk.loops import run


@pytest.fixture(scope="module")
def stage() -> Iterator[Worker]:
    worker = Worker()
    yield worker
    worker.close()


def begin() -> Begin:
    return Begin(cast_on("dairy"), "drench and weigh")


def a_tale() -> Tale:
    control = cast_on("dairy").control
    found = verify(control.netlist, control.plant, faults=False, codes=["presses_in_reach.side_reach"])
    story = found.findings[0].story
    assert story is not None
    return Tale("", found.findings[0].property.title, found.findings[0].property.code, story)


def test_what_was_done_is_played_again_where_the_process_was_lost(stage: Worker) -> None:
    async def play() -> None:
        performance = Performance(stage)
        await performance.begin(begin(), None)
        for k in range(6):
            await performance.do("go", 4.0 + 0.1234567 * k)
            await performance.do("act", "press", "side.squeeze.in", k % 2 == 0)
        was = await performance.do("go", 20.0)
        stage.close()
        again = await performance.do("show")
        passing = ("told", "animals", "crew")
        assert {k: v for k, v in again.items() if k not in passing} == {
            k: v for k, v in was.items() if k not in passing
        }
        await performance.do("look", 9.0)
        stage.close()
        back = await performance.do("show")
        assert back["past"]
        assert back["t"] == 9.0
        assert back["latest"] == was["latest"]

    run(play())


def test_acting_at_a_moment_looked_back_on_forgets_what_came_after_it(stage: Worker) -> None:
    async def play() -> None:
        performance = Performance(stage)
        await performance.begin(begin(), None)
        for _ in range(4):
            await performance.do("go", 5.0)
            await performance.do("act", "crew", "", False)
        await performance.do("look", 11.0)
        await performance.do("act", "crew", "", True)
        assert performance.begun is not None
        assert [(act.time_s, act.on) for act in performance.begun.acts] == [(5.0, False), (10.0, False), (11.0, True)]

    run(play())


def test_a_page_opened_again_shows_it_as_it_stands_and_knows_what_is_still_pressed(stage: Worker) -> None:
    async def play() -> None:
        performance = Performance(stage)
        still, _ = await performance.begin(begin(), None)
        await performance.do("go", 7.5)
        await performance.do("act", "press", "side.bail.open", True)
        was = await performance.do("act", "press", "side.squeeze.in", True)
        await performance.do("act", "press", "side.squeeze.in", False)
        again, moment = await performance.open()
        assert again == still
        assert moment["t"] == was["t"]
        assert performance.pressed == ("side.bail.open",)

    run(play())


def test_a_story_broken_off_while_the_stage_works_takes_nobody_elses_rehearsal_with_it(stage: Worker) -> None:
    async def play() -> None:
        mine, another = Performance(stage), Performance(stage)
        for performance in (mine, another):
            await performance.begin(begin(), None)
            await performance.do("go", 3.0)
        telling = asyncio.create_task(mine.tale(a_tale()))
        while not stage.busy:
            await asyncio.sleep(0)
        telling.cancel()
        with pytest.raises(asyncio.CancelledError):
            await telling
        for performance in (another, mine):
            assert await stage.do("rehearse", performance.key, "show") != GONE

    run(play())


def test_what_cannot_be_done_is_said_and_not_kept(stage: Worker) -> None:
    async def play() -> None:
        performance = Performance(stage)
        await performance.begin(begin(), None)
        with pytest.raises(Faulty, match="there is no control"):
            await performance.do("act", "press", "panel.sing", True)
        assert performance.begun is not None
        assert performance.begun.acts == ()

    run(play())
