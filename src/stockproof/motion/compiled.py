"""The one way kernels are compiled: cached on disk, with their Python types kept for the type checker.

A kernel spread over several files has one entry, cached under a stamp of all of them: numba looks only at the file of
the function it caches, and would serve it stale after an edit of one it calls.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Mapping
from importlib.resources import files
from typing import TYPE_CHECKING, Any, TypeVar

__all__ = ["cached", "compiled", "stamp_of"]

F = TypeVar("F", bound=Callable[..., object])


def stamp_of(sources: Mapping[str, Iterable[str]], frozen: object = None) -> int:
    """Give a checksum of the modules, by package, that a kernel is compiled from, and of the numbers it freezes."""
    stamp = zlib.crc32(repr(frozen).encode())
    for package, modules in sources.items():
        for module in modules:
            stamp = zlib.crc32(files(package).joinpath(f"{module}.py").read_bytes(), stamp)
    return stamp


if TYPE_CHECKING:

    def compiled(function: F) -> F:
        """Compile a function of floats and arrays."""
        return function

    def cached(function: F, **options: Any) -> F:
        """Compile an entry called from Python and keep it on disk; it must close over its `stamp_of`."""
        return function

else:
    from numba import njit

    # nothing here is called from C; leaving that wrapper out shortens the first compile
    compiled = njit(cache=True, no_cfunc_wrapper=True)

    def cached(function, **options):
        return njit(nogil=True, cache=True, error_model="numpy", no_cfunc_wrapper=True, **options)(function)
