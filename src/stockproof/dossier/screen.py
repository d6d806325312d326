"""The verdicts on the screen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from stockproof.dossier.display import Display, margin
from stockproof.dossier.document import set_sections
from stockproof.figures import Ledger
from stockproof.proof import Proof, Verdict
from stockproof.proof.alone import left_alone
from stockproof.scene.pages import Section

__all__ = ["print_sections", "print_verdicts", "progress_bar"]

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
        table.add_row(
            SHAPES[verdict.state],
            verdict.state,
            verdict.says or verdict.promise,
            _found(verdict, display),
            margin(verdict.worst),
            style=STYLES[verdict.state],
        )
    console.print(table)
    for verdict in proof.verdicts:
        if verdict.state != "met":
            mend = f" Mend: {verdict.mend}" if verdict.mend else ""
            because = verdict.because.rstrip(".")
            console.print(f"  {verdict.number} {verdict.state}: {because}.{mend}", style="dim", highlight=False)
    for found in proof.rooms.power.findings:
        sides = [
            display.measure(side, found.dimension, "", 2) for side in (found.found, found.limit) if found.dimension
        ]
        held = f" ({sides[0]} against {sides[1]})" if sides else ""
        enough = f" {display.measure(found.enough, found.enough_dimension, '', 2)}" if found.enough_dimension else ""
        words = f"  beside the promises: {found.what}{held}. Mend: {found.mend}{enough}"
        console.print(words, style="dim", highlight=False, markup=False)
    for caution in left_alone(proof.rooms):
        console.print(f"  Caution: {caution}", style="bold", highlight=False)
    counts = {state: sum(verdict.state == state for verdict in proof.verdicts) for state in SHAPES}
    console.print("  ".join(f"{SHAPES[state]} {count} {state}" for state, count in counts.items()))


def _found(verdict: Verdict, display: Display) -> str:
    if not verdict.measures:
        return verdict.because if verdict.state == "met" else ""
    worst = min(verdict.measures, key=lambda measure: measure.margin_share or 0.0)
    return display.asked_and_found(worst.asked, worst.found, worst.dimension, worst.unit)[1]


@contextmanager
def progress_bar() -> Iterator[Callable[[str, float], None]]:
    """Show on standard error what is being done; gives the function to report to."""
    with Progress(console=Console(stderr=True), transient=True) as bar:
        tasks: dict[str, Any] = {}

        def report(what: str, share: float) -> None:
            if what not in tasks:
                tasks[what] = bar.add_task(what, total=1.0)
            bar.update(tasks[what], completed=share)

        yield report


def print_sections(sections: Iterable[Section], ledger: Ledger, display: Display, console: Console) -> None:
    """Print the sections a room has to say, as the dossier says them; pictures are named, not drawn."""
    for section in set_sections(tuple(sections), ledger, display):
        console.print(f"\n{section['title']}", style="bold")
        for part in section["parts"]:
            _PRINTERS[part["kind"]](part, console)


def _paragraph(part: dict[str, Any], console: Console) -> None:
    console.print(part["text"], highlight=False)


def _list(part: dict[str, Any], console: Console) -> None:
    for item in part["items"]:
        console.print(f"  - {item}", highlight=False)


def _facts(part: dict[str, Any], console: Console) -> None:
    table = Table(box=None, show_header=False, pad_edge=False)
    for name, value in part["rows"]:
        table.add_row(name, value)
    console.print(table)


def _table(part: dict[str, Any], console: Console) -> None:
    table = Table(box=None, pad_edge=False, title=part["caption"] or None, title_justify="left", title_style="bold")
    for column in part["columns"]:
        table.add_column(column["title"], justify="right" if column["align"] == "right" else "left")
    for row in part["rows"]:
        table.add_row(*row)
    console.print(table)


def _figures(part: dict[str, Any], console: Console) -> None:
    for row in part["rows"]:
        console.print(f"  {row['label']}: {row['value']} ({row['how']})", highlight=False)


def _findings(part: dict[str, Any], console: Console) -> None:
    for row in part["rows"]:
        console.print(f"  {row['code']} {row['what']} {row['mend']}", highlight=False)


def _steps(part: dict[str, Any], console: Console) -> None:
    console.print(f"  {part['title']}", highlight=False)
    for number, sentence in enumerate(part["items"], 1):
        console.print(f"    {number} {sentence}", highlight=False)


def _picture(part: dict[str, Any], console: Console) -> None:
    console.print(f"  [picture in the dossier: {part['caption']}]", style="dim", markup=False)


_PRINTERS: dict[str, Callable[[dict[str, Any], Console], None]] = {
    "paragraph": _paragraph,
    "bullets": _list,
    "cautions": _list,
    "facts": _facts,
    "table": _table,
    "figures": _figures,
    "findings": _findings,
    "steps": _steps,
    "picture": _picture,
    "plate": _picture,
}
