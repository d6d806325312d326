"""The pages of the rooms: what each found, its pictures first, every figure one click from where it comes from."""

from __future__ import annotations

import asyncio

from nicegui import ui
from nicegui.element import Element

from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import el, html
from stockproof.desk.frame import Frame, frame
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.panel import opens_figures
from stockproof.desk.rooms import ROOMS, Room
from stockproof.desk.work import Cancelled
from stockproof.proof import Proof

__all__ = ["register"]


def register(office: Office) -> None:
    """Make a route for each room."""
    for known in ROOMS:
        _register(office, known)


def _register(office: Office, known: Room) -> None:
    @ui.page(f"/job/{{job}}/{known.name}")
    def page(job: int) -> None:
        bench = open_bench(office, job)
        if bench is None:
            return
        with frame(bench, known.name) as around:
            el("h1", known.title)
            stale = el("p", "", "rust", role="status")
            place = el("div", classes="room")
            RoomView(around, bench, known, stale, place)


class RoomView:
    """A room's sections, drawn anew for every proof."""

    def __init__(self, around: Frame, bench: Bench, known: Room, stale: Element, place: Element) -> None:
        self.around, self.bench, self.known, self.stale, self.place = around, bench, known, stale, place
        self.shown: Proof | None = None
        self.asked: Proof | None = None
        around.watch(self.look)

    def look(self) -> None:
        bench = self.bench
        words = (
            "The brief has faults; what is shown here is of the last text that could be proved." if bench.faults else ""
        )
        if self.stale._text != words:
            self.stale._text = words
            self.stale.update()
        proof = bench.proof
        if proof is None or proof is self.asked:
            return
        self.asked = proof
        if self.known.answers(proof.rooms):
            if self.shown is None:
                self._note("This page is being drawn.")
            asyncio.get_running_loop().create_task(self._draw(proof))
        else:
            self._put("<p>This room has no answer for the brief as it stands.</p>", proof)

    async def _draw(self, proof: Proof) -> None:
        try:
            markup = await self.bench.room("room", self.known.name)
        except Cancelled:
            markup = "<p class='quiet'>Stopped before it was drawn.</p>"
        except RuntimeError as error:
            markup = ""
            self.bench.trouble = f"this page could not be drawn; it is a fault of the program: {error}"
        if not self.place.is_deleted:
            self._put(markup, proof)

    def _note(self, words: str) -> None:
        self.place.clear()
        with self.place:
            el("p", words, "quiet", role="status")

    def _put(self, markup: str, proof: Proof) -> None:
        if self.asked is not proof:
            return
        self.shown = proof
        self.place.clear()
        with self.place:
            opens_figures(html(markup), self.around.panel)
