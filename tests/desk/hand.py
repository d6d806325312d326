"""A user's hand and eye on the pages, without a browser: read words, press, write."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from nicegui import events, ui
from nicegui.element import Element
from nicegui.testing.user import User
from nicegui.testing.user_simulation import user_simulation

from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import Entry
from stockproof.desk.people import name_on
from stockproof.desk.server import register
from stockproof.desk.store import Papers, Store
from stockproof.desk.verbs import VERBS, Progress, installation_of
from stockproof.desk.work import Faulty, Worker
from stockproof.errors import InputError
from stockproof.proof.prove import QUICK
from tests.desk.loops import run

ME = name_on(None)
#: Enough of a run for every room to answer.
SMALL = replace(QUICK, replications=20)


class Inline(Worker):
    """A worker in this process, so that a test of a page need not start one; `test_work.py` tests the real one.

    Unless `proves`, papers are checked in earnest but the answer is the proof of the first papers ever proved: most
    tests of pages want a proof, and not that of every letter typed.
    """

    first: Any = None

    def __init__(self, proves: bool = False) -> None:
        super().__init__()
        self.proves = proves

    async def do(self, verb: str, *arguments: Any, progress: Progress | None = None, owner: object = None) -> Any:
        try:
            return await asyncio.to_thread(self._do, verb, *arguments)
        except InputError as error:
            raise Faulty(error.faults) from error

    def _do(self, verb: str, *arguments: Any) -> Any:
        if verb != "prove" or self.proves:
            return VERBS[verb](lambda what, share: None, *arguments)
        installation_of(arguments[0])
        if Inline.first is None:
            Inline.first = VERBS[verb](lambda what, share: None, *arguments)
        return Inline.first


class Hand:
    """One user at the desk."""

    def __init__(self, user: User, office: Office) -> None:
        self.user, self.office = user, office

    @property
    def bench(self) -> Bench:
        bench = self.office.bench(1, ME)
        assert bench is not None
        return bench

    @property
    def elements(self) -> list[Element]:
        assert self.user.client is not None
        return [each for each in self.user.client.elements.values() if not each.is_deleted]

    async def open(self, address: str) -> None:
        """Open a page, and let come what it sends once it stands."""
        await self.user.open(address)
        for _ in range(400):
            await asyncio.sleep(0)

    def words(self) -> str:
        """Every word on the page."""
        return "\n".join(
            element.content if isinstance(element, ui.html) else (element._text or "")
            for element in self.elements
            if element.visible
        )

    async def sees(self, words: str, seconds: float = 3.0) -> None:
        """Wait until the page says something."""
        for _ in range(int(seconds * 20)):
            if words in self.words():
                return
            await asyncio.sleep(0.05)
        raise AssertionError(f"{words!r} is not on the page ({self.bench.trouble}):\n{self.words()}")

    def press(self, words: str) -> None:
        """Press what is labelled so."""
        found = [e for e in self.elements if words in (e._text, e.props.get("aria-label")) and e._event_listeners]
        assert found, f"nothing to press is labelled {words!r}"
        self.tell(found[0], "click", {})

    def entry(self, label: str) -> Entry:
        """The field whose label begins with some words."""
        found = [e for e in self.elements if isinstance(e, Entry) and str(e.props.get("aria-label")).startswith(label)]
        assert found, f"no field is labelled {label!r}"
        return found[0]

    def write(self, label: str, text: str) -> None:
        """Write in a field and pause, as the browser tells it."""
        self.tell(self.entry(label), "change", text)

    def tell(self, element: Element, what: str, arguments: Any) -> None:
        """Hand an event to the page as the browser does."""
        client = self.user.client
        assert client is not None
        with client:
            for listener in list(element._event_listeners.values()):
                if listener.type == what:
                    event = events.GenericEventArguments(sender=element, client=client, args=arguments)
                    events.handle_event(listener.handler, event)

    async def settled_first(self) -> None:
        """Have the job proved before any page is open."""
        self.bench.wake()
        await self.settled()

    async def settled(self) -> None:
        """Wait for verdicts or faults of the text as it stands."""
        for _ in range(6000):
            if self.bench.fresh:
                return
            await asyncio.sleep(0.05)
        raise AssertionError("no verdicts within five minutes")


@asynccontextmanager
async def _desk(folder: Path, papers: Papers, proves: bool) -> AsyncIterator[Hand]:
    store = Store(folder / "jobs.sqlite")
    office = Office(store, Inline(proves), Inline(), Inline(), quick_effort=SMALL, full_effort=None)
    office.begin(papers, ME)
    async with user_simulation(lambda: None) as user:
        register(office)
        try:
            yield Hand(user, office)
        finally:
            office.close()


def at_the_desk(folder: Path, papers: Papers, use: Callable[[Hand], Awaitable[None]], proves: bool = False) -> None:
    """Run a test at a desk with one job."""

    async def go() -> None:
        async with _desk(folder, papers, proves) as hand:
            await use(hand)

    run(go())
