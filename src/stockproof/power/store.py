"""Compiled balance of oil and gas of one circuit over a step: accumulator, pump, reliefs, leakage."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import jitable
from stockproof.power.gas import ATMOSPHERE_PA, gas_heat_step, nitrogen, nitrogen_pressure
from stockproof.power.part import orifice
from stockproof.power.valves import relief_pressure

__all__ = ["gas_pressure", "gas_slopes", "idle_step", "load", "new_state", "oil_step", "pump_offer", "relief_top"]
__all__ += ["store_offer", "stored_oil", "until_switching_s"]

Floats = NDArray[np.float64]

#: Longest step while nothing is driven: the gas warms and cools in it.
_IDLE_S = 0.5
#: The pump is loaded or unloaded no earlier than this before it should be.
_SWITCHING_S = 5e-4


@jitable
def new_state(store: Floats, gas_volume_m3: float, gas_k: float) -> Floats:
    """Give a state at time 0 with so much gas volume, powered, the pump loaded below cut-in."""
    state = np.zeros(c.STATE_PLACES)
    state[c.GAS_VOLUME] = gas_volume_m3
    state[c.GAS_TEMPERATURE] = gas_k
    state[c.POWERED] = 1.0
    state[c.MANIFOLD] = gas_pressure(store, state)
    state[c.LOWEST_STORED] = stored_oil(store, state)
    state[c.LOWEST_PRESSURE] = state[c.MANIFOLD]
    if store[c.GAS_MASS] > 0.0 and state[c.MANIFOLD] < store[c.CUT_IN] and store[c.PUMP_FLOW] > 0.0:
        state[c.LOADING] = 1.0
        state[c.LOADINGS] = 1.0
    return state


@jitable
def gas_pressure(store: Floats, state: Floats) -> float:
    """Gauge pressure of the gas; 0 without an accumulator. [Pa]"""
    if store[c.GAS_MASS] == 0.0:
        return 0.0
    return float(nitrogen_pressure(store[c.GAS_MASS] / state[c.GAS_VOLUME], state[c.GAS_TEMPERATURE]) - ATMOSPHERE_PA)


@jitable
def stored_oil(store: Floats, state: Floats) -> float:
    """Oil in the accumulator. [m3]"""
    if store[c.GAS_MASS] == 0.0:
        return 0.0
    return float(store[c.SHELL] - state[c.GAS_VOLUME])


@jitable
def pump_offer(store: Floats, state: Floats, supply_pa: float) -> float:
    """Pump delivery less what goes over the main relief valve."""
    if state[c.LOADING] * state[c.POWERED] == 0.0:
        return 0.0
    over = max(0.0, supply_pa - store[c.RELIEF_CRACK]) / store[c.RELIEF_OVERRIDE]
    return float(max(0.0, store[c.PUMP_FLOW] - over))


@jitable
def relief_top(store: Floats) -> float:
    """Pressure at which the main relief takes all the pump gives. [Pa]"""
    return float(relief_pressure(store[c.RELIEF_CRACK], store[c.RELIEF_OVERRIDE], store[c.PUMP_FLOW]))


@jitable
def store_offer(store: Floats, stored_m3: float, gas: float, supply_pa: float, step_s: float) -> float:
    """Oil out of the accumulator (negative: into it), never more than it holds."""
    drop = gas - supply_pa
    half = 0.5 * store[c.STUB_VISCOUS] * store[c.STUB] ** 2
    flow = sqrt(half * half + abs(drop) * store[c.STUB] ** 2) - half
    if drop < 0.0:
        return float(-flow)
    return float(min(flow, max(stored_m3, 0.0) / step_s))


@jitable
def oil_step(store: Floats, state: Floats, drawn: float, supply_pa: float, step_s: float) -> None:
    """Balance oil over a step, move the gas, and load or unload the pump at the manifold's pressure."""
    offered = pump_offer(store, state, supply_pa)
    stored = stored_oil(store, state)
    delivering = state[c.LOADING] * state[c.POWERED] > 0.0
    leak = min(store[c.LEAK], max(0.0, stored / step_s)) if store[c.GAS_MASS] > 0.0 else 0.0
    if store[c.GAS_MASS] == 0.0:
        # what the pump makes beyond the draw went over the relief valve
        offered = drawn
    else:
        change = (drawn + leak - offered) * step_s
        lacking = change - max(stored, 0.0)
        if lacking > 0.0:
            # rounding of the bracket only: what is not there is not drawn
            drawn -= lacking / step_s
            change -= lacking
        before = gas_pressure(store, state)
        state[c.GAS_TEMPERATURE] = gas_heat_step(
            store[c.GAS_MASS],
            state[c.GAS_VOLUME],
            state[c.GAS_TEMPERATURE],
            change,
            store[c.WALL],
            store[c.GAS_TAU],
            step_s,
        )
        state[c.GAS_VOLUME] = min(state[c.GAS_VOLUME] + change, store[c.SHELL])
        state[c.LOWEST_STORED] = min(state[c.LOWEST_STORED], stored_oil(store, state))
        state[c.LOWEST_PRESSURE] = min(state[c.LOWEST_PRESSURE], before, gas_pressure(store, state))
    state[c.CLOCK] += step_s
    state[c.PUMPED] += offered * step_s
    state[c.DRAWN] += drawn * step_s
    state[c.LEAKED] += leak * step_s
    state[c.PEAK_FLOW] = max(state[c.PEAK_FLOW], drawn)
    if delivering:
        state[c.LOADED_TIME] += step_s
        state[c.RELIEVED] += (store[c.PUMP_FLOW] - offered) * step_s
        state[c.PUMP_ENERGY] += store[c.PUMP_FLOW] * supply_pa * step_s
    if store[c.GAS_MASS] > 0.0:
        if state[c.LOADING] == 1.0 and supply_pa >= store[c.CUT_OUT]:
            load(state, 0.0)
        elif state[c.LOADING] == 0.0 and supply_pa <= store[c.CUT_IN] and store[c.PUMP_FLOW] > 0.0:
            load(state, 1.0)


@jitable
def load(state: Floats, on: float) -> None:
    """Load (1) or unload (0) the pump, counting loadings."""
    if on > state[c.LOADING]:
        state[c.LOADINGS] += 1.0
    state[c.LOADING] = on


@jitable
def until_switching_s(store: Floats, state: Floats, supply_pa: float, rate_pa_per_s: float) -> float:
    """Time until the manifold's pressure, changing at a rate, loads or unloads the pump; infinite if never. [s]"""
    if state[c.LOADING] == 1.0 and rate_pa_per_s > 0.0:
        return float(max((store[c.CUT_OUT] - supply_pa) / rate_pa_per_s, _SWITCHING_S))
    if state[c.LOADING] == 0.0 and rate_pa_per_s < 0.0 and store[c.PUMP_FLOW] > 0.0:
        return float(max((store[c.CUT_IN] - supply_pa) / rate_pa_per_s, _SWITCHING_S))
    return inf


@jitable
def idle_step(store: Floats, state: Floats, longest_s: float) -> None:
    """One long step while nothing is driven: charging, leaking, the gas going to wall temperature."""
    if store[c.GAS_MASS] == 0.0:
        load(state, 0.0)
        state[c.MANIFOLD] = 0.0
        state[c.CLOCK] += longest_s
        return
    loaded = state[c.LOADING] * state[c.POWERED] > 0.0
    gas, over_volume, over_time = gas_slopes(store, state)
    supply, flow = gas, -store[c.LEAK]
    if loaded:
        flow += store[c.PUMP_FLOW]
        supply = min(gas + orifice(store[c.PUMP_FLOW], store[c.STUB], store[c.STUB_VISCOUS]), relief_top(store))
    state[c.MANIFOLD] = supply
    step_s = until_switching_s(store, state, supply, over_time - over_volume * flow)
    oil_step(store, state, 0.0, supply, min(longest_s, step_s, _IDLE_S))


@jitable
def gas_slopes(store: Floats, state: Floats) -> tuple[float, float, float]:
    """Gauge pressure of the gas, its change over oil drawn and, near the wall, over time. [Pa], [Pa/m3], [Pa/s]"""
    if store[c.GAS_MASS] == 0.0:
        return 0.0, 0.0, 0.0
    volume, temperature = state[c.GAS_VOLUME], state[c.GAS_TEMPERATURE]
    pressure, over_temperature, over_density, heat = nitrogen(store[c.GAS_MASS] / volume, temperature)
    cooling = temperature * over_temperature * over_temperature / (heat * store[c.GAS_MASS])
    over_volume = -over_density * store[c.GAS_MASS] / (volume * volume) - cooling
    over_time = over_temperature * (store[c.WALL] - temperature) / store[c.GAS_TAU]
    return pressure - ATMOSPHERE_PA, over_volume, over_time
