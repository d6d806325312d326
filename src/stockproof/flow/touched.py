"""What has been touched since it was last looked at: one bit for everything that changes.

Whoever changes a zone, a part or anything else says so here. Facts are then read again of what was touched alone, and
animals look again only where something on their way was.
"""

from __future__ import annotations

from typing import Any

from numba import types
from numba.extending import intrinsic

from stockproof.flow import tables as t
from stockproof.flow.compiled import compiled

__all__ = ["lowest_bit", "touch", "touch_all", "touch_part", "touch_zone"]


@compiled
def touch(w: Any, owner: int) -> None:
    """Say that something about an owner of facts (see `tables.OWNERS`) may have changed."""
    bit = 1 << owner
    w.stale |= bit
    w.unmoved |= bit


@compiled
def touch_zone(w: Any, z: int) -> None:
    """A zone or an animal in it has changed."""
    touch(w, z)


@compiled
def touch_part(w: Any, part: int) -> None:
    """A part has moved, or begun to, or stopped."""
    touch(w, t.FIRST_PART + part)


@compiled
def touch_all(w: Any) -> None:
    """Anything may have changed."""
    everything = (1 << t.OWNERS) - 1
    w.stale, w.unmoved = everything, everything


@intrinsic  # type: ignore[untyped-decorator]
def _trailing_zeros(typing_context: Any, word: Any) -> Any:
    """How many bits of a word, from the lowest up, are 0."""

    def lower(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        return builder.cttz(args[0], context.get_constant(types.boolean, True))

    return types.int64(types.int64), lower


@compiled
def lowest_bit(word: int) -> int:
    """The position of the lowest bit set in a word that is not 0."""
    return int(_trailing_zeros(word))
