"""What a worker does: one function a verb, plain data in and out.

A worker remembers its last proof, so that the whole of it can be asked for once the verdicts are shown; no answer
depends on whether it does. Heavy modules are imported by the verb that needs them.
"""

from __future__ import annotations

import importlib
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stockproof.desk.store import CATALOGUE, Papers
from stockproof.errors import Fault, InputError

if TYPE_CHECKING:
    from stockproof.catalogue import Catalogue
    from stockproof.desk.rooms import RoomPage
    from stockproof.desk.telling import Tale
    from stockproof.desk.yarding import Plan
    from stockproof.installation import Installation
    from stockproof.proof import Proof
    from stockproof.proof.day import Effort
    from stockproof.proof.machine import Control
    from stockproof.yard import Finding

__all__ = ["BRIEF", "VERBS", "Progress", "catalogue_of", "checked_brief", "installation_of"]

#: Name of a job's brief in the words of its errors.
BRIEF = "brief.toml"
#: Called with what is being done and the share done; raises where a stop was asked for.
Progress = Callable[[str, float], None]


def checked_brief(papers: Papers) -> Any:
    """Check a brief's text alone.

    Raises
    ------
    InputError
        Everything found wrong.
    """
    from stockproof.brief import check_brief
    from stockproof.tomlfile import parse_toml

    with tempfile.TemporaryDirectory(prefix="stockproof-") as folder:
        for name, data in papers.files.items():
            if Path(name).name == name:
                (Path(folder) / name).write_bytes(data)
        return check_brief(parse_toml(papers.text.encode(), BRIEF, Path(folder)))


def installation_of(papers: Papers) -> Installation:
    """Join a job's brief with its catalogue.

    Raises
    ------
    InputError
        Everything found wrong in brief, catalogue or build.
    """
    from stockproof.errors import Place
    from stockproof.installation import install

    brief = checked_brief(papers)
    if CATALOGUE not in papers.files:
        raise InputError(
            Fault(
                "has no catalogue",
                Place(BRIEF, None, "catalogue"),
                mend="bring in the firm's catalogue, at the file itself",
            )
        )
    return install(brief, catalogue_of(papers.files[CATALOGUE]))


@lru_cache(maxsize=4)
def catalogue_of(raw: bytes) -> Catalogue:
    """Read a catalogue's bytes; reading one takes a third of a second, so the last few are remembered."""
    from stockproof.catalogue.reader import check_catalogue
    from stockproof.tomlfile import parse_toml

    return check_catalogue(parse_toml(raw, CATALOGUE, Path()))


def _warm(_: Progress, module: str) -> None:
    importlib.import_module(module)


@dataclass(frozen=True, slots=True)
class _Proved:
    """What this process proved last."""

    papers: Papers
    effort: Effort
    proof: Proof


_last: list[_Proved] = []


def _prove(progress: Progress, papers: Papers, effort: Effort) -> Proof:
    """The proof without its records, which are far the most of it: see `kept`."""
    from stockproof.desk.kept import light

    return light(_proof(progress, papers, effort))


def _pack(progress: Progress, papers: Papers, effort: Effort) -> bytes:
    """The whole proof packed, for the verbs below; proved anew where this process no longer has it."""
    from stockproof.desk.kept import pack

    return pack(_proof(progress, papers, effort))


def _proof(progress: Progress, papers: Papers, effort: Effort) -> Proof:
    from stockproof.proof import prove

    if _last and (_last[0].papers, _last[0].effort) == (papers, effort):
        return _last[0].proof
    progress("reading", 0.0)
    installation = installation_of(papers)
    progress("proving", 0.0)
    proof = prove(installation, effort, workers=1, progress=progress)
    _last[:] = [_Proved(papers, effort, proof)]
    return proof


def _room(_: Progress, packed: bytes, name: str, pictures: bool) -> RoomPage:
    from stockproof.desk.kept import unpack
    from stockproof.desk.rooms import room_page

    return room_page(unpack(packed), name, pictures)


def _dossier(progress: Progress, packed: bytes, draft: bool) -> dict[str, bytes]:
    from stockproof.desk.kept import unpack
    from stockproof.desk.rooms import files_of

    progress("setting the documents", 0.2)
    return files_of(unpack(packed), draft)


def _leaves(progress: Progress, packed: bytes, document: str, draft: bool) -> list[bytes]:
    from stockproof.desk.kept import unpack
    from stockproof.desk.rooms import page_images

    progress("drawing the pages", 0.2)
    return page_images(unpack(packed), document, draft)


def _proposal(_: Progress, packed: bytes, draft: bool) -> bytes:
    from stockproof.desk.kept import unpack
    from stockproof.desk.rooms import document_pdf

    return document_pdf(unpack(packed), "proposal", draft)


def _check(_: Progress, papers: Papers) -> None:
    installation_of(papers)


def _drawings(progress: Progress, papers: Papers, effort: Effort) -> dict[str, str]:
    from stockproof.dossier.chapters.yarding import sheets_of_the_yard
    from stockproof.dossier.svg import drawing_svg

    rooms = _proof(progress, papers, effort).rooms
    return {drawing.name: drawing_svg(drawing) for drawing in sheets_of_the_yard(rooms)}


def _plan(_: Progress, papers: Papers, width_mm: float) -> Plan:
    from stockproof.desk.yarding import draw_plan

    return draw_plan(installation_of(papers), width_mm)


def _judge(_: Progress, papers: Papers) -> tuple[Finding, ...]:
    from stockproof.desk.yarding import judge_plan

    return judge_plan(installation_of(papers))


def _yard_files(_: Progress, packed: bytes) -> dict[str, bytes]:
    from stockproof.desk.kept import unpack
    from stockproof.dossier import drawing_files

    return drawing_files(unpack(packed))


def _code(_: Progress, papers: Papers) -> dict[str, bytes]:
    from stockproof.dossier.control_pack import control_pack
    from stockproof.proof.machine import assemble_on_site, reliefs

    installation = installation_of(papers)
    control = assemble_on_site(installation)
    relief = reliefs(control)
    return control_pack(installation, control.assembly, control.netlist, None, relief)


def _rehearse(_: Progress, key: str, what: str, *arguments: Any) -> Any:
    """The one verb whose process keeps something: rehearsals, which are played again from their acts if it ends."""
    from stockproof.desk.rehearsing import order

    return order(key, what, *arguments)


def _tales(progress: Progress, control: Control) -> tuple[Tale, ...]:
    from stockproof.desk.telling import tales_of
    from stockproof.proof.machine import check_control

    checked, _, _ = check_control(control, True, progress)
    return tuple(tales_of(checked))


VERBS: dict[str, Callable[..., Any]] = {
    "warm": _warm,
    "prove": _prove,
    "pack": _pack,
    "room": _room,
    "dossier": _dossier,
    "leaves": _leaves,
    "proposal": _proposal,
    "check": _check,
    "rehearse": _rehearse,
    "tales": _tales,
    "drawings": _drawings,
    "code": _code,
    "plan": _plan,
    "judge": _judge,
    "yard files": _yard_files,
}
