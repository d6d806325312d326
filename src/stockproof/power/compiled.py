"""How this room compiles: helpers run as plain Python too; one entry is cached under a stamp of all sources.

A helper is compiled into whatever compiled code calls it. numba's cache looks only at the file of the function
it caches, so an entry closes over `source_stamp()`: an edit of any helper makes a new key.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from importlib.resources import files
from typing import Any, TypeVar, cast

import numba
from numba.extending import register_jitable

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
    options = {"nogil": True, "cache": True, "error_model": "numpy", "no_cfunc_wrapper": True, "_nrt": False}
    return cast(F, numba.njit(**options)(function))


#: Modules whose code ends up inside the kernel; a test holds this list to what the kernel imports.
SOURCES = ("columns", "compiled", "gas", "kernel", "lines", "manifold", "part", "solving", "stages", "store", "valves")


def source_stamp() -> int:
    """Give a checksum of the sources the kernel is compiled from."""
    stamp = 0
    for name in SOURCES:
        stamp = zlib.crc32(files("stockproof.power").joinpath(f"{name}.py").read_bytes(), stamp)
    return stamp
