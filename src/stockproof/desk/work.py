"""The workers: processes of their own that prove and draw, so that no page ever waits for a computation.

A worker does one request at a time and says how far it is. Cancelling ends its process; the next request starts a
fresh one. Requests and answers are plain data. A worker remembers its last proof, so that the whole of it can be
asked for once the verdicts are shown; no answer depends on whether it does.
"""

from __future__ import annotations

import asyncio
import contextlib
import importlib
import multiprocessing
import os
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stockproof.desk.store import CATALOGUE, Papers
from stockproof.errors import Fault, InputError, StockproofError

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

__all__ = ["BRIEF", "Cancelled", "Faulty", "Stopped", "Worker", "checked_brief", "installation_of"]

#: Name of a job's brief in the words of its errors.
BRIEF = "brief.toml"
#: Sent to a worker in the middle of a request.
STOP = "stop"
#: How far a worker in the background stands behind, on the scale of the operating system.
BEHIND = 10
_SPAWN = multiprocessing.get_context("spawn")
Progress = Callable[[str, float], None]


class Cancelled(StockproofError):
    """The computation was stopped on request."""


class Stopped(Cancelled):
    """The computation ended early because it was told to; its process lives on."""


class _Stopped(Exception):
    """Raised inside the process where a stop was asked for."""


class Faulty(StockproofError):
    """The papers cannot be proved; says everything that is wrong with them."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(map(str, faults)))


@dataclass(slots=True)
class _Running:
    process: BaseProcess
    pipe: Connection
    cancelled: bool = False
    sent: bool = False
    stop: bool = False


class Worker:
    """One process that does one request at a time.

    Parameters
    ----------
    behind : bool
        Whether it gives way to whatever else wants the machine, as what goes on in the background should.
    """

    def __init__(self, behind: bool = False) -> None:
        self.behind = behind
        self._running: _Running | None = None
        self._turn = asyncio.Lock()
        self._owner: object = None

    @property
    def busy(self) -> bool:
        return self._turn.locked()

    async def do(self, verb: str, *arguments: Any, progress: Progress | None = None, owner: object = None) -> Any:
        """Have a verb of this module done by the process and give its answer.

        Raises
        ------
        Faulty
            The papers cannot be proved.
        Stopped
            `stop` was called meanwhile, and the process goes on.
        Cancelled
            `cancel` was called meanwhile, or the process ended.
        """
        async with self._turn:
            running = self._running or self._start()
            running.sent = running.stop = False
            self._owner = owner
            loop = asyncio.get_running_loop()
            answer: asyncio.Future[Any] = loop.create_future()

            def tell(message: tuple[str, Any]) -> None:
                kind, content = message
                if kind == "progress" and progress is not None:
                    progress(*content)
                elif kind != "progress" and not answer.done():
                    _settle(answer, kind, content)

            def listen() -> None:
                _listen(running, (verb, arguments), lambda message: loop.call_soon_threadsafe(tell, message))

            threading.Thread(target=listen, daemon=True).start()
            try:
                return await answer
            except Stopped:
                raise
            except Cancelled:
                self._drop()
                raise
            except asyncio.CancelledError:
                self.cancel()
                raise

    def cancel(self) -> None:
        """Stop what is being done, if anything is."""
        if self._running is not None and self.busy:
            self._running.cancelled = True
            self._drop()

    def stop(self, owner: object = None) -> None:
        """Ask what is being done (for an owner, if named) to end where it next can, without ending its process."""
        running = self._running
        if running is None or not self.busy or (owner is not None and owner is not self._owner):
            return
        running.stop = True
        if running.sent:
            with contextlib.suppress(OSError):
                running.pipe.send(STOP)

    def close(self) -> None:
        """End the process."""
        self._drop()

    def _start(self) -> _Running:
        ours, theirs = _SPAWN.Pipe()
        process = _SPAWN.Process(target=_serve, args=(theirs, self.behind), daemon=True, name="stockproof worker")
        process.start()
        theirs.close()
        self._running = _Running(process, ours)
        return self._running

    def _drop(self) -> None:
        running, self._running = self._running, None
        if running is not None:
            running.process.kill()
            running.process.join()
            running.pipe.close()


def _listen(running: _Running, request: tuple[str, Any], tell: Callable[[tuple[str, Any]], object]) -> None:
    """Send a request and hand on what comes back, until the answer."""
    try:
        running.pipe.send(request)
        running.sent = True
        if running.stop:  # it was asked for before there was anything to stop
            running.pipe.send(STOP)
        while True:
            message = running.pipe.recv()
            tell(message)
            if message[0] != "progress":
                return
    except (EOFError, OSError):
        tell(("ended", running.cancelled))


def _settle(answer: asyncio.Future[Any], kind: str, content: Any) -> None:
    if kind == "answer":
        answer.set_result(content)
    elif kind == "faults":
        answer.set_exception(Faulty(content))
    elif kind == "stopped":
        answer.set_exception(Stopped("stopped for something newer"))
    elif kind == "ended":
        answer.set_exception(Cancelled("stopped" if content else "the worker process ended"))
    else:
        answer.set_exception(RuntimeError(content))


def _serve(pipe: Connection, behind: bool) -> None:
    """The process: do requests until the pipe closes."""
    if behind and hasattr(os, "nice"):
        os.nice(BEHIND)

    def progress(what: str, share: float) -> None:
        if pipe.poll() and pipe.recv() == STOP:
            raise _Stopped
        pipe.send(("progress", (what, share)))

    while True:
        try:
            request = pipe.recv()
        except (EOFError, KeyboardInterrupt):
            return
        if request == STOP:  # it came when the answer was already on its way
            continue
        verb, arguments = request
        try:
            pipe.send(("answer", VERBS[verb](progress, *arguments)))
        except InputError as error:
            pipe.send(("faults", error.faults))
        except _Stopped:
            pipe.send(("stopped", None))
        except Exception as error:  # whatever goes wrong here must reach the page, not end in a silent process
            pipe.send(("error", f"{type(error).__name__}: {error}"))


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
    from stockproof.logic import relief_and_release
    from stockproof.proof.machine import assemble_on_site

    installation = installation_of(papers)
    control = assemble_on_site(installation)
    relief = relief_and_release(control.netlist, control.plant)
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
