"""The revisions of a job: who kept which, what each changed, and the way back to any of them."""

from __future__ import annotations

import difflib
from functools import partial
from html import escape

from nicegui import ui
from nicegui.element import Element

from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import button, el, html, link
from stockproof.desk.frame import frame, keep
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.store import Entry

__all__ = ["register"]


def register(office: Office) -> None:
    """Make the route of the revisions' page."""

    @ui.page("/job/{job}/past")
    def past(job: int) -> None:
        bench = open_bench(office, job)
        if bench is None:
            return
        with frame(bench, "past") as around:
            el("h1", "Revisions")
            place = el("div")
            around.watch(
                lambda: _show(place, bench),
                of=lambda: (bench.base, bench.is_draft, bench.papers.text, bench.newer()),
            )


def _show(place: Element, bench: Bench) -> None:
    place.clear()
    with place:
        if bench.is_draft:
            _draft(bench)
        with el("ul", classes="plainlist"):
            for entry in bench.office.store.history(bench.job):
                _entry(bench, entry)
        el("h2", "For the customer")
        found = bench.office.store.job(bench.job)
        if found is not None:
            el("p", "Who has this link reads the verdicts of the latest revision, and can change nothing:", "quiet")
            link(f"/show/{found.link}", f"/show/{found.link}")


def _draft(bench: Bench) -> None:
    newer = bench.newer()
    with el("div", classes="notice"):
        if newer is None:
            el("p", f"What you wrote since revision {bench.base} is saved as your draft.")
        else:
            el("p", f"Revision {newer} was kept by somebody while you wrote on revision {bench.base}. Nothing is lost:")
        with el("div", classes="row"):
            if newer is None:
                button("Keep it as a revision", lambda: keep(bench), "chief")
            else:
                button("Keep mine after it", lambda: bench.keep_over("kept after another's revision"), "chief")
            button("Throw my draft away", bench.drop)
        theirs = bench.office.store.head(bench.job).papers.text
        html(_differences(theirs, bench.papers.text))


def _entry(bench: Bench, entry: Entry) -> None:
    with el("li", classes="row"):
        el("b", f"{entry.number}")
        el("span", entry.what)
        el("span", f"{entry.who}, {entry.at.replace('T', ' ')[:16]}", "quiet small")
        words = "Go back to this"
        button(words, partial(bench.back_to, entry.number), "plain", aria_label=f"{words}: revision {entry.number}")


def _differences(before: str, after: str) -> str:
    """The lines that differ, the old with a minus and the new with a plus."""
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=1)
    kept = [line for line in lines if not line.startswith(("---", "+++"))]
    return f'<pre class="diff">{escape(chr(10).join(kept)) or "No line differs."}</pre>'
