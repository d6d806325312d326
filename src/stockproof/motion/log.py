"""The log of motions of one run: what `flow` writes and `power` replays with the full model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stockproof.errors import InternalError

__all__ = ["MotionLog"]


@dataclass(frozen=True, slots=True)
class MotionLog:
    """Every motion of one run in order of its command.

    Parameters
    ----------
    names : tuple of str, length M
        Motion names; `motion` counts in them.
    command_s, arrive_s : (N,)
        When the motion was commanded, and when the part arrived or was stopped.
    motion : (N,) integers
        Which motion.
    share : (N,)
        Share of the full stroke that was travelled, 0 to 1.
    span_s : float
        Length of the run from its first second, at least the last arrival.
    """

    names: tuple[str, ...]
    command_s: NDArray[np.float64]
    arrive_s: NDArray[np.float64]
    motion: NDArray[np.int64]
    share: NDArray[np.float64]
    span_s: float

    def __post_init__(self) -> None:
        size = self.command_s.shape
        if not (size == self.arrive_s.shape == self.motion.shape == self.share.shape):
            raise InternalError("motion log: columns differ in length")
        if np.any(np.diff(self.command_s) < 0) or np.any(self.arrive_s < self.command_s):
            raise InternalError("motion log: commands are not in order, or a part arrives before its command")
        if size[0] and not 0 <= self.motion.min() <= self.motion.max() < len(self.names):
            raise InternalError("motion log: a motion is not in the list of names")

    def durations_s(self) -> NDArray[np.float64]:
        """Time of each motion from its command. (N,)"""
        return self.arrive_s - self.command_s
