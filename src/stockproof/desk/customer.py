"""What a customer sees through the read-only link: plan and verdicts of the latest revision, and the proposal.

Plain pages without a script, so there is nothing behind the link that could change a job. While the verdicts are
being worked out the page says so, and looks again by itself.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from html import escape

from nicegui import app
from starlette.responses import HTMLResponse, Response

from stockproof.desk.bench import Office
from stockproof.desk.marks import verdict_html
from stockproof.desk.pages.documents import is_draft_of
from stockproof.desk.store import Job
from stockproof.desk.work import Cancelled, Faulty
from stockproof.desk.yarding import Plan
from stockproof.dossier.display import margin
from stockproof.dossier.write import display_of
from stockproof.proof import Proof, State, Verdict
from stockproof.proof.alone import left_alone

__all__ = ["register"]

#: The page answers within this, whatever is being worked out. [s]
PATIENCE_S = 2.0
AGAIN = '<meta http-equiv="refresh" content="3">'
WIDTH_MM = 230.0
STATES: tuple[State, ...] = ("not met", "not shown", "met")


def register(office: Office) -> None:
    """Make the routes of the customer's link."""
    waiting: dict[tuple[int, int], asyncio.Future[tuple[Proof, Plan]]] = {}

    @app.get("/show/{link}", include_in_schema=False)
    async def show(link: str) -> Response:
        job = office.store.linked(link)
        if job is None:
            return _page("There is nothing here", "<p>Ask the firm for a new link.</p>", 404)
        key = (job.id, job.head)
        if key not in waiting:
            waiting[key] = asyncio.ensure_future(_look_up(office, job))
        asked = waiting[key]
        done, _ = await asyncio.wait({asked}, timeout=PATIENCE_S)
        if not done:
            words = "<p>The verdicts are being worked out; this page looks again by itself.</p>"
            return _page(job.title, words, 200, AGAIN)
        waiting.pop(key, None)
        try:
            proof, plan = asked.result()
        except (Faulty, Cancelled, RuntimeError):
            return _page(job.title, "<p>The latest revision is not whole yet. Look again later.</p>", 200)
        return _page(job.title, _verdicts(proof, plan, job, is_draft_of(office, job.id, proof)), 200)

    @app.get("/show/{link}/proposal.pdf", include_in_schema=False)
    async def proposal(link: str) -> Response:
        job = office.store.linked(link)
        if job is None:
            return Response(status_code=404)
        try:
            proof = await office.proof_of(job)
            data = await office.proposal_of(job, is_draft_of(office, job.id, proof))
        except (Faulty, Cancelled, RuntimeError):
            return Response(status_code=409)
        return Response(data, media_type="application/pdf")


async def _look_up(office: Office, job: Job) -> tuple[Proof, Plan]:
    return await office.proof_of(job), await office.plan_of(job, WIDTH_MM)


def _verdicts(proof: Proof, plan: Plan, job: Job, draft: bool) -> str:
    brief = proof.rooms.brief.file
    price = proof.rooms.price
    total = escape(display_of(proof).measure(round(price.total), "", price.currency))
    rows = "".join(_row(verdict) for verdict in proof.verdicts)
    cautions = "".join(f"<p>Caution: {escape(found)}</p>" for found in left_alone(proof.rooms))
    words = "Draft: not every assumption is confirmed. " if draft else ""
    picture = f'<figure class="plate" role="img" aria-label="Plan of the yard">{plan.svg}</figure>' if plan.svg else ""
    return (
        f"<p>{escape(brief.customer.farm)}. {words}Delivered and fitted, without tax: {total}.</p>"
        f'<p class="quiet">{escape(brief.note)}</p>'
        f'<p><a class="button" href="/show/{job.link}/proposal.pdf">Proposal, PDF</a></p>'
        f"<p>{_counts(proof)}</p>{cautions}{picture}"
        '<div class="scroll"><table><thead><tr><th scope="col">Verdict</th><th scope="col">Promise</th>'
        f'<th scope="col" class="right">Margin</th></tr></thead><tbody>{rows}</tbody></table></div>'
    )


def _counts(proof: Proof) -> str:
    """How many promises are met, not met and not shown."""
    counts = Counter(verdict.state for verdict in proof.verdicts)
    return " &ensp; ".join(verdict_html(state, f"{counts[state]} {state}") for state in STATES if counts[state])


def _row(verdict: Verdict) -> str:
    because = f'<p class="quiet small">{escape(verdict.because)}</p>' if verdict.because else ""
    return (
        f"<tr><td>{verdict_html(verdict.state)}</td><td>{escape(verdict.promise)}{because}</td>"
        f'<td class="right">{margin(verdict.worst)}</td></tr>'
    )


def _page(title: str, body: str, status: int, head: str = "") -> HTMLResponse:
    return HTMLResponse(
        f"""<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><meta name="robots" content="noindex">{head}
<link rel="stylesheet" href="/desk-files/desk.css"></head><body><div class="bench"><header class="head">
<span class="mark">Stockproof</span><span class="job">{escape(title)}</span></header>
<main class="sheet"><h1>{escape(title)}</h1>{body}</main></div></body></html>""",
        status,
    )
