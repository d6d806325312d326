"""Parts that share a pump without a store: closed forms, and scipy's integrator with its search for the pressure."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from stockproof.errors import InternalError
from stockproof.motion import (
    LawArrays,
    MotionLaws,
    OilState,
    advance,
    begin,
    new_state,
    part_arrives_s,
    set_power,
    stop,
)
from stockproof.motion.state import DRAWN_M3, PUMPED_M3, SHORT_M3

Floats = NDArray[np.float64]
#: A litre a second would do nothing else: numbers near 1 keep the closed forms legible.
PUMP_M3_PER_S = 1.0


def pump_laws(rates: Floats, pressure_pa: Floats, oil_m3: Sequence[float], *, lag_s: float = 0.0) -> MotionLaws:
    """The law of parts that take so much at each pressure of a pump that gives one."""
    oil = np.array(oil_m3)
    with np.errstate(divide="ignore"):
        time_s = oil[:, None] / rates
    return MotionLaws(
        names=tuple(f"part {k}" for k in range(oil.size)),
        lag_s=np.full(oil.size, lag_s),
        time_s=time_s,
        oil_m3=oil,
        level_m3=np.zeros(pressure_pa.size),
        level_pressure_pa=pressure_pa,
        pump_m3_per_s=PUMP_M3_PER_S,
        leak_m3_per_s=0.0,
        cut_in_m3=0.0,
        cut_out_m3=0.0,
        start_m3=0.0,
    )


def resisting(
    need_pa: Sequence[float], steep: Sequence[float], power: float, oil_m3: Sequence[float], levels: int
) -> MotionLaws:
    """Parts that need a pressure to move at all, and `steep * flow**power` more to take a flow, up to the pump's."""
    full_pa = np.add(need_pa, steep)
    pressure = np.unique(np.concatenate([need_pa, full_pa, np.linspace(0.0, 20.0, levels)]))
    over = np.maximum(pressure - np.array(need_pa)[:, None], 0.0)
    rates = np.minimum((over / np.array(steep)[:, None]) ** (1.0 / power), PUMP_M3_PER_S)
    return pump_laws(rates, pressure, oil_m3)


def ends(laws: MotionLaws, begun: Sequence[tuple[int, float]]) -> list[float]:
    """When whole strokes begun so arrive."""
    law = laws.arrays()
    oil = new_state(law)
    for motion, at_s in begun:
        begin(law, oil, motion, 1.0, at_s)
    return [part_arrives_s(oil, motion) for motion, _ in begun]


def test_one_part_alone_takes_its_own_time_or_the_pumps() -> None:
    laws = pump_laws(np.array([[0.0, 0.8], [0.0, 2.0]]), np.array([0.0, 1.0]), [2.0, 2.0], lag_s=0.25)
    assert ends(laws, [(0, 3.0)]) == pytest.approx([3.0 + 0.25 + 2.0 / 0.8])
    assert ends(laws, [(1, 0.0)]) == pytest.approx([0.25 + 2.0 / PUMP_M3_PER_S])


def test_two_equal_parts_share_half_and_half() -> None:
    laws = resisting([2.0, 2.0], [5.0, 5.0], 2.0, [1.0, 3.0], 41)
    # both at a half until the first has its litre after 2 s; the other has 2 L left and all the pump
    assert ends(laws, [(0, 0.0), (1, 0.0)]) == pytest.approx([2.0, 4.0])


def test_parts_with_straight_resistance_are_exact() -> None:
    """By hand: p = 1 + 2 q = 2 + 4 r with q + r = 1 gives q = 5/6; the third needs 9 and stands till both have gone."""
    laws = resisting([1.0, 2.0, 9.0], [2.0, 4.0, 1.0], 1.0, [5.0, 1.0, 1.0], 2)
    for begun in ([(0, 0.0), (1, 0.0), (2, 0.0)], [(2, 0.0), (1, 0.0), (0, 0.0)]):
        arrived = dict(zip([motion for motion, _ in begun], ends(laws, begun), strict=True))
        assert arrived == pytest.approx({0: 6.0, 1: 6.0, 2: 7.0})
    assert laws.beside_s("part 0", "part 1") == pytest.approx(6.0)


def test_parts_with_resistance_to_the_square_have_a_closed_form() -> None:
    """By hand: 1 + q^2 = 1.6 + 4 (1 - q)^2 is 3 q^2 - 8 q + 4.6 = 0."""
    share = (8.0 - math.sqrt(64.0 - 12.0 * 4.6)) / 6.0
    laws = resisting([1.0, 1.6], [1.0, 4.0], 2.0, [1.0, 1.0], 2001)
    first = 1.0 / share
    assert ends(laws, [(0, 0.0), (1, 0.0)]) == pytest.approx([first, 2.0], rel=1e-4)


def test_a_newcomer_slows_and_a_stop_frees() -> None:
    laws = resisting([2.0, 2.0], [5.0, 5.0], 1.0, [4.0, 4.0], 3)
    law = laws.arrays()
    oil = new_state(law)
    assert begin(law, oil, 0, 1.0, 0.0) == pytest.approx(4.0)
    assert begin(law, oil, 1, 0.5, 1.0) == pytest.approx(5.0)  # two at a half each
    assert part_arrives_s(oil, 0) == pytest.approx(6.0)  # 3 left at 1 s, 1 left at 5 s
    stop(law, oil, 1, 2.0)
    assert part_arrives_s(oil, 0) == pytest.approx(4.5)  # 2.5 left at 2 s
    set_power(law, oil, False, 3.0)
    assert math.isinf(part_arrives_s(oil, 0))
    set_power(law, oil, True, 10.0)
    assert part_arrives_s(oil, 0) == pytest.approx(11.5)
    advance(law, oil, 100.0)
    assert oil.now[DRAWN_M3] == oil.now[PUMPED_M3] == pytest.approx(4.0 + 0.5)


def test_a_law_by_which_pressure_slows_a_part_is_refused() -> None:
    with pytest.raises(InternalError, match="more slowly at a higher pressure"):
        pump_laws(np.array([[0.8, 0.7]]), np.array([0.0, 1.0]), [1.0])


class ByScipy:
    """The same rule by other means: the pressure by Brent's search, oil by an integrator, arrivals by its events."""

    def __init__(self, laws: MotionLaws) -> None:
        self.laws = laws
        self.rates = laws.oil_m3[:, None] / laws.time_s
        self.now, motions = 0.0, laws.oil_m3.size
        self.left, self.begun, self.arrived = np.zeros(motions), np.full(motions, math.inf), np.full(motions, math.nan)

    def share(self, moving: NDArray[np.bool_]) -> Floats:
        levels = self.laws.level_pressure_pa
        # below the lowest level nothing moves: one more level, where the rates are nothing
        grid = np.concatenate([[levels[0] - 1.0], levels])

        def at(pressure: float) -> Floats:
            all_rates = np.array([np.interp(pressure, grid, np.concatenate([[0.0], row])) for row in self.rates])
            return np.where(moving, all_rates, 0.0)

        if at(levels[-1]).sum() <= self.laws.pump_m3_per_s:
            return at(levels[-1])
        low = grid[0]
        return at(brentq(lambda p: float(at(p).sum()) - self.laws.pump_m3_per_s, low, levels[-1], xtol=1e-14))

    def until(self, to_s: float) -> None:
        while self.now < to_s:
            starts = self.begun[(self.left > 0) & (self.begun > self.now)]
            end = float(min([to_s, *starts]))
            moving = (self.left > 0) & (self.begun <= self.now)
            flows = self.share(moving)
            watched = [int(k) for k in np.flatnonzero(flows > 0)]
            done = solve_ivp(
                lambda t, y, flows=flows: -flows, (self.now, end), self.left,
                events=[self._runs_out(k) for k in watched], rtol=1e-9, atol=1e-12,
            )  # fmt: skip
            self.now, self.left = float(done.t[-1]), np.maximum(done.y[:, -1], 0.0)
            for k, times in zip(watched, done.t_events or [], strict=True):
                if times.size or self.left[k] < 1e-9:
                    self.left[k], self.arrived[k] = 0.0, self.now

    @staticmethod
    def _runs_out(motion: int) -> Callable[[float, Floats], float]:
        def event(t: float, y: Floats) -> float:
            return float(y[motion])

        event.terminal, event.direction = True, -1.0  # type: ignore[attr-defined]
        return event

    def begin(self, motion: int, share: float, at_s: float) -> None:
        self.until(at_s)
        self.left[motion] = share * self.laws.oil_m3[motion]
        self.begun[motion] = at_s + self.laws.lag_s[motion]
        self.arrived[motion] = math.nan

    def stop(self, motion: int, at_s: float) -> None:
        self.until(at_s)
        self.left[motion] = 0.0


#: Begun or stopped, which part, tenths of a stroke, tenths of a second after the last.
Calls = list[tuple[bool, int, int, int]]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.lists(st.integers(0, 100), min_size=4, max_size=4), min_size=3, max_size=3),
    st.lists(
        st.tuples(st.booleans(), st.integers(0, 2), st.integers(1, 10), st.integers(0, 15)), min_size=1, max_size=8
    ),
)
def test_arrivals_are_those_of_an_integrator_that_searches_the_pressure(rises: list[list[int]], calls: Calls) -> None:
    rates = np.maximum(0.01 * np.cumsum(rises, axis=1), [0.0, 0.0, 0.0, 0.2])
    laws = pump_laws(rates, np.array([0.5, 1.0, 3.0, 8.0]), [1.0, 0.7, 1.6], lag_s=0.1)
    law: LawArrays = laws.arrays()
    oil: OilState = new_state(law)
    other, at_s = ByScipy(laws), 0.0
    for starts, motion, tenths, gap in calls:
        at_s, share = at_s + 0.1 * gap, 0.1 * tenths
        if starts:
            begin(law, oil, motion, share, at_s)
            other.begin(motion, share, at_s)
        else:
            stop(law, oil, motion, at_s)
            other.stop(motion, at_s)
    other.until(at_s + 100.0)
    for motion in range(3):
        if not math.isnan(other.arrived[motion]):
            assert part_arrives_s(oil, motion) == pytest.approx(other.arrived[motion], abs=1e-6)
    advance(law, oil, at_s + 100.0)
    assert oil.left_m3 == pytest.approx(np.zeros(3), abs=1e-12)
    assert oil.now[SHORT_M3] == 0.0


def test_scipy_is_asked_where_it_matters() -> None:
    """The sweep above would say nothing if parts never met: here three meet, by scipy and by the law alike."""
    laws = resisting([1.0, 1.5, 2.0], [2.0, 1.0, 3.0], 2.0, [1.0, 1.0, 1.0], 81)
    other: Any = ByScipy(laws)
    for motion, at_s in ((0, 0.0), (1, 0.2), (2, 0.4)):
        other.begin(motion, 1.0, at_s)
    other.until(50.0)
    found = ends(laws, [(0, 0.0), (1, 0.2), (2, 0.4)])
    assert found == pytest.approx(other.arrived, abs=1e-6)
    assert max(found) == pytest.approx(3.0)
    assert min(found) > 1.5


def test_a_drop_left_late_in_a_long_run_is_no_endless_loop() -> None:
    """After three weeks a drop takes less than the clock can tell apart."""
    laws = resisting([2.0, 2.0], [5.0, 5.0], 1.0, [1e-12, 1.0], 3)
    late_s = 2e6
    first, second = ends(laws, [(0, late_s), (1, late_s)])
    assert first == late_s
    assert second == pytest.approx(late_s + 1.0)
