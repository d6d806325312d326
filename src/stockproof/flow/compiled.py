"""How this room compiles: helpers without a cache of their own, entries cached under a stamp of all sources."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

from stockproof.motion.compiled import cached, stamp_of
from stockproof.plant.model import Undriven

__all__ = ["cached", "compiled", "source_stamp"]

F = TypeVar("F", bound=Callable[..., Any])

#: Files whose code or constants end up inside the kernel.
SOURCES = {
    "stockproof.flow": (
        "bails",
        "calendar",
        "compiled",
        "control",
        "draws",
        "facts",
        "jobs",
        "kernel",
        "memory",
        "moves",
        "notes",
        "people",
        "presses",
        "settle",
        "sizes",
        "states",
        "tables",
        "tasks",
        "touched",
        "work",
    ),
    "stockproof.netlist": ("kernel",),
    "stockproof.motion": ("kernel", "state"),
}


def compiled(function: F) -> F:
    """Compile a helper of the kernel; it lives in the cache of the entry that calls it.

    It can be called by compiled code alone: leaving out the ways in from Python halves the compile time.
    """
    return cast(F, numba.njit(error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)(function))


def source_stamp() -> int:
    """Give a checksum of all sources the kernel is compiled from, and of the numbers it freezes."""
    return stamp_of(SOURCES, [*Undriven])
