"""The rehearsal page: the installation as proved, run live in front of people, with their hands on its controls."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import time
from collections.abc import Iterator
from importlib import resources
from typing import Any

from nicegui import app, ui
from nicegui.element import Element
from starlette.responses import Response

from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import el
from stockproof.desk.frame import Frame, frame
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.rehearsing import GONE, Begin
from stockproof.desk.store import Papers
from stockproof.desk.work import Cancelled, Faulty
from stockproof.flow.live import Act
from stockproof.logic.story import Story
from stockproof.proof import Proof
from stockproof.proof.rehearsal import cast_of

__all__ = ["StagePicture", "register"]

#: How often a moment is shown while the rehearsal goes on. [s]
TICK_S = 0.08
#: How long a step of a story is shown. [s]
SCENE_S = 2.6
#: After a hitch the rehearsal does not make up for more than this. [s]
MOST_BEHIND_S = 0.25
#: Where a page looks on and nothing happens for so long, it pauses. [s]
LONGEST_UNWATCHED_S = 4 * 3600.0
SPEEDS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0)
CSS = "/desk-files/rehearsal.css"


class StagePicture(Element, component="../files/rehearsal.js"):
    """The picture with its controls; it draws what `show` is given and tells what is pressed."""

    def __init__(self, still: dict[str, Any], first: dict[str, Any]) -> None:
        super().__init__()
        self.props.update(still=still, first=first)

    def begin(self, still: dict[str, Any], first: dict[str, Any]) -> None:
        """Draw another rehearsal from its beginning."""
        self.props.update(still=still, first=first)
        self.update()

    def show(self, change: dict[str, Any], ms: float) -> None:
        """Draw what has changed, over so many milliseconds."""
        self.run_method("show", change, ms)

    def put(self, **state: Any) -> None:
        """Change what stands round the picture: `speed`, `playing`, `stories`."""
        self.run_method("put", state)


def register(office: Office) -> None:
    """Make the page's route and that of its style."""

    @app.get(CSS, include_in_schema=False)
    def css() -> Response:
        text = resources.files("stockproof.desk").joinpath("files", "rehearsal.css").read_text(encoding="utf-8")
        return Response(text, media_type="text/css")

    @ui.page("/job/{job}/rehearsal")
    def page(job: int) -> None:
        bench = open_bench(office, job)
        if bench is None:
            return
        ui.add_head_html(f'<link rel="stylesheet" href="{CSS}">')
        with frame(bench, "rehearsal") as around:
            el("h1", "Rehearsal", "unseen")
            says = el("p", "The rehearsal is being set up.", "quiet", role="status")
            place = el("div")
            Show(around, bench, says, place)


class Show:
    """One page's rehearsal: orders go to the worker one at a time, and what they lead to is drawn."""

    def __init__(self, around: Frame, bench: Bench, says: Element, place: Element) -> None:
        self.bench, self.says, self.place = bench, says, place
        self.client = ui.context.client
        self.key = secrets.token_hex(8)
        self.proof: Proof | None = None
        self.papers: Papers | None = None
        self.begun: Begin | None = None
        self.picture: StagePicture | None = None
        self.acts: list[Act] = []
        self.last: dict[str, Any] = {}
        self.run = 0
        self.playing, self.speed = False, 1.0
        self.turn = asyncio.Lock()
        self.loop: asyncio.Task[None] | None = None
        self.stories: dict[str, Story] = {}
        self.telling: asyncio.Task[None] | None = None
        self.client.on_disconnect(self._stop)
        self.client.on_connect(self._put)
        self._task(self._warm())
        around.watch(self._look)

    def _look(self) -> None:
        """Set the rehearsal up once there is a proof; one that is going on stays as it is while the brief changes."""
        proof = self.bench.proof
        if proof is not None and self.picture is not None:
            self._offer(proof)
            if self.papers is None and self.bench.fresh:
                self.papers = self.bench.proved
            if self.papers is not None and self.bench.proved != self.papers and not self.bench.faults:
                self._say("The brief has changed. Begin anew to rehearse it as it stands now.")
        if proof is None or self.proof is not None:
            return
        self.proof = proof
        self._task(self._begin(Begin(cast_of(proof.rooms), "", None, None, None)))

    def _offer(self, proof: Proof) -> None:
        """Offer the stories of the logic check, once there has been one."""
        stories = dict(_stories(proof))
        if list(stories) != list(self.stories) and self.picture is not None:
            self.stories = stories
            self.picture.put(stories=list(stories))

    def _task(self, work: Any) -> asyncio.Task[None]:
        return asyncio.get_running_loop().create_task(work)

    def _stop(self) -> None:
        self.playing = False

    async def _warm(self) -> None:
        """Let the worker load what it needs while the proof is made."""
        with contextlib.suppress(Cancelled, RuntimeError):
            await self.bench.office.stage.do("warm", "stockproof.desk.rehearsing")

    # Orders

    async def _begin(self, begin: Begin) -> None:
        papers = self.bench.proved if self.bench.fresh else None
        try:
            async with self.turn:
                still, first = await self.bench.office.stage.do("rehearse", self.key, "begin", begin)
        except (Faulty, Cancelled, RuntimeError) as error:
            self._say(f"This cannot be rehearsed: {error}")
            return
        self.run += 1
        still["run"] = first["run"] = self.run
        self.papers = papers
        self.begun, self.acts, self.last = begin, list(begin.acts), first
        if self.place.is_deleted:
            return
        if self.picture is None:
            with self.place:
                self.picture = StagePicture(still, first)
            self._listen(self.picture)
            self._say("" if still["plan"] else "No layout fits the site; the line is drawn straight.")
            self._play(True)
            if self.proof is not None:
                self._offer(self.proof)
        else:
            self.picture.begin(still, first)
            self._say("")

    def _listen(self, picture: StagePicture) -> None:
        picture.on("act", lambda event: self._act(*event.args))
        picture.on("order", lambda event: self._order(*event.args))
        picture.on("begin", lambda event: self._anew(event.args))
        picture.on("speed", lambda event: self._at_speed(float(event.args)))
        picture.on("play", lambda event: self._play(bool(event.args)))
        picture.on("story", lambda event: self._tell(str(event.args)))

    async def _act(self, verb: str, name: str, on: bool) -> None:
        await self._do("act", str(verb), str(name), bool(on))

    async def _order(self, what: str, *arguments: float) -> None:
        if what not in ("next", "look", "show"):
            return
        self._play(False)
        await self._do(what, *map(float, arguments))

    async def _anew(self, changes: dict[str, Any]) -> None:
        if self.begun is None:
            return
        proof = self.bench.proof
        cast = cast_of(proof.rooms) if proof is not None and not self.bench.faults else self.begun.cast
        programme = str(changes.get("programme", self.begun.programme))
        seed = changes.get("seed", self.begun.seed)
        seed = None if seed is None else max(0, min(int(seed), 2**31))
        known = cast.installation.brief.programmes
        await self._begin(Begin(cast, programme if programme in known else "", seed, None, None))

    async def _do(self, what: str, *arguments: Any) -> None:
        """Order one thing and draw where it leads; a rehearsal that is no longer kept is played again first."""
        self._end_tale()
        async with self.turn:
            began = time.perf_counter()
            try:
                moment = await self.bench.office.stage.do("rehearse", self.key, what, *arguments)
                if moment == GONE and self.begun is not None:
                    await self._again()
                    moment = await self.bench.office.stage.do("rehearse", self.key, what, *arguments)
            except Faulty as error:
                self._say(str(error))
                return
            except (Cancelled, RuntimeError) as error:
                self._stop()
                self._say(f"The rehearsal stopped: {error}")
                return
            self._remember(what, arguments, moment)
            self._draw(moment, TICK_S if what == "go" else min(0.25, max(0.12, time.perf_counter() - began)))

    async def _again(self) -> None:
        begun = self.begun
        assert begun is not None
        again = Begin(
            begun.cast, begun.programme, begun.seed, begun.hold, begun.sort, tuple(self.acts), self.last.get("t", 0.0)
        )
        await self.bench.office.stage.do("rehearse", self.key, "begin", again)

    def _remember(self, what: str, arguments: tuple[Any, ...], moment: dict[str, Any]) -> None:
        """Keep the acts; acting at a moment looked back on drops those after it."""
        if what != "look" and self.last.get("past"):
            self.acts = [act for act in self.acts if act.time_s <= self.last["t"]]
        if what == "act":
            self.acts.append(Act(moment["t"], *arguments))

    def _draw(self, moment: dict[str, Any], over_s: float) -> None:
        change = _changed(self.last, moment)
        change["run"] = self.run
        self.last = moment
        if self.picture is not None and not self.picture.is_deleted:
            self.picture.show(change, round(over_s * 1000))

    # Going on

    def _tell(self, title: str) -> None:
        """Act a story out; anything else that is pressed ends it."""
        if title in self.stories:
            self._play(False)
            self.telling = self._task(self._tell_all(title, self.stories[title]))

    async def _tell_all(self, title: str, story: Story) -> None:
        async with self.turn:
            scenes = await self.bench.office.stage.do("rehearse", self.key, "tale", title, story)
        if scenes == GONE:
            await self._do("show")
            return
        for scene in scenes:
            if self.playing or self.place.is_deleted:
                return
            self._draw({**self.last, **scene}, SCENE_S / 2)
            await asyncio.sleep(SCENE_S / self.speed if self.speed > 1 else SCENE_S)

    def _end_tale(self) -> None:
        if self.telling is not None:
            self.telling.cancel()
            self.telling = None
            self.last = {name: value for name, value in self.last.items() if name != "tale"} | {"tale": None}

    def _at_speed(self, speed: float) -> None:
        if speed in SPEEDS:
            self.speed = speed
            self._put()

    def _play(self, on: bool) -> None:
        if on:
            self._end_tale()
        self.playing = on
        self._put()
        if on and (self.loop is None or self.loop.done()):
            self.loop = self._task(self._go_on())

    def _put(self) -> None:
        if self.picture is not None:
            self.picture.put(speed=self.speed, playing=self.playing)

    async def _go_on(self) -> None:
        """Show moment after moment; the rehearsal's own clock goes with the wall's, times the speed."""
        begun = shown = time.perf_counter()
        while self.playing and not self.place.is_deleted and shown - begun < LONGEST_UNWATCHED_S:
            await asyncio.sleep(max(0.0, TICK_S - (time.perf_counter() - shown)))
            now = time.perf_counter()
            by_s, shown = min(now - shown, MOST_BEHIND_S), now
            if self.playing:
                await self._do("go", by_s * self.speed)

    def _say(self, words: str) -> None:
        self.says._text = words
        self.says.set_visibility(bool(words))
        self.says.update()


def _stories(proof: Proof) -> Iterator[tuple[str, Story]]:
    """What can happen that must not, by its title: without a fault first, then under each fault."""
    checked = proof.rooms.checked
    if checked is None:
        return
    for finding in checked.findings:
        if finding.story is not None:
            yield finding.property.title, finding.story
    titles = {finding.property.code: finding.property.title for finding in checked.findings}
    for struck in checked.faults:
        for code, story in struck.dangerous:
            yield f"{struck.fault.sentence} {titles.get(code, code)}", story


def _changed(last: dict[str, Any], now: dict[str, Any]) -> dict[str, Any]:
    """What of a moment differs from the last one; of the animals only those that moved, nothing for those gone."""
    change = {name: value for name, value in now.items() if name not in ("animals", "told") and last.get(name) != value}
    before, after = last.get("animals", {}), now["animals"]
    moved = {number: place for number, place in after.items() if before.get(number) != place}
    moved |= {number: None for number in before if number not in after}
    if moved:
        change["animals"] = moved
    if now["told"]:
        change["told"] = now["told"]
    if now["t"] < last.get("t", 0.0) or bool(now.get("tale")) != bool(last.get("tale")):
        change["fresh"] = True
    return change
