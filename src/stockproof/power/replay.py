"""Flow's log of motions carried out again by the full model: as commands, set against the law, and what was held.

A log counts shares of whole strokes and names motions; the circuit knows rods, so where each rod stands is followed
here. A three-position gate comes to its middle from either side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stockproof.motion import MotionLog
from stockproof.power.laws import switching_lag_s
from stockproof.power.model import Circuit, Drive
from stockproof.power.simulate import Command

__all__ = ["LEAST_COUNT", "TOLERANCE", "Agreement", "Hold", "MotionAgreement", "agreement", "commands", "holds"]

Floats = NDArray[np.float64]

#: Agreement of mean motion time asked between the law flow stepped and the full replay.
TOLERANCE_SHARE = 0.10
#: Each motion's own mean, and ninety-five of a hundred single motions, must agree within so many times the tolerance.
_OF_ONE_MOTION = 2.0
_OF_MOST = 3.0
#: One motion in so many may be unfinished when its part is commanded again.
_UNFINISHED_OF = 20
#: A motion that happened fewer times says nothing of its own mean.
LEAST_COUNT = 20
#: The same in words.
TOLERANCE = (
    f"Asked are {TOLERANCE_SHARE:.0%} of the mean time of all motions, {_OF_ONE_MOTION * TOLERANCE_SHARE:.0%} of each "
    f"motion's own mean where it happened at least {LEAST_COUNT} times, and {_OF_MOST * TOLERANCE_SHARE:.0%} of the "
    "mean for 95 in a hundred single motions."
)


@dataclass(frozen=True, slots=True)
class MotionAgreement:
    """One motion's mean time as flow had it and as replayed. [s]"""

    motion: str
    count: int
    law_s: float
    replay_s: float

    @property
    def off_share(self) -> float:
        """Replay against law, over the law."""
        return self.replay_s / self.law_s - 1.0 if self.law_s > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class Agreement:
    """The replay against the law.

    Parameters
    ----------
    law_mean_s, replay_mean_s : float
        Mean time of a motion as flow had it, and replayed.
    mean_off_share : float
        Mean over the mean: replay against law.
    widest_share : float
        Disagreement, over the law's mean, that 95 of 100 motions keep within.
    unfinished : int
        Motions that had not arrived before their part's next command or the end.
    by_motion : tuple of MotionAgreement
    within : bool
        All of it within the stated tolerance; otherwise what rests on flow's motion times is not shown.
    """

    law_mean_s: float
    replay_mean_s: float
    mean_off_share: float
    widest_share: float
    unfinished: int
    by_motion: tuple[MotionAgreement, ...]
    within: bool


@dataclass(frozen=True, slots=True)
class Hold:
    """How long a part pressed on animals: from closed to the next motion the other way. [s]"""

    part: str
    count: int
    median_s: float
    longest_s: float


def commands(circuit: Circuit, log: MotionLog, rows: NDArray[np.int64]) -> tuple[list[Command], Floats]:
    """Give the log as commands of rods, and where the rods stand at first."""
    place = np.full(len(circuit.actuators), np.nan)
    at = np.zeros(len(circuit.actuators))
    given = []
    for k in rows:
        n, drive = circuit.driven(log.names[log.motion[k]])
        actuator = circuit.actuators[n]
        share = float(log.share[k])
        if np.isnan(place[n]):
            place[n] = at[n] = float(np.clip(drive.to_share - drive.way * share, 0.0, 1.0))
        way = _way(drive, float(at[n]))
        at[n] = float(np.clip(at[n] + way * share, 0.0, 1.0))
        begins = float(log.command_s[k]) + switching_lag_s(actuator)
        given.append(Command(begins, n, way, at[n] * actuator.stroke_m))
    strokes = np.array([actuator.stroke_m for actuator in circuit.actuators])
    return given, np.nan_to_num(place) * strokes


def agreement(log: MotionLog, rows: NDArray[np.int64], arrive_s: Floats) -> Agreement:
    """Set the replay's arrivals against the log's."""
    law_s = log.durations_s()[rows]
    replay_s = arrive_s - log.command_s[rows]
    done = np.isfinite(replay_s)
    unfinished = int((~done).sum())
    law_mean = float(law_s[done].mean()) if done.any() else 0.0
    replay_mean = float(replay_s[done].mean()) if done.any() else 0.0
    off = (replay_s[done] - law_s[done]) / law_mean if law_mean > 0.0 else np.zeros(0)
    mean_off = float(off.mean()) if off.size else 0.0
    widest = float(np.quantile(np.abs(off), 0.95)) if off.size else 0.0
    motions = tuple(_by_motion(log, rows, law_s, replay_s, done))
    within = (
        abs(mean_off) <= TOLERANCE_SHARE
        and widest <= _OF_MOST * TOLERANCE_SHARE
        and unfinished <= max(1, rows.size // _UNFINISHED_OF)
        and all(abs(m.off_share) <= _OF_ONE_MOTION * TOLERANCE_SHARE for m in motions if m.count >= LEAST_COUNT)
    )
    return Agreement(law_mean, replay_mean, mean_off, widest, unfinished, motions, within)


def holds(circuit: Circuit, log: MotionLog, rows: NDArray[np.int64], arrive_s: Floats) -> tuple[Hold, ...]:
    """Give how long every part with pads pressed, as replayed: closed until it next gave way."""
    closed: dict[str, float] = {}
    lasted: dict[str, list[float]] = {actuator.part: [] for actuator in circuit.actuators if actuator.pads}
    for k, arrived in zip(rows, arrive_s, strict=True):
        n, drive = circuit.driven(log.names[log.motion[k]])
        part = circuit.actuators[n].part
        if drive.closing:
            closed[part] = float(arrived)
        elif part in lasted and np.isfinite(closed.get(part, np.nan)):
            lasted[part].append(max(0.0, float(log.command_s[k]) - closed.pop(part)))
    return tuple(Hold(part, len(times), float(np.median(times)), max(times)) for part, times in lasted.items() if times)


def _way(drive: Drive, at_share: float) -> int:
    """A motion to an end goes its own way; one that stops half-way goes toward where it stops."""
    if drive.travel_share == 1.0 or at_share == drive.to_share:
        return drive.way
    return 1 if drive.to_share > at_share else -1


def _by_motion(
    log: MotionLog, rows: NDArray[np.int64], law_s: Floats, replay_s: Floats, done: NDArray[np.bool_]
) -> list[MotionAgreement]:
    found = []
    for motion in sorted(set(log.motion[rows].tolist())):
        these = (log.motion[rows] == motion) & done
        if these.any():
            means = float(law_s[these].mean()), float(replay_s[these].mean())
            found.append(MotionAgreement(log.names[motion], int(these.sum()), *means))
    return found
