"""Runs replications over threads and sets their results down as flat records."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from queue import SimpleQueue
from typing import Any

import numpy as np
import numpy.typing as npt

from stockproof.errors import InternalError
from stockproof.flow import tables as t
from stockproof.flow.model import Line, Mob, Passage, Zone
from stockproof.flow.translate import Names, names_of, program_of, translate
from stockproof.motion.laws import MotionLaws
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["FlowResult", "Progress", "simulate", "warm"]

#: Called with the share done, 0 to 1.
Progress = Callable[[float], None]
Floats = npt.NDArray[np.float64]

#: Replications a thread takes at a time, at most: large enough to hide the call, small enough for progress and Ctrl-C;
#: and the stretches there should be for each thread, so that none waits long for the last one.
CHUNK, STRETCHES = 8, 5
#: A run that has not ended after five weeks never will. [s]
LATEST_S = 3e6
LOG_ROWS = 200_000
THROUGH = "all through"
ENDINGS = ("running on", THROUGH, "stuck", "too long", "not settled", "out of slots")


@dataclass(frozen=True, slots=True, eq=False)
class FlowResult:
    """What every replication did, as flat records; statistics are plain functions over these.

    Parameters
    ----------
    line, names
        What was run, and its names in the order of the tables.
    worlds : WORLD[R]
        State at the end of each replication: counts, times by kind, factors drawn.
    herd : ANIMAL[R, head]
        Each animal at the end.
    times : float64[R, head, zones, 4]
        When an animal began to come into a zone, was in, was done with there, and had left; NaN where never. [s]
    log : float64[N, 4]
        Events of the traced replication: time, kind, and what it is about.
    moves : tuple of float64[N, 4]
        Motions of each logged replication: command, arrival, motion, share of the stroke.
    """

    line: Line
    netlist: Netlist | None
    plant: Plant | None
    names: Names
    seed: int
    worlds: t.Records
    herd: t.Records
    times: Floats
    log: Floats
    moves: tuple[Floats, ...]

    @property
    def replications(self) -> int:
        return int(self.worlds.size)

    @property
    def endings(self) -> tuple[str, ...]:
        """How each replication ended."""
        return tuple(ENDINGS[status] for status in self.worlds["status"])

    @property
    def unended(self) -> str:
        """How many runs did not bring every animal through, in words; empty where all did."""
        lost = sum(ending != THROUGH for ending in self.endings)
        return f"{lost} of {self.replications} runs never come to an end" if lost else ""


def simulate(
    line: Line,
    netlist: Netlist | None = None,
    plant: Plant | None = None,
    laws: MotionLaws | None = None,
    *,
    seed: int,
    replications: int,
    first: int = 0,
    latest_s: float = LATEST_S,
    traced: int | None = None,
    motion_rows: int = 0,
    workers: int | None = None,
    progress: Progress | None = None,
) -> FlowResult:
    """Run a line so many times and give what happened.

    Parameters
    ----------
    netlist, plant : Netlist, Plant or None
        The control program and the plant it runs on; None for a line without powered parts.
    laws : MotionLaws or None
        Time and oil of each motion by name; None takes the plant's catalogue times.
    seed, first
        Key of all draws, and number of the first replication: replication k of a seed is the same run always.
    traced : int or None
        Position of the replication whose events are kept.
    motion_rows : int
        Room for so many motions of each replication's motion log (0: only counts are kept).
    workers : int or None
        Threads; the result does not depend on it.

    Raises
    ------
    InputError
        The line names something that is not there, or is too large.
    InternalError
        The logic did not settle at some event, or the kernel's own tables ran out.
    """
    model = translate(line, netlist, plant, latest_s)
    model["rows"] = settled_rows(model)
    worlds = np.zeros(replications, t.WORLD)
    worlds["seed"] = seed
    worlds["replication"] = np.arange(first, first + replications)
    herd = np.zeros((replications, line.mob.head), t.ANIMAL)
    times = np.full((replications, line.mob.head, len(line.zones), 4), np.nan)
    log = np.zeros((LOG_ROWS if traced is not None else 0, 4))
    moves = np.zeros((replications, motion_rows, 4))
    _point(worlds, herd, times, moves)
    if traced is not None:
        worlds[traced]["logging"], worlds[traced]["log_at"], worlds[traced]["log_rows"] = 1, log.ctypes.data, LOG_ROWS
    _spread(model, worlds, program_of(netlist, plant, laws), workers or os.cpu_count() or 1, progress)
    _refuse_broken(worlds)
    kept = log[: min(int(worlds["logged"][traced]), LOG_ROWS)] if traced is not None else log
    lists = tuple(moves[r, : min(int(worlds["motions_logged"][r]), motion_rows)] for r in range(replications))
    return FlowResult(line, netlist, plant, names_of(line, netlist, plant), seed, worlds, herd, times, kept, lists)


def settled_rows(model: t.Records) -> int:
    """Give how many situations of the control program a table holds: the largest power of two that fits."""
    return 1 << (t.MEMO // int(model[0]["row_words"])).bit_length() - 1


def warm() -> None:
    """Compile the kernel, or load it from its cache, by running one animal through one place."""
    zones = (Zone("in", 1), Zone("place", 1), Zone("out", 1))
    passages = (Passage("in", "place"), Passage("place", "out"))
    simulate(Line(zones, passages, Mob(1)), seed=0, replications=1, workers=1)


def _entry() -> Any:
    from stockproof.flow.kernel import run_replications

    return run_replications


def _point(worlds: t.Records, herd: t.Records, times: Floats, moves: Floats) -> None:
    """Tell every world where its own rows of the big arrays lie."""
    count = np.arange(worlds.size)
    worlds["animal_bytes"] = herd.itemsize
    worlds["move_rows"] = moves.shape[1]
    for column, array in (("herd_at", herd), ("times_at", times), ("moves_at", moves)):
        worlds[column] = array.ctypes.data + count * array.strides[0]


def _spread(model: t.Records, worlds: t.Records, program: t.Records, workers: int, progress: Progress | None) -> None:
    """Run stretches on threads (the kernel holds no lock); an interrupt waits for those running, starts no more."""
    chunk = max(1, min(CHUNK, worlds.size // (STRETCHES * workers)))
    starts = range(0, worlds.size, chunk)
    programs: SimpleQueue[t.Records] = SimpleQueue()
    for _ in range(min(workers, len(starts))):
        programs.put(program.copy())

    def stretch(start: int) -> None:
        mine = programs.get()
        _entry()(model, worlds[start : start + chunk], mine)
        programs.put(mine)

    if workers == 1:
        _report(map(stretch, starts), len(starts), progress)
        return
    with ThreadPoolExecutor(min(workers, len(starts))) as pool:
        try:
            _report(pool.map(stretch, starts), len(starts), progress)
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise


def _report(stretches: Iterable[None], count: int, progress: Progress | None) -> None:
    for done, _ in enumerate(stretches, 1):
        if progress:
            progress(done / count)


def _refuse_broken(worlds: t.Records) -> None:
    for status, why in ((t.NOT_SETTLED, "did not settle"), (t.OUT_OF_SLOTS, "ran out of its tables")):
        broken = np.flatnonzero(worlds["status"] == status)
        if broken.size:
            world = worlds[broken[0]]
            raise InternalError(f"replication {world['replication']} {why} at {world['now']:.3f} s")
