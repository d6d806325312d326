"""A run told: its events line by line, and its whole trace as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator

from stockproof.flow import FlowResult, events, stays, strokes

__all__ = ["told", "trace_json"]

FORMAT = 1


def told(result: FlowResult, lines: int = 0) -> Iterator[str]:
    """Give the events of a traced run as lines `h:mm:ss  sentence`; the first so many, 0 for all."""
    begun = [event for event in events(result) if event.time_s > 0]
    yield f"{_clock(0.0)}  {result.line.mob.head} animals stand in the yard."
    for event in begun[: lines or None]:
        yield f"{_clock(event.time_s)}  {event.words}"


def trace_json(result: FlowResult) -> bytes:
    """Give events, stays of every animal and strokes of every part; what never ended has no end."""
    values = {
        "format": FORMAT,
        "zones": list(result.names.zones),
        "events": [{"time_s": e.time_s, "kind": e.kind, "words": e.words} for e in events(result)],
        "stays": [
            {
                "animal": stay.animal,
                "zone": stay.zone,
                "began_s": stay.began_s,
                "in_s": stay.in_s,
                "done_s": _finite(stay.done_s),
                "left_s": _finite(stay.left_s),
            }
            for stay in stays(result)
        ],
        "strokes": [
            {"motion": s.motion, "command_s": s.command_s, "arrive_s": _finite(s.arrive_s), "share": s.share}
            for s in strokes(result)
        ],
    }
    return (json.dumps(values, allow_nan=False) + "\n").encode()


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _clock(time_s: float) -> str:
    minutes, seconds = divmod(time_s, 60)
    hours, minutes = divmod(int(minutes), 60)
    return f"{hours}:{minutes:02d}:{seconds:04.1f}"
