"""Turns promises into verdicts: one small function a kind of promise, each reading the results of the rooms.

A verdict takes the unfavourable end of an interval. What has not been analysed is `not shown` and says what is
missing; it is never guessed.
"""

from __future__ import annotations

from stockproof.brief import PromiseBase
from stockproof.brief import promises as kinds
from stockproof.proof.judges import control, cost, fitting, flows, hydraulics, yards
from stockproof.proof.model import Verdict
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import JUDGES, not_shown
from stockproof.proof.words import promise_in_words

__all__ = ["judge"]

#: The rooms whose judges are entered; importing them is what enters them.
ENTERED = (control, cost, fitting, flows, hydraulics, yards)
#: What a kind of promise waits for, where no room answers it yet.
WAITS_FOR: dict[type[PromiseBase], str] = {
    kinds.PerformanceLevel: "functional safety is not analysed by this version",
    kinds.WrongPen: "weighing and drafting accuracy are not analysed by this version",
    kinds.WeighError: "weighing and drafting accuracy are not analysed by this version",
}


def judge(rooms: Rooms) -> tuple[Verdict, ...]:
    """Give the verdict on every promise of the brief, in its order."""
    return tuple(_verdict(i, promise, rooms) for i, promise in enumerate(rooms.brief.promises, 1))


def _verdict(number: int, promise: PromiseBase, rooms: Rooms) -> Verdict:
    rule = JUDGES.get(type(promise))
    ruling = rule(promise, rooms) if rule else not_shown(WAITS_FOR[type(promise)])
    state = ruling.verdict
    return Verdict(
        number,
        str(getattr(promise, "kind", "")),
        promise_in_words(promise, rooms.units),
        state,
        ruling.measures,
        ruling.because,
        ruling.mend if state == "not met" else "",
        ruling.figures,
        ruling.bounds,
        promise.says,
    )
