"""The panel at the side: the reason of a verdict, or where a figure comes from, one click away from its number."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from html import escape

from nicegui import ui
from nicegui.element import Element

from stockproof.desk.bench import Bench
from stockproof.desk.elements import button, el, html
from stockproof.desk.marks import verdict_html
from stockproof.dossier.display import Display, margin
from stockproof.dossier.write import display_of
from stockproof.figures import Figure
from stockproof.proof import Measure, Proof, State, Verdict

__all__ = ["Panel", "opens_figures"]

HOW = {
    "given": "stated",
    "assumed": "assumed: nobody stated it",
    "derived": "by a formula",
    "run": "by a computation",
}
MOST_USES = 12


class Panel:
    """The side panel of one page."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._back: list[str] = []
        self._shown: tuple[Callable[[Proof], object], Callable[[Proof], None], object] | None = None

    def build(self, middle: Element) -> None:
        """Make the panel, shut, beside the sheet."""
        self.middle = middle
        self.client = ui.context.client
        self.place = el("aside", classes="panel", aria_label="Reasons")
        self.place.set_visibility(False)
        self.place.on("keydown.escape", lambda _: self.shut())

    def look(self) -> None:
        """Show anew what is open where a newer proof says something else of it."""
        proof = self.bench.proof
        if self._shown is None or proof is None:
            return
        of, show, was = self._shown
        now = of(proof)
        if now is None:
            self.shut()
        elif now != was:
            self._fill(of, show, now, proof)

    def shut(self) -> None:
        self._back.clear()
        self._shown = None
        self.place.set_visibility(False)
        self.middle.classes(remove="open")

    def verdicts(self, state: State) -> None:
        """Show every promise with one state."""

        def of(proof: Proof) -> list[Verdict]:
            return [verdict for verdict in proof.verdicts if verdict.state == state]

        def show(proof: Proof) -> None:
            el("h2", state)
            with el("ul", classes="plainlist"):
                for verdict in of(proof):
                    self._short(verdict)

        self._open(of, show)

    def verdict(self, number: int) -> None:
        """Show why a promise is met, not met or not shown."""

        def of(proof: Proof) -> Verdict | None:
            return next((verdict for verdict in proof.verdicts if verdict.number == number), None)

        def show(proof: Proof) -> None:
            found = of(proof)
            assert found is not None
            self._reason(found, proof)

        self._open(of, show)

    def figure(self, name: str) -> None:
        """Show where a figure comes from."""
        proof = self.bench.proof
        if proof is not None and name in proof.rooms.ledger:
            self._back.append(name)
            self._open(
                lambda proof: proof.rooms.ledger.figures.get(name),
                lambda proof: self._provenance(proof.rooms.ledger[name], proof),
            )

    def _open(self, of: Callable[[Proof], object], show: Callable[[Proof], None]) -> None:
        """Open the panel on something a proof says; the focus goes to the way out of it."""
        proof = self.bench.proof
        if proof is not None and (now := of(proof)) is not None:
            shut = self._fill(of, show, now, proof)
            self.client.run_javascript(f'document.getElementById("c{shut.id}")?.focus({{preventScroll: true}})')

    def _fill(self, of: Callable[[Proof], object], show: Callable[[Proof], None], now: object, proof: Proof) -> Element:
        self._shown = (of, show, now)
        self.place.clear()
        self.place.set_visibility(True)
        self.middle.classes(add="open")
        with self.place, el("div", classes="inner"):
            shut = button("Close", self.shut, "plain shut")
            show(proof)
        return shut

    def _short(self, verdict: Verdict) -> None:
        with el("li"):
            button(f"{verdict.number}  {verdict.promise}", lambda: self.verdict(verdict.number), "figurelink")
            el("p", verdict.because, "quiet small")

    def _reason(self, verdict: Verdict, proof: Proof) -> None:
        display = display_of(proof)
        html(verdict_html(verdict.state), classes="small")
        el("h2", verdict.promise)
        if verdict.measures:
            self._measures(verdict.measures, display, proof)
        if verdict.because:
            el("p", _sentence(verdict.because))
        if verdict.mend:
            el("h3", "What would mend it")
            el("p", _sentence(verdict.mend))
        if verdict.bounds:
            el("h3", "Within these bounds")
            el("p", _sentence(verdict.bounds))
        rest = [name for name in dict.fromkeys(verdict.evidence) if name in proof.rooms.ledger]
        if rest:
            el("h3", "It rests on")
            self._list(rest, proof, display)

    def _measures(self, measures: tuple[Measure, ...], display: Display, proof: Proof) -> None:
        rows = "".join(_measure_row(measure, display, measure.figure in proof.rooms.ledger) for measure in measures)
        heads = (
            "<tr><td></td><th class='right'>Asked</th><th class='right'>Found</th><th class='right'>Margin</th></tr>"
        )
        opens_figures(html(f"<table>{heads}{rows}</table>"), self)

    def _provenance(self, figure: Figure, proof: Proof) -> None:
        display = display_of(proof)
        if len(self._back) > 1:
            button("Back", self._return, "plain")
        el("h2", _sentence(figure.label))
        el("p", display.figure(figure.value, figure.unit, 6), "bignumber")
        if figure.band:
            low, high = (display.figure(end, figure.unit) for end in figure.band)
            el("p", f"between {low} and {high}", "quiet")
        facts = [("How", HOW[figure.how]), ("Source", figure.source), ("Name", figure.name)]
        facts += [("Value kept", f"{figure.value!r} {figure.unit}")]
        rows = "".join(f"<dt>{escape(head)}</dt><dd>{escape(text)}</dd>" for head, text in facts if text)
        html(f'<dl class="facts">{rows}</dl>')
        if not figure.seen:
            el("p", "It rests on a source that nobody has checked against its text.", "rust small")
        if figure.text:
            el("h3", "Formula" if figure.how == "derived" else "Computation")
            el("p", figure.text, "formula")
        if figure.substituted:
            el("p", f"= {figure.substituted}", "formula")
        self._inputs_and_uses(figure, proof, display)

    def _inputs_and_uses(self, figure: Figure, proof: Proof, display: Display) -> None:
        ledger = proof.rooms.ledger
        if figure.inputs:
            el("h3", "From")
            self._list([name for name in figure.inputs if name in ledger], proof, display)
        uses = [other.name for other in ledger if figure.name in other.inputs]
        if uses:
            el("h3", "Goes into")
            self._list(uses[:MOST_USES], proof, display)
            if len(uses) > MOST_USES:
                el("p", f"and {len(uses) - MOST_USES} more", "quiet small")

    def _list(self, names: list[str], proof: Proof, display: Display) -> None:
        with el("ul", classes="plainlist"):
            for name in names:
                figure = proof.rooms.ledger[name]
                with el("li", classes="row"):
                    button(figure.label, partial(self.figure, name), "figurelink")
                    el("span", display.figure(figure.value, figure.unit), "quiet")

    def _return(self) -> None:
        self._back.pop()
        self.figure(self._back.pop())


def opens_figures(element: Element, panel: Panel) -> None:
    """Let the figures in a piece of markup open their provenance."""
    catch = "(e) => { const f = e.target.closest('[data-figure]'); if (f) emit(f.dataset.figure); }"
    element.on("click", lambda event: panel.figure(str(event.args)), js_handler=catch)


def _measure_row(measure: Measure, display: Display, known: bool) -> str:
    limit = "at least " if measure.better == "more" else "at most "
    asked, found = map(escape, display.asked_and_found(measure.asked, measure.found, measure.dimension, measure.unit))
    if known:
        found = f'<button type="button" class="figurelink" data-figure="{escape(measure.figure)}">{found}</button>'
    share = margin(measure)
    cells = (
        f"<td>{escape(measure.label)}</td>",
        *(f"<td class='right'>{cell}</td>" for cell in (limit + asked, found, share)),
    )
    return f"<tr>{''.join(cells)}</tr>"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] if text else text
