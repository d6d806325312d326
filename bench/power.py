"""How fast the circuit solver is: simulated seconds per wall second against scipy's LSODA, in one run.

Claim: at no larger error than LSODA's, fifty times its speed or better for one part, on the very equations the solver
steps and on the full compressible model; LSODA's right-hand sides are compiled as ours is. With three parts it is about
twenty: our time goes with the parts, LSODA's is mostly its own for each step, however many there are. One cycle presses
on something for four seconds and comes part of the way back; the error is the largest of all places at every
half second. Dry friction is left out, because LSODA needs it smoothed and would then answer something else.

    python bench/power.py
"""

from __future__ import annotations

import importlib.util
import math
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any, cast

import numba
import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from stockproof.power import columns as c
from stockproof.power.compiled import cached, jitable, source_stamp
from stockproof.power.gas import ATMOSPHERE_PA, nitrogen, nitrogen_density
from stockproof.power.kernel import new_state, run
from stockproof.power.part import _contact_force, drawn_by_all, driven_area, part_force

Floats = NDArray[np.float64]
ROOM_K, BAR = 293.15, 1e5
TURN_S, END_S, SAMPLE_S = 4.0, 6.0, 0.5
STEP_TOLERANCES_M = (1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 1e-6, 1e-7)
TOLERANCES = (1e-2, 1e-3, 1e-4)


@dataclass(frozen=True)
class Row:
    """One setting of one solver: its error and its speed."""

    label: str
    error_m: float
    speed: float


@dataclass(frozen=True)
class Peer:
    """A system of equations for LSODA: right-hand side, first values, where the places stand, other arguments."""

    slopes: Callable[..., Floats]
    first: Floats
    places: list[int]
    before: tuple[Any, ...]
    after: tuple[Any, ...]

    def answer(self, rtol: float) -> Floats:
        """Places at every sample."""
        samples = np.arange(SAMPLE_S, END_S + 1e-9, SAMPLE_S)
        scale = np.where(np.abs(self.first) > 1e4, 1e5, 1e-2)
        kept = []
        y, begin = self.first, 0.0
        for way, end in ((1, TURN_S), (-1, END_S)):
            arguments = (*self.before, np.full(len(self.places), way), *self.after)
            at = samples[(samples > begin) & (samples <= end)]
            done = solve_ivp(self.slopes, (begin, end), y, "LSODA", at, rtol=rtol, atol=rtol * scale, args=arguments)
            kept.append(done.y[self.places])
            y, begin = done.y[:, -1], end
        return np.concatenate(kept, axis=1)


def tests_module(name: str) -> ModuleType:
    """The tests' circuits and their full stiff model: the bench times what the tests hold true."""
    path = Path(__file__).parents[1] / "tests" / "power" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@jitable
def _reduced_slopes(y: Floats, parts: Floats, store: Floats, way: NDArray[np.int64], out: Floats) -> None:
    """The solver's own equations as a system for LSODA: gas volume, gas temperature, then place and speed of each."""
    count = parts.shape[0]
    drawn = drawn_by_all(parts, y[3::2], way)
    pressure, over_temperature, _, heat = nitrogen(store[c.GAS_MASS] / y[0], y[1])
    gas = pressure - ATMOSPHERE_PA
    out[0] = drawn
    out[1] = (store[c.WALL] - y[1]) / store[c.GAS_TAU] - y[1] * over_temperature / (heat * store[c.GAS_MASS]) * drawn
    for n in range(count):
        x, v = y[2 + 2 * n], y[3 + 2 * n]
        others = drawn - driven_area(parts[n], way[n]) * max(0.0, v * way[n])
        force = part_force(parts[n], store, x, v, way[n], gas, others, 0.0)
        out[2 + 2 * n] = v
        out[3 + 2 * n] = (force - parts[n, c.VISCOUS] * v - _contact_force(parts[n], x)) / parts[n, c.MASS]


def _entry(stamp: int) -> Callable[..., int]:
    def fill(y: Floats, parts: Floats, store: Floats, way: NDArray[np.int64], out: Floats) -> int:
        if stamp != -1:
            _reduced_slopes(y, parts, store, way, out)
        return 0

    return cached(fill)


_fill = _entry(source_stamp())


def _reduced_slopes_array(t: float, y: Floats, parts: Floats, store: Floats, way: NDArray[np.int64]) -> Floats:
    """Slopes in an array of their own, as scipy wants them; the work is compiled exactly as the solver's is."""
    out = np.zeros(y.size)
    _fill(y, parts, store, way, out)
    return out


reduced_slopes = cast(Callable[..., Floats], numba.njit(nogil=True)(_reduced_slopes_array))


def circuit(tests: ModuleType, count: int) -> tuple[Floats, Floats, float]:
    """So many parts on one store, each a little heavier; and the gas volume at 130 bar."""
    rows = [
        tests.a_part(CONTACT_AT=0.45, CONTACT_STIFFNESS=200e3, CONTACT_WAY=1, MASS=120 + 40 * n, FRICTION=0.0)
        for n in range(count)
    ]
    # 20 L a part: a store that runs dry is not in LSODA's equations
    mass = nitrogen_density(90 * BAR + ATMOSPHERE_PA, ROOM_K) * 0.020 * count
    store = tests.a_store(PUMP_FLOW=0.0, SHELL=0.020 * count, GAS_MASS=mass)
    return np.vstack(rows), store, store[c.GAS_MASS] / nitrogen_density(130 * BAR + ATMOSPHERE_PA, ROOM_K)


def ours(parts: Floats, store: Floats, start: Floats, tolerance_m: float) -> Floats:
    """Places at every sample, by the circuit solver."""
    count = parts.shape[0]
    state, place = start.copy(), np.zeros(count)
    record = np.zeros((round(END_S / SAMPLE_S) + 1, c.RECORD_PLACES + count))
    which = np.concatenate([np.arange(count), np.arange(count)])
    at = np.repeat([0.0, TURN_S], count)
    way = np.repeat([1, -1], count)
    goal = np.repeat([0.6, 0.0], count)
    commands = (at, which, way, goal)
    run(parts, store, state, place, *commands, until_s=END_S, tolerance_m=tolerance_m, record_s=SAMPLE_S, record=record)
    return record[1:, c.RECORD_PLACES :].T


def rated(label: str, work: Callable[[], Floats], reference: Floats, repeats: int) -> Row:
    """Error and simulated seconds per wall second (best of several)."""
    error = float(np.abs(work() - reference).max())
    best = math.inf
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begin)
    return Row(label, error, END_S / best)


def compare(name: str, own: list[Row], peers: list[Row]) -> None:
    """Print both ladders of accuracy and the ratio at matched error."""
    print(f"\n{name}")
    for row in own + peers:
        print(f"  {row.label:28s} error {row.error_m * 1e3:9.4f} mm   {row.speed:12,.0f} simulated s per s")
    for peer in peers:
        good = [row for row in own if row.error_m <= peer.error_m]
        taken = max(good, key=lambda row: row.speed) if good else min(own, key=lambda row: row.error_m)
        note = "" if good else f" at {taken.error_m / peer.error_m:.0f} times its error"
        print(f"  {taken.label} against {peer.label}: {taken.speed / peer.speed:.0f} times as fast{note}")


def race(name: str, peer: Peer, exact: float, parts: Floats, store: Floats, volume_m3: float) -> None:
    """Our ladder of tolerances against LSODA's ladder of tolerances, both measured against LSODA at its finest."""
    reference = peer.answer(exact)
    start = new_state(store, volume_m3, ROOM_K)
    own = [
        rated(
            f"ours, {tolerance * 1e3:g} mm a step",
            _bound(ours, parts, store, start, tolerance),
            reference,
            15,
        )
        for tolerance in STEP_TOLERANCES_M
    ]
    peers = [rated(f"LSODA, rtol {rtol:g}", _bound(peer.answer, rtol), reference, 3) for rtol in TOLERANCES]
    compare(name, own, peers)


def _bound(function: Callable[..., Floats], *arguments: Any) -> Callable[[], Floats]:
    return lambda: function(*arguments)


def main() -> None:
    begin = time.perf_counter()
    tests, full = tests_module("test_solver"), tests_module("full_model")
    parts, store, volume = circuit(tests, 1)
    ours(parts, store, new_state(store, volume, ROOM_K), 1e-5)
    print(f"start to first answer: {time.perf_counter() - begin:.2f} s")
    for count in (1, 3):
        parts, store, volume = circuit(tests, count)
        first = np.concatenate([[volume, ROOM_K], np.zeros(2 * count)])
        same = Peer(reduced_slopes, first, [2 + 2 * n for n in range(count)], (parts, store), ())
        race(f"{count} part(s), the solver's own equations", same, 1e-8, parts, store, volume)
    parts, store, volume = circuit(tests, 1)
    # oil with some air, 200 mL in each cylinder's dead space and a litre in the manifold: not the stiffest case
    extra = np.array([1.0e9, 2e-4, 1e-3, 1e-3, 0.0])
    first = np.concatenate([[volume, ROOM_K, 130 * BAR], np.zeros(4)])
    springy = Peer(full.slopes, first, [3], (parts, store), (extra,))
    race(
        "1 part, the full compressible model (our error is what leaving out compression costs)",
        springy,
        1e-6,
        parts,
        store,
        volume,
    )


if __name__ == "__main__":
    main()
