"""Compiled reduced model of a hydraulic circuit: commands in, arrivals, places and oil out.

Oil is incompressible between gas and pistons; each step solves one monotone scalar equation per part
(`part`), inside one for the manifold where no accumulator holds it (`manifold`), so a step cannot fail.
Steps grow while speeds are steady. Ringing of compressed oil is left out: the full model in the tests
shows what that is worth.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import cached, jitable, source_stamp
from stockproof.power.manifold import manifold_pressure
from stockproof.power.part import (
    block_pressure,
    drawn_by_all,
    driven_area,
    manifold_at,
    part_draw,
    part_force,
    part_velocity,
)
from stockproof.power.store import gas_pressure, idle_step, load, new_state, oil_step, pump_offer, stored_oil

__all__ = ["gas_pressure", "new_state", "run", "stored_oil"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Oil with which a step is surely not the one that empties the store.
_STORE_SURELY_M3 = 2e-5
#: Change of speed in a step that lets the step stay as it is, as a share of speed, per second of the shortest
#: step and at most; and the speed below which changes do not count.
_STEADY_PER_S = 20.0
_STEADY_AT_MOST = 0.08
_SLOW_M_PER_S = 0.005
_LONGEST_STEPS = 40.0
#: After a command, an arrival or a first touch speeds change quickest: the first steps are this much shorter.
_FIRST_SHARE = 0.125


@jitable
def _run(
    parts: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    command_s: Floats,
    command_part: Ints,
    command_way: Ints,
    command_to_m: Floats,
    until_s: float,
    step_s: float,
    to_rest: bool,
    record_s: float,
    record: Floats,
) -> tuple[Floats, int]:
    """Carry out commands in order of time and give when each part arrived, and rows recorded.

    Parameters
    ----------
    parts : (N, PART_COLUMNS)
    store : (STORE_COLUMNS,)
    state : (STATE_PLACES,), stepped in place
    place_m : (N,), rod positions, stepped in place
    command_s, command_part, command_way, command_to_m : (K,)
        When, which part, +1 out or -1 in or 0 let go, and the rod position at which the valve is let go.
    until_s, step_s : float
        End, and shortest step while anything is driven.
    to_rest : bool
        End as soon as every command has been carried out and nothing is driven.
    record_s : float
        A row is kept so often; 0 keeps none.
    record : (R, 4 + N)
        Filled with time, gas pressure, manifold pressure, stored oil and positions.
    """
    count = parts.shape[0]
    speed, before = np.zeros(count), np.zeros(count)
    way = np.zeros(count, dtype=np.int64)
    goal, from_m = np.zeros(count), np.zeros(count)
    order = np.zeros(count, dtype=np.int64)
    arrive = np.full(command_s.size, np.nan)
    following, rows, next_record, next_step = 0, 0, state[c.CLOCK], step_s
    while True:
        if record_s > 0.0 and state[c.CLOCK] >= next_record - 1e-9 and rows < record.shape[0]:
            _keep(record, rows, store, state, place_m)
            rows += 1
            next_record += record_s
        if state[c.CLOCK] >= until_s - 1e-9:
            break
        while following < command_s.size and command_s[following] <= state[c.CLOCK] + 1e-9:
            n = command_part[following]
            way[n], goal[n], order[n] = command_way[following], command_to_m[following], following
            speed[n] = 0.0
            following += 1
            next_step = _FIRST_SHARE * step_s
        next_s = until_s if following == command_s.size else min(until_s, command_s[following])
        if record_s > 0.0 and rows < record.shape[0]:
            next_s = min(next_s, next_record)
        if not _any_driven(way):
            if to_rest and following == command_s.size:
                break
            idle_step(store, state, next_s - state[c.CLOCK])
            continue
        taken_s = min(_before_meeting(parts, place_m, speed, way, goal, next_step, step_s), next_s - state[c.CLOCK])
        if store[c.GAS_MASS] > 0.0 and 0.0 < stored_oil(store, state) <= _nearly_dry_m3(state, taken_s):
            # the step that empties the store must not carry a part on without oil
            taken_s = min(taken_s, step_s)
        for n in range(count):
            before[n] = speed[n]
            from_m[n] = place_m[n]
        _driven_step(parts, store, state, place_m, speed, way, taken_s)
        arrived = _let_go_where_arrived(state, from_m, before, place_m, speed, way, goal, order, arrive, taken_s)
        next_step = _next_step(before, speed, max(taken_s, _FIRST_SHARE * step_s), step_s)
        if arrived:
            next_step = _FIRST_SHARE * step_s
    return arrive, rows


@jitable
def _nearly_dry_m3(state: Floats, step_s: float) -> float:
    """Stored oil below which a step might empty the store."""
    return float(2.0 * state[c.PEAK_FLOW] * step_s + _STORE_SURELY_M3)


@jitable
def _any_driven(way: Ints) -> bool:
    driven = 0
    for n in range(way.size):
        driven += abs(way[n])
    return driven > 0


@jitable
def _before_meeting(
    parts: Floats, place_m: Floats, speed: Floats, way: Ints, goal: Floats, wanted_s: float, shortest_s: float
) -> float:
    """The wanted step, or a shorter one that ends where a part meets its goal, its cushion or what it touches."""
    step = wanted_s
    for n in range(way.size):
        if way[n] == 0 or speed[n] == 0.0:
            continue
        rate = abs(speed[n])
        step = min(step, max(way[n] * (goal[n] - place_m[n]) / rate, shortest_s))
        if parts[n, c.CONTACT_WAY] == way[n]:
            free = way[n] * (parts[n, c.CONTACT_AT] - place_m[n])
            step = min(step, max(free / rate, shortest_s) if free > -0.002 else step)
        if parts[n, c.CUSHION] > 0.0:
            left = parts[n, c.STROKE] - place_m[n] if way[n] > 0 else place_m[n]
            step = min(step, max((left - parts[n, c.CUSHION]) / rate, shortest_s))
    return step


@jitable
def _next_step(before: Floats, speed: Floats, taken_s: float, shortest_s: float) -> float:
    """Longer while speeds are steady, shorter while they change."""
    change = 0.0
    for n in range(speed.size):
        change = max(change, abs(speed[n] - before[n]) / (abs(speed[n]) + _SLOW_M_PER_S))
    steady = min(_STEADY_AT_MOST, _STEADY_PER_S * shortest_s)
    factor = 2.0 if change < 0.5 * steady else max(0.3, steady / change)
    return min(max(taken_s * min(factor, 2.0), _FIRST_SHARE * shortest_s), _LONGEST_STEPS * shortest_s)


@jitable
def _driven_step(
    parts: Floats, store: Floats, state: Floats, place_m: Floats, speed: Floats, way: Ints, step_s: float
) -> None:
    """One step while something is driven: manifold pressure, speeds, places, gas."""
    if store[c.GAS_MASS] == 0.0:
        load(state, 1.0 if store[c.PUMP_FLOW] > 0.0 else 0.0)
        surely = False
    else:
        # while the store cannot run dry within the step the manifold follows from the gas directly
        surely = stored_oil(store, state) > _nearly_dry_m3(state, step_s)
    if surely:
        drawn = _move_from_store(parts, store, state, place_m, speed, way, step_s)
    else:
        drawn = _move_from_manifold(parts, store, state, place_m, speed, way, step_s)
    oil_step(store, state, drawn, state[c.MANIFOLD], step_s)


@jitable
def _move_from_store(
    parts: Floats, store: Floats, state: Floats, place_m: Floats, speed: Floats, way: Ints, step_s: float
) -> float:
    """Move the parts with a store that surely holds oil; each takes the others' draw from just before."""
    gas = gas_pressure(store, state)
    pump = pump_offer(store, state, state[c.MANIFOLD])
    drawn = _move_all(parts, store, state, place_m, speed, way, gas, pump, step_s)
    state[c.MANIFOLD] = manifold_at(store, gas, drawn - pump)
    return drawn


@jitable
def _move_from_manifold(
    parts: Floats, store: Floats, state: Floats, place_m: Floats, speed: Floats, way: Ints, step_s: float
) -> float:
    """Move the parts at the manifold pressure that balances pump, store and all draws."""
    state[c.MANIFOLD] = manifold_pressure(parts, store, state, place_m, speed, way, step_s)
    return _move_all(parts, store, state, place_m, speed, way, state[c.MANIFOLD], inf, step_s)


@jitable
def _move_all(
    parts: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    speed: Floats,
    way: Ints,
    supply_pa: float,
    pump_flow: float,
    step_s: float,
) -> float:
    """Move every driven part over a step and give what all draw. [m3/s]"""
    total = drawn_by_all(parts, speed, way)
    drawn = 0.0
    for n in range(way.size):
        if way[n] == 0:
            continue
        area = driven_area(parts[n], way[n])
        others = max(0.0, total - area * max(0.0, speed[n] * way[n]))
        drawn += _move(parts[n], store, state, place_m, speed, way[n], n, supply_pa, others, pump_flow, step_s)
        total = others + area * max(0.0, speed[n] * way[n])
    return drawn


@jitable
def _move(
    part: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    speed: Floats,
    way: int,
    n: int,
    supply_pa: float,
    other_flow: float,
    pump_flow: float,
    step_s: float,
) -> float:
    """Move one part over a step and give its mean draw of oil. [m3/s]

    Speed is implicit; the place moves at its mean over the step, so that a slow change costs no accuracy, and
    is the one the contact force was taken at.
    """
    old_m, old_speed = place_m[n], speed[n]
    found = part_velocity(part, store, old_m, old_speed, way, supply_pa, other_flow, pump_flow, step_s)
    speed[n] = found
    place_m[n] = min(max(old_m + 0.5 * step_s * (old_speed + found), 0.0), part[c.STROKE])
    if found != 0.0 or old_speed != 0.0:
        force = part_force(part, store, old_m, found, way, supply_pa, other_flow, pump_flow)
        state[c.PART_ENERGY] += force * (place_m[n] - old_m)
    elif part[c.REDUCES] == 1.0:
        return 0.0
    taken = driven_area(part, way) * max(0.0, (place_m[n] - old_m) * way / step_s)
    block = block_pressure(store, supply_pa, other_flow, pump_flow, taken)
    return part_draw(part, store, taken, way, block)


@jitable
def _let_go_where_arrived(
    state: Floats,
    from_m: Floats,
    before: Floats,
    place_m: Floats,
    speed: Floats,
    way: Ints,
    goal: Floats,
    order: Ints,
    arrive: Floats,
    step_s: float,
) -> bool:
    """Let go every valve whose part reached its goal, and note the moment within the step."""
    arrived = False
    for n in range(way.size):
        if way[n] == 0 or (place_m[n] - goal[n]) * way[n] < -1e-9:
            continue
        mean_speed = 0.5 * (abs(before[n]) + abs(speed[n]))
        travelled = abs(goal[n] - from_m[n]) / mean_speed if mean_speed > 0.0 else 0.0
        arrive[order[n]] = state[c.CLOCK] - step_s + min(travelled, step_s)
        way[n] = 0
        speed[n] = 0.0
        arrived = True
    return arrived


@jitable
def _keep(record: Floats, row: int, store: Floats, state: Floats, place_m: Floats) -> None:
    record[row, 0] = state[c.CLOCK]
    record[row, 1] = gas_pressure(store, state)
    record[row, 2] = state[c.MANIFOLD]
    record[row, 3] = stored_oil(store, state)
    for n in range(place_m.size):
        record[row, 4 + n] = place_m[n]


def _entry(stamp: int) -> Callable[..., tuple[Floats, int]]:
    """The compiled entry, its place in the cache bound to the sources it was made from."""

    def run(
        parts: Floats,
        store: Floats,
        state: Floats,
        place_m: Floats,
        command_s: Floats,
        command_part: Ints,
        command_way: Ints,
        command_to_m: Floats,
        until_s: float,
        step_s: float,
        to_rest: bool,
        record_s: float,
        record: Floats,
    ) -> tuple[Floats, int]:
        if stamp == -1:
            return command_s, 0
        return _run(
            parts,
            store,
            state,
            place_m,
            command_s,
            command_part,
            command_way,
            command_to_m,
            until_s,
            step_s,
            to_rest,
            record_s,
            record,
        )

    return cached(run)


run = _entry(source_stamp())
