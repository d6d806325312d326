"""The desk's typed interface for programs, under `/api`: check, prove, draw, code, with the same checks as the pages.

Described by OpenAPI at `/api/openapi.json`. Like the pages it wants an Origin of this desk on whatever is posted, and
where the desk has a password a name with it (HTTP basic authentication, judged by the gate).
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated, Any, Literal

from fastapi import Depends, FastAPI
from fastapi.exceptions import HTTPException, RequestValidationError
from fastapi.responses import JSONResponse
from fastapi.security import HTTPBasic
from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from stockproof import __version__
from stockproof.desk.store import CATALOGUE, Papers
from stockproof.desk.verbs import BRIEF
from stockproof.desk.work import Cancelled, Faulty, Worker
from stockproof.dossier.figures_json import figure_values, verdict_values
from stockproof.errors import Fault, Place, StockproofError
from stockproof.proof import Proof
from stockproof.proof.prove import QUICK

__all__ = ["make"]

#: Requests that may wait for the worker; beyond them a program is told to come back later.
MOST_WAITING = 8
#: Faults said about a body of another form.
MOST_SAID = 20


class Crowded(StockproofError):
    """Too many requests wait already."""


Text = Annotated[str, StringConstraints(max_length=1_000_000)]
FileName = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_][A-Za-z0-9_.-]{0,79}$")]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class PapersIn(_Strict):
    """A brief, the catalogue it goes with, and the files beside it, all as text."""

    brief: Text
    catalogue: Text
    files: dict[FileName, Text] = Field(default_factory=dict, max_length=50)


class FaultOut(_Strict):
    """One thing that is wrong."""

    file: str
    line: int | None
    key: str
    what: str
    got: str
    allowed: str
    mend: str


class CheckOut(_Strict):
    """Whether brief, catalogue and build can be proved; if not, everything that is wrong."""

    good: bool
    faults: list[FaultOut]


class MeasureOut(_Strict):
    """A number asked and found, in SI."""

    label: str
    asked: float
    found: float
    dimension: str
    unit: str
    better: Literal["more", "less"]
    figure: str


class VerdictOut(_Strict):
    """The answer to one promise."""

    number: int
    kind: str
    promise: str
    state: Literal["met", "not met", "not shown"]
    measures: list[MeasureOut]
    margin_share: float | None
    because: str
    mend: str
    bounds: str
    figures: list[str]


class FigureOut(_Strict):
    """A figure of the ledger, in SI, with where it comes from."""

    name: str
    value: float
    unit: str
    label: str
    how: Literal["given", "assumed", "derived", "run"]
    inputs: list[str]
    source: str
    source_seen: bool
    formula: str = ""
    substituted: str = ""
    band: list[float] | None = None


class ProofOut(_Strict):
    """The whole answer to a brief."""

    title: str
    issue_date: str
    verdicts: list[VerdictOut]
    figures: list[FigureOut]


class DrawingsOut(_Strict):
    """The drawings of the dossier as SVG, by name."""

    drawings: dict[str, str]


class FileOut(_Strict):
    """A file: its text, or where it is no text its bytes in base64."""

    name: str
    text: str | None = None
    base64: str | None = None


class CodeOut(_Strict):
    """The control pack, every file marked as a draft; the check of the logic is not part of it."""

    files: list[FileOut]


class FaultsOut(_Strict):
    """Everything that is wrong with what was posted."""

    faults: list[FaultOut]


WRONG: dict[int | str, dict[str, Any]] = {
    400: {"model": FaultsOut, "description": "the body is no JSON in UTF-8"},
    422: {"model": FaultsOut, "description": "the papers cannot be proved, or the body is not of this form"},
    429: {"model": FaultsOut, "description": "too many requests wait already"},
    503: {"model": FaultsOut, "description": "the computation was stopped"},
}


def make(worker: Worker, locked: bool = False) -> FastAPI:
    """Give the application to mount under `/api`.

    Parameters
    ----------
    worker : Worker
        Does the computations, one at a time.
    locked : bool
        Whether the gate asks a name and the desk's password, so that the description says so.
    """
    asked = [Depends(HTTPBasic(auto_error=False))] if locked else []
    api = FastAPI(title="Stockproof", version=__version__, docs_url=None, redoc_url=None, dependencies=asked)
    _answer_errors(api)
    queue = _Queue(worker)

    @api.post("/check", responses=WRONG)
    async def check(papers: PapersIn) -> CheckOut:
        """Check brief, catalogue and build, and say everything that is wrong with them."""
        try:
            await queue.do("check", _papers(papers))
        except Faulty as error:
            return CheckOut(good=False, faults=[_fault(fault) for fault in error.faults])
        return CheckOut(good=True, faults=[])

    @api.post("/prove", responses=WRONG)
    async def prove(papers: PapersIn) -> ProofOut:
        """Prove a brief: the verdict on every promise, and every figure they rest on."""
        proof: Proof = await queue.do("prove", _papers(papers), QUICK)
        brief = proof.rooms.brief.file
        verdicts = [VerdictOut.model_validate(verdict_values(verdict)) for verdict in proof.verdicts]
        figures = [FigureOut.model_validate(figure_values(figure)) for figure in proof.rooms.ledger]
        return ProofOut(title=brief.title, issue_date=brief.issue_date.isoformat(), verdicts=verdicts, figures=figures)

    @api.post("/draw", responses=WRONG)
    async def draw(papers: PapersIn) -> DrawingsOut:
        """Draw the yard of a brief."""
        return DrawingsOut(drawings=await queue.do("drawings", _papers(papers), QUICK))

    @api.post("/code", responses=WRONG)
    async def code(papers: PapersIn) -> CodeOut:
        """Write the control pack of a brief's build: code, interchange, lists, charts and sheets, all as drafts."""
        files: dict[str, bytes] = await queue.do("code", _papers(papers))
        return CodeOut(files=[_file(name, data) for name, data in sorted(files.items())])

    return api


class _Queue:
    """The worker with a limit to how many may wait for it."""

    def __init__(self, worker: Worker) -> None:
        self.worker, self.waiting = worker, 0

    async def do(self, verb: str, *arguments: Any) -> Any:
        with self._place():
            return await self.worker.do(verb, *arguments)

    @contextmanager
    def _place(self) -> Iterator[None]:
        if self.waiting >= MOST_WAITING:
            raise Crowded(f"{self.waiting} requests wait already; come back later")
        self.waiting += 1
        try:
            yield
        finally:
            self.waiting -= 1


def _answer_errors(api: FastAPI) -> None:
    """Say every error in the form of the description."""

    def say(faults: list[FaultOut], status: int) -> JSONResponse:
        return JSONResponse({"faults": [fault.model_dump() for fault in faults]}, status)

    @api.exception_handler(RequestValidationError)
    async def unformed(_: object, error: RequestValidationError) -> JSONResponse:
        said = [
            Fault(str(found["msg"]), Place("body", None, ".".join(map(str, found["loc"][1:]))))
            for found in error.errors()[:MOST_SAID]
        ]
        return say([_fault(fault) for fault in said], 422)

    @api.exception_handler(400)
    async def unreadable(_: object, error: HTTPException) -> JSONResponse:
        return say([_fault(Fault(str(error.detail), Place("body")))], 400)

    @api.exception_handler(Faulty)
    async def faulty(_: object, error: Faulty) -> JSONResponse:
        return say([_fault(fault) for fault in error.faults], 422)

    @api.exception_handler(Crowded)
    async def crowded(_: object, error: Crowded) -> JSONResponse:
        return say([_fault(Fault(str(error)))], 429)

    @api.exception_handler(Cancelled)
    async def cancelled(_: object, error: Cancelled) -> JSONResponse:
        return say([_fault(Fault(str(error)))], 503)


def _file(name: str, data: bytes) -> FileOut:
    try:
        return FileOut(name=name, text=data.decode())
    except UnicodeDecodeError:
        return FileOut(name=name, base64=b64encode(data).decode())


def _papers(papers: PapersIn) -> Papers:
    files = {name: text.encode("utf-8", "replace") for name, text in papers.files.items()}
    return Papers(papers.brief, {**files, CATALOGUE: papers.catalogue.encode("utf-8", "replace")})


def _fault(fault: Fault) -> FaultOut:
    place = fault.place
    return FaultOut(
        file=place.file or BRIEF,
        line=place.line,
        key=place.key,
        what=fault.what,
        got=fault.got,
        allowed=fault.allowed,
        mend=fault.mend,
    )
