"""What the kernels of the motion law are given and step: plain arrays, and the places in them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["LawArrays", "OilState"]

Floats = NDArray[np.float64]

# Places in OilState.now
CLOCK_S = 0  #: time to which the store has been stepped
STORED_M3 = 1  #: oil in the store
LOADING = 2  #: 1 while the pump delivers, 0 while unloaded
POWERED = 3  #: 1 while the pump has power
LOADED_S = 4  #: seconds the pump has delivered so far
LOADINGS = 5  #: times the pump was loaded so far
LOWEST_M3 = 6  #: least stored oil so far
SHORT_M3 = 7  #: oil that was drawn but not there (only after power was lost in mid-motion)
SPILT_M3 = 8  #: oil leaked so far
DRAWN_M3 = 9  #: oil drawn by motions so far
PUMPED_M3 = 10  #: oil delivered by the pump so far
PLACES = 11


class LawArrays(NamedTuple):
    """`MotionLaws` as the kernels take it; see there for shapes and units."""

    lag_s: Floats
    time_s: Floats
    oil_m3: Floats
    level_m3: Floats
    level_pressure_pa: Floats
    pump_m3_per_s: float
    leak_m3_per_s: float
    cut_in_m3: float
    cut_out_m3: float
    start_m3: float


class OilState(NamedTuple):
    """One run's store of oil; arrays are stepped in place.

    Parameters
    ----------
    now : (11,)
        Scalars by the places named at the top of this module.
    rate_m3_per_s, from_s, until_s : (M,)
        What each running motion draws, from when, until when; rate 0 where it does not run.
    left_m3 : (M,)
        What each motion under way still has to draw; without a store only.
    """

    now: Floats
    rate_m3_per_s: Floats
    from_s: Floats
    until_s: Floats
    left_m3: Floats
