"""Stores and precharges side by side: oil in a burst, releases after power is lost, slowest motion."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from stockproof.power.charging import charging
from stockproof.power.model import Accumulator, Circuit, Condition
from stockproof.power.prepare import Prepared, prepare
from stockproof.power.releases import after_power_loss
from stockproof.power.simulate import motion_time_s
from stockproof.power.times import burst_times_s, default_burst

__all__ = ["StoreOption", "store_options"]

#: Precharge over cut-in: makers ask for 0.8 to 0.9; a bladder may be pressed to four times its precharge.
PRECHARGE_SHARES = (0.7, 0.8, 0.9)
SHELL_SHARES = (0.5, 1.0, 2.0)
HIGHEST_PRECHARGE_SHARE = 0.9
LARGEST_PRESSURE_RATIO = {"bladder": 4.0, "piston": 10.0, "diaphragm": 8.0}
_AFTER_S = 600.0
#: What might be added where there is none: shells of usual sizes, their gas's time from common practice.
_SHELLS_M3 = (4e-3, 10e-3, 20e-3)
_USUAL = Accumulator("", "bladder accumulator", 10e-3, 1.0, 330e5, "bladder", thermal_time_s=30.0)
#: Options are compared with one another, not with a stopwatch.
_COARSE_M = 3e-4


@dataclass(frozen=True, slots=True)
class StoreOption:
    """One store with one precharge against the same parts.

    `slowing_share` is how much longer the slowest motion takes in the worst burst than alone, in the condition
    worst for it; infinite where a part stands still. `problems` names rules of the store it breaks.
    """

    shell_m3: float
    precharge_pa: float
    fast_m3: float
    releases_from_store: int
    slowing_share: float
    from_empty_s: float
    present: bool
    problems: tuple[str, ...]


def store_options(prepared: Prepared) -> tuple[StoreOption, ...]:
    """Give half, the same and twice the store at three precharges, the present one, and no store at all.

    Without a store those of usual sizes are tried, on the pack's cut-in and cut-out.
    """
    circuit = prepared.circuit
    store = circuit.accumulator
    if store is None:
        added = [replace(_USUAL, shell_m3=shell, precharge_pa=0.8 * circuit.pack.cut_in_pa) for shell in _SHELLS_M3]
        # its throttles stand wide open; with a store behind them they are set anew
        others = [prepare(replace(circuit, accumulator=one)) for one in added]
        return (_option(prepared, present=True), *(_option(other, present=False) for other in others))
    tried = [
        replace(store, shell_m3=store.shell_m3 * share, precharge_pa=part * circuit.pack.cut_in_pa)
        for share in SHELL_SHARES
        for part in PRECHARGE_SHARES
    ]
    others = [Prepared(replace(circuit, accumulator=other), prepared.throttles) for other in (*tried, None)]
    return (_option(prepared, present=True), *(_option(other, present=False) for other in others))


def store_problems(circuit: Circuit, store: Accumulator) -> tuple[str, ...]:
    """Give the rules a store breaks on this pack; empty where it keeps all."""
    problems = []
    if store.precharge_pa > HIGHEST_PRECHARGE_SHARE * circuit.pack.cut_in_pa:
        problems.append("precharge above 90 % of cut-in: the bladder or piston strikes the end at every use")
    ratio = LARGEST_PRESSURE_RATIO[store.style]
    if circuit.pack.relief_pa > ratio * store.precharge_pa:
        problems.append(f"relief pressure above {ratio:.0f} times precharge: too much squeeze for a {store.style}")
    if circuit.pack.relief_pa > store.max_pressure_pa:
        problems.append("relief pressure above what the shell is allowed")
    return tuple(problems)


def _option(other: Prepared, *, present: bool) -> StoreOption:
    circuit, store = other.circuit, other.circuit.accumulator
    fill = charging(other, circuit.condition("normal"))
    return StoreOption(
        store.shell_m3 * store.count if store else 0.0,
        store.precharge_pa if store else 0.0,
        fill.fast_m3 if fill else 0.0,
        after_power_loss(other, circuit.condition("normal"), _AFTER_S).from_store,
        max(_slowing(other, circuit.condition(name)) for name in ("normal", "hot_day")),
        fill.from_empty_s if fill else 0.0,
        present,
        store_problems(circuit, store) if store else (),
    )


def _slowing(prepared: Prepared, condition: Condition) -> float:
    """How much longer the worst motion takes in a burst than alone from a full store."""
    made = prepared.arrays(condition)
    burst = default_burst(prepared, condition, tolerance_m=_COARSE_M)
    in_burst = burst_times_s(prepared, made, burst, tolerance_m=_COARSE_M)
    worst = 0.0
    for motion, took_s in in_burst.items():
        n, drive = prepared.circuit.driven(motion)
        alone_s = motion_time_s(
            made,
            n,
            way=drive.way,
            from_share=drive.from_share,
            to_share=drive.to_share,
            start_pa=prepared.circuit.pack.cut_out_pa,
            tolerance_m=_COARSE_M,
            loading=False,
        )
        worst = max(worst, took_s / alone_s - 1 if np.isfinite(alone_s) else float("inf"))
    return worst
