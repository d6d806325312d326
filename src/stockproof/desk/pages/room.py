"""The pages of the rooms: its picture first, what rests on it beside it, every figure one click from its origin."""

from __future__ import annotations

import asyncio
from functools import partial
from html import escape

from nicegui import ui

from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import button, el, html
from stockproof.desk.frame import Frame, frame
from stockproof.desk.marks import verdict_html
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.panel import opens_figures
from stockproof.desk.parts import figure_button
from stockproof.desk.rooms import ROOMS, Room, RoomPage, chief_figures, promises_of
from stockproof.desk.work import Cancelled
from stockproof.dossier.write import display_of
from stockproof.proof import Proof, Verdict

__all__ = ["RoomView", "register"]

#: Rooms whose page is made elsewhere, with this room's sections below.
APART = {"yard"}


def register(office: Office) -> None:
    """Make a route for each room."""
    for known in ROOMS:
        if known.name not in APART:
            _register(office, known)


def _register(office: Office, known: Room) -> None:
    @ui.page(f"/job/{{job}}/{known.name}")
    def page(job: int) -> None:
        bench = open_bench(office, job)
        if bench is None:
            return
        with frame(bench, known.name) as around:
            el("h1", known.title)
            RoomView(around, bench, known)


class RoomView:
    """A room's sections, drawn anew for every proof.

    Parameters
    ----------
    pictures : bool
        Whether the page shows the room's picture; one that draws its own does not.
    """

    def __init__(self, around: Frame, bench: Bench, known: Room, pictures: bool = True) -> None:
        self.around, self.bench, self.known, self.pictures = around, bench, known, pictures
        self.stale = el("p", "", "rust", role="status")
        with el("div", classes="roomtop" if pictures else "roomtop nopicture"):
            self.picture = el("div", classes="first")
            self.beside = el("div", classes="beside")
        self.rest = el("div", classes="room")
        self.asked: Proof | None = None
        self.shown = RoomPage("", "")
        self.stands: object = None
        around.watch(self.look)

    def look(self) -> None:
        """Draw anew for a proof not seen yet; what shows the same as before stays as it is."""
        proof = self.bench.proof
        self._say_stale(_why_stale(self.bench))
        if proof is None or proof is self.asked:
            return
        first = self.asked is None
        self.asked = proof
        self._show_beside(proof)
        if not self.known.answers(proof.rooms):
            self._put(RoomPage("", "<p>This room has no answer for the brief as it stands.</p>"), proof)
            return
        if first:
            self._note("This page is being drawn.")
        asyncio.get_running_loop().create_task(self._draw(proof))

    def _say_stale(self, words: str) -> None:
        if self.stale._text != words:
            self.stale._text = words
            self.stale.update()

    def _show_beside(self, proof: Proof) -> None:
        """The promises that rest on this room, and its chief figures."""
        display = display_of(proof)
        resting, chief = promises_of(proof, self.known), chief_figures(proof, self.known)
        stands = ([(v.number, v.state, v.promise) for v in resting], [(f.label, f.value, f.unit) for f in chief])
        if stands == self.stands:
            return
        self.stands = stands
        self.beside.clear()
        with self.beside:
            if resting:
                with el("div"):
                    el("h2", "Promises that rest on this")
                    with el("ul", classes="plainlist"):
                        for verdict in resting:
                            self._promise(verdict)
            if chief:
                rows = "".join(
                    f"<div><span>{_label(figure.label)}</span><b>{figure_button(figure, display)}</b></div>"
                    for figure in chief
                )
                with el("div"):
                    el("h2", "Figures")
                    opens_figures(html(f'<div class="figures one">{rows}</div>'), self.around.panel)

    def _promise(self, verdict: Verdict) -> None:
        with el("li"):
            shown = button("", partial(self.around.panel.verdict, verdict.number), "resting")
            with shown:
                html(verdict_html(verdict.state), "span")
                el("span", verdict.promise)

    async def _draw(self, proof: Proof) -> None:
        try:
            made = await self.bench.room("room", self.known.name, self.pictures)
        except Cancelled:
            made = RoomPage("", "<p class='quiet'>Stopped before it was drawn.</p>")
        except RuntimeError as error:
            made = RoomPage("", "")
            self.bench.trouble = f"this page could not be drawn; it is a fault of the program: {error}"
        if not self.rest.is_deleted:
            self._put(made, proof)

    def _note(self, words: str) -> None:
        self.shown = RoomPage("", "")
        place = self.picture if self.pictures else self.rest
        place.clear()
        with place:
            el("p", words, "quiet", role="status")

    def _put(self, made: RoomPage, proof: Proof) -> None:
        if self.asked is not proof:
            return
        before, self.shown = self.shown, made
        for place, markup, was in (
            (self.picture, made.picture, before.picture),
            (self.rest, made.rest, before.rest),
        ):
            if markup != was:
                place.clear()
                with place:
                    opens_figures(html(markup), self.around.panel)


def _why_stale(bench: Bench) -> str:
    """Why a page shows nothing, or not what is written; empty where it does."""
    if bench.proof is None and not bench.faults:
        return "Being proved; this page shows what was found as soon as there is something."
    if bench.proof is None:
        return f"Nothing could be proved yet: {len(bench.faults)} to mend on the page of the brief."
    return "The brief has faults; what is shown here is of the last text that could be proved." if bench.faults else ""


def _label(words: str) -> str:
    return escape(words[:1].upper() + words[1:])
