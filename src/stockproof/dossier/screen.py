"""The verdicts on the screen."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table

from stockproof.dossier.display import Display, percent
from stockproof.proof import Proof, Verdict
from stockproof.proof.model import Measure

__all__ = ["print_verdicts"]

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
            verdict.says or verdict.promise,
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
