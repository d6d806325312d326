"""Motions without oil join those with it."""

from __future__ import annotations

import numpy as np

from stockproof.motion.laws import constant_laws


def test_motions_without_a_law_join_with_their_own_time_and_no_oil() -> None:
    laws = constant_laws({"bail.close": 0.6})
    joined = laws.joined_by({"bail.close": 9.0, "rear_access_lock.open": 0.2})
    assert joined.names == ("bail.close", "rear_access_lock.open")
    assert np.array_equal(joined.time_s, [[0.6], [0.2]])
    assert joined.oil_m3[joined.index("rear_access_lock.open")] == 0
    assert laws.joined_by({}).names == laws.names
