"""Two builds side by side, and today's yard beside them: verdicts and price, in the words of the proofs."""

from __future__ import annotations

import asyncio
from html import escape

from stockproof.desk.bench import Bench
from stockproof.desk.elements import Entry, button, el, html
from stockproof.desk.marks import verdict_html
from stockproof.desk.store import Papers
from stockproof.dossier.display import Display
from stockproof.dossier.write import display_of
from stockproof.proof import Proof, Verdict

__all__ = ["comparison"]


def comparison(bench: Bench) -> None:
    """Build the choice of what to compare with, and the table once it is proved."""
    if bench.other is None:
        _choice(bench)
        return
    words, _, proof = bench.other
    if bench.proof is not None:
        html(_table(bench.proof, words, proof))
    button("Compare no more", bench.compare_no_more, "plain")


def _choice(bench: Bench) -> None:
    entries = bench.office.store.history(bench.job)
    jobs = [job for job in bench.office.store.jobs() if job.id != bench.job]
    keys = ["", *(f"r{entry.number}" for entry in entries), *(f"j{job.id}" for job in jobs)]
    labels = [
        "nothing",
        *(f"revision {entry.number}: {entry.what}" for entry in entries),
        *(f"{job.title}" for job in jobs),
    ]

    def chosen(key: str) -> None:
        if key:
            asyncio.get_running_loop().create_task(bench.compare(labels[keys.index(key)], _papers(bench, key)))

    with el("div", classes="ask"):
        el("span", "Compare with", "label")
        Entry("choice", "", chosen, choices=keys, labels=labels, label="Compare with")
        el("p", "An earlier revision of this job, or another job; today's yard stands beside both.", "says")


def _papers(bench: Bench, key: str) -> Papers:
    store, number = bench.office.store, int(key[1:])
    return store.revision(bench.job, number).papers if key[0] == "r" else store.head(number).papers


def _table(this: Proof, words: str, other: Proof) -> str:
    """A row a promise of this brief; a promise the other does not make stays empty there."""
    display = display_of(this)
    others = {(verdict.kind, verdict.promise): verdict for verdict in other.verdicts}
    rows = [("Delivered and fitted", _price(this), _price(other))]
    rows += [
        (
            escape(verdict.promise),
            _found(verdict, display),
            _found(others.get((verdict.kind, verdict.promise)), display_of(other)),
        )
        for verdict in this.verdicts
    ]
    body = "".join(f"<tr><td>{a}</td><td>{b}</td><td>{c}</td></tr>" for a, b, c in rows)
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in ("Promise", "As it stands here", words))
    return (
        f'<div class="scroll"><table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table></div>{_today(this)}'
    )


def _price(proof: Proof) -> str:
    price = proof.rooms.price
    return escape(display_of(proof).measure(round(price.total), "", price.currency))


def _found(verdict: Verdict | None, display: Display) -> str:
    if verdict is None:
        return '<span class="quiet">not promised there</span>'
    worst = min(verdict.measures, key=lambda measure: measure.margin_share or 0.0, default=None)
    both = display.asked_and_found(worst.asked, worst.found, worst.dimension, worst.unit) if worst else ("", "")
    found = escape(both[1])
    return f"{verdict_html(verdict.state)} {found}"


def _today(proof: Proof) -> str:
    """Today's case, as the brief states it."""
    today = proof.rooms.brief.file.today
    if today is None:
        return ""
    display = display_of(proof)
    rows = (
        ("Today", today.crush),
        ("Head rate reached today", display.measure(today.rate_head_per_s, "head rate", "")),
        ("People working today", ", ".join(today.crew)),
        ("Yearly upkeep today", str(today.upkeep)),
    )
    facts = "".join(f"<dt>{escape(head)}</dt><dd>{escape(text)}</dd>" for head, text in rows)
    return f'<dl class="facts">{facts}</dl>'
