"""One run told: its events in plain words, where each animal was when, what each part did, its log of motions."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from stockproof.flow import notes
from stockproof.flow.run import FlowResult
from stockproof.flow.translate import Names
from stockproof.motion.log import MotionLog

__all__ = ["Event", "Stay", "Stroke", "motion_log", "stays", "strokes"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened: when, what kind, and a plain sentence."""

    time_s: float
    kind: str
    words: str


@dataclass(frozen=True, slots=True)
class Stay:
    """An animal's stay in a zone: nose in, tail in, done there, tail out. [s] (infinite: still there)"""

    animal: int
    zone: str
    began_s: float
    in_s: float
    done_s: float
    left_s: float


@dataclass(frozen=True, slots=True)
class Stroke:
    """A motion of a part as it happened."""

    motion: str
    command_s: float
    arrive_s: float
    share: float


def stays(result: FlowResult, replication: int = 0, animals: int | None = None) -> Iterator[Stay]:
    """Give the stays of the first animals in a replication, for a time-space picture or a rehearsal."""
    times = result.times[replication]
    for a in range(times.shape[0] if animals is None else min(animals, times.shape[0])):
        for z, name in enumerate(result.names.zones):
            began, inside, done, left = (float(value) for value in times[a, z])
            if not np.isnan(inside):
                yield Stay(a, name, inside if np.isnan(began) else began, inside, *_or_never(done, left))


def _or_never(*values: float) -> tuple[float, ...]:
    return tuple(float("inf") if np.isnan(value) else value for value in values)


def strokes(result: FlowResult, replication: int = 0) -> Iterator[Stroke]:
    """Give the motions of a replication whose motion log was kept."""
    for command, arrive, motion, share in result.moves[replication]:
        yield Stroke(result.names.motions[int(motion)], float(command), float(arrive), float(share))


def motion_log(result: FlowResult, replication: int = 0) -> MotionLog:
    """Give a replication's motions as the power room replays them; see `simulate(motion_rows=...)`."""
    moves = result.moves[replication]
    return MotionLog(
        result.names.motions,
        moves[:, 0].copy(),
        moves[:, 1].copy(),
        moves[:, 2].astype(np.int64),
        moves[:, 3].copy(),
        float(max(result.worlds["now"][replication], moves[:, 1].max(initial=0.0))),
    )


Told = tuple[str, str]


def _of(table: tuple[str, ...], k: int) -> str:
    return table[k].replace("_", " ") if 0 <= k < len(table) else "?"


def _animal(words: str) -> Callable[[Names, int, int], Told]:
    return lambda names, a, z: ("animal", words.format(a=a + 1, z=_of(names.zones, z)))


def _task(words: str) -> Callable[[Names, int, int], Told]:
    return lambda names, a, k: ("work", words.format(a=a + 1, k=_of(names.tasks, k)))


def _press(words: str) -> Callable[[Names, int, int], Told]:
    return lambda names, p, q: ("control", words.format(p=_of(names.people, p), q=_of(names.presses, q)))


def _part(words: str) -> Callable[[Names, int, int], Told]:
    return lambda names, part, motion: ("part", words.format(
        part=_of(names.parts, part), motion=_of(names.motions, motion) if motion >= 0 else "by hand"))  # fmt: skip


def _job(words: str) -> Callable[[Names, int, int], Told]:
    return lambda names, p, j: ("crew", words.format(p=_of(names.people, p), j=_of(names.jobs, j)))


def _place(words: str) -> Callable[[Names, int, int], Told]:
    return lambda names, p, k: ("crew", words.format(p=_of(names.people, p), k=_of(names.places, k)))


def _space(words: str) -> Callable[[Names, int, int], Told]:
    return lambda names, p, s: ("crew", words.format(p=_of(names.people, p), s=_of(names.spaces, s)))


SENTENCES: dict[int, Callable[[Names, int, int], Told]] = {
    int(kind): sentence
    for kind, sentence in (
        (notes.SETS_OUT, _animal("Animal {a} sets out for the {z}.")),
        (notes.COMES_IN, _animal("Animal {a} is in the {z}.")),
        (notes.LEAVES_END, _animal("Animal {a} has left the line into {z}.")),
        (notes.BALKS, _animal("Animal {a} balks at the end of the {z}.")),
        (notes.REFUSES, _animal("Animal {a} refuses to leave the {z}.")),
        (notes.CAUGHT, _animal("Animal {a} is caught by the neck.")),
        (notes.TOO_EARLY, _animal("The bail shut too early: the head of animal {a} is behind it.")),
        (notes.TOO_LATE, _animal("The bail shut too late: the shoulder of animal {a} is through.")),
        (notes.LET_OUT, _animal("The bail lets animal {a} go.")),
        (notes.GOES_DOWN, _animal("Animal {a} goes down in the {z}.")),
        (notes.GETS_UP, _animal("Animal {a} is up again in the {z}.")),
        (notes.TASK_BEGINS, _task("{k} begins on animal {a}.")),
        (notes.TASK_ENDS, _task("{k} is done on animal {a}.")),
        (notes.TASK_STOPPED, _task("{k} on animal {a} is broken off.")),
        (notes.PRESSES, _press("{p} acts: {q}.")),
        (notes.LETS_GO, _press("{p} lets go: {q}.")),
        (notes.MOTION_BEGINS, _part("The {part} begins to move ({motion}).")),
        (notes.MOTION_STOPS, _part("The {part} stops on its way ({motion}).")),
        (notes.PART_ARRIVES, _part("The {part} is there ({motion}).")),
        (notes.PERSON_GOES, _place("{p} walks to {k}.")),
        (notes.JOB_BEGINS, _job("{p} begins: {j}.")),
        (notes.JOB_ENDS, _job("{p} is done: {j}.")),
        (notes.RELOADS, lambda n, p, k: ("crew", f"{_of(n.people, p)} reloads for {_of(n.tasks, k)}.")),
        (notes.PERSON_IN, _space("{p} goes in: {s}.")),
        (notes.PERSON_OUT, _space("{p} comes out: {s}.")),
        (notes.BREAK_BEGINS, lambda n, k, _: ("crew", f"Break {k + 1} begins.")),
        (notes.BREAK_ENDS, lambda n, k, _: ("crew", f"Break {k + 1} is over.")),
        (notes.PERMIT_REFUSED, lambda n, k, _: ("logic", f"{_of(n.motions, k)} is asked for and not permitted.")),
        (
            notes.GATE_TOUCHES,
            lambda n, part, a: ("danger", f"The {_of(n.parts, part)} begins to move on animal {a + 1}."),
        ),
        (notes.TIMER_ELAPSES, lambda n, k, _: ("logic", f"The timer {_of(n.timers, k)} has run out.")),
    )
}
