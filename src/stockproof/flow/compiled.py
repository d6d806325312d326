"""How this room compiles: helpers without a cache of their own, one entry cached under a stamp of all sources.

numba looks only at the file of the function it caches, so a kernel spread over several files would be served
stale after an edit of a callee. Here the entry's cache key holds a checksum of every file the kernel is made of.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from importlib.resources import files
from typing import Any, TypeVar, cast

import numba

from stockproof.plant.model import TruthKind, Undriven

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
        "tables",
        "tasks",
        "touched",
        "work",
    ),
    "stockproof.netlist": ("kernel",),
    "stockproof.motion": ("kernel",),
}


def compiled(function: F) -> F:
    """Compile a helper of the kernel; it lives in the cache of the entry that calls it.

    It can be called by compiled code alone: leaving out the ways in from Python halves the compile time.
    """
    return cast(F, numba.njit(error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)(function))


def cached(function: F) -> F:
    """Compile an entry called from Python and keep it on disk; it must close over `source_stamp()`."""
    return cast(F, numba.njit(nogil=True, cache=True, error_model="numpy", no_cfunc_wrapper=True)(function))


def source_stamp() -> int:
    """Give a checksum of all sources the kernel is compiled from, and of the numbers it freezes."""
    stamp = zlib.crc32(repr([*TruthKind, *Undriven]).encode())
    for package, modules in SOURCES.items():
        for module in modules:
            stamp = zlib.crc32(files(package).joinpath(f"{module}.py").read_bytes(), stamp)
    return stamp
