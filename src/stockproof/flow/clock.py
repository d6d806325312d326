"""Head rate by a stated clock: when it starts, when it ends, and which stops it runs through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from stockproof.errors import InternalError
from stockproof.flow import tables as t
from stockproof.flow.run import FlowResult

__all__ = ["ENDS", "STARTS", "STOPS", "Clock", "clock_s", "head_rates", "treated"]

Floats = npt.NDArray[np.float64]

STARTS = ("work_begins", "first_animal_enters_race", "first_animal_caught")
ENDS = ("last_animal_released", "last_animal_penned", "work_ends")
STOPS = t.STOPS


@dataclass(frozen=True, slots=True)
class Clock:
    """How a rate is timed.

    Parameters
    ----------
    starts, ends : str
        One of `STARTS` and of `ENDS`.
    counts : tuple of str
        The kinds of stop (`STOPS`) that count as working time; the others are taken out of the clock.
    """

    starts: str = "work_begins"
    ends: str = "last_animal_penned"
    counts: tuple[str, ...] = STOPS

    def __post_init__(self) -> None:
        wrong = [stop for stop in self.counts if stop not in STOPS]
        if self.starts not in STARTS or self.ends not in ENDS or wrong:
            raise InternalError(f"a clock from {self.starts!r} to {self.ends!r} counting {self.counts}")


def head_rates(result: FlowResult, clock: Clock = Clock()) -> Floats:
    """Animals done with per second of the clock in each replication. [head/s], (R,)

    An animal counts when all its work was done and it left the line; refusers led round and animals that got away
    do not.
    """
    return treated(result) / clock_s(result, clock)


def treated(result: FlowResult) -> npt.NDArray[np.int64]:
    """Animals that left the line with all their work done, in each replication. (R,)"""
    done = (result.herd["doing"] == t.GONE) & (result.herd["todo"] == 0)
    return np.asarray(done.sum(axis=1))


def clock_s(result: FlowResult, clock: Clock) -> Floats:
    """Time on the clock in each replication. [s], (R,)"""
    out = [k for k, stop in enumerate(STOPS) if stop not in clock.counts]
    return np.asarray(
        _end_s(result, clock.ends) - _start_s(result, clock.starts) - result.worlds["stop_s"][:, out].sum(axis=1)
    )


def _start_s(result: FlowResult, starts: str) -> Floats:
    worlds = result.worlds
    if starts == "first_animal_enters_race":
        return np.asarray(worlds["first_in_s"])
    if starts == "first_animal_caught":
        first = np.nanmin(result.times[:, :, _main_zone(result), t.IN], axis=1)
        return np.where(worlds["first_held_s"] >= 0, worlds["first_held_s"], first)
    return np.zeros(worlds.size)


def _end_s(result: FlowResult, ends: str) -> Floats:
    column = {"last_animal_released": "last_free_s", "last_animal_penned": "last_penned_s", "work_ends": "now"}[ends]
    return np.asarray(result.worlds[column])


def _main_zone(result: FlowResult) -> int:
    return next(k for k, zone in enumerate(result.line.zones) if zone.work_zone)
