"""The first page: the jobs on this desk, and ways to begin one."""

from __future__ import annotations

import importlib.resources
from pathlib import Path

from nicegui import ui

from stockproof.desk.bench import Office
from stockproof.desk.elements import Bring, button, el, link
from stockproof.desk.frame import plain_frame
from stockproof.desk.people import who
from stockproof.desk.store import CATALOGUE, Papers
from stockproof.errors import InputError
from stockproof.tomlfile import parse_toml

__all__ = ["register"]


def register(office: Office) -> None:
    """Make the route of the first page."""

    @ui.page("/", title="Stockproof")
    def jobs() -> None:
        with plain_frame("Jobs"):
            el("h1", "Jobs")
            with el("ul", classes="plainlist"):
                for job in office.store.jobs():
                    with el("li", classes="row"):
                        link(job.title, f"/job/{job.id}/brief")
                        el("span", f"revision {job.head}", "quiet small")
                        el("span", job.origin, "quiet small")
            if not office.store.jobs():
                el("p", "No job yet. Begin one from a brief you have, or from an empty one.", "quiet")
            el("h2", "Begin a job")
            told = el("p", "", "rust", role="alert")
            _from_file(office, told)
            _from_template(office)


def _from_file(office: Office, told: ui.element) -> None:
    def brought(name: str, text: str) -> None:
        try:
            written = parse_toml(text.encode(), name, Path()).values
        except InputError as error:
            _say(told, str(error))
            return
        if not written:
            _say(told, f"{name} is no brief: nothing is written in it")
            return
        papers = Papers(text, _known_catalogue(office))
        ui.navigate.to(f"/job/{office.begin(papers, who(), what=f'brought in from {name}')}/brief")

    with el("div", classes="ask"):
        el("span", "From a brief", "label")
        Bring("A brief, a TOML file", ".toml", brought, lambda words: _say(told, words))
        el("p", "A TOML file; comments in it stay as they are.", "says")


def _from_template(office: Office) -> None:
    def begin() -> None:
        text = importlib.resources.files("stockproof.brief").joinpath("template.toml").read_text(encoding="utf-8")
        ui.navigate.to(f"/job/{office.begin(Papers(text, _known_catalogue(office)), who(), what='begun')}/brief")

    with el("div", classes="ask"):
        el("span", "From nothing", "label")
        button("Begin with placeholders", begin)
        el("p", "Every question of a brief with an invented answer, to be put right one by one.", "says")


def _known_catalogue(office: Office) -> dict[str, bytes]:
    """The catalogue of the newest job, since a firm has one; another can be brought in on the brief's page."""
    for job in office.store.jobs():
        files = office.store.head(job.id).papers.files
        if CATALOGUE in files:
            return {CATALOGUE: files[CATALOGUE]}
    return {}


def _say(told: ui.element, words: str) -> None:
    told._text = words
    told.update()
