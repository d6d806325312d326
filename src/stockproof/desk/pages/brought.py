"""The brief's own file: its text, bringing another in, taking it out, and the catalogue it goes with."""

from __future__ import annotations

from functools import partial

from nicegui import ui

from stockproof.desk.bench import Bench
from stockproof.desk.elements import Bring, Entry, button, el
from stockproof.desk.store import CATALOGUE
from stockproof.desk.verbs import BRIEF

__all__ = ["file_part"]


def file_part(bench: Bench) -> None:
    """Build the page of the file."""
    el("h1", "The file itself")
    el(
        "p",
        "The forms write this text and leave comments and order as they stand. You may write in it yourself.",
        "quiet",
    )
    faults = el("div")
    Entry("lines", bench.papers.text, bench.change, rows=28, label="Text of the brief").classes("code")
    with el("div", classes="row").style("margin: 1rem 0"):
        button("Take out brief.toml", lambda: ui.download(bench.papers.text.encode(), BRIEF))
        for name, data in sorted(bench.papers.files.items()):
            button(f"Take out {name}", partial(ui.download, data, name))
    told = el("p", "", "rust", role="alert")

    def say(words: str) -> None:
        told._text = words
        told.update()

    def brief(_: str, text: str) -> None:
        bench.change(text)
        ui.navigate.reload()

    def catalogue(_: str, text: str) -> None:
        bench.change(bench.papers.text, {CATALOGUE: text.encode()})
        ui.navigate.reload()

    with el("div", classes="form"):
        for title, says, take in (
            ("Another brief", "Takes the place of this text as a draft; the revisions stay.", brief),
            ("A catalogue", "What the firm makes; this job's catalogue from now on.", catalogue),
        ):
            with el("div", classes="ask"):
                el("span", title, "label")
                Bring(title, ".toml", take, say)
                el("p", says, "says")
    _list_faults(bench, faults)


def _list_faults(bench: Bench, place: ui.element) -> None:
    """Everything that is wrong, in the words and with the lines of the command line."""
    shown: list[object] = [None]

    def look() -> None:
        if shown[0] == bench.faults:
            return
        shown[0] = bench.faults
        place.clear()
        with place:
            if bench.faults:
                with el("div", classes="notice"), el("ul"):
                    for fault in bench.faults:
                        el("li", str(fault)).style("white-space: pre-line")

    look()
    ui.timer(0.3, look)
