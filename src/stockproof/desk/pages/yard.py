"""The yard: its plan to take hold of, what breaks a rule at once beside it, in space, and on paper at true scale."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from functools import partial
from typing import Any

from nicegui import app, ui
from starlette.requests import Request
from starlette.responses import Response

from stockproof.desk import yarding
from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import PlanView, button, el, html, link
from stockproof.desk.frame import Frame, frame
from stockproof.desk.marks import verdict_html
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.pages.documents import attached
from stockproof.desk.pages.room import RoomView
from stockproof.desk.pages.space import space_view
from stockproof.desk.people import name_on
from stockproof.desk.rooms import room_of
from stockproof.desk.store import Papers
from stockproof.desk.work import Cancelled, Faulty
from stockproof.errors import InputError
from stockproof.yard import Finding
from stockproof.yard.model import Point
from stockproof.yard.result import Zone

__all__ = ["register"]

#: A picture of so many millimetres is drawn for so many pixels, so that its smallest words are readable.
PX_PER_MM = 4.0
#: Widths a picture is drawn for; the nearest is taken. [mm]
WIDTHS_MM = (88.0, 130.0, 180.0, 230.0, 290.0)
KEYS = (
    "Take hold of a part with mouse or finger, or choose it with Tab and Enter: arrow keys move it by 0.1 m, with "
    "Shift a pen grows or shrinks by 0.5 m². Escape lets go."
)
TURN_DEG = 5.0
FILES = ("yard.pdf", "yard-plan.dxf", "yard-plan.svg")


def register(office: Office) -> None:
    """Make the routes of the yard's page and of its drawings."""

    @ui.page("/job/{job}/yard")
    def page(job: int) -> None:
        bench = open_bench(office, job)
        if bench is None:
            return
        with frame(bench, "yard") as around:
            el("h1", "Yard")
            YardView(around, bench)
            RoomView(around, bench, room_of("yard"), pictures=False)

    @app.get("/job/{job}/drawing/{name}", include_in_schema=False)
    async def drawing(request: Request, job: int, name: str) -> Response:
        bench = office.bench(job, name_on(request))
        if bench is None or bench.proof is None or bench.proof.rooms.yard is None or name not in FILES:
            return Response(status_code=404)
        files = await bench.room("yard files")
        return attached(name, files[name])


class YardView:
    """The plan with its tools and findings; drawn anew whenever the text has changed."""

    def __init__(self, around: Frame, bench: Bench) -> None:
        self.around, self.bench = around, bench
        self.plan: yarding.Plan | None = None
        self.of: Papers | None = None
        self.width_mm = 0.0  # until the browser tells
        self.drawn: tuple[Papers, float] | None = None
        self.listed: tuple[Finding, ...] | None = None
        self.held: tuple[str, str, Zone | None] | None = None
        self.task: asyncio.Task[None] | None = None
        self.tried: tuple[Papers | None, asyncio.Task[None] | None] = (None, None)
        self._build()
        around.watch(self.look)

    def _build(self) -> None:
        self.told = el("p", "", "rust", role="alert").style("white-space: pre-line")
        with el("div", classes="yardtop"):
            with el("div", classes="first"):
                self.view = PlanView(self._choose, self._try, self._move, self._size, self._wide)
                self.space = el("div", classes="space")
                self.space.set_visibility(False)
                with el("div", classes="row tools"):
                    self.in_space = button("In space", self._switch, aria_pressed="false")
                    link(
                        "Print: PDF at true scale",
                        f"/job/{self.bench.job}/drawing/yard.pdf",
                        "button",
                        download="yard.pdf",
                    )
                    link("DXF", f"/job/{self.bench.job}/drawing/yard-plan.dxf", "button", download="yard-plan.dxf")
                    self.undo = button("Undo", self.bench.step_back)
                    self.again = button("Find the layout anew", self._anew)
                el("p", KEYS, "quiet small")
            with el("div", classes="beside"):
                self.part = el("div")
                self.trial = el("div", classes="trial", role="status")
                self.findings = el("div", role="region", aria_label="Rules of the yard")

    def look(self) -> None:
        """Draw the plan anew where the text or the width changed."""
        self.undo.set_visibility(self.bench.can_step_back)
        self.again.set_visibility(yarding.by_hand(self.bench.papers.text))
        stale = self.drawn != (self.bench.papers, self.width_mm)
        if self.width_mm and stale and (self.task is None or self.task.done()):
            self.task = asyncio.get_running_loop().create_task(self._draw())

    async def _draw(self) -> None:
        """Draw until what is drawn is what is written."""
        while self.drawn != (self.bench.papers, self.width_mm):
            papers, width_mm = self.bench.papers, self.width_mm
            try:
                plan = await self.bench.office.draw.do("plan", papers, width_mm)
                self._say("")
            except Faulty as error:
                plan = None
                self._say("\n".join(_fault_words(error)))
            except (Cancelled, RuntimeError) as error:
                plan = None
                self._say(f"The plan could not be drawn: {error}")
            self.drawn = (papers, width_mm)
            if self.view.is_deleted:
                return
            self._show(plan, papers)

    def _show(self, plan: yarding.Plan | None, papers: Papers) -> None:
        self._clear_trial()
        if plan is None:
            self.view.let_go()
            return
        self.plan, self.of = plan, papers
        if plan.yard is None:
            self._say("\n".join(f"No layout fits the site: {fault}" for fault in plan.refused))
            self.view.set_visibility(False)
        else:
            self.view.set_visibility(True)
            self.view.show(plan)
        self._list_findings(plan.findings)
        self._show_part()
        if self.space.visible:
            self._show_space()

    def _list_findings(self, findings: tuple[Finding, ...]) -> None:
        if findings == self.listed:
            return
        self.listed = findings
        self.findings.clear()
        with self.findings:
            against = [finding for finding in findings if finding.verdict == "not met"]
            el("h2", f"{len(against)} against a rule" if against else "No rule is broken")
            for number, finding in enumerate(against, 1):
                self._finding(finding, f"{number}  {finding.code}")
            for state in ("not shown", "met"):
                rest = [finding for finding in findings if finding.verdict == state]
                if rest:
                    with el("details", classes="fold"):
                        el("summary", f"{len(rest)} {state}")
                        for finding in rest:
                            self._finding(finding, finding.code)

    def _finding(self, finding: Finding, head: str) -> None:
        with el("div", classes="finding"):
            with el("p"):
                html(verdict_html(finding.verdict, head), "b")
            what = _sentence(finding.what)
            button(what, partial(self._mark, finding), "figurelink", title="Show it on the plan")
            if finding.verdict != "met":
                el("p", f"{_sentence(finding.why)} {_sentence(finding.remedy)}", "small")
                el("p", finding.source, "quiet small")

    def _mark(self, finding: Finding) -> None:
        self.view.point_at(finding.at)

    def _choose(self, key: str) -> None:
        self.view.choose(key)
        self._clear_trial()
        self._show_part()

    def _show_part(self) -> None:
        handle, yard = self.view.chosen, self.plan.yard if self.plan is not None else None
        zone = next((zone for zone in yard.zones if handle and zone.key == handle.key), None) if yard else None
        held = (handle.key, str(handle.kind), zone) if handle and yard else None
        if held == self.held:
            return
        self.held = held
        self.part.clear()
        if handle is None or yard is None:
            return
        with self.part:
            el("h2", handle.key[:1].upper() + handle.key[1:])
            if zone is not None:
                head = f", {zone.head} head" if zone.head else ""
                el("p", f"{zone.area_m2:.1f} m²{head}", "quiet")
            if handle.kind == "line":
                el("p", "Moves with the whole line from lane to draft unit, and the yard with it.", "quiet small")
                with el("div", classes="row"):
                    button("Turn left 5°", partial(self._turn, -TURN_DEG))
                    button("Turn right 5°", partial(self._turn, TURN_DEG))

    def _try(self, told: dict[str, Any]) -> None:
        """Judge a part where it is being held, the newest place only."""
        papers = self._with(told)
        if papers is None:
            return
        busy = self.tried[1]
        self.tried = (papers, busy)
        if busy is None or busy.done():
            self.tried = (papers, asyncio.get_running_loop().create_task(self._judge_tried()))

    async def _judge_tried(self) -> None:
        papers = None
        while self.tried[0] is not None and papers != self.tried[0]:
            papers = self.tried[0]
            try:
                findings = await self.bench.office.draw.do("judge", papers)
                broken = [f"{finding.code}  {finding.what}" for finding in findings if finding.verdict == "not met"]
            except Faulty as error:
                broken = _fault_words(error)
            except (Cancelled, RuntimeError):
                return
            if self.tried[0] is not None and not self.trial.is_deleted:
                self._say_trial(broken)

    def _say_trial(self, broken: list[str]) -> None:
        self.trial.clear()
        with self.trial:
            el("h3", f"Where it is held: {len(broken)} against a rule")
            with el("ul", classes="plainlist"):
                for words in broken:
                    el("li", words, "small")

    def _clear_trial(self) -> None:
        self.tried = (None, self.tried[1])
        self.trial.clear()

    def _with(self, told: dict[str, Any]) -> Papers | None:
        """The papers with a part moved or sized as the browser told it; nothing where there is no such part."""
        handle = self.view.handle(str(told.get("id", "")))
        yard = self.plan.yard if self.plan is not None else None
        if handle is None or yard is None:
            return None
        text, area = self.bench.papers.text, told.get("area")
        if area is not None and handle.area_m2 is not None:
            return Papers(yarding.sized(text, yard, handle.key, float(area)), self.bench.papers.files)
        return Papers(yarding.moved(text, yard, handle, _way(told)), self.bench.papers.files)

    async def _move(self, told: dict[str, Any]) -> None:
        await self._write(lambda: self._with(told))

    async def _size(self, told: dict[str, Any]) -> None:
        await self._write(lambda: self._with(told))

    async def _turn(self, turn_deg: float) -> None:
        def turned() -> Papers | None:
            yard = self.plan.yard if self.plan is not None else None
            papers = self.bench.papers
            return Papers(yarding.turned(papers.text, yard, turn_deg), papers.files) if yard is not None else None

        await self._write(turned)

    async def _write(self, edit: Callable[[], Papers | None]) -> None:
        """Write what was done by hand, once the plan shows what was done before it."""
        if self.task is not None and not self.task.done():
            await asyncio.shield(self.task)
        try:
            papers = edit()
        except InputError as error:
            self._say(str(error))
            papers = None
        if papers is None or papers == self.bench.papers:
            self.view.let_go()
            return
        self.bench.change(papers.text)
        self.look()

    def _anew(self) -> None:
        self.bench.change(yarding.anew(self.bench.papers.text))
        self.look()

    def _wide(self, pixels: float) -> None:
        self.width_mm = min(WIDTHS_MM, key=lambda width: abs(width - pixels / PX_PER_MM))
        self.look()

    def _switch(self) -> None:
        """Show the yard in space, or the plan again."""
        on = not self.space.visible
        self.in_space.props["aria-pressed"] = "true" if on else "false"
        self.in_space._text = "On the plan" if on else "In space"
        self.in_space.update()
        self.space.set_visibility(on)
        self.view.set_visibility(not on)
        if on:
            self._show_space()
        else:
            self.space.clear()

    def _show_space(self) -> None:
        self.space.clear()
        if self.plan is not None and self.plan.yard is not None:
            with self.space:
                space_view(self.plan.boxes, self.plan.yard.ask.site.boundary)

    def _say(self, words: str) -> None:
        if self.told._text != words:
            self.told._text = words
            self.told.update()


def _way(told: dict[str, Any]) -> Point:
    east, north = told.get("by") or (0.0, 0.0)
    return (float(east), float(north))


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def _fault_words(error: Faulty) -> list[str]:
    return [str(fault) for fault in error.faults]
