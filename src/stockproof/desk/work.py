"""The workers: processes of their own that prove and draw, so that no page ever waits for a computation.

A worker does one request at a time and says how far it is. Cancelling ends its process; the next request starts a
fresh one. Requests and answers are plain data; what a worker can be asked for stands in `verbs`.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from stockproof.desk.verbs import VERBS, Progress
from stockproof.errors import Fault, InputError, StockproofError

__all__ = ["Cancelled", "Faulty", "Stopped", "Worker"]

#: Sent to a worker in the middle of a request.
STOP = "stop"
#: How far a worker in the background stands behind, on the scale of the operating system.
BEHIND = 10
_SPAWN = multiprocessing.get_context("spawn")


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
        except ConnectionError:  # nobody listens any more
            return
        except Exception as error:  # whatever goes wrong here must reach the page, not end in a silent process
            pipe.send(("error", f"{type(error).__name__}: {error}"))
