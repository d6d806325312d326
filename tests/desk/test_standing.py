"""What shows the same stays as it is: elements built anew lose the focus, and a press on its way to one of them."""

from __future__ import annotations

import asyncio
import pickle
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from nicegui.element import Element

from stockproof.desk.pages.documents import value_key
from tests.desk.hand import ME, Hand, at_the_desk
from tests.desk.test_work import HILL, papers_of

Use = Callable[[Hand], Awaitable[None]]
PAGES = (
    "brief",
    "brief/mob",
    "brief/promise",
    "brief/today",
    "brief/file",
    "build",
    "yard",
    "fit",
    "power",
    "logic",
    "flow",
    "money",
    "dossier",
    "past",
)


@pytest.fixture
def run(tmp_path: Path) -> Callable[[Use], None]:
    return lambda use: at_the_desk(tmp_path, papers_of(HILL), use)


def _pressed(hand: Hand) -> dict[int, Element]:
    """Everything that can be pressed or written in."""
    return {element.id: element for element in hand.elements if element._event_listeners}


async def _still(hand: Hand) -> None:
    for _ in range(200):
        await asyncio.sleep(0.05)
        if "being drawn" not in hand.words():
            break
    await asyncio.sleep(0.3)


async def _proved_again(hand: Hand) -> None:
    """The full run comes in and finds what the quick one found."""
    bench = hand.bench
    assert bench.proof is not None
    bench._show(pickle.loads(pickle.dumps(bench.proof)), bench.papers, hand.office.quick_effort)
    bench.turn += 1
    await asyncio.sleep(0.3)
    await _still(hand)


@pytest.mark.parametrize("page", PAGES)
def test_a_new_proof_that_says_the_same_leaves_a_page_as_it_stands(page: str, run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.settled_first()
        await hand.open(f"/job/1/{page}")
        await _still(hand)
        before = _pressed(hand)
        assert before
        await _proved_again(hand)
        after = _pressed(hand)
        gone = [element for number, element in before.items() if number not in after]
        assert not gone, [(e.tag, e._text, e.props.get("aria-label")) for e in gone[:6]]

    run(use)


def test_a_form_stays_while_another_part_of_the_brief_is_written(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.settled_first()
        await hand.open("/job/1/brief/mob")
        before = _pressed(hand)
        hand.bench.set(("site", "altitude"), "410 m")
        await hand.settled()
        await asyncio.sleep(0.3)
        assert set(before) <= set(_pressed(hand))
        hand.bench.set(("mob", 0, "name"), "calves")
        await asyncio.sleep(0.3)
        assert hand.entry("name").value == "calves"

    run(use)


def test_the_button_that_confirms_an_assumption_withdraws_it_next(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.settled_first()
        await hand.open("/job/1/dossier")
        await hand.sees("are confirmed by nobody")
        proof = hand.bench.proof
        assert proof is not None
        figure = proof.rooms.ledger.assumptions()[0]
        before = _pressed(hand)
        hand.press(f"Confirm: {figure.label}")
        await hand.sees(f"confirmed by {ME}")
        assert (figure.name, value_key(figure)) in hand.office.store.confirmed(1)
        hand.press(f"Withdraw: {figure.label}")
        await asyncio.sleep(0.3)
        assert hand.office.store.confirmed(1) == {}
        assert set(_pressed(hand)) == set(before)

    run(use)


def test_two_quick_presses_on_more_are_two_more(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.settled_first()
        await hand.open("/job/1/build")
        items = hand.bench.value(("build", "items"))
        more = next(e for e in hand.elements if str(e.props.get("aria-label")).endswith(" more") and e._event_listeners)
        code = str(more.props["data-stays"])
        hand.tell(more, "click", {})
        hand.tell(more, "click", {})
        assert hand.bench.value(("build", "items"))[code] == items[code] + 2

    run(use)


def test_an_open_reason_says_what_the_newest_proof_says(run: Callable[[Use], None]) -> None:
    async def use(hand: Hand) -> None:
        await hand.settled_first()
        await hand.open("/job/1/flow")
        await _still(hand)
        bench = hand.bench
        assert bench.proof is not None
        verdict = bench.proof.verdicts[0]
        hand.press(f"{verdict.number} {verdict.kind.replace('_', ' ')}: {verdict.state}")
        await asyncio.sleep(0.2)
        shut = next(e for e in hand.elements if e._text == "Close")
        await _proved_again(hand)
        assert not shut.is_deleted
        proof = pickle.loads(pickle.dumps(bench.proof))
        object.__setattr__(proof.verdicts[0], "because", "the newest reason")
        bench._show(proof, bench.papers, hand.office.quick_effort)
        bench.turn += 1
        await hand.sees("The newest reason")

    run(use)
