"""The pages as a user meets them, without a browser: what stands on each, and what a change does to the job.

These do not pass through the guard; `test_guard.py` does.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from nicegui import ui

from stockproof.desk.bench import Office
from stockproof.desk.pages.brief import KINDS
from stockproof.desk.pages.weighing import take_weights
from stockproof.desk.rooms import ROOMS
from stockproof.desk.store import Store
from stockproof.desk.text import values
from stockproof.desk.weights import weights_csv
from tests.desk.hand import ME, Hand, at_the_desk
from tests.desk.test_work import HILL, papers_of

Use = Callable[[Hand], Awaitable[None]]


@pytest.fixture
def run(tmp_path: Path) -> Callable[[Use], None]:
    return lambda use: at_the_desk(tmp_path, papers_of(HILL), use)


@pytest.fixture
def prove(tmp_path: Path) -> Callable[[Use], None]:
    """As `run`, with every change proved in earnest."""
    return lambda use: at_the_desk(tmp_path, papers_of(HILL), use, proves=True)


def test_the_first_page_lists_jobs_and_begins_one_from_nothing(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/")
        await hand.sees("Hill-country breeding and finishing farm")
        hand.press("Begin with placeholders")
        titles = [job.title for job in hand.office.store.jobs()]
        assert titles == ["New brief", "Hill-country breeding and finishing farm"]

    run(use)


def test_a_wrong_answer_is_marked_beside_its_field_and_mended_by_the_next(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief/site")
        hand.write("outlet", "12 kg")
        await hand.settled()
        await hand.sees("'12 kg' is not a current")
        await hand.sees("1 to mend")
        assert hand.entry("outlet").props["wrong"] is True
        hand.write("outlet", "20 A")
        await hand.settled()
        await hand.sees("delivered and fitted")
        await asyncio.sleep(0.4)
        assert "is not a current" not in hand.words()
        assert hand.bench.faults == ()
        assert hand.bench.value(("site", "supply", 0, "outlet")) == "20 A"

    run(use)


def test_what_is_written_is_a_draft_until_kept_and_survives_another_start(
    run: Callable[[Use], None], tmp_path: Path
) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief")
        hand.write("title", "Another farm")
        assert hand.office.store.head(1).entry.number == 1
        again = Office(Store(tmp_path / "jobs.sqlite"))
        other = again.bench(1, ME)
        assert other is not None
        assert other.title == "Another farm"
        again.close()
        await hand.sees("draft on revision 1, saved")
        hand.press("Keep")
        assert [entry.what for entry in hand.office.store.history(1)] == ["title", "brought in"]

    run(use)


def test_of_two_users_the_second_is_told_and_keeps_after_the_first(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief")
        hand.write("title", "My title")
        other = hand.office.bench(1, "Lee")
        assert other is not None
        other.set(("title",), "Lee's title")
        other.keep("title")
        await hand.sees("Keep")
        hand.press("Keep")
        await hand.sees("Not kept: revision 2 was kept while this was worked out from revision 1")
        await hand.open("/job/1/past")
        hand.press("Keep mine after it")
        store = hand.office.store
        assert [entry.number for entry in store.history(1)] == [3, 2, 1]
        assert values(store.revision(1, 2).papers.text)["title"] == "Lee's title"
        assert values(store.head(1).papers.text)["title"] == "My title"

    run(use)


def test_undo_goes_back_step_by_step_and_to_any_revision(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief")
        hand.write("title", "One")
        hand.write("title", "Two")
        await hand.sees("Undo")
        hand.press("Undo")
        assert hand.bench.title == "One"
        await hand.sees("One")
        assert hand.entry("title").value == "One"
        hand.bench.keep("title")
        await hand.open("/job/1/past")
        hand.press("Go back to this: revision 1")
        hand.bench.keep("title")
        store = hand.office.store
        assert [entry.number for entry in store.history(1)] == [3, 2, 1]
        assert store.head(1).papers == store.revision(1, 1).papers

    run(use)


def test_a_draft_can_be_thrown_away(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief")
        hand.write("title", "One")
        await hand.open("/job/1/past")
        await hand.sees("+title = &quot;One&quot;")
        hand.press("Throw my draft away")
        assert hand.bench.title == "Hill-country breeding and finishing farm"
        assert hand.office.store.draft(1, ME) is None

    run(use)


def test_mobs_are_added_and_removed_and_a_promise_by_its_kind(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief/mob")
        hand.press("Add mob")
        await hand.sees("4  without a name")
        assert len(hand.bench.value(("mob",))) == 4
        await hand.open("/job/1/brief/promise")
        before = hand.bench.value(("promise",))
        hand.write("Kind of promise to add", "noise")
        assert hand.bench.value(("promise",)) == [*before, {"kind": "noise"}]
        await hand.sees("20  noise")

    run(use)


def test_pasted_weights_take_the_place_of_mean_and_spread(prove: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief/mob")
        take_weights(hand.bench, 1, weights_csv("\n".join(str(500 + i) for i in range(30))))
        cows = hand.bench.value(("mob", 1))
        assert cows["weights_csv"] == "cows_weights.csv"
        assert "weight_mean" not in cows
        await hand.settled()
        assert hand.bench.faults == ()
        assert hand.bench.proof is not None
        assert hand.bench.proof.rooms.brief.weights_kg["cows"][-1] == 529

    prove(use)


def test_tapped_animals_give_a_rate_that_the_brief_takes(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        hand.bench.taps_s[:] = [i * 60.0 for i in range(30)]
        await hand.open("/job/1/brief/today")
        tap = next(element for element in hand.elements if "tap" in element.classes)
        hand.tell(tap, "click", 30 * 60_000)
        await hand.sees("60 head/h from 30 animals")
        hand.press("Use this rate")
        assert hand.bench.value(("today", "rate")) == "60 head/h"

    run(use)


def test_a_part_that_changes_moves_price_and_verdicts(prove: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.settled_first()
        await hand.open("/job/1/build")
        await hand.sees("outlet")
        hand.press("Put in instead: Power pack, single phase, 15 A")
        await hand.settled()
        items = hand.bench.value(("build", "items"))
        assert "pack_20a" not in items
        assert items["pack_15a"] == 1
        await hand.sees("cold morning: not met → met", 60)
        hand.press("Take out Controller")
        await hand.settled()
        await hand.sees("This build breaks the catalogue's rules")

    prove(use)


def test_a_verdict_opens_its_reason_and_a_figure_where_it_comes_from(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/brief")
        await hand.settled()
        await hand.sees("delivered and fitted")
        proof = hand.bench.proof
        assert proof is not None
        outlet = next(verdict for verdict in proof.verdicts if verdict.kind == "outlet")
        hand.press(f"{outlet.number} outlet: not met")
        await hand.sees("What would mend it")
        name = next(name for name in outlet.evidence if name in proof.rooms.ledger)
        hand.press(proof.rooms.ledger[name].label)
        await hand.sees("Source")
        await hand.sees(name)

    run(use)


@pytest.mark.parametrize("page", ["fit", "money", "power", "yard", "flow"])
def test_a_room_shows_what_it_found_with_every_figure(page: str, run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open(f"/job/1/{page}")
        await hand.settled()
        await hand.sees("figures, each with where it comes from", seconds=60)
        proof = hand.bench.proof
        assert proof is not None
        own = [figure.name for figure in proof.rooms.ledger if figure.name.startswith(f"{page}.")]
        assert own
        assert all(f'data-figure="{name.replace(chr(39), "&#x27;")}"' in hand.words() for name in own)

    run(use)


def test_the_logic_page_shows_its_sequence_before_the_check_is_run(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open("/job/1/logic")
        await hand.settled()
        await hand.sees("Sequence chart", seconds=60)
        await hand.sees("looked at in the full run")
        await hand.sees("no bad state can be reached")

    run(use)


def test_the_dossier_is_a_draft_until_every_assumption_is_confirmed_by_name(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.settled_first()
        await hand.open("/job/1/dossier")
        proof = hand.bench.proof
        assert proof is not None
        number = len(proof.rooms.ledger.assumptions())
        await hand.sees(f"Draft: {number} assumptions are confirmed by nobody.")
        hand.write("Your name", "Kim Example")
        hand.press(f"Confirm: {proof.rooms.ledger.assumptions()[0].label}")
        await hand.sees(f"Draft: {number - 1} assumptions are confirmed by nobody.")
        await hand.sees("confirmed by Kim Example")
        hand.press(f"Confirm all {number - 1} that are open, in my name")
        await hand.sees("Ready to issue.")

    run(use)


@pytest.mark.parametrize("page", ["brief", "build", "past", "dossier", "fit"])
def test_a_job_that_is_not_there_says_so(page: str, run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.open(f"/job/99/{page}")
        await hand.sees("There is no such job on this desk")

    run(use)


def test_words_of_users_are_never_markup(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        hand.bench.set(("title",), "<b>bold</b><script>alert(1)</script>")
        hand.bench.set(("promise", 0, "says"), "<img src=x onerror=alert(1)>")
        await hand.settled()
        for page in ("past", "brief", "build", "fit"):
            await hand.open(f"/job/1/{page}")
            await asyncio.sleep(0.2)
            for element in hand.elements:
                if isinstance(element, ui.html):
                    assert "<script>" not in element.content
                    assert "<img" not in element.content

    run(use)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_of_promise_that_is_judged_rests_on_a_page(kind: str) -> None:
    not_built = {"performance_level", "wrong_pen", "weigh_error"}
    rooms = [room.name for room in ROOMS if kind in room.kinds]
    assert len(rooms) == (0 if kind in not_built else 1)
