"""What happens in a run, noted for those who look on: events for the trace, motions for the log, time by state.

Nothing in the run reads a note, so a traced run and an untraced one are the same run.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from stockproof.flow import tables as t
from stockproof.flow.compiled import compiled
from stockproof.flow.memory import log_row, move_row

__all__ = ["close_motion", "note", "note_motion", "spend_person", "spend_zone"]

_kinds: Any = [np.int64(kind) for kind in range(31)]
# Kinds of event in the trace; the two numbers beside each are named in `trace.WORDS`.
(
    SETS_OUT, COMES_IN, LEAVES_END, BALKS, REFUSES, CAUGHT, TOO_EARLY, TOO_LATE, LET_OUT, GOES_DOWN, GETS_UP,
    TASK_BEGINS, TASK_ENDS, PRESSES, LETS_GO, MOTION_BEGINS, MOTION_STOPS, PART_ARRIVES, PERSON_GOES, JOB_BEGINS,
    JOB_ENDS, BREAK_BEGINS, BREAK_ENDS, PERMIT_REFUSED, GATE_TOUCHES, TIMER_ELAPSES, PERSON_IN, PERSON_OUT, STANDS,
    RELOADS, TASK_STOPPED,
) = _kinds  # fmt: skip


@compiled
def note(w: Any, kind: int, first: int, second: int) -> None:
    """Write one event of the trace, while there is room for it."""
    if w.logging != 0:
        if w.logged < w.log_rows:
            row = log_row(w, w.logged)
            row[0], row[1], row[2], row[3] = w.now, kind, first, second
        w.logged += 1


@compiled
def note_motion(w: Any, motion: int, share: float) -> int:
    """Write a motion's command; gives the row, to be closed when the part arrives or stops."""
    row = w.motions_logged
    if row < w.move_rows:
        move = move_row(w, row)
        move[0], move[1], move[2], move[3] = w.now, w.now, motion, share
    w.motions_logged += 1
    return int(row)


@compiled
def close_motion(w: Any, row: int, left: float) -> None:
    """A motion has ended, so much of the stroke short."""
    if 0 <= row < w.move_rows:
        move = move_row(w, row)
        move[1] = w.now
        move[3] = max(0.0, move[3] - left)


@compiled
def spend_person(w: Any, p: int, doing: int) -> None:
    """A person turns to something else: book the time of what they did until now."""
    person = w.person[p]
    person.spent_s[person.doing] += w.now - person.since_s
    person.since_s = w.now
    if (person.doing == t.IDLE) != (doing == t.IDLE):
        w.idle += 1 if doing == t.IDLE else -1
    person.doing = doing


@compiled
def spend_zone(w: Any, z: int, state: int) -> None:
    """A zone's condition changes: book the time of the one until now."""
    zone = w.zone[z]
    if zone.state != state:
        zone.spent_s[zone.state] += w.now - zone.since_s
        zone.since_s = w.now
        zone.state = state
