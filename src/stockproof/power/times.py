"""Motion times warm, hot and on the coldest morning, with the store full, at cut-in and in a burst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from stockproof.motion import MotionLog
from stockproof.power import columns as c
from stockproof.power.arrays import Arrays
from stockproof.power.cylinders import annulus_area, cylinder_speed, piston_area
from stockproof.power.laws import stroke_oil_m3, switching_lag_s
from stockproof.power.model import Actuator, Circuit, Condition, Drive, Pack
from stockproof.power.prepare import Prepared
from stockproof.power.simulate import SEARCH_M, Command, motion_time_s, simulate
from stockproof.power.throttles import normal_pressure_pa

__all__ = ["BurstStep", "MotionTimes", "burst_times_s", "default_burst", "motion_times", "worst_burst"]

Floats = NDArray[np.float64]
ConditionName = Literal["normal", "cold_morning", "hot_day"]
_BURST_S = 60.0
#: A throttle set by stopwatch is within this of the time asked.
_CLOSE_ENOUGH = 1.05
#: A burst is what falls within so long: faster than a pump of this size can follow.
_WINDOW_S = 10.0


@dataclass(frozen=True, slots=True)
class BurstStep:
    """One command of a burst."""

    at_s: float
    motion: str


@dataclass(frozen=True, slots=True)
class MotionTimes:
    """Times of one motion in one condition, from the signal to arrival; infinite where it does not arrive.

    `pump_alone_s` is what the pump's flow takes to fill the stroke, by hand: with the store shut off no part is
    quicker. `reaches`: whether the circuit can move it in the catalogue's time in normal conditions.
    """

    motion: str
    part: str
    condition: ConditionName
    catalogue_s: float
    lag_s: float
    full_s: float
    normal_s: float
    cut_in_s: float
    burst_s: float
    pump_alone_s: float
    reaches: bool


def motion_times(prepared: Prepared, condition: Condition, burst: Sequence[BurstStep] = ()) -> tuple[MotionTimes, ...]:
    """Give the times of every motion in a condition.

    Parameters
    ----------
    prepared : Prepared
        The circuit as commissioned.
    condition : Condition
        Oil and air temperature.
    burst : sequence of BurstStep
        The densest run of commands the work asks for; every part both ways at once where none is given.
    """
    made = prepared.arrays(condition)
    pack = prepared.circuit.pack
    in_burst = burst_times_s(prepared, made, burst or default_burst(prepared, condition))
    starts = (pack.cut_out_pa, normal_pressure_pa(prepared.circuit), pack.cut_in_pa)
    warm = made if condition.name == "normal" else prepared.arrays(prepared.circuit.condition("normal"))
    rows = []
    for n, actuator in enumerate(prepared.circuit.actuators):
        lag = switching_lag_s(actuator)
        for drive in actuator.drives:
            full, normal, cut_in = (_alone_s(made, n, drive, at) for at in starts)
            rows.append(
                MotionTimes(
                    motion=drive.name,
                    part=actuator.part,
                    condition=condition.name,
                    catalogue_s=drive.time_s,
                    lag_s=lag,
                    full_s=lag + full,
                    normal_s=lag + normal,
                    cut_in_s=lag + cut_in,
                    burst_s=lag + in_burst.get(drive.name, cut_in),
                    pump_alone_s=lag + _by_pump_s(actuator, drive, pack),
                    reaches=(normal if made is warm else _alone_s(warm, n, drive, starts[1]))
                    <= _CLOSE_ENOUGH * drive.time_s,
                )
            )
    return tuple(rows)


def _by_pump_s(actuator: Actuator, drive: Drive, pack: Pack) -> float:
    area = piston_area(actuator.bore_m) if drive.way > 0 else annulus_area(actuator.bore_m, actuator.rod_m)
    return actuator.stroke_m * drive.travel_share / cylinder_speed(pack.flow_m3_per_s, actuator.count * area)


def default_burst(prepared: Prepared, condition: Condition, *, tolerance_m: float = SEARCH_M) -> tuple[BurstStep, ...]:
    """Every part given way at once, and closed again at once when the last has arrived, as quick as that goes."""
    circuit = prepared.circuit
    opening = [actuator.opening for actuator in circuit.actuators if actuator.opening]
    closing = [actuator.closing for actuator in circuit.actuators if actuator.closing]
    made = prepared.arrays(condition)
    steps = tuple(BurstStep(0.0, drive.name) for drive in opening)
    back_s = max(burst_times_s(prepared, made, steps, tolerance_m=tolerance_m).values(), default=0.0)
    if not np.isfinite(back_s):
        back_s = _BURST_S / 2
    return steps + tuple(BurstStep(float(back_s) + 0.1, drive.name) for drive in closing)


def worst_burst(prepared: Prepared, log: MotionLog) -> tuple[BurstStep, ...]:
    """The commands of a run's log that ask the most oil within a short window, counted from the first of them."""
    circuit = prepared.circuit
    known = set(circuit.motions)
    rows = [k for k in range(log.motion.size) if log.names[log.motion[k]] in known]
    oil = np.array([_oil_of(circuit, log, k) for k in rows])
    at = log.command_s[rows]
    best, first = -1.0, 0
    for k in range(len(rows)):
        asked = float(oil[k : int(np.searchsorted(at, at[k] + _WINDOW_S))].sum())
        if asked > best:
            best, first = asked, k
    last = int(np.searchsorted(at, at[first] + _WINDOW_S)) if rows else 0
    return tuple(BurstStep(float(at[k] - at[first]), log.names[log.motion[rows[k]]]) for k in range(first, last))


def _oil_of(circuit: Circuit, log: MotionLog, k: int) -> float:
    n, drive = circuit.driven(log.names[log.motion[k]])
    return stroke_oil_m3(circuit.actuators[n], drive) * float(log.share[k])


def burst_times_s(
    prepared: Prepared, made: Arrays, burst: Sequence[BurstStep], *, tolerance_m: float = SEARCH_M
) -> dict[str, float]:
    """Longest time of each motion in a burst that begins at cut-in; infinite where it does not arrive. [s]

    A part that has not arrived when it is wanted again goes on first, as the control lets it; the others do not wait.
    """
    circuit = prepared.circuit
    place = np.zeros(made.parts.shape[0])
    commands, seen = [], set()
    for step in sorted(burst, key=lambda step: step.at_s):
        n, drive = circuit.driven(step.motion)
        if n not in seen:
            place[n] = drive.from_share * made.parts[n, c.STROKE]
            seen.add(n)
        commands.append((step, Command(step.at_s, n, drive.way, drive.to_share * made.parts[n, c.STROKE])))
    if not commands:
        return {}
    arrive = _one_after_the_other(prepared, made, [command for _, command in commands], place, tolerance_m)
    longest: dict[str, float] = {}
    for (step, _), (given, arrived) in zip(commands, arrive, strict=True):
        took = arrived - given if np.isfinite(arrived) else float("inf")
        longest[step.motion] = max(longest.get(step.motion, 0.0), took)
    return longest


def _one_after_the_other(
    prepared: Prepared, made: Arrays, commands: Sequence[Command], place: Floats, tolerance_m: float
) -> list[tuple[float, float]]:
    """When each command was given and its part arrived, commands of one part put off until it has arrived. [s]"""
    waiting = list(commands)
    while True:
        done = simulate(
            made,
            waiting,
            start_pa=prepared.circuit.pack.cut_in_pa,
            until_s=max(command.at_s for command in waiting) + _BURST_S,
            place_m=place,
            tolerance_m=tolerance_m,
            to_rest=True,
        )
        late = _cut_short(waiting, done.arrive_s)
        if late is None:
            return [(command.at_s, float(at)) for command, at in zip(waiting, done.arrive_s, strict=True)]
        first, following = late
        alone = [command for k, command in enumerate(waiting) if k not in following]
        until = waiting[first].at_s + _BURST_S
        went = simulate(
            made,
            alone,
            start_pa=prepared.circuit.pack.cut_in_pa,
            until_s=until,
            place_m=place,
            tolerance_m=tolerance_m,
            to_rest=True,
        )
        arrived = float(went.arrive_s[alone.index(waiting[first])])
        if not np.isfinite(arrived):
            arrived = until
        put_off = arrived - waiting[following[0]].at_s
        for k in following:
            waiting[k] = replace(waiting[k], at_s=waiting[k].at_s + put_off)


def _cut_short(commands: Sequence[Command], arrive_s: Floats) -> tuple[int, list[int]] | None:
    """The earliest command whose part was wanted again before it had arrived, and the commands that follow to it."""
    for k in sorted(range(len(commands)), key=lambda k: commands[k].at_s):
        mine = [j for j, other in enumerate(commands) if other.part == commands[k].part and j > k]
        if mine and not np.isfinite(arrive_s[k]) and commands[mine[0]].at_s - commands[k].at_s < _BURST_S:
            return k, mine
    return None


def _alone_s(made: Arrays, n: int, drive: Drive, start_pa: float) -> float:
    return motion_time_s(
        made,
        n,
        way=drive.way,
        from_share=drive.from_share,
        to_share=drive.to_share,
        start_pa=start_pa,
        loading=bool(start_pa <= made.store[c.CUT_IN]),
    )
