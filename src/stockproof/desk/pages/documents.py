"""The dossier before it is printed: its pages as images, its files, and the assumptions somebody must stand for."""

from __future__ import annotations

import asyncio
import io
import zipfile
from functools import partial

from nicegui import app, ui
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
        self.shown: tuple[object, ...] = ()
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
        self.assumptions = el("div")
        around.watch(self.look)

    def look(self) -> None:
        proof = self.bench.proof
        if proof is None:
            return
        confirmed = self.bench.office.store.confirmed(self.bench.job)
        state = (id(proof), self.document, tuple(sorted(confirmed)))
        if state == self.shown:
            return
        self.shown = state
        draft = is_draft(self.bench, proof)
        number = sum((f.name, value_key(f)) not in confirmed for f in proof.rooms.ledger.assumptions())
        self.state._text = f"Draft: {number} assumptions are confirmed by nobody." if draft else "Ready to issue."
        self.state.update()
        self._assumptions(proof, confirmed)
        asyncio.get_running_loop().create_task(self._pages(proof, draft))
        self._list_files()

    def _choose(self, name: str) -> None:
        self.document = name
        self.look()
        for known, choice in self.choices.items():
            choice.props["aria-pressed"] = "true" if known == name else "false"
            choice.update()

    def _sign(self, name: str) -> None:
        self.name = name.strip()

    async def _pages(self, proof: Proof, draft: bool) -> None:
        document = self.document
        self.leaves.clear()
        with self.leaves:
            el("p", "The pages are being drawn.", "quiet")
        try:
            leaves = await self.bench.room("leaves", document, draft)
        except (Cancelled, RuntimeError) as error:
            leaves = []
            self.bench.trouble = f"the pages could not be drawn: {error}"
        if self.leaves.is_deleted or proof is not self.bench.proof or document != self.document:
            return
        self.leaves.clear()
        with self.leaves:
            for number in range(1, len(leaves) + 1):
                address = f"/job/{self.bench.job}/leaf/{document}/{number}?{id(proof)}-{draft}"
                with el("figure", classes="leaf draft" if draft else "leaf"):
                    el("img", src=address, alt=f"{TITLES[document]}, page {number}", loading="lazy")
                    el("figcaption", f"{number} of {len(leaves)}")

    def _list_files(self) -> None:
        self.files.clear()
        with self.files, el("div", classes="row"):
            base = f"/job/{self.bench.job}/file"
            mark = "draft-" if self.bench.proof and is_draft(self.bench, self.bench.proof) else ""
            for name, title in TITLES.items():
                link(f"{title}, PDF", f"{base}/{mark}{name}.pdf", "button", download=f"{mark}{name}.pdf")
            link("Tables, XLSX", f"{base}/tables.xlsx", "button", download="tables.xlsx")
            link("Figures, JSON", f"{base}/figures.json", "button", download="figures.json")
            link("Everything, ZIP", f"{base}/dossier.zip", "button chief", download="dossier.zip")

    def _assumptions(self, proof: Proof, confirmed: dict[tuple[str, str], str]) -> None:
        display = display_of(proof)
        self.assumptions.clear()
        with self.assumptions:
            ranked = rank(proof.rooms.ledger, proof.verdicts)
            open_ones = [i.figure for i in ranked if (i.figure.name, value_key(i.figure)) not in confirmed]
            if open_ones:
                button(f"Confirm all {len(open_ones)} that are open, in my name", partial(self._confirm, open_ones))
            with el("ul", classes="plainlist"):
                for item in ranked:
                    figure = item.figure
                    with el("li", classes="assumption"):
                        with el("div"):
                            el("b", figure.label)
                            opens_figures(html(figure_button(figure, display), "span"), self.around.panel)
                            moves = f" It moves promise {item.moves}." if item.moves else ""
                            el("p", f"{figure.source}.{moves}", "quiet small")
                        self._stand(figure, confirmed.get((figure.name, value_key(figure)), ""))

    def _confirm(self, figures: list[Figure]) -> None:
        for figure in figures if self.name else []:
            self.bench.office.store.confirm(self.bench.job, figure.name, value_key(figure), self.name)
        self.bench.turn += 1

    def _stand(self, figure: Figure, by: str) -> None:
        store, job = self.bench.office.store, self.bench.job

        def withdraw() -> None:
            store.withdraw(job, figure.name, value_key(figure))
            self.bench.turn += 1

        with el("div", classes="row"):
            if by:
                el("span", f"confirmed by {by}", "small")
                button("Withdraw", withdraw, "plain", aria_label=f"Withdraw: {figure.label}")
            else:
                button("Confirm", partial(self._confirm, [figure]), aria_label=f"Confirm: {figure.label}")


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
