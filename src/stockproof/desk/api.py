"""The desk's typed interface for other programs, under `/api`: check, prove, draw, with the same checks as the pages.

Described by OpenAPI at `/api/openapi.json`. Like the pages it wants an Origin of this desk on whatever is posted.
"""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import FastAPI
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from stockproof import __version__
from stockproof.desk.store import CATALOGUE, Papers
from stockproof.desk.work import BRIEF, Cancelled, Faulty, Worker
from stockproof.dossier.figures_json import figure_values, verdict_values
from stockproof.errors import Fault
from stockproof.proof import Proof
from stockproof.proof.prove import QUICK

__all__ = ["make"]

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


class FaultsOut(_Strict):
    """Everything that is wrong with what was posted."""

    faults: list[FaultOut]


def make(worker: Worker) -> FastAPI:
    """Give the application to mount under `/api`; its computations run in the worker given."""
    api = FastAPI(title="Stockproof", version=__version__, docs_url=None, redoc_url=None)
    wrong: dict[int | str, dict[str, object]] = {
        422: {"model": FaultsOut, "description": "the papers cannot be proved, or the body is not of this form"},
        503: {"model": FaultsOut, "description": "the computation was stopped"},
    }

    @api.exception_handler(Faulty)
    async def faulty(_: object, error: Faulty) -> JSONResponse:
        return JSONResponse({"faults": [_fault(fault).model_dump() for fault in error.faults]}, 422)

    @api.exception_handler(Cancelled)
    async def cancelled(_: object, error: Cancelled) -> JSONResponse:
        return JSONResponse({"faults": [_fault(Fault(str(error))).model_dump()]}, 503)

    @api.post("/check", responses={503: wrong[503]})
    async def check(papers: PapersIn) -> CheckOut:
        """Check brief, catalogue and build, and say everything that is wrong with them."""
        try:
            await worker.do("check", _papers(papers))
        except Faulty as error:
            return CheckOut(good=False, faults=[_fault(fault) for fault in error.faults])
        return CheckOut(good=True, faults=[])

    @api.post("/prove", responses=wrong)
    async def prove(papers: PapersIn) -> ProofOut:
        """Prove a brief: the verdict on every promise, and every figure they rest on."""
        proof: Proof = await worker.do("prove", _papers(papers), QUICK)
        brief = proof.rooms.brief.file
        verdicts = [VerdictOut.model_validate(verdict_values(verdict)) for verdict in proof.verdicts]
        figures = [FigureOut.model_validate(figure_values(figure)) for figure in proof.rooms.ledger]
        return ProofOut(title=brief.title, issue_date=brief.issue_date.isoformat(), verdicts=verdicts, figures=figures)

    @api.post("/draw", responses=wrong)
    async def draw(papers: PapersIn) -> DrawingsOut:
        """Draw the yard of a brief."""
        proof = await worker.do("prove", _papers(papers), QUICK)
        return DrawingsOut(drawings=await worker.do("drawings", proof))

    return api


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
