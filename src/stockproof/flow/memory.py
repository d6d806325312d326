"""Where the kernel's big arrays lie: reached through their addresses, so that no call carries or counts them.

An array handed from function to function costs a count up and down at every call; records and addresses cost
nothing. The caller keeps the arrays alive while the kernel runs, and their sizes stand beside their addresses.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import carray, types
from numba.extending import intrinsic

from stockproof.flow import tables as t
from stockproof.flow.compiled import compiled

__all__ = ["animal_of", "log_row", "move_row", "stamp"]

ANIMAL = t.ANIMAL


@intrinsic  # type: ignore[untyped-decorator]
def _pointer(typing_context: Any, address: Any) -> Any:
    """An integer as an untyped pointer."""

    def lower(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        return builder.inttoptr(args[0], context.get_value_type(types.voidptr))

    return types.voidptr(types.int64), lower


@compiled
def animal_of(w: Any, a: int) -> Any:
    """The record of an animal of this replication."""
    return carray(_pointer(w.herd_at + a * w.animal_bytes), 1, ANIMAL)[0]


@compiled
def stamp(m: Any, w: Any, a: int, z: int, column: int) -> None:
    """Note that now is when an animal began to come into a zone, was in, was done with, or had left."""
    place = ((a * m.zones + z) * t.COLUMNS + column) * 8
    carray(_pointer(w.times_at + place), 1, np.float64)[0] = w.now


@compiled
def log_row(w: Any, row: int) -> Any:
    """A row of the trace."""
    return carray(_pointer(w.log_at + row * 32), 4, np.float64)


@compiled
def move_row(w: Any, row: int) -> Any:
    """A row of the motion log."""
    return carray(_pointer(w.moves_at + row * 32), 4, np.float64)
