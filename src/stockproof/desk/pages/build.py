"""The build: the catalogue kind by kind in plain words, what stands in it, what may, and why the rest may not."""

from __future__ import annotations

import asyncio
from functools import partial
from html import escape

from nicegui import ui
from nicegui.element import Element

from stockproof.catalogue import Catalogue, ItemBase
from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import button, el, html, link
from stockproof.desk.frame import frame
from stockproof.desk.options import Option, broken, build_of, kind_of, options, with_item
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.pages.comparing import comparison
from stockproof.desk.store import CATALOGUE
from stockproof.desk.text import remove, set_value
from stockproof.desk.verbs import catalogue_of
from stockproof.dossier.display import Display
from stockproof.errors import InputError
from stockproof.proof.judges.control import NOT_CHECKED
from stockproof.scene.pages import Quantity

__all__ = ["register"]

ITEMS = ("build", "items")
READ = Display()
#: Of these a build may hold several of one item.
COUNTED = {"race_part", "control_point"}


def register(office: Office) -> None:
    """Make the route of the build's page."""

    @ui.page("/job/{job}/build")
    def build(job: int) -> None:
        bench = open_bench(office, job)
        if bench is None:
            return
        with frame(bench, "build") as around:
            el("h1", "Build")
            catalogue = _catalogue(bench)
            if catalogue is None:
                return
            broken_rules, beside = el("div"), el("div")
            shelves = Shelves(bench, catalogue)
            moved = Moved()

            def look() -> None:
                if shelves.look():
                    _rules(broken_rules, catalogue, build_of(bench.values))

            around.watch(lambda: moved.look(bench))
            around.watch(
                lambda: _compared(beside, bench, moved),
                of=lambda: (moved.words, id(bench.other), bench.edition if bench.other else None),
            )
            around.watch(look)


class Moved:
    """What the last change moved: price and verdicts before and after."""

    def __init__(self) -> None:
        self.last: tuple[str, dict[int, str]] | None = None
        self.words: tuple[str, ...] = ()

    def look(self, bench: Bench) -> None:
        """Note what differs from the proof seen before; what a quick run does not look at has not moved."""
        if bench.proof is None or not bench.fresh:
            return
        price = bench.proof.rooms.price
        states = {v.number: str(v.state) for v in bench.proof.verdicts if v.because != NOT_CHECKED}
        before = self.last or ("", {})
        now = (READ.measure(round(price.total), "", price.currency), before[1] | states)
        if self.last is not None and now != self.last:
            words = [f"price {before[0]} → {now[0]}"] if now[0] != before[0] else []
            for verdict in bench.proof.verdicts:
                was, is_now = before[1].get(verdict.number, verdict.state), now[1].get(verdict.number, verdict.state)
                if was != is_now:
                    words.append(f"{verdict.kind.replace('_', ' ')}: {was} → {is_now}")
            self.words = tuple(words)
        self.last = now


def _catalogue(bench: Bench) -> Catalogue | None:
    """The job's catalogue, or on the page what is wrong with it."""
    raw = bench.papers.files.get(CATALOGUE)
    try:
        if raw is not None:
            return catalogue_of(raw)
        words = "This job has no catalogue yet."
    except InputError as error:
        words = str(error)
    el("p", words, "rust").style("white-space: pre-line")
    link("Bring one in", f"/job/{bench.job}/brief/file", "button")
    return None


def _rules(place: Element, catalogue: Catalogue, build: dict[str, int]) -> None:
    place.clear()
    rules = sorted(broken(catalogue, frozenset(build)))
    unknown = [f"{code} is no item of this catalogue" for code in build if code not in catalogue.by_code]
    if not rules and not unknown:
        return
    with place, el("div", classes="notice", role="alert"):
        el("p", "This build breaks the catalogue's rules, so there are no fresh verdicts until it is mended:")
        with el("ul"):
            for words in (*rules, *unknown):
                el("li", f"{words}.")


def _compared(place: Element, bench: Bench, moved: Moved) -> None:
    place.clear()
    with place:
        if moved.words:
            el("p", "The last change moved: " + "; ".join(moved.words) + ".", role="status")
        comparison(bench)


class Shelves:
    """The catalogue kind by kind; an item is drawn anew only where how it stands to the build has changed."""

    def __init__(self, bench: Bench, catalogue: Catalogue) -> None:
        self.bench, self.catalogue, self.client = bench, catalogue, ui.context.client
        self.build: dict[str, int] | None = None
        self.shown: dict[str, Option] = {}
        self.kinds: dict[str, tuple[Element, Element]] = {}
        self.items: dict[str, Element] = {}
        self.listed: dict[str, list[Option]] = {}
        self.filling: asyncio.Task[None] | None = None
        with el("div"):
            for kind in dict.fromkeys(kind_of(item) for item in catalogue.items):
                with el("details", classes="kindgroup"):
                    with el("summary"):
                        el("span", kind.replace("_", " ").capitalize(), "kindname")
                        chosen = el("span", "", "quiet")
                    self.kinds[kind] = (chosen, el("div"))

    def look(self) -> bool:
        """Draw what the build changed; tell whether it changed."""
        build = build_of(self.bench.values)
        if build == self.build:
            return False
        self.build = build
        self.listed = {kind: [] for kind in self.kinds}
        for option in options(self.catalogue, build):
            self.listed[kind_of(option.item)].append(option)
        for kind, (chosen, _) in self.kinds.items():
            words = ", ".join(option.item.name for option in self.listed[kind] if option.count) or "none"
            if chosen._text != words:
                chosen._text = words
                chosen.update()
        if self.filling is None:
            self.filling = asyncio.get_running_loop().create_task(self._fill())
        elif self.filling.done():
            self._draw_changed()
        return True

    async def _fill(self) -> None:
        """Draw the items, which are folded away, once the page stands in the browser: it need not wait for them."""
        await self.client.connected()
        for kind, (_, place) in self.kinds.items():
            if place.is_deleted:
                return
            self._draw(kind, self.listed[kind])
            await asyncio.sleep(0)
        self._draw_changed()

    def _draw_changed(self) -> None:
        for kind, listed in self.listed.items():
            if any(self.shown.get(option.item.code) != option for option in listed):
                self._draw(kind, listed)

    def _draw(self, kind: str, listed: list[Option]) -> None:
        place = self.kinds[kind][1]
        ordered = sorted(listed, key=lambda option: (option.count == 0, bool(option.because)))
        for number, option in enumerate(ordered):
            code = option.item.code
            if code not in self.items:
                with place:
                    self.items[code] = el("div")
            item = self.items[code]
            if place.default_slot.children.index(item) != number:
                item.move(place, number)
            if self.shown.get(code) != option:
                self.shown[code] = option
                item.clear()
                with item:
                    _item(self.bench, option, self.catalogue)


def _item(bench: Bench, option: Option, catalogue: Catalogue) -> None:
    item = option.item
    with el("div", classes="item in" if option.count else "item"):
        html(_shape(item), "div")
        with el("div", classes="what"):
            el("b", item.name)
            el("p", item.description)
            facts = (READ.quantity(Quantity(item.mass_kg, "mass")), f"{item.price} ex works", item.code)
            el("p", " · ".join(facts), "quiet small")
            if option.instead_of:
                names = ", ".join(catalogue.by_code[code].name for code in option.instead_of)
                el("p", f"Goes in instead of: {names}.", "why")
            for words in option.because:
                el("p", f"Excluded: {words}.", "why rust")
        with el("div", classes="do"):
            _act(bench, option)


def _act(bench: Bench, option: Option) -> None:
    """What can be done with an item; its chief button keeps the focus when it turns into the other."""
    code, name = option.item.code, option.item.name
    if option.count and kind_of(option.item) in COUNTED:
        with el("div", classes="count"):
            button("−", partial(_count_on, bench, code, -1), aria_label=f"one {name} less")
            el("b", str(option.count))
            button("+", partial(_count_on, bench, code, 1), aria_label=f"one {name} more", data_stays=code)
    elif option.count:
        button("Take out", partial(_set_count, bench, code, 0), aria_label=f"Take out {name}", data_stays=code)
    elif option.because:
        words = "Put in all the same"
        button(words, partial(_put, bench, option), "plain", aria_label=f"{words}: {name}", data_stays=code)
    else:
        words = "Put in instead" if option.instead_of else "Put in"
        button(words, partial(_put, bench, option), aria_label=f"{words}: {name}", data_stays=code)


def _count_on(bench: Bench, code: str, more: int) -> None:
    """One more or less than there are by now, however quickly it is pressed."""
    _set_count(bench, code, build_of(bench.values).get(code, 0) + more)


def _set_count(bench: Bench, code: str, count: int) -> None:
    text = bench.papers.text
    bench.change(set_value(text, (*ITEMS, code), count) if count else remove(text, (*ITEMS, code)))


def _put(bench: Bench, option: Option) -> None:
    """Put an item in, and take out what it stands instead of, in one step of the history."""
    text, build = bench.papers.text, build_of(bench.values)
    wanted = with_item(build, option)
    for code in build:
        if code not in wanted:
            text = remove(text, (*ITEMS, code))
    bench.change(set_value(text, (*ITEMS, option.item.code), wanted[option.item.code]))


def _shape(item: ItemBase) -> str:
    """The item's outline from the side, to the scale of a 1.7 m person beside it. [mm in the drawing]"""
    length, height = item.length_m * 1000, item.height_m * 1000
    words = f"{item.name}, {length:.0f} mm long and {height:.0f} mm high"
    return (
        '<svg class="shape" viewBox="-100 -2500 5000 2560" role="img" preserveAspectRatio="xMinYMax meet" '
        f'aria-label="{escape(words)}"><path d="M-100 0H4900" stroke="var(--steel)" stroke-width="16"/>'
        f'<rect x="700" y="{-height:.0f}" width="{length:.0f}" height="{height:.0f}" fill="var(--shade)" '
        'stroke="var(--ink)" stroke-width="24"/><g fill="none" stroke="var(--steel)" stroke-width="24">'
        '<circle cx="250" cy="-1585" r="115"/>'
        '<path d="M250-1470V-760M250-760L120 0M250-760L380 0M40-1150L250-1370L460-1150"/>'
        "</g></svg>"
    )
