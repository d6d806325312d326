"""The one way kernels are compiled: cached on disk, with their Python types kept for the type checker."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

__all__ = ["compiled"]

F = TypeVar("F", bound=Callable[..., object])

if TYPE_CHECKING:

    def compiled(function: F) -> F:
        """Compile a function of floats and arrays."""
        return function

else:
    from numba import njit

    # nothing here is called from C; leaving that wrapper out shortens the first compile
    compiled = njit(cache=True, no_cfunc_wrapper=True)
