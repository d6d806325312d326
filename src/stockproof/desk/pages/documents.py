"""The dossier before it is printed: its pages as images, its files, and the assumptions somebody must stand for."""

from __future__ import annotations

import asyncio
import io
import zipfile
from collections.abc import Callable, Sequence
from functools import partial
from html import escape

from nicegui import app, ui
from nicegui.element import Element
from starlette.requests import Request
from starlette.responses import Response

from stockproof.desk.bench import Bench, Office
from stockproof.desk.elements import Entry, button, el, html, link
from stockproof.desk.frame import Frame, frame
from stockproof.desk.pages.brief import open_bench
from stockproof.desk.panel import opens_figures
from stockproof.desk.parts import figure_button
from stockproof.desk.people import name_on
from stockproof.desk.rooms import DOCUMENTS
from stockproof.desk.work import Cancelled
from stockproof.dossier.chapters.assumed import rank
from stockproof.dossier.document import Assumption
from stockproof.dossier.write import display_of
from stockproof.figures import Figure
from stockproof.proof import Proof

__all__ = ["attached", "is_draft", "is_draft_of", "register", "value_key"]

TITLES = {"proposal": "Proposal", "engineering": "Engineering file"}
MEDIA = {"pdf": "application/pdf", "svg": "image/svg+xml", "csv": "text/csv", "json": "application/json"}


def register(office: Office) -> None:
    """Make the routes of the dossier: its page, its leaves and its files."""

    @ui.page("/job/{job}/dossier")
    def dossier(job: int) -> None:
        bench = open_bench(office, job)
        if bench is None:
            return
        with frame(bench, "dossier") as around:
            Documents(around, bench)

    @app.get("/job/{job}/leaf/{document}/{number}", include_in_schema=False)
    async def leaf(request: Request, job: int, document: str, number: int) -> Response:
        bench = office.bench(job, name_on(request))
        if bench is None or bench.proof is None or document not in DOCUMENTS:
            return Response(status_code=404)
        leaves = await bench.room("leaves", document, is_draft(bench, bench.proof))
        if not 1 <= number <= len(leaves):
            return Response(status_code=404)
        return Response(leaves[number - 1], media_type="image/png")

    @app.get("/job/{job}/file/{name:path}", include_in_schema=False)
    async def file(request: Request, job: int, name: str) -> Response:
        bench = office.bench(job, name_on(request))
        if bench is None or bench.proof is None:
            return Response(status_code=404)
        files = await bench.room("dossier", is_draft(bench, bench.proof))
        if name == "dossier.zip":
            return attached("dossier.zip", _zip(files))
        return attached(name.rsplit("/", 1)[-1], files[name]) if name in files else Response(status_code=404)


def is_draft(bench: Bench, proof: Proof) -> bool:
    """Whether an assumption of the bench's proof is still confirmed by nobody."""
    return is_draft_of(bench.office, bench.job, proof)


def is_draft_of(office: Office, job: int, proof: Proof) -> bool:
    """Whether an assumption of a job's proof is still confirmed by nobody."""
    confirmed = office.store.confirmed(job)
    return any((figure.name, value_key(figure)) not in confirmed for figure in proof.rooms.ledger.assumptions())


def value_key(figure: Figure) -> str:
    """The value a confirmation holds for; another value wants another confirmation."""
    return f"{figure.value!r} {figure.unit}"


class Documents:
    """The page: documents, files, assumptions."""

    def __init__(self, around: Frame, bench: Bench) -> None:
        self.around, self.bench = around, bench
        self.document = "proposal"
        el("h1", "Dossier")
        self.state = el("p", "No documents yet: they are made of what could be proved.", role="status")
        with el("div", classes="row"):
            self.choices = {name: button(TITLES[name], partial(self._choose, name)) for name in DOCUMENTS}
        self.leaves = el("div", classes="leaves").style("margin-top: 1.5rem")
        el("h2", "Files")
        self.files = el("div")
        el("h2", "Assumptions")
        el(
            "p",
            "Nobody stated these; each is a default with its source. The documents stay a draft until somebody stands "
            "for each of them by name. A value that changes has to be confirmed again.",
            "quiet",
        )
        self.name = bench.who
        with el("div", classes="ask"):
            el("span", "Your name", "label")
            Entry("text", self.name, self._sign, label="Your name")
        self.stands = Stands(around, bench, self._confirm)
        around.watch(self._say_state)
        around.watch(self._draw_pages, of=lambda: (bench.edition, self.document, self._draft))
        around.watch(self._list_files, of=lambda: self._draft)

    @property
    def _draft(self) -> bool | None:
        """Whether the documents are a draft; None where there are none."""
        return bool(self.stands.open) if self.bench.proof is not None else None

    def _say_state(self) -> None:
        if self.bench.proof is None:
            return
        number = len(self.stands.open)
        words = f"Draft: {number} assumptions are confirmed by nobody." if number else "Ready to issue."
        if self.state._text != words:
            self.state._text = words
            self.state.update()

    def _choose(self, name: str) -> None:
        self.document = name
        self.bench.turn += 1
        for known, choice in self.choices.items():
            choice.props["aria-pressed"] = "true" if known == name else "false"
            choice.update()

    def _sign(self, name: str) -> None:
        self.name = name.strip()

    def _confirm(self, figures: Sequence[Figure]) -> None:
        for figure in figures if self.name else []:
            self.bench.office.store.confirm(self.bench.job, figure.name, value_key(figure), self.name)
        self.bench.turn += 1

    def _draw_pages(self) -> None:
        if self._draft is not None:
            asyncio.get_running_loop().create_task(self._pages(self._draft))

    async def _pages(self, draft: bool) -> None:
        document, edition = self.document, self.bench.edition
        self.leaves.clear()
        with self.leaves:
            el("p", "The pages are being drawn.", "quiet")
        try:
            leaves = await self.bench.room("leaves", document, draft)
        except (Cancelled, RuntimeError) as error:
            leaves = []
            self.bench.trouble = f"the pages could not be drawn: {error}"
        if self.leaves.is_deleted or (edition, document, draft) != (self.bench.edition, self.document, self._draft):
            return
        self.leaves.clear()
        with self.leaves:
            for number in range(1, len(leaves) + 1):
                address = f"/job/{self.bench.job}/leaf/{document}/{number}?{edition}-{draft}"
                with el("figure", classes="leaf draft" if draft else "leaf"):
                    el("img", src=address, alt=f"{TITLES[document]}, page {number}", loading="lazy")
                    el("figcaption", f"{number} of {len(leaves)}")

    def _list_files(self) -> None:
        self.files.clear()
        if self.bench.proof is None:
            return
        with self.files, el("div", classes="row"):
            base = f"/job/{self.bench.job}/file"
            mark = "draft-" if self._draft else ""
            for name, title in TITLES.items():
                link(f"{title}, PDF", f"{base}/{mark}{name}.pdf", "button", download=f"{mark}{name}.pdf")
            link("Tables, XLSX", f"{base}/tables.xlsx", "button", download="tables.xlsx")
            link("Figures, JSON", f"{base}/figures.json", "button", download="figures.json")
            link("Everything, ZIP", f"{base}/dossier.zip", "button chief", download="dossier.zip")


class Stands:
    """The assumptions, and who stands for each; a row stays as it is while its assumption does."""

    def __init__(self, around: Frame, bench: Bench, confirm: Callable[[Sequence[Figure]], None]) -> None:
        self.bench, self.confirm, self.client = bench, confirm, ui.context.client
        self.open: tuple[Figure, ...] = ()
        self.ranked: tuple[Assumption, ...] | None = None
        self.rows: dict[Figure, tuple[Element, Element]] = {}
        self.all = button("", lambda: confirm(self.open))
        self.list = el("ul", classes="plainlist")
        opens_figures(self.list, around.panel)
        around.watch(self._list, of=lambda: bench.edition)
        around.watch(self._say)

    def _list(self) -> None:
        proof = self.bench.proof
        ranked = rank(proof.rooms.ledger, proof.verdicts) if proof is not None else ()
        if proof is None or ranked == self.ranked:
            return
        self.ranked = ranked
        asyncio.get_running_loop().create_task(self._fill(proof, ranked))

    async def _fill(self, proof: Proof, ranked: tuple[Assumption, ...]) -> None:
        """Set the rows down, of which there are hundreds, once the page stands in the browser."""
        await self.client.connected()
        if ranked is self.ranked:
            self.list.clear()
            self.rows.clear()
        display = display_of(proof)
        for item in ranked:
            await asyncio.sleep(0)  # what else the page asks for goes first
            if self.list.is_deleted or ranked is not self.ranked:
                return
            with self.list:
                figure = item.figure
                moves = f" It moves promise {item.moves}." if item.moves else ""
                words = f'<p class="quiet small">{escape(figure.source)}.{escape(moves)}</p>'
                with el("li", classes="assumption"):
                    html(f"<b>{escape(figure.label)}</b> {figure_button(figure, display)}{words}")
                    with el("div", classes="row"):
                        says, press = el("span", "", "small"), partial(self._press, figure)
                        self.rows[figure] = (says, button("Confirm", press, aria_label=f"Confirm: {figure.label}"))
        self._say()

    def _say(self) -> None:
        """Say beside each who confirmed it; the button does what is left to do."""
        confirmed = self.bench.office.store.confirmed(self.bench.job)
        for figure, (says, act) in self.rows.items():
            by = confirmed.get((figure.name, value_key(figure)), "")
            word = "Withdraw" if by else "Confirm"
            if act._text != word or says._text != (f"confirmed by {by}" if by else ""):
                says._text, act._text = f"confirmed by {by}" if by else "", word
                act.props["aria-label"] = f"{word}: {figure.label}"
                act.classes(add="plain" if by else "", remove="" if by else "plain")
                says.update()
                act.update()
        figures = [item.figure for item in self.ranked or ()]
        self.open = tuple(figure for figure in figures if (figure.name, value_key(figure)) not in confirmed)
        words = f"Confirm all {len(self.open)} that are open, in my name"
        if self.all._text != words:
            self.all._text = words
            self.all.update()
        self.all.set_visibility(bool(self.open))

    def _press(self, figure: Figure) -> None:
        if figure in self.open:
            self.confirm([figure])
        else:
            self.bench.office.store.withdraw(self.bench.job, figure.name, value_key(figure))
            self.bench.turn += 1


def attached(name: str, data: bytes) -> Response:
    """Answer with a file to be kept."""
    media = MEDIA.get(name.rsplit(".", 1)[-1], "application/octet-stream")
    return Response(data, media_type=media, headers={"content-disposition": f'attachment; filename="{name}"'})


def _zip(files: dict[str, bytes]) -> bytes:
    """All files in one archive, the same bytes for the same dossier."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name), files[name], zipfile.ZIP_DEFLATED)
    return packed.getvalue()
