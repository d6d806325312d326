"""Time to charge the store, the oil it gives, and the pump's cycle when nothing moves."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.power import columns as c
from stockproof.power.arrays import Arrays, gas_volume_at
from stockproof.power.gas import ATMOSPHERE_PA, discharged_two_stage_ideal, gas_heat_step, nitrogen_pressure
from stockproof.power.model import Condition
from stockproof.power.prepare import Prepared
from stockproof.power.simulate import simulate

__all__ = ["Charging", "charging"]

_LONGEST_S = 3600.0
#: Steps in which the gas doubles its volume; the rule of each is of second order.
_GAS_STEPS = 250
_DIATOMIC = 1.4


@dataclass(frozen=True, slots=True)
class Charging:
    """Filling and use of the store in one condition.

    Parameters
    ----------
    precharge_pa : float
        Precharge at this air temperature.
    from_empty_s, from_cut_in_s : float
        Until the pump unloads.
    slow_m3, fast_m3 : float
        Oil between cut-out and cut-in used slowly, and at once without heat from the shell.
    ideal_fast_m3 : float
        The same by the ideal rule of handbooks, for comparison: more than there is.
    holds_s : float
        Time from cut-out to cut-in by leakage alone; infinite without leakage.
    """

    condition: str
    precharge_pa: float
    from_empty_s: float
    from_cut_in_s: float
    slow_m3: float
    fast_m3: float
    ideal_fast_m3: float
    holds_s: float


def charging(prepared: Prepared, condition: Condition) -> Charging | None:
    """Give how the store fills and empties; None without an accumulator."""
    made = prepared.arrays(condition)
    store = made.store
    if not store[c.GAS_MASS]:
        return None
    precharge = nitrogen_pressure(float(store[c.GAS_MASS] / store[c.SHELL]), made.ambient_k) - ATMOSPHERE_PA
    full = gas_volume_at(store, store[c.CUT_OUT], made.ambient_k)
    slow = gas_volume_at(store, store[c.CUT_IN], made.ambient_k) - full
    leak = float(store[c.LEAK])
    return Charging(
        condition.name,
        precharge,
        _until_unloaded_s(made, precharge),
        _until_unloaded_s(made, float(store[c.CUT_IN]) - 1.0),
        slow,
        _fast_oil_m3(made),
        discharged_two_stage_ideal(
            shell=float(store[c.SHELL]),
            precharge=precharge + ATMOSPHERE_PA,
            low=float(store[c.CUT_IN]) + ATMOSPHERE_PA,
            high=float(store[c.CUT_OUT]) + ATMOSPHERE_PA,
            exponent=_DIATOMIC,
        ),
        slow / leak if leak else float("inf"),
    )


def _until_unloaded_s(made: Arrays, start_pa: float) -> float:
    """Length of the first loading, looked for in ever longer runs so that leakage starts no second one."""
    until_s = 60.0
    while until_s <= _LONGEST_S:
        done = simulate(made, (), start_pa=start_pa, until_s=until_s, loading=True)
        if done.state[c.LOADING] == 0.0:
            return float(done.state[c.LOADED_TIME] / done.state[c.LOADINGS])
        until_s *= 2.0
    return float("inf")


def _fast_oil_m3(made: Arrays) -> float:
    """Oil from cut-out to cut-in with no heat from the shell: real nitrogen, far less than the ideal rule says."""
    store = made.store
    volume = gas_volume_at(store, store[c.CUT_OUT], made.ambient_k)
    mass, temperature, step = float(store[c.GAS_MASS]), made.ambient_k, volume / _GAS_STEPS
    start, before, pressure = volume, float(store[c.CUT_OUT]), float(store[c.CUT_OUT])
    while volume < store[c.SHELL] and pressure > store[c.CUT_IN]:
        temperature = gas_heat_step(mass, volume, temperature, step, made.ambient_k, float("inf"), 1e-3)
        volume, before = volume + step, pressure
        pressure = nitrogen_pressure(mass / volume, temperature) - ATMOSPHERE_PA
    past = (store[c.CUT_IN] - pressure) / (before - pressure) if pressure < store[c.CUT_IN] else 0.0
    return float(min(volume - past * step, store[c.SHELL]) - start)
