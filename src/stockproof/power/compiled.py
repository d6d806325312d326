"""How this room compiles: helpers run as plain Python too; one entry is cached under a stamp of all sources.

A helper is compiled into whatever compiled code calls it. numba's cache looks only at the file of the function
it caches, so an entry closes over `source_stamp()`: an edit of any helper makes a new key.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba.extending import register_jitable

from stockproof.motion.compiled import cached as cached_entry
from stockproof.motion.compiled import stamp_of

__all__ = ["SOURCES", "cached", "jitable", "source_stamp"]

F = TypeVar("F", bound=Callable[..., Any])


def jitable(function: F) -> F:
    """Let compiled code call a plain function of floats and arrays."""
    return cast(F, register_jitable(function))


def cached(function: F) -> F:
    """Compile an entry called from Python and keep it on disk; it must close over `source_stamp()`.

    It may make no arrays: without the counting of references to them, which took two thirds of a step's time, it
    works on those it is given.
    """
    return cached_entry(function, _nrt=False)


#: Modules whose code ends up inside the kernel; a test holds this list to what the kernel imports.
SOURCES = ("columns", "compiled", "gas", "kernel", "lines", "manifold", "part", "solving", "stages", "store", "valves")


def source_stamp() -> int:
    """Give a checksum of the sources the kernel is compiled from."""
    return stamp_of({"stockproof.power": SOURCES})
