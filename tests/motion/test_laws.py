"""The motion law's contract: constant times, a store that balances, bursts that slow, pumps that toggle."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.errors import InternalError
from stockproof.motion import (
    MotionLaws,
    MotionLog,
    advance,
    begin,
    constant_laws,
    new_state,
    part_arrives_s,
    pressure_pa,
    set_power,
    stop,
    stored_m3,
)
from stockproof.motion.state import DRAWN_M3, LOADED_S, LOADINGS, PUMPED_M3, SHORT_M3, SPILT_M3

LITRE = 1e-3


def laws(
    *,
    pump: float = 0.1 * LITRE,
    store: bool = True,
    leak: float = 0.0,
    start: float = 2.0 * LITRE,
    lag: float = 0.0,
) -> MotionLaws:
    level = np.array([0.0, 1.0, 2.0]) * LITRE if store else np.zeros(1)
    return MotionLaws(
        names=("gate.open", "gate.close", "bail.close"),
        lag_s=np.full(3, lag),
        time_s=np.array([[4.0, 2.0, 1.0], [4.0, 2.0, 1.0], [1.0, 0.6, 0.4]])[:, : level.size],
        oil_m3=np.array([0.4, 0.3, 0.2]) * LITRE,
        level_m3=level,
        level_pressure_pa=np.array([90e5, 110e5, 140e5])[: level.size],
        pump_m3_per_s=pump,
        leak_m3_per_s=leak,
        cut_in_m3=1.0 * LITRE if store else 0.0,
        cut_out_m3=2.0 * LITRE if store else 0.0,
        start_m3=start if store else 0.0,
    )


def test_constant_times_need_no_oil_and_never_change() -> None:
    law = constant_laws({"gate.open": 1.5, "gate.close": 1.2}).arrays()
    oil = new_state(law)
    assert begin(law, oil, 0, 1.0, 10.0) == 11.5
    assert begin(law, oil, 1, 0.5, 10.5) == pytest.approx(11.1)
    advance(law, oil, 1000.0)
    assert stored_m3(oil) == 0.0


def test_time_follows_the_store_and_a_burst_slows() -> None:
    law = laws(pump=0.0).arrays()
    oil = new_state(law)
    took = []
    at = 0.0
    for motion in (0, 1, 0, 1, 0):
        arrives = begin(law, oil, motion, 1.0, at)
        took.append(arrives - at)
        at = arrives
    # by hand: stored 2.0, 1.6, 1.3, 0.9, 0.6 litres on the table (4, 2, 1 s at 0, 1, 2 litres)
    assert took == pytest.approx([1.0, 1.4, 1.7, 2.2, 2.8])


def test_pump_refills_between_cut_in_and_cut_out() -> None:
    law = laws().arrays()
    oil = new_state(law)
    for k in range(3):
        begin(law, oil, 0, 1.0, 3.0 * k)
    advance(law, oil, 30.0)
    # by hand: three draws take 1.2 litres; the pump is loaded when 1.0 litre is left and fills to 2.0
    assert stored_m3(oil) == pytest.approx(2.0 * LITRE)
    assert oil.now[LOADINGS] == 1
    assert oil.now[LOADED_S] * 0.1 == pytest.approx(1.2)
    assert pressure_pa(law, oil) == pytest.approx(140e5)


def test_pump_direct_motions_share_the_pump() -> None:
    law = laws(store=False).arrays()
    oil = new_state(law)
    first = begin(law, oil, 0, 1.0, 0.0)
    second = begin(law, oil, 1, 1.0, 0.0)
    # 0.4 litre is all the pump makes in 4 s: alone the first takes it all, beside the second 0.1 in 0.175
    assert first == pytest.approx(4.0)
    assert part_arrives_s(oil, 0) == second == pytest.approx(7.0)
    advance(law, oil, 20.0)
    assert oil.now[DRAWN_M3] == pytest.approx(0.7 * LITRE)
    assert oil.now[LOADED_S] == pytest.approx(7.0)
    assert oil.now[SHORT_M3] == 0.0


def test_an_empty_store_without_power_moves_nothing() -> None:
    law = laws(start=0.3 * LITRE).arrays()
    oil = new_state(law)
    set_power(law, oil, False, 0.0)
    assert math.isinf(begin(law, oil, 0, 1.0, 0.0))
    assert math.isfinite(begin(law, oil, 1, 1.0, 0.0))
    advance(law, oil, 60.0)
    assert stored_m3(oil) == pytest.approx(0.0, abs=1e-15)
    assert math.isinf(begin(law, oil, 2, 1.0, 60.0))


def test_a_stopped_motion_draws_no_more_and_lag_comes_first() -> None:
    law = laws(pump=0.0, lag=0.25).arrays()
    oil = new_state(law)
    assert begin(law, oil, 0, 1.0, 0.0) == pytest.approx(1.25)
    stop(law, oil, 0, 0.75)
    advance(law, oil, 5.0)
    assert oil.now[DRAWN_M3] == pytest.approx(0.2 * LITRE)


def test_leak_alone_loads_the_pump_now_and_then() -> None:
    law = laws(leak=0.01 * LITRE).arrays()
    oil = new_state(law)
    advance(law, oil, 1000.0)
    # by hand: 1 litre falls in 100 s and is made up at 0.09 litre/s in 11.11 s; 1000 s hold nine of both
    assert oil.now[LOADINGS] == 9
    assert oil.now[LOADED_S] == pytest.approx(9 / 0.09)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, 2), st.floats(0.05, 1.0), st.floats(0.0, 5.0)),
        min_size=1,
        max_size=25,
    ),
    st.booleans(),
    st.floats(0.02, 0.5),
    st.floats(0.0, 0.01),
)
def test_oil_is_conserved_and_never_short(
    calls: list[tuple[int, float, float]], store: bool, pump: float, leak: float
) -> None:
    law = laws(pump=pump * LITRE, store=store, leak=leak * LITRE if store else 0.0).arrays()
    oil = new_state(law)
    start, at = stored_m3(oil), 0.0
    for motion, share, gap in calls:
        at += gap
        assert begin(law, oil, motion, share, at) > at
    advance(law, oil, at + 500.0)
    balance = start + oil.now[PUMPED_M3] - oil.now[DRAWN_M3] - oil.now[SPILT_M3] + oil.now[SHORT_M3]
    assert stored_m3(oil) == pytest.approx(balance, abs=1e-12)
    assert oil.now[SHORT_M3] <= 1e-9
    assert oil.now[PUMPED_M3] <= pump * LITRE * (at + 500.0)


@pytest.mark.parametrize(("store", "cut"), [(True, 0.0), (False, 1.0)])
def test_a_law_that_is_no_store_nor_none_is_refused(store: bool, cut: float) -> None:
    good = laws(store=store)
    with pytest.raises(InternalError, match="do not make a store"):
        MotionLaws(
            good.names,
            good.lag_s,
            good.time_s,
            good.oil_m3,
            good.level_m3,
            good.level_pressure_pa,
            1e-4,
            1e-6,
            cut,
            cut,
            0.0,
        )


def test_log_refuses_a_part_that_arrives_before_its_command() -> None:
    with pytest.raises(InternalError, match="arrives before"):
        MotionLog(("a",), np.array([1.0]), np.array([0.5]), np.array([0]), np.array([1.0]), 10.0)
