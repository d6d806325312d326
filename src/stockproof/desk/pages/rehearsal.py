"""The rehearsal page: the installation as proved, run live in front of people, with their hands on its controls."""

from __future__ import annotations

import asyncio
import contextlib
import time
from importlib import resources
from typing import Any

from nicegui import app, ui
from nicegui.element import Element
from starlette.responses import Response

from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import el
from stockproof.desk.frame import Frame, frame
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.performing import Performance
from stockproof.desk.rehearsing import Begin
from stockproof.desk.telling import Tale, tales_of
from stockproof.desk.work import Cancelled, Faulty
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
#: A page that has not come up by then is not waited for. [s]
LONGEST_TO_CONNECT_S = 60.0
SPEEDS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0)
BRIEF_CHANGED = "The brief has changed. Begin anew to rehearse it as it stands now."
CSS = "/desk-files/rehearsal.css"


class StagePicture(Element, component="../files/rehearsal.js", esm={"rehearsal": "../files/rehearsal"}):
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
        """Change what stands round the picture: `speed`, `playing`, `stories`, `checking`."""
        self.run_method("put", state)


def register(office: Office) -> None:
    """Make the page's route and that of its style; each user's rehearsal of each job stays while the desk is open."""
    performances: dict[tuple[int, str], Performance] = {}

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
            performance = performances.setdefault((job, bench.who), Performance(office.stage))
            Show(around, bench, performance, says, place)


class Show:
    """One page's view of a rehearsal: orders go to the stage one at a time, and what they lead to is drawn."""

    def __init__(self, around: Frame, bench: Bench, performance: Performance, says: Element, place: Element) -> None:
        self.bench, self.performance, self.says, self.place = bench, performance, says, place
        self.client = ui.context.client
        self.proof: Proof | None = None
        self.picture: StagePicture | None = None
        self.last: dict[str, Any] = {}
        self.playing, self.speed = False, 1.0
        self.told = 0  # how often somebody pressed Pause or Go on
        self.loop: asyncio.Task[None] | None = None
        self.tales: tuple[Tale, ...] = ()
        self.telling = self.run = 0
        self.client.on_disconnect(self._stop)
        self.client.on_connect(self._put)
        self._task(self._warm() if performance.begun is None else self._go_on_with())
        around.watch(self._look)

    def _look(self) -> None:
        """Set the rehearsal up once there is a proof; one that is going on stays as it is while the brief changes."""
        proof, performance = self.bench.proof, self.performance
        if proof is not None and self.picture is not None:
            self._offer(proof)
            if performance.papers is None and self.bench.fresh:
                performance.papers = self.bench.proved
            if performance.papers is not None and self.bench.proved not in (performance.papers, None):
                self._say("" if self.bench.faults else BRIEF_CHANGED)
        if proof is None or self.proof is not None:
            return
        self.proof = proof
        if performance.begun is None:
            self._task(self._begin(Begin(cast_of(proof.rooms))))

    def _offer(self, proof: Proof) -> None:
        """Offer the stories of the logic check, once there has been one."""
        checked = proof.rooms.checked
        tales = self.performance.tales or (tuple(tales_of(checked)) if checked else ())
        if tales != self.tales and self.picture is not None:
            self.tales = tales
            self.picture.put(stories=[[k, tale.group, tale.title] for k, tale in enumerate(tales)])

    async def _strike_all(self) -> None:
        """Have every single fault struck in the background, and offer the stories of what comes of it."""
        begun, picture = self.performance.begun, self.picture
        if begun is None or picture is None:
            return
        picture.put(checking=True)
        try:
            self.performance.tales = await self.bench.office.full.do("tales", begun.cast.control, owner=self)
        except (Cancelled, RuntimeError) as error:
            self._say(f"The faults could not be struck: {error}")
        if not self.place.is_deleted:
            picture.put(checking=False)
            self._look()

    def _task(self, work: Any) -> asyncio.Task[None]:
        return asyncio.get_running_loop().create_task(work)

    def _stop(self) -> None:
        self.playing = False

    async def _warm(self) -> None:
        """Let the stage load what it needs while the proof is made."""
        with contextlib.suppress(Cancelled, RuntimeError):
            await self.bench.office.stage.do("warm", "stockproof.desk.rehearsing")

    # Orders

    async def _begin(self, begin: Begin) -> None:
        papers, told = self.bench.proved if self.bench.fresh else None, self.told
        self._take_hold()
        try:
            self._show(*await self.performance.begin(begin, papers))
        except (Faulty, Cancelled, RuntimeError) as error:
            self._say(f"This cannot be rehearsed: {error}")
            return
        if self.told == told:  # nobody pressed Pause meanwhile
            self._play(True)

    async def _go_on_with(self) -> None:
        """A page that comes up again shows the rehearsal as it was left; a button of a page that is gone is let go."""
        holder = self.performance.holder
        try:
            await self.client.connected(LONGEST_TO_CONNECT_S)
            if not (isinstance(holder, Show) and holder.client.has_socket_connection):
                for name in self.performance.pressed:
                    await self.performance.do("act", "press", name, False)
            self._show(*await self.performance.open())
        except (Faulty, Cancelled, RuntimeError, TimeoutError) as error:
            self._say(f"The rehearsal cannot be taken up again: {error}")

    def _take_hold(self) -> None:
        """Whoever did something last in a rehearsal has it in hand; another window of the same user stands still."""
        if self.performance.holder is not self:
            self.performance.holder = self
            self._say("")

    def _show(self, still: dict[str, Any], moment: dict[str, Any]) -> None:
        self.last, self.run = moment, still["run"]
        if self.place.is_deleted:
            return
        if self.picture is None:
            with self.place:
                self.picture = StagePicture(still, moment)
            self._listen(self.picture)
        else:
            self.picture.begin(still, moment)
        self._say("" if still["plan"] else "No layout fits the site; the line is drawn straight.")
        self._look()

    def _listen(self, picture: StagePicture) -> None:
        picture.on("act", lambda event: self._act(*event.args))
        picture.on("order", lambda event: self._order(*event.args))
        picture.on("begin", lambda event: self._anew(event.args))
        picture.on("speed", lambda event: self._at_speed(float(event.args)))
        picture.on("play", lambda event: self._told_to_play(bool(event.args)))
        picture.on("story", lambda event: self._tell(int(event.args)))
        picture.on("check", self._strike_all)

    async def _act(self, verb: str, name: str, on: bool) -> None:
        await self._do("act", str(verb), str(name), bool(on))

    async def _order(self, what: str, *arguments: float) -> None:
        if what not in ("next", "look", "show"):
            return
        self._play(False)
        await self._do(what, *map(float, arguments))

    async def _anew(self, changes: dict[str, Any]) -> None:
        begun = self.performance.begun
        if begun is None:
            return
        self._end_tale()
        proof = self.bench.proof
        cast = cast_of(proof.rooms) if proof is not None and not self.bench.faults else begun.cast
        programme = str(changes.get("programme", begun.programme))
        seed = changes.get("seed", begun.seed)
        seed = None if seed is None else max(0, min(int(seed), 2**31))
        known = cast.installation.brief.programmes
        await self._begin(Begin(cast, programme if programme in known else "", seed))

    async def _do(self, what: str, *arguments: Any) -> None:
        """Order one thing and draw where it leads."""
        self._end_tale()
        self._take_hold()
        began = time.perf_counter()
        try:
            if self.run != self.performance.run:
                self._show(*await self.performance.open())
            moment = await self.performance.do(what, *arguments)
        except Faulty as error:
            self._say(str(error))
        except (Cancelled, RuntimeError) as error:
            self._stop()
            self._say(f"The rehearsal stopped: {error}")
        else:
            self._draw(moment, TICK_S if what == "go" else min(0.25, max(0.12, time.perf_counter() - began)))

    def _draw(self, moment: dict[str, Any], over_s: float) -> None:
        change = {**_changed(self.last, moment), "run": self.run}
        self.last = moment
        if self.picture is not None and not self.picture.is_deleted:
            self.picture.show(change, round(over_s * 1000))

    # Going on

    def _tell(self, k: int) -> None:
        """Act a story out; anything else that is pressed ends it."""
        if 0 <= k < len(self.tales):
            self._play(False)
            self.telling += 1
            self._task(self._tell_all(self.tales[k], self.telling))

    async def _tell_all(self, tale: Tale, number: int) -> None:
        try:
            scenes = await self.performance.tale(tale)
        except (Faulty, Cancelled, RuntimeError) as error:
            self._say(f"This story cannot be played: {error}")
            return
        for scene in scenes:
            if number != self.telling or self.place.is_deleted:
                return
            self._draw({**self.last, **scene}, SCENE_S / 2)
            await asyncio.sleep(SCENE_S / max(1.0, self.speed))

    def _end_tale(self) -> None:
        """The story's task sees at its next step that it is over: it is not broken off where it stands."""
        self.telling += 1

    def _at_speed(self, speed: float) -> None:
        if speed in SPEEDS:
            self.speed = speed
            self._put()

    def _told_to_play(self, on: bool) -> None:
        self.told += 1
        self._play(on)

    def _play(self, on: bool) -> None:
        if on:
            self._end_tale()
            self._take_hold()
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
            if self.performance.holder is not self:
                self._play(False)
                self._say("The rehearsal goes on in another window; what you do here takes it back.")
            if self.playing:
                await self._do("go", by_s * self.speed)

    def _say(self, words: str) -> None:
        self.says._text = words
        self.says.set_visibility(bool(words))
        self.says.update()


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
    told = bool(last.get("tale"))
    if told and not now.get("tale"):
        change["tale"] = None
    if now["t"] < last.get("t", 0.0) or bool(now.get("tale")) != told:
        change["fresh"] = True
    return change
