"""What stands round every page of a job: head with the pages, the panel at the side, the strip of verdicts below."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from html import escape

from nicegui import ui
from nicegui.element import Element

from stockproof.desk.bench import Bench
from stockproof.desk.elements import button, el, html, link
from stockproof.desk.marks import mark_svg
from stockproof.desk.panel import Panel
from stockproof.desk.rooms import ROOMS
from stockproof.desk.store import Stale
from stockproof.desk.text import changed
from stockproof.dossier.display import Display, margin
from stockproof.dossier.write import display_of
from stockproof.proof import Proof, State, Verdict

__all__ = ["Frame", "frame", "plain_frame"]

#: How often a page looks whether there is something new. [s]
LOOK_S = 0.2
#: The pages of a job along the job.
PAGES = (
    ("brief", "Brief"),
    ("build", "Build"),
    *((room.name, room.title) for room in ROOMS),
    ("rehearsal", "Rehearsal"),
    ("dossier", "Dossier"),
    ("past", "Revisions"),
)
STATES: tuple[State, ...] = ("not met", "not shown", "met")


class Frame:
    """A page's frame; `watch` takes what is to be called when the bench has something new."""

    def __init__(self, bench: Bench, page: str) -> None:
        self.bench, self.page = bench, page
        self.seen = -1
        self.panel = Panel(bench)
        self._watchers: list[Callable[[], None]] = []

    def watch(self, look: Callable[[], None], of: Callable[[], object] | None = None) -> None:
        """Call now, and again whenever there is something new; with `of`, only where what that gives has changed.

        What builds its elements anew says of what they are made: elements built anew for nothing lose the focus, and
        a press that was on its way to one of them.
        """
        self._watchers.append(look if of is None else _only_changed(look, of))

    def look(self) -> None:
        self.bench.wake()
        if self.seen != self.bench.turn:
            self.seen = self.bench.turn
            for look in self._watchers:
                look()


def _only_changed(look: Callable[[], None], of: Callable[[], object]) -> Callable[[], None]:
    shown: list[object] = []

    def looked() -> None:
        now = of()
        if shown != [now]:
            shown[:] = [now]
            look()

    return looked


@contextmanager
def frame(bench: Bench, page: str) -> Iterator[Frame]:
    """Build the frame of a page and give it; what is built inside stands on the sheet."""
    around = Frame(bench, page)
    ui.page_title(f"{bench.title} · Stockproof")
    with el("div", classes="bench"):
        link("To the page", "#sheet", "skip")
        _head(around)
        with el("div", classes="middle") as middle:
            with el("div", classes="sheet", id="sheet", tabindex="-1"):
                yield around
            around.panel.build(middle)
        around.watch(around.panel.look, of=lambda: bench.edition)
        _strip(around)
    around.look()
    ui.timer(LOOK_S, around.look)


@contextmanager
def plain_frame(title: str) -> Iterator[None]:
    """Build the frame of a page that belongs to no job."""
    ui.page_title(title)
    with el("div", classes="bench"):
        with el("header", classes="head"):
            link("Stockproof", "/", "mark")
            el("span", title, "job")
        with el("div", classes="sheet", id="sheet", tabindex="-1"):
            yield


def _head(around: Frame) -> None:
    bench = around.bench
    with el("header", classes="head"):
        link("Stockproof", "/", "mark", aria_label="Stockproof, all jobs")
        name = el("span", bench.title, "job")
        kept = el("div", classes="kept")
        with el("nav", classes="pages", aria_label="Pages of this job"):
            for path, title in PAGES:
                current = {"aria_current": "page"} if path == around.page else {}
                link(title, f"/job/{bench.job}/{path}", **current)

    around.watch(lambda: _set_text(name, bench.title))
    around.watch(
        lambda: _kept(kept, bench), of=lambda: (bench.trouble, bench.is_draft, bench.base, bench.can_step_back)
    )


def _kept(kept: Element, bench: Bench) -> None:
    kept.clear()
    with kept:
        if bench.trouble:
            el("span", bench.trouble, "rust small", role="alert")
        if not bench.is_draft:
            el("span", f"revision {bench.base}", "quiet small")
            return
        el("span", f"draft on revision {bench.base}, saved", "quiet small")
        if bench.can_step_back:
            button("Undo", bench.step_back, "plain")
        button("Keep", lambda: keep(bench), "chief")


def keep(bench: Bench) -> None:
    """Keep the draft as a revision that says which keys it changed; where somebody was faster, say so."""
    before = bench.office.store.revision(bench.job, bench.base).papers
    what = ", ".join(changed(before.text, bench.papers.text)) or "files beside the brief"
    try:
        bench.keep(what)
    except Stale as stale:
        bench.trouble = f"Not kept: {stale}. Both are under Revisions."
        bench.turn += 1


def _strip(around: Frame) -> None:
    bench = around.bench
    with el("footer", classes="strip", aria_label="Verdicts") as strip:
        total = el("div", classes="sum")
        promises = el("div", classes="list", role="list")
        progress = el("div", classes="progress")
        price = el("div", classes="price")

    def look() -> None:
        stale = not bench.fresh or bool(bench.faults)
        strip.classes(add="working" if stale else "", remove="" if stale else "working")

    def show() -> None:
        for part in (total, promises, price):
            part.clear()
        if bench.proof is None:
            with total:
                words = "no verdicts until the brief is whole" if bench.faults else "proving …"
                el("span", words, "quiet")
            return
        if bench.faults:
            with total:
                el("span", f"{len(bench.faults)} to mend; before that:", "rust")
        _verdicts(around, bench.proof, total, promises)
        with price:
            _price(bench.proof)

    around.watch(show, of=lambda: (_said(bench.proof), len(bench.faults)))
    around.watch(look)
    _progress(around, progress)


def _said(proof: Proof | None) -> object:
    """What the strip says of a proof."""
    if proof is None:
        return None
    verdicts = [(verdict.number, verdict.state, verdict.promise, verdict.margin_share) for verdict in proof.verdicts]
    return verdicts, round(proof.rooms.price.total), proof.rooms.price.currency


def _progress(around: Frame, place: Element) -> None:
    """What runs in the background, and how far it is."""
    bench = around.bench
    with place:
        words = el("span", "", "small")
        bar = el("progress", max=1)
        stop = button("Stop", bench.stop, "plain")
        full = button("Run in full", bench.run_in_full, "plain")

    def look() -> None:
        run = bench.run
        quick = run is None and bench.proof is not None and bench.fresh and not bench.is_full
        _set_text(words, f"full run: {run.what}" if run else ("quick run" if quick else ""))
        if run is not None:
            bar.props.update({"value": run.share, "aria-label": run.what})
            bar.update()
        for part, shown in ((bar, run is not None), (stop, run is not None)):
            part.set_visibility(shown)
        stopped = quick and bench.stopped == bench.papers
        full.set_visibility(stopped)
        calm = quick and not stopped  # nothing to press or to wait for: a phone leaves it out
        place.classes(add="calm" if calm else "", remove="" if calm else "calm")
        place.set_visibility(run is not None or quick)

    around.watch(look)


def _verdicts(around: Frame, proof: Proof, total: Element, promises: Element) -> None:
    display = display_of(proof)
    with total:
        for state in STATES:
            count = sum(verdict.state == state for verdict in proof.verdicts)
            mark = f'<span class="verdict is-{state.replace(" ", "-")}">{mark_svg(state)}{count}'
            words = f'{mark}<span class="word"> {state}</span></span>'
            shown = button("", partial(around.panel.verdicts, state), "plain", aria_label=f"{count} {state}")
            with shown:
                html(words, "span")
    with promises:
        for verdict in sorted(proof.verdicts, key=lambda verdict: STATES.index(verdict.state)):
            _promise(around, verdict, display)


def _promise(around: Frame, verdict: Verdict, display: Display) -> None:
    kind = verdict.kind.replace("_", " ")
    found = margin(verdict.worst) or verdict.state
    label = f"{verdict.number} {kind}: {verdict.state}"
    with el("div", role="listitem"):
        shown = button(
            "", lambda: around.panel.verdict(verdict.number), "promise", aria_label=label, title=verdict.promise
        )
    with shown:
        mark = f'<span class="is-{verdict.state.replace(" ", "-")}">{mark_svg(verdict.state)}</span>'
        html(f'<span class="kind">{mark}{escape(kind)}</span><span class="found">{escape(found)}</span>', "span")


def _price(proof: Proof) -> None:
    price = proof.rooms.price
    el("span", "delivered and fitted")
    el("b", display_of(proof).measure(round(price.total), "", price.currency))


def _set_text(element: Element, text: str) -> None:
    if element._text != text:
        element._text = text
        element.update()
