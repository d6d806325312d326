"""The verdicts on the screen, and as JSON on standard output."""

from __future__ import annotations

from typing import Any

from rich.console import Console
from rich.table import Table

from stockproof.dossier.display import Display, percent
from stockproof.proof import Proof, Verdict
from stockproof.proof.model import Measure

__all__ = ["print_verdicts", "proof_json"]

#: A shape beside the word, so that colour never says it alone.
SHAPES = {"met": "■", "not met": "□", "not shown": "–"}
STYLES = {"met": "", "not met": "bold red", "not shown": "dim"}


def print_verdicts(proof: Proof, console: Console) -> None:
    """Print the verdict table with margins, and what would mend what is not met."""
    display = Display(proof.rooms.units)
    table = Table(
        title=proof.rooms.brief.file.title, title_justify="left", title_style="bold", box=None, pad_edge=False
    )
    table.add_column("", width=2, no_wrap=True)
    table.add_column("verdict", no_wrap=True)
    table.add_column("promise", ratio=5)
    table.add_column("found", ratio=3)
    table.add_column("margin", justify="right", no_wrap=True)
    for verdict in proof.verdicts:
        share = verdict.margin_share
        table.add_row(
            SHAPES[verdict.state],
            verdict.state,
            verdict.promise,
            _found(verdict, display),
            percent(share, signed=True) if share is not None else "",
            style=STYLES[verdict.state],
        )
    console.print(table)
    for verdict in proof.verdicts:
        if verdict.state != "met":
            mend = f" Mend: {verdict.mend}" if verdict.mend else ""
            console.print(f"  {verdict.number} {verdict.state}: {verdict.because}.{mend}", style="dim", highlight=False)
    counts = {state: sum(verdict.state == state for verdict in proof.verdicts) for state in SHAPES}
    console.print("  ".join(f"{SHAPES[state]} {count} {state}" for state, count in counts.items()))


def _found(verdict: Verdict, display: Display) -> str:
    if not verdict.measures:
        return verdict.because if verdict.state == "met" else ""
    worst = min(verdict.measures, key=lambda measure: measure.margin_share or 0.0)
    return _amount(worst.found, worst, display)


def _amount(value: float, measure: Measure, display: Display) -> str:
    return display.measure(value, measure.dimension, measure.unit)


def proof_json(proof: Proof) -> dict[str, Any]:
    """Give verdicts and figures as plain JSON values, in SI."""
    return {
        "title": proof.rooms.brief.file.title,
        "issue_date": proof.rooms.brief.file.issue_date.isoformat(),
        "verdicts": [_verdict(verdict) for verdict in proof.verdicts],
        "figures": [
            {
                "name": figure.name,
                "value": figure.value,
                "unit": figure.unit,
                "label": figure.label,
                "how": figure.how,
                "inputs": list(figure.inputs),
                "source": figure.source,
                "band": list(figure.band) if figure.band else None,
            }
            for figure in proof.rooms.ledger
        ],
    }


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "number": verdict.number,
        "kind": verdict.kind,
        "promise": verdict.promise,
        "state": verdict.state,
        "measures": [
            {
                "label": measure.label,
                "asked": measure.asked,
                "found": measure.found,
                "dimension": measure.dimension,
                "unit": measure.unit,
                "better": measure.better,
                "margin_share": measure.margin_share,
                "figure": measure.figure,
            }
            for measure in verdict.measures
        ],
        "margin_share": verdict.margin_share,
        "because": verdict.because,
        "mend": verdict.mend,
        "bounds": verdict.bounds,
        "evidence": list(verdict.evidence),
    }
