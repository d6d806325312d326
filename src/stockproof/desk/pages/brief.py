"""The brief as forms: every part a page, every field with its unit, its meaning, and what is wrong beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from nicegui import ui
from nicegui.element import Element

from stockproof.brief.model import BriefFile
from stockproof.brief.promises import PROMISES
from stockproof.brief.tasks import task_table
from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import Entry, button, el, link
from stockproof.desk.forms import NAMED_IN, PARTS, Question, as_text, as_value, questions, title_of
from stockproof.desk.frame import Frame, frame, plain_frame
from stockproof.desk.pages.brought import file_part
from stockproof.desk.pages.tapping import tapping_part
from stockproof.desk.pages.weighing import weights_part
from stockproof.desk.people import who
from stockproof.desk.text import add_table, remove
from stockproof.errors import Fault
from stockproof.records import Record
from stockproof.tomlfile import KeyPath, dotted

__all__ = ["open_bench", "register"]

#: Texts that want more than a line.
LONG = {"note", "says", "crush"}
#: Keys at the top that no form asks for: the file's form is fixed, and the build has a page of its own.
NOT_ASKED = {"format", "build"}
#: What the first part asks: all that is no table of its own.
FIRST = tuple(question for question in questions(BriefFile) if question.kind not in ("table", "tables"))
KINDS: Mapping[str, type[Record]] = {
    question.choices[0]: kind for kind in PROMISES for question in questions(kind) if question.key == "kind"
}


def register(office: Office) -> None:
    """Make the routes of the brief's parts."""

    @ui.page("/job/{job}/brief")
    def first(job: int) -> None:
        _page(office, job, "")

    @ui.page("/job/{job}/brief/{part}")
    def other(job: int, part: str) -> None:
        _page(office, job, part)


def open_bench(office: Office, job: int) -> Bench | None:
    """Give the bench of who asks, or build a page that says there is no such job."""
    bench = office.bench(job, who())
    if bench is None:
        with plain_frame("No such job"):
            el("h1", "There is no such job on this desk")
            link("All jobs", "/")
    return bench


def _page(office: Office, job: int, part: str) -> None:
    bench = open_bench(office, job)
    if bench is None:
        return
    if part not in {key for key, _ in PARTS} | {"file"}:
        ui.navigate.to(f"/job/{job}/brief")
        return
    with frame(bench, "brief") as around, el("div", classes="parts"):
        _parts(around, bench, part)
        with el("div"):
            if part == "file":
                file_part(bench)
            else:
                Form(around, bench, part)


def _parts(around: Frame, bench: Bench, part: str) -> None:
    with el("nav", aria_label="Parts of the brief"):
        counts = {}
        for key, title in (*PARTS, ("file", "The file itself")):
            current = {"aria_current": "page"} if key == part else {}
            with link("", f"/job/{bench.job}/brief/{key}" if key else f"/job/{bench.job}/brief", **current):
                el("span", title)
                counts[key] = el("span", "", "count")

    def look() -> None:
        for key, count in counts.items():
            number = sum(_part_of(fault) == key for fault in bench.faults)
            words = f"{number} to mend" if number else ""
            if count._text != words:
                count._text = words
                count.update()

    around.watch(look)


def _part_of(fault: Fault) -> str:
    """The part of the brief a fault belongs to; what has no key is the file's own."""
    first = fault.place.key.split(".")[0].split("[")[0]
    if not first or fault.place.file != "brief.toml":
        return "file"
    return first if first in {key for key, _ in PARTS} else ""


class Form:
    """The form of one part, made from the record class that reads it."""

    def __init__(self, around: Frame, bench: Bench, part: str) -> None:
        self.bench, self.part = bench, part
        self.lines: dict[KeyPath, tuple[Element, Entry | None]] = {}
        self.shape: object = None
        self.place = el("div")
        around.watch(self.look)

    def look(self) -> None:
        """Build the form anew where what it asks was changed elsewhere, and show the faults beside the fields."""
        if self.shape != self._written():
            self._build()
        for path, (line, entry) in self.lines.items():
            faults = [fault for fault in self.bench.faults if _is_at(fault, path, entry is not None)]
            words = "\n".join(_in_words(fault) for fault in faults)
            if line._text != words:
                line._text = words
                line.update()
                line.set_visibility(bool(words))
            if entry is not None:
                entry.doubt(bool(words))

    def _written(self) -> object:
        """What this part of the brief says, and the names its fields offer."""
        keys = [self.part] if self.part else [question.key for question in FIRST]
        return [self.bench.value((key,)) for key in keys], [self._names(key) for key in NAMED_IN]

    def _build(self) -> None:
        self.shape = self._written()
        self.lines.clear()
        self.place.clear()
        title = dict(PARTS)[self.part]
        with self.place:
            el("h1", title)
            if not self.part:
                self._record(BriefFile, (), lambda question: question in FIRST)
                return
            question = next(question for question in questions(BriefFile) if question.key == self.part)
            self._part(question, (self.part,))

    def _part(self, question: Question, path: KeyPath) -> None:
        if question.kind == "tables":
            self._tables(question, path)
        elif question.model is not None and (self.bench.value(path) is not None or question.required):
            self._record(question.model, path)
            if not question.required:
                button(f"Take {title_of(question.key)} out of the brief", lambda: self._remove(path), "plain")
        elif question.model is not None:
            el("p", f"The brief says nothing of this. {question.asks[:1].upper()}{question.asks[1:]}.", "quiet")
            button(f"Add {title_of(question.key)}", lambda: self._set(path, {}))
        if self.part == "today":
            tapping_part(self.bench, lambda rate: self._set(("today", "rate"), rate))

    def _record(self, model: type[Record], path: KeyPath, asked: Callable[[Question], bool] = lambda _: True) -> None:
        chosen = [question for question in questions(model) if asked(question) and question.key not in NOT_ASKED]
        with el("div", classes="form"):
            for question in chosen:
                if question.kind not in ("table", "tables", "counts"):
                    self._ask(question, (*path, question.key))
        for question in chosen:
            if question.kind in ("table", "tables"):
                el("h2", title_of(question.key).capitalize())
                self._part(question, (*path, question.key))

    def _tables(self, question: Question, path: KeyPath) -> None:
        elements = self.bench.value(path) or []
        self.lines[path] = (self._fault_line(), None)
        for i, element in enumerate(elements):
            model = question.model or KINDS.get(str(element.get("kind", "")))
            with el("div", classes="each"):
                with el("div", classes="title"):
                    el("h2", _name_of(element, i))
                    button("Remove", partial(self._remove, (*path, i)), "plain")
                self.lines[(*path, i)] = (self._fault_line(), None)
                if model is None:
                    el("p", f"No promise is called {element.get('kind')!r}.", "rust")
                else:
                    self._record(model, (*path, i))
                    if path == ("mob",):
                        weights_part(self.bench, i)
        if question.model is None:
            self._add_promise(path)
        else:
            button(f"Add {title_of(question.key)}", lambda: self._add(path, {}))

    def _add_promise(self, path: KeyPath) -> None:
        with el("div", classes="ask"):
            el("span", "Another promise", "label")
            labels = ["choose a kind", *(title_of(kind) for kind in KINDS)]
            Entry(
                "choice",
                "",
                lambda kind: self._add(path, {"kind": kind}) if kind else None,
                choices=["", *KINDS],
                labels=labels,
                label="Kind of promise to add",
            )
            el("p", "What the customer wants to have proved.", "says")

    def _ask(self, question: Question, path: KeyPath) -> None:
        if question.key == "kind":
            return
        written = as_text(self.bench.value(path), question.kind)
        long = question.kind in ("points",) or question.key in LONG
        with el("div", classes="ask wide" if long or question.kind in ("names", "words") else "ask"):
            label = el("label", title_of(question.key))
            entry = self._entry(question, path, written)
            label.props["for"] = f"c{entry.id}"
            entry.props["aria-label"] = f"{title_of(question.key)}: {question.asks}"
            asks = question.asks[:1].upper() + question.asks[1:].rstrip(".")
            el("p", " ".join((f"{asks}.", *_extras(question))), "says")
            self.lines[path] = (self._fault_line(), entry)

    def _entry(self, question: Question, path: KeyPath, written: str) -> Entry:
        def told(text: str) -> None:
            value = as_value(text, question.kind, question.choices)
            self.bench.set(path, value)
            self.shape = self._written()

        names = self._names(question.key)
        if question.kind in ("words", "names") and (question.choices or names):
            chosen = [word for word in written.split("\n") if word]
            choices = [
                *(question.choices or names),
                *(word for word in chosen if word not in (question.choices or names)),
            ]
            return Entry("ticks", written, told, choices=choices, labels=[title_of(choice) for choice in choices])
        if question.kind in ("word", "flag") or names:
            return self._choice(question, written, told, question.choices or names)
        if question.kind in ("points", "names") or question.key in LONG:
            return Entry("lines", written, told, rows=6 if question.kind == "points" else 2)
        kind = "date" if question.kind == "date" else "text"
        return Entry(kind, written, told, example=question.example)

    def _choice(self, question: Question, written: str, told: Callable[[str], None], choices: tuple[str, ...]) -> Entry:
        words = {"true": "yes", "false": "no", "": "none"}
        nothing = [] if "" in choices else [""]
        stray = [written] if written and written not in choices else []
        labels = [*("not said" for _ in nothing), *stray, *(words.get(choice, title_of(choice)) for choice in choices)]
        return Entry("choice", written, told, choices=[*nothing, *stray, *choices], labels=labels)

    def _names(self, key: str) -> tuple[str, ...]:
        """The names a key may take, where it must be a name of this brief or a task of the trade."""
        if key in ("task", "tasks"):
            return tuple(task_table())
        there = self.bench.value(NAMED_IN[key]) if key in NAMED_IN else None
        return tuple(str(each.get("name", "")) for each in there or [] if each.get("name"))

    def _fault_line(self) -> Element:
        line = el("p", "", "fault", role="alert").style("white-space: pre-line")
        line.set_visibility(False)
        return line

    def _set(self, path: KeyPath, value: Any) -> None:
        self.shape = None
        self.bench.set(path, value)
        self.look()

    def _add(self, path: KeyPath, keys: Mapping[str, Any]) -> None:
        self.bench.change(add_table(self.bench.papers.text, path, keys))
        self.look()

    def _remove(self, path: KeyPath) -> None:
        self.bench.change(remove(self.bench.papers.text, path))
        self.look()


def _name_of(element: Mapping[str, Any], i: int) -> str:
    named = element.get("name") or element.get("kind") or element.get("label") or element.get("task") or ""
    return f"{i + 1}  {title_of(str(named)) or 'without a name'}"


def _extras(question: Question) -> list[str]:
    extras = []
    if question.kind == "quantity" and question.allowed:
        units = question.allowed.removeprefix("a number with one of the units ").split(", for example")[0]
        extras.append(f"In {units}.")
    if question.kind == "amount":
        extras.append(f"As {question.example}.")
    if question.kind == "quantities":
        extras.append("Set apart by commas.")
    if question.default:
        extras.append(f"If unsaid: {question.default}.")
    elif not question.required:
        extras.append("May stay unsaid.")
    return extras


def _is_at(fault: Fault, path: KeyPath, leaf: bool) -> bool:
    key, here = fault.place.key, dotted(path)
    return key == here or (leaf and key.startswith((f"{here}[", f"{here}.")))


def _in_words(fault: Fault) -> str:
    """A fault as a sentence beside its field, which shows what was written itself."""
    what = fault.what[:1].upper() + fault.what[1:]
    return (
        ". ".join(
            part.rstrip(".")
            for part in (what, f"Allowed: {fault.allowed}" if fault.allowed else "", fault.mend)
            if part
        )
        + "."
    )
