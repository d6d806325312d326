"""The plan of a day: when a programme starts and ends, how many days it takes, when the trucks go."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from stockproof.flow import tables as t
from stockproof.flow.intervals import Interval, bound_of_a_day, prediction_interval
from stockproof.flow.run import FlowResult

__all__ = ["DayPlan", "day_plan", "days_needed"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DayPlan:
    """One round of a programme.

    Parameters
    ----------
    days : Interval
        Working days it takes (median and prediction interval); a last day that is not full counts as its share.
    whole_days : int
        Days to plan for at the stated confidence.
    finish_s : Interval
        Time from the start to the last animal, breaks counted and all days put together. [s]
    head_a_day : Interval
        Animals through on a full day.
    trucks_s : tuple of float
        Median time from the start of the first day, breaks counted, at which each truckload stands ready; empty
        where nothing is trucked. [s]
    confidence : float
        For `whole_days`.
    """

    days: Interval
    whole_days: int
    finish_s: Interval
    head_a_day: Interval
    trucks_s: tuple[float, ...]
    confidence: float


def day_plan(
    result: FlowResult, working_day_s: float, *, truck_head: int | None = None, confidence: float = 0.9
) -> DayPlan:
    """Give the plan of a programme whose whole mob was run.

    Parameters
    ----------
    working_day_s : float
        From the start of a day to its end, breaks counted. [s]
    truck_head : int or None
        Animals on a truck.
    """
    ready = _ready_s(result)
    days = days_needed(ready, result.line.mob.head, working_day_s)
    full = np.array([np.searchsorted(times, working_day_s, side="right") for times in ready], np.float64)
    finish = np.array([times[-1] if times.size else math.inf for times in ready])
    trucks: tuple[float, ...] = ()
    if truck_head:
        loads = math.ceil(result.line.mob.head / truck_head)
        trucks = tuple(_truck_s(ready, min(truck_head * (k + 1), result.line.mob.head)) for k in range(loads))
    return DayPlan(
        prediction_interval(days, confidence),
        math.ceil(bound_of_a_day(days, confidence, at_least=False)) if days.size * (1 - confidence) >= 1 else 0,
        prediction_interval(finish, confidence),
        prediction_interval(full, confidence),
        trucks,
        confidence,
    )


def days_needed(ready: list[Floats], head: int, working_day_s: float) -> Floats:
    """Days each replication takes; the second day of one is drawn as the first day of the next. (R,)"""
    needed = np.zeros(len(ready))
    for r in range(len(ready)):
        left, day = head, 0
        while left > 0 and day < 1000:
            times = ready[(r + day) % len(ready)]
            through = int(np.searchsorted(times, working_day_s, side="right"))
            if through >= left:
                needed[r] += float(times[left - 1]) / working_day_s
                break
            if through == 0:
                needed[r] = math.inf
                break
            needed[r] += 1
            left -= through
            day += 1
    return needed


def _ready_s(result: FlowResult) -> list[Floats]:
    """Times at which animals have left the line, in order, for each replication. [s]"""
    ends = [k for k, zone in enumerate(result.line.zones) if _is_end(result, zone.name)]
    arrived = result.times[:, :, ends, t.IN]
    return [np.sort(times[~np.isnan(times)]) for times in arrived]


def _is_end(result: FlowResult, name: str) -> bool:
    fetched = any(job.kind == "bring" and job.source == name for job in result.line.jobs)
    return not fetched and all(passage.out_of != name for passage in result.line.passages)


def _truck_s(ready: list[Floats], head: int) -> float:
    return float(np.median([times[head - 1] if times.size >= head else math.inf for times in ready]))
