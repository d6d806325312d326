"""Line friction against the library `fluids` (for tests only) and values computed with it."""

from __future__ import annotations

import fluids
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.power.lines import LAMINAR_TO, TURBULENT_FROM, friction_factor, line_drop

LITRE_PER_MIN = 1e-3 / 60


@pytest.mark.parametrize(
    ("centistokes", "bar"), [(46, 2.7176), (100, 5.9078), (800, 47.263)], ids=["warm", "cool", "cold start"]
)
def test_hose_warm_and_cold(centistokes: float, bar: float) -> None:
    assert line_drop(10 * LITRE_PER_MIN, 10.0, 0.010, centistokes * 1e-6 * 870, 870.0) / 1e5 == pytest.approx(
        bar, rel=1e-4
    )


def test_turbulent_hose() -> None:
    drop = line_drop(60 * LITRE_PER_MIN, 10.0, 0.016, 10e-6 * 870, 870.0)
    ours = fluids.one_phase_dP(m=60 * LITRE_PER_MIN * 870, rho=870, mu=10e-6 * 870, D=0.016, roughness=1.5e-6, L=10.0)
    assert drop == pytest.approx(ours, rel=0.02)


@settings(max_examples=200, deadline=None)
@given(st.floats(1.0, LAMINAR_TO), st.floats(1e-6, 1e-2))
def test_laminar_factor(reynolds: float, roughness: float) -> None:
    assert friction_factor(reynolds, roughness) == pytest.approx(fluids.friction_factor(Re=reynolds, eD=roughness))


@settings(max_examples=200, deadline=None)
@given(st.floats(TURBULENT_FROM, 2e5), st.floats(1e-6, 5e-3))
def test_turbulent_factor_is_within_two_per_cent_of_colebrook(reynolds: float, roughness: float) -> None:
    # Haaland's stated accuracy
    assert friction_factor(reynolds, roughness) == pytest.approx(
        fluids.friction.Colebrook(reynolds, roughness), rel=0.02
    )


@settings(max_examples=200, deadline=None)
@given(st.floats(1e-7, 3e-3), st.floats(1.0001, 1.5), st.floats(4e-3, 2e-2), st.floats(4e-3, 1.5))
def test_drop_rises_with_flow_through_the_transition(flow: float, more: float, bore: float, viscosity: float) -> None:
    """A library's switch at Re 2040 jumps; a solver needs a law that only rises."""
    low = line_drop(flow, 5.0, bore, viscosity, 870.0)
    assert line_drop(flow * more, 5.0, bore, viscosity, 870.0) > low
