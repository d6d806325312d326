"""Cables and voltage drop against IEC tables, published worked examples and a textbook's."""

from __future__ import annotations

import math

import pytest

from stockproof.power.electrical import (
    cable_resistance,
    conductor_resistance,
    start_voltage_share,
    torque_share,
    voltage_drop,
)

IEC_RHO = 0.0225


@pytest.mark.parametrize(
    ("size", "single_phase_mv", "three_phase_mv"),
    [
        (1.5, 28.96, 25.08),
        (2.5, 17.73, 15.36),
        (4, 11.03, 9.554),
        (6, 7.370, 6.383),
        (10, 4.379, 3.792),
        (16, 2.752, 2.383),
    ],
)
def test_millivolts_per_ampere_and_metre(size: float, single_phase_mv: float, three_phase_mv: float) -> None:
    """IEC 60228 class 2 at 70 degC; BS 7671 table 4D2B prints 29, 18, 11, 7.3, 4.4, 2.8."""
    warm = conductor_resistance(cable_resistance(size), 70.0)
    for factor, expected in ((2.0, single_phase_mv), (math.sqrt(3), three_phase_mv)):
        drop = voltage_drop(factor=factor, length=1, resistance=warm, reactance=0, power_factor=1, current=1)
        assert drop * 1e3 == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(("size", "printed"), [(2.5, 18.0), (4, 11.0), (6, 7.3), (10, 4.4), (16, 2.8)])
def test_bs_7671_4d2b(size: float, printed: float) -> None:
    warm = conductor_resistance(cable_resistance(size), 70.0)
    assert 2e3 * warm == pytest.approx(printed, abs=0.06 + 0.02 * printed)


@pytest.mark.parametrize(
    ("size", "millivolts"), [(1.5, 31.83), (2.5, 19.10), (4, 11.85), (6, 7.897), (10, 4.571), (16, 3.2)]
)
def test_flexible_cores(size: float, millivolts: float) -> None:
    """IEC 60228 class 5 at 70 degC, out and back; the last from BS 7671 table 4F2B, at 90 degC."""
    warm = conductor_resistance(cable_resistance(size, 5), 90.0 if size == 16 else 70.0)
    assert 2e3 * warm == pytest.approx(millivolts, rel=1e-3 if size != 16 else 0.04)


def test_iec_annex_g_examples() -> None:
    drop = voltage_drop(factor=2, length=30, resistance=IEC_RHO / 6, reactance=0.08e-3, power_factor=1.0, current=32)
    assert drop == pytest.approx(7.20, abs=5e-3)
    assert drop / 230 == pytest.approx(0.0313, abs=5e-5)
    assert pytest.approx(18.0) == 2e3 * IEC_RHO / 2.5


def test_gonen_7_3() -> None:
    """T. Gonen, Electric Power Distribution System Engineering, ex. 7.3: 100 ft of #2 AWG, 100 A, pf 0.9, 120 V."""
    # 33.6 mm2 copper at 20 degC; the book's conductor is a little warmer and has some reactance
    copper = 1.724e-8 / 33.6e-6
    drop = voltage_drop(factor=2, length=30.48, resistance=copper, reactance=0.1e-3, power_factor=0.9, current=100)
    assert drop / 120 == pytest.approx(0.026136, rel=0.06)


def test_start_dip_and_torque() -> None:
    """A locked rotor in series with the supply: exact divider, torque with the square."""
    share = start_voltage_share(start_current=90, path_impedance=0.5, voltage=230)
    rotor = 230 / 90
    assert share == pytest.approx(rotor / (rotor + 0.5))
    assert torque_share(share) == pytest.approx(share**2)
