"""Runs the search over a system: grows its tables, tells progress, keeps within the memory cap."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from stockproof.errors import InternalError
from stockproof.logic import kernel
from stockproof.logic.system import MOST_BITS, System, key_of

__all__ = ["DEFAULT_CAP_BYTES", "Exploration", "Progress", "TooManyBits", "explore"]

#: No more memory than this unless told: what a farm office's computer can spare.
DEFAULT_CAP_BYTES = 4 << 30
#: Batches of 64 states between two reports of progress.
BATCHES = 400
#: A queue of so many states and more grows in small steps.
LARGE = 1 << 17


class TooManyBits(InternalError):
    """A system does not fit the search's one word of state."""


Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, eq=False)
class Exploration:
    """What a search found.

    Parameters
    ----------
    complete : bool
        Every reachable state was explored; False at the memory cap.
    states, edges, deadlocks : int
        Reachable states; steps taken; states without any move.
    first_bad : tuple of (state number, pattern) or None, one a bad node
        Breadth first, so the story to it is shortest.
    covered : int64[M]
        How often each move was taken.
    """

    system: System
    complete: bool
    states: int
    edges: int
    deadlocks: int
    first_bad: tuple[tuple[int, int] | None, ...]
    covered: npt.NDArray[np.int64]
    bytes_used: int
    seconds: float
    queue: npt.NDArray[np.uint64] = field(repr=False)
    parents: npt.NDArray[np.uint32] = field(repr=False)

    def path(self, number: int) -> list[int]:
        """Give the states from a start to the state of that number, as integers."""
        found = [number]
        while int(self.parents[found[-1]]) != found[-1]:
            found.append(int(self.parents[found[-1]]))
        return [int(self.queue[k]) & ~(1 << MOST_BITS) for k in reversed(found)]


def explore(
    system: System,
    starts: Sequence[int] | npt.NDArray[np.uint64] | None = None,
    cap_bytes: int = DEFAULT_CAP_BYTES,
    progress: Progress | None = None,
    first_size: int = 1 << 12,
    enough: int = 0,
) -> Exploration:
    """Explore every state reachable from the system's starts, or from other starts.

    Parameters
    ----------
    cap_bytes : int
        Memory for tables and queue; at the cap the exploration is not complete.
    progress : callable
        Gets states explored and states found, now and then.
    enough : int
        Stop once the first so many bad nodes have all been reached; such an exploration is not complete.
    """
    if len(system.bits) > MOST_BITS:
        raise TooManyBits(f"{len(system.bits)} bits of state, at most {MOST_BITS}")
    began = time.perf_counter()
    tables = _Tables(_keys(system, starts), first_size)
    counts = np.array([0, tables.count, 0, 0], np.int64)
    bad_state = np.full(len(system.scan_bad), -1, np.int64)
    bad_pattern = np.full(len(system.scan_bad), -1, np.int64)
    stuck = np.full(1, -1, np.int64)
    covered = np.zeros(len(system.move_guard), np.int64)
    arrays = _arrays(system)
    complete = True
    while True:
        status = kernel.search(
            *arrays,
            tables.table,
            tables.shift,
            tables.queue,
            tables.parents,
            counts,
            bad_state,
            bad_pattern,
            stuck,
            covered,
            enough,
            BATCHES,
        )
        if progress is not None:
            progress(int(counts[0]), int(counts[1]))
        if status in (kernel.DONE, kernel.ENOUGH):
            complete = status == kernel.DONE
            break
        if status == kernel.FULL and not tables.grow(int(counts[1]), cap_bytes):
            complete = False
            break
    count = int(counts[1])
    return Exploration(
        system,
        complete,
        count,
        int(counts[2]),
        int(counts[3]),
        tuple((int(s), int(p)) if s >= 0 else None for s, p in zip(bad_state, bad_pattern, strict=True)),
        covered,
        tables.bytes_used,
        time.perf_counter() - began,
        tables.queue[:count],
        tables.parents[:count],
    )


def _keys(system: System, starts: Sequence[int] | npt.NDArray[np.uint64] | None) -> npt.NDArray[np.uint64]:
    if isinstance(starts, np.ndarray):
        return np.unique(starts)
    return np.unique(np.array([key_of(s) for s in (system.start if starts is None else starts)], np.uint64))


class _Tables:
    """Table, queue and parents; a start is its own parent."""

    def __init__(self, keys: npt.NDArray[np.uint64], size: int) -> None:
        while size < 8 * len(keys):
            size *= 2
        self.queue = np.zeros(size, np.uint64)
        self.parents = np.zeros(size, np.uint32)
        self.count = len(keys)
        self.queue[: self.count] = keys
        self.parents[: self.count] = np.arange(self.count, dtype=np.uint32)
        self._lay(2 * size)

    @property
    def bytes_used(self) -> int:
        return int(self.table.nbytes + self.queue.nbytes + self.parents.nbytes)

    def grow(self, count: int, cap_bytes: int) -> bool:
        """Make room for more states, unless that would go beyond the cap.

        The table doubles once three quarters of it are taken. The queue doubles while it is small and grows by an
        eighth when it is large, where room that is never used would cost more than moving it.
        """
        length = self.queue.size * 2 if self.queue.size < LARGE else self.queue.size + self.queue.size // 8
        size = self.table.size if 3 * self.table.size // 4 >= length else 2 * self.table.size
        if 8 * size + 12 * length > cap_bytes or length >= 1 << 32:
            return False
        self.count = count
        self.queue.resize(length, refcheck=False)
        self.parents.resize(length, refcheck=False)
        if size != self.table.size:
            self._lay(size)
        return True

    def _lay(self, size: int) -> None:
        self.table = np.zeros(0, np.uint64)  # let go of the old one before the new one is made
        self.table = np.zeros(size, np.uint64)
        self.shift = np.uint64(64 - (size.bit_length() - 1))
        kernel.rehash(self.queue, self.count, self.table, self.shift)


def _arrays(system: System) -> tuple[object, ...]:
    """Give the system's arrays as the search takes them: what counts places has no sign, which spares a comparison."""
    s = system
    plain = (
        *(s.scan.op, s.scan.a, s.scan.b, s.scan_bit, s.scan_pattern, s.scan_next, s.scan_carried, s.scan_bad),
        *(s.moves.op, s.moves.a, s.moves.b, s.move_bit, s.move_carried, s.move_guard),
        *(s.write_start, s.write_bit, s.write_node),
    )
    return (
        *(column if column.dtype == np.int8 else column.astype(np.uint32) for column in plain),
        *(s.patterns, s.pattern_valid, s.pattern_budget, s.pattern_below, s.stays, s.dependent),
    )
