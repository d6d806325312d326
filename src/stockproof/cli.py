"""The commands. No arithmetic here: each command reads its files, calls one room and prints what it gave."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Annotated, Any

import typer

from stockproof.errors import InputError, OutputError

__all__ = ["app", "main"]

#: Exit status: all promises met; some not met or not shown; bad input.
ALL_MET, SOME_NOT_MET, BAD_INPUT = 0, 1, 2

app = typer.Typer(
    name="stockproof",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Proves a powered cattle-handling installation before steel is cut.",
)
BriefPath = Annotated[Path, typer.Argument(help="The brief, a TOML file.", metavar="BRIEF")]
CataloguePath = Annotated[
    Path | None, typer.Option("--catalogue", help="The firm's catalogue; else the one the brief names.")
]


Quick = Annotated[bool, typer.Option("--quick", help="Fewer replications and no variants.")]
Workers = Annotated[int, typer.Option("--workers", help="Threads to use.", min=1, max=64)]


def main() -> None:
    """Run the command line; a user's mistake ends with exit status 2 and no traceback."""
    app()


def _guarded(command: Callable[..., Any]) -> Callable[..., Any]:
    """Print what a person did wrong, and nothing of how the program found out."""

    @wraps(command)
    def run(*arguments: Any, **options: Any) -> Any:
        try:
            return command(*arguments, **options)
        except (InputError, OutputError) as error:
            print(error, file=sys.stderr)
            raise typer.Exit(BAD_INPUT) from None
        except KeyboardInterrupt:
            print("stopped; nothing was left half-written", file=sys.stderr)
            raise typer.Exit(130) from None

    return run


def _print_chapter(
    brief: Path, catalogue: Path | None, quick: bool, workers: int, chapter: Callable[[Any], Any]
) -> None:
    """Prove a brief and print what one room has to say, as the dossier says it."""
    from rich.console import Console

    from stockproof import dossier, proof
    from stockproof.dossier.screen import print_sections, progress_bar

    installation = proof.read_installation(brief, catalogue)
    with progress_bar() as progress:
        result = proof.prove(installation, proof.QUICK if quick else proof.FULL, workers, progress)
    print_sections(chapter(result.rooms), result.rooms.ledger, dossier.display_of(result), Console())


@app.command()
@_guarded
def check(file: Annotated[Path, typer.Argument(help="A brief or a catalogue, a TOML file.", metavar="FILE")]) -> None:
    """Check a catalogue, or a brief with the build it names, and say everything that is wrong."""
    from stockproof.proof.check import check_file

    print(check_file(file))


@app.command()
@_guarded
def schema(
    out: Annotated[Path, typer.Option("--out", help="Folder to write both schemas into.")],
) -> None:
    """Write the JSON Schemas of brief and catalogue, so that an editor completes and checks them."""
    from stockproof.dossier.files import write_files
    from stockproof.proof.check import schemas

    written = write_files(out, {name: json.dumps(text, indent=2).encode() for name, text in schemas().items()})
    print("\n".join(str(path) for path in written))


@app.command()
@_guarded
def new(
    folder: Annotated[Path, typer.Argument(help="Folder for the new brief.", metavar="FOLDER")],
) -> None:
    """Start a brief: writes FOLDER/brief.toml with every table, ready to fill in."""
    from stockproof.proof.check import start_brief

    print(start_brief(folder))


@app.command()
@_guarded
def prove(
    brief: BriefPath,
    catalogue: CataloguePath = None,
    out: Annotated[Path | None, typer.Option("--out", help="Folder for the dossier; out/<brief> if unsaid.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Verdicts and figures on standard output.")] = False,
    quick: Annotated[bool, typer.Option("--quick", help="Fewer replications, no dossier unless --out.")] = False,
    faults: Annotated[bool, typer.Option("--faults", help="Strike every single fault too; takes minutes.")] = False,
    workers: Workers = 2,
) -> None:
    """Prove a brief: print the verdict on every promise and write the dossier.

    Exit status: 0 all promises met; 1 some not met or not shown; 2 bad input.
    """
    from rich.console import Console

    from stockproof import dossier, proof
    from stockproof.dossier.screen import progress_bar

    installation = proof.read_installation(brief, catalogue)
    with progress_bar() as progress:
        effort = proof.WITH_FAULTS if faults else proof.QUICK if quick else proof.FULL
        result = proof.prove(installation, effort, workers, progress)
    folder = out if out is not None or quick else Path("out") / installation.brief.file_key
    written = dossier.write(result, folder) if folder is not None else ()
    if as_json:
        print(dossier.figures_json(result.rooms.ledger, result.verdicts).decode(), end="")
    else:
        console = Console()
        dossier.print_verdicts(result, console)
        if written:
            console.print(f"dossier: {folder} ({len(written)} files)", highlight=False)
    raise typer.Exit(ALL_MET if result.all_met else SOME_NOT_MET)


@app.command()
@_guarded
def flow(brief: BriefPath, catalogue: CataloguePath = None, quick: Quick = False, workers: Workers = 2) -> None:
    """Print head per hour, intervals, what limits, the crew and what a change would bring, for every programme."""
    from stockproof.dossier.chapters.days import days_in_full
    from stockproof.dossier.chapters.flowing import flow_in_full

    _print_chapter(
        brief, catalogue, quick, workers, lambda rooms: [*flow_in_full(rooms.flows.own_crews), *days_in_full(rooms)]
    )


@app.command()
@_guarded
def power(brief: BriefPath, catalogue: CataloguePath = None, quick: Quick = False, workers: Workers = 2) -> None:
    """Print motion times, forces, supply, what is left without power, settings and single failures."""
    from stockproof.dossier.chapters.powering import power_in_full

    _print_chapter(brief, catalogue, quick, workers, lambda rooms: power_in_full(rooms.power))


@app.command()
@_guarded
def logic(
    brief: BriefPath,
    catalogue: CataloguePath = None,
    fault: Annotated[str, typer.Option("--fault", help="Strike single faults: 'all', or words of one.")] = "",
    story: Annotated[int, typer.Option("--story", help="Tell the story of that number alone.", min=0)] = 0,
    out: Annotated[Path | None, typer.Option("--out", help="With --story: folder for it as a strip of plans.")] = None,
    mutants: Annotated[
        bool, typer.Option("--mutants", help="Weaken every rule and see what notices, single faults too.")
    ] = False,
    cap: Annotated[float, typer.Option("--cap", help="Memory of one search, in GiB.", min=0.01)] = 4.0,
) -> None:
    """Print what must not happen, whether it can, within which bounds, and the shortest story where it can."""
    from rich.console import Console

    from stockproof import proof
    from stockproof.dossier.chapters import examining
    from stockproof.dossier.chapters.controlling import control_in_full, relief_chapter
    from stockproof.dossier.display import Display
    from stockproof.dossier.screen import print_sections, progress_bar
    from stockproof.dossier.searching import states_bar
    from stockproof.figures import Ledger
    from stockproof.proof.machine import assemble_on_site
    from stockproof.proof.mending import mend_all
    from stockproof.proof.striking import check_options, check_struck, weaken

    check_options(story, out is not None, mutants)
    installation = proof.read_installation(brief, catalogue)
    control = assemble_on_site(installation)
    with states_bar("control") as watch:
        checked, reliefs = check_struck(control, fault, cap, watch)
    if story:
        title, told = examining.story_at(checked, story)
        sections = [*examining.one_story(title, told)]
        if out is not None:
            from stockproof.dossier.strips import write_strip

            write_strip(out, story, told, control.plant)
    else:
        sections = [*control_in_full(checked), *examining.stories_section(checked)]
        with progress_bar() as progress:
            sections += examining.mending_section(checked, mend_all(installation, checked, progress))
            sections += examining.mutants_section(weaken(control, progress)) if mutants else ()
        sections += relief_chapter(reliefs)
    print_sections(sections, Ledger(), Display(), Console())


@app.command()
@_guarded
def draw(
    brief: BriefPath,
    out: Annotated[Path, typer.Option("--out", help="Folder for the drawings.")],
    catalogue: CataloguePath = None,
) -> None:
    """Draw the yard: plan, section and setting-out as SVG, DXF and one PDF at true scale."""
    from stockproof import dossier, proof

    result = proof.prove(proof.read_installation(brief, catalogue), proof.QUICK)
    print("\n".join(str(path) for path in dossier.write_folder(out, dossier.drawing_files(result))))


@app.command()
@_guarded
def rehearse(
    brief: BriefPath,
    catalogue: CataloguePath = None,
    programme: Annotated[str, typer.Option("--programme", help="Which programme; the first if unsaid.")] = "",
    lines: Annotated[int, typer.Option("--lines", help="Events to print; 0 for all.", min=0)] = 60,
    trace: Annotated[Path | None, typer.Option("--trace", help="File for the whole trace, as JSON.")] = None,
) -> None:
    """Run one day of a programme and print what happens, in plain words."""
    from stockproof import dossier, proof

    result = proof.rehearse(proof.read_installation(brief, catalogue), programme)
    for line in dossier.told(result, lines):
        print(line)
    if trace is not None:
        dossier.write_files(trace.parent, {trace.name: dossier.trace_json(result)})


@app.command()
@_guarded
def code(
    brief: BriefPath,
    out: Annotated[Path, typer.Option("--out", help="Folder for the control pack.")],
    catalogue: CataloguePath = None,
    quick: Annotated[bool, typer.Option("--quick", help="Leave the check of the logic out of the site sheet.")] = False,
) -> None:
    """Write the control pack: code, interchange, lists, charts, cards and acceptance sheets, all as drafts."""
    from stockproof.dossier.control_pack import write_control_pack
    from stockproof.proof import read_installation

    written = write_control_pack(read_installation(brief, catalogue), out, check=not quick)
    print("\n".join(str(path) for path in written))


@app.command("open")
@_guarded
def open_desk(
    brief: Annotated[Path | None, typer.Argument(help="A brief to open as a job.", metavar="[BRIEF]")] = None,
    catalogue: CataloguePath = None,
    host: Annotated[
        str, typer.Option("--host", help="Address to listen on; beyond this machine it asks a password.")
    ] = ("127.0.0.1"),
    port: Annotated[
        int, typer.Option("--port", help="Port to listen on; 0 takes a free one.", min=0, max=65535)
    ] = 8700,
    show: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the browser.")] = True,
    jobs: Annotated[Path | None, typer.Option("--jobs", help="Folder the jobs are kept in.")] = None,
) -> None:
    """Open the desk: the whole job in a browser, on this machine alone unless told otherwise."""
    from stockproof.desk.server import data_folder, serve

    folder = jobs if jobs is not None else data_folder()
    serve(brief, catalogue, host, port, show, folder, os.environ.get("STOCKPROOF_PASSWORD", ""))
