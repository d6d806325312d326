"""Compiled reduced model of a hydraulic circuit: commands in, arrivals, places and oil out.

Oil is incompressible between gas and pistons; each step is tried by two implicit stages (`stages`), kept where its
error is within the tolerance, and made shorter where not. Steps end where something happens: a command, an arrival,
a touch, the pump loaded or unloaded. Ringing of compressed oil is left out: the full model in the tests shows what
that is worth.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power.compiled import cached, jitable, source_stamp
from stockproof.power.part import drawn_by_all
from stockproof.power.solving import PLACE, WORK_ROWS
from stockproof.power.stages import oil_over_step, try_step
from stockproof.power.store import (
    gas_pressure,
    gas_slopes,
    idle_step,
    load,
    new_state,
    oil_step,
    pump_offer,
    stored_oil,
    until_switching_s,
)

__all__ = ["gas_pressure", "new_state", "run", "stored_oil"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Oil with which a step is surely not the one that empties the store, and the longest step of one that might be.
_STORE_SURELY_M3 = 2e-5
_NEARLY_DRY_S = 4e-3
#: No step is shorter, or longer; the first after a command takes one that is right for a jump of speed.
_SHORTEST_S = 2e-5
_LONGEST_S = 2.0
_FIRST_S_PER_M = 30.0
#: A step aims at a little less than the tolerance, grows by no more than so much, and shrinks by no more.
_AIM, _MOST, _LEAST = 0.8, 5.0, 0.2
#: Share of the gas volume a step may draw: pressure is taken as straight over it.
_GAS_SHARE = 0.02


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
    tolerance_m: float,
    to_rest: bool,
    record_s: float,
    record: Floats,
    arrive: Floats,
    work: Floats,
    orders: Ints,
) -> int:
    """Carry out commands in order of time and give how many rows were recorded.

    Parameters
    ----------
    parts : (N, PART_COLUMNS)
    store : (STORE_COLUMNS,)
    state : (STATE_PLACES,), stepped in place
    place_m : (N,), rod positions, stepped in place
    command_s, command_part, command_way, command_to_m : (K,)
        When, which part, +1 out or -1 in or 0 let go, and the rod position at which the valve is let go.
    until_s : float
        End of the run.
    tolerance_m : float
        Error of a rod's place allowed in one step.
    to_rest : bool
        End as soon as every command has been carried out and nothing is driven.
    record_s : float
        A row is kept so often; 0 keeps none.
    record : (R, RECORD_PLACES + N)
        Filled with what `columns` names, then rod positions.
    arrive : (K,)
        Filled with when each command's part arrived; left where it did not.
    work : (WORK_ROWS + 2, N), orders : (2, N) of zeros
        Room to work in: nothing is allocated in here.
    """
    speed, goal = work[WORK_ROWS], work[WORK_ROWS + 1]
    way, order = orders[0], orders[1]
    first_s = min(max(_FIRST_S_PER_M * tolerance_m, 10.0 * _SHORTEST_S), 5e-3)
    following, rows, next_record, next_step = 0, 0, state[c.CLOCK], first_s
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
            next_step = first_s
        next_s = until_s if following == command_s.size else min(until_s, command_s[following])
        if record_s > 0.0 and rows < record.shape[0]:
            next_s = min(next_s, next_record)
        if not _any_driven(way):
            if to_rest and following == command_s.size:
                break
            idle_step(store, state, next_s - state[c.CLOCK])
            continue
        slopes = gas_slopes(store, state)
        wanted_s = _before_meeting(parts, place_m, speed, way, goal, next_step, tolerance_m)
        wanted_s = min(wanted_s, _before_the_store_changes(parts, store, state, speed, way, slopes[1]))
        wanted_s = min(wanted_s, next_s - state[c.CLOCK])
        if store[c.GAS_MASS] == 0.0:
            load(state, 1.0 if store[c.PUMP_FLOW] > 0.0 else 0.0)
        surely = store[c.GAS_MASS] > 0.0 and stored_oil(store, state) > _nearly_dry_m3(state, wanted_s)
        error_m, manifold = try_step(
            parts, store, state, place_m, speed, way, work, slopes, surely, wanted_s, tolerance_m
        )
        factor = _factor(error_m, tolerance_m, 3.0 if surely else 2.0)
        if wanted_s > _SHORTEST_S:
            past = _share_before_goal(place_m, way, goal, work, tolerance_m)
            if error_m > tolerance_m or past < 1.0:
                next_step = max(wanted_s * min(factor, past), _SHORTEST_S)
                continue
        state[c.MANIFOLD] = manifold
        drawn = oil_over_step(parts, store, state, place_m, speed, way, work, manifold, surely, wanted_s)
        oil_step(store, state, drawn, manifold, wanted_s)
        # a step cut short by something to come says little about the one after it
        next_step = min(max(wanted_s * factor, next_step if factor > 1.0 else 0.0, _SHORTEST_S), _LONGEST_S)
        if _let_go_where_arrived(state, speed, way, goal, order, arrive, work, wanted_s, tolerance_m):
            next_step = first_s
    return rows


@jitable
def _factor(error_m: float, tolerance_m: float, order: float) -> float:
    """How much longer the next step may be: the error of a place goes with a power of the step."""
    if error_m <= 0.0:
        return _MOST
    return float(min(max((_AIM * tolerance_m / error_m) ** (1.0 / order), _LEAST), _MOST))


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
    parts: Floats, place_m: Floats, speed: Floats, way: Ints, goal: Floats, wanted_s: float, tolerance_m: float
) -> float:
    """The wanted step, or one that ends where a part meets its goal, its cushion, or what it touches or leaves."""
    step = wanted_s
    for n in range(way.size):
        if way[n] == 0 or speed[n] * way[n] <= 0.0:
            continue
        rate = abs(speed[n])
        ahead = way[n] * (goal[n] - place_m[n])
        if parts[n, c.CONTACT_WAY] != 0.0:
            free = way[n] * (parts[n, c.CONTACT_AT] - place_m[n])
            ahead = min(ahead, free if free > tolerance_m else ahead)
        if parts[n, c.CUSHION] > 0.0:
            left = (parts[n, c.STROKE] - place_m[n] if way[n] > 0 else place_m[n]) - parts[n, c.CUSHION]
            ahead = min(ahead, left if left > tolerance_m else ahead)
        step = min(step, max(ahead / rate, _SHORTEST_S))
    return step


@jitable
def _before_the_store_changes(
    parts: Floats, store: Floats, state: Floats, speed: Floats, way: Ints, over_volume: float
) -> float:
    """A step short enough for the gas, for a store that runs dry, and to end where the pump is loaded or unloaded."""
    if store[c.GAS_MASS] == 0.0:
        return _LONGEST_S
    drawn = drawn_by_all(parts, speed, way)
    net = drawn - pump_offer(store, state, state[c.MANIFOLD])
    step = _GAS_SHARE * state[c.GAS_VOLUME] / max(abs(net), 1e-9)
    if state[c.PEAK_FLOW] > 0.0:
        step = min(step, max(0.25 * stored_oil(store, state) / state[c.PEAK_FLOW], _NEARLY_DRY_S))
    return float(min(step, until_switching_s(store, state, state[c.MANIFOLD], over_volume * net)))


@jitable
def _share_before_goal(place_m: Floats, way: Ints, goal: Floats, work: Floats, tolerance_m: float) -> float:
    """Share of the tried step after which a part would be at its goal; 1 where none has gone past it."""
    share = 1.0
    for n in range(way.size):
        if way[n] == 0:
            continue
        past = way[n] * (work[PLACE, n] - goal[n])
        gone = way[n] * (work[PLACE, n] - place_m[n])
        if past > 2.0 * tolerance_m and gone > past:
            share = min(share, 1.0 - past / gone)
    return share


@jitable
def _let_go_where_arrived(
    state: Floats,
    speed: Floats,
    way: Ints,
    goal: Floats,
    order: Ints,
    arrive: Floats,
    work: Floats,
    step_s: float,
    tolerance_m: float,
) -> bool:
    """Let go every valve whose part is at its goal within the tolerance, and note the moment."""
    arrived = False
    for n in range(way.size):
        if way[n] == 0:
            continue
        left = way[n] * (goal[n] - work[PLACE, n])
        rate = abs(speed[n])
        if left > 0.0 and (left > tolerance_m or left > rate * step_s):
            continue
        moment = left / rate if rate > 0.0 else 0.0
        arrive[order[n]] = state[c.CLOCK] + max(moment, -step_s)
        way[n] = 0
        speed[n] = 0.0
        arrived = True
    return arrived


@jitable
def _keep(record: Floats, row: int, store: Floats, state: Floats, place_m: Floats) -> None:
    record[row, c.AT] = state[c.CLOCK]
    record[row, c.GAS] = gas_pressure(store, state)
    record[row, c.AT_MANIFOLD] = state[c.MANIFOLD]
    record[row, c.STORED] = stored_oil(store, state)
    record[row, c.ENERGY] = state[c.PUMP_ENERGY]
    record[row, c.DELIVERED_TIME] = state[c.LOADED_TIME]
    for n in range(place_m.size):
        record[row, c.RECORD_PLACES + n] = place_m[n]


def _entry(stamp: int) -> Callable[..., int]:
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
        tolerance_m: float,
        to_rest: bool,
        record_s: float,
        record: Floats,
        arrive: Floats,
        work: Floats,
        orders: Ints,
    ) -> int:
        if stamp == -1:
            return 0
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
            tolerance_m,
            to_rest,
            record_s,
            record,
            arrive,
            work,
            orders,
        )

    return cached(run)


_compiled = _entry(source_stamp())


def run(
    parts: Floats,
    store: Floats,
    state: Floats,
    place_m: Floats,
    command_s: Floats,
    command_part: Ints,
    command_way: Ints,
    command_to_m: Floats,
    *,
    until_s: float,
    tolerance_m: float,
    to_rest: bool = False,
    record_s: float = 0.0,
    record: Floats | None = None,
) -> tuple[Floats, int]:
    """Give when each command's part arrived, not a number where it did not, and rows recorded; see `_run`."""
    count = parts.shape[0]
    arrive = np.full(command_s.size, np.nan)
    rows = _compiled(
        parts,
        store,
        state,
        place_m,
        command_s,
        command_part,
        command_way,
        command_to_m,
        until_s,
        tolerance_m,
        to_rest,
        record_s,
        np.zeros((0, c.RECORD_PLACES + count)) if record is None else record,
        arrive,
        np.zeros((WORK_ROWS + 2, count)),
        np.zeros((2, count), dtype=np.int64),
    )
    return arrive, rows
