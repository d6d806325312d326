"""The power room's front: prepare a circuit, give flow its motion law, answer, and replay the day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite
from typing import Literal

import numpy as np

from stockproof.errors import InternalError
from stockproof.motion import MotionLaws, MotionLog
from stockproof.power import columns as c
from stockproof.power.assumed import ASSUMED, Assumed
from stockproof.power.card import CardRow, ClassNeed, class_card
from stockproof.power.cautions import cautions
from stockproof.power.charging import Charging, charging
from stockproof.power.duty import DutyResult, duty_of
from stockproof.power.failures import Failure, single_failures
from stockproof.power.findings import Finding, findings
from stockproof.power.forces import PartForces, part_forces
from stockproof.power.hoses import HoseRow, Suction, hoses, suction
from stockproof.power.laws import laws_in
from stockproof.power.loads import LoadRow, load_sheet
from stockproof.power.noise import level_at_distance
from stockproof.power.options import StoreOption, store_options, store_problems
from stockproof.power.prepare import Prepared
from stockproof.power.releases import PowerLoss, after_power_loss
from stockproof.power.settings import PackSetting, PartSetting, pack_settings, part_settings
from stockproof.power.simulate import Command, simulate
from stockproof.power.supply import (
    EngineOption,
    GeneratorNeed,
    SupplyOption,
    engine,
    generator,
    supplies,
)
from stockproof.power.tank import Tank, tank
from stockproof.power.times import BurstStep, ConditionName, MotionTimes, default_burst, motion_times
from stockproof.power.ways import SupplyWay, supply_ways

__all__ = ["CONDITIONS", "PowerResult", "duty", "laws", "solve"]

CONDITIONS: tuple[ConditionName, ...] = ("normal", "cold_morning", "hot_day")
#: Times after power is lost that people ask about.
_AFTER_S = (0.0, 600.0, 3600.0)
When = Literal["full", "normal", "cut_in", "burst"]


@dataclass(frozen=True, slots=True)
class PowerResult:
    """All answers about one circuit before the day is run; see each part's class.

    `peak_flow_m3_per_s` is the largest draw in the worst burst and the days replayed; `noise_db` the level at the
    control point; `replayed` whether the worst burst is one of the day's run, or every part at once both ways.
    """

    prepared: Prepared
    times: tuple[MotionTimes, ...]
    forces: tuple[PartForces, ...]
    charging: tuple[Charging, ...]
    power_loss: tuple[PowerLoss, ...]
    supplies: tuple[SupplyOption, ...]
    engine: EngineOption | None
    generator: GeneratorNeed | None
    ways: tuple[SupplyWay, ...]
    load_sheet: tuple[LoadRow, ...]
    part_settings: tuple[PartSetting, ...]
    pack_settings: tuple[PackSetting, ...]
    card: tuple[CardRow, ...]
    hoses: tuple[HoseRow, ...]
    suction: Suction
    tank: Tank
    options: tuple[StoreOption, ...]
    store_problems: tuple[str, ...]
    failures: tuple[Failure, ...]
    findings: tuple[Finding, ...]
    peak_flow_m3_per_s: float
    noise_db: float
    replayed: bool
    assumptions: tuple[Assumed, ...]
    cautions: tuple[str, ...]

    def time_s(self, motion: str, condition: ConditionName = "normal", when: When = "cut_in") -> float:
        """Time of a motion from its signal; at cut-in (the unfavourable end of normal work) unless asked otherwise.

        Raises
        ------
        InternalError
            There is no such motion.
        """
        for row in self.times:
            if row.motion == motion and row.condition == condition:
                return float(getattr(row, f"{when}_s"))
        raise InternalError(f"no time of {motion!r} in {condition}")

    @property
    def burst_in_words(self) -> str:
        """Which commands the worst burst is made of."""
        if self.replayed:
            return "the ten seconds of a day's run that ask the most oil"
        return "every part given way at once, then all shut; no day was replayed, as a full run does"

    def slower_share(self, condition: ConditionName = "cold_morning") -> tuple[str, float]:
        """The motion that slows most against normal, and by what share of its normal time.

        One that never arrives in that condition, at cut-in or in the worst burst, slows without end.
        """
        normal = {row.motion: row.cut_in_s for row in self.times if row.condition == "normal"}
        slowed = [
            (row.cut_in_s / normal[row.motion] - 1 if isfinite(max(row.cut_in_s, row.burst_s)) else inf, row.motion)
            for row in self.times
            if row.condition == condition
        ]
        share, motion = max(slowed)
        return motion, share

    def forces_of(self, part: str) -> PartForces:
        """Forces of a part.

        Raises
        ------
        InternalError
            There is no such part.
        """
        for row in self.forces:
            if row.part == part:
                return row
        raise InternalError(f"no forces of {part!r}")

    def releases_after(self, after_s: float, condition: ConditionName = "cold_morning") -> PowerLoss:
        """What still moves so long after power is lost."""
        return after_power_loss(self.prepared, self.prepared.circuit.condition(condition), after_s)

    def supply(self, outlet: str) -> SupplyOption | None:
        """The pack against an outlet; None where an engine drives it or there is no such outlet."""
        return next((row for row in self.supplies if row.outlet == outlet), None)


def laws(prepared: Prepared, condition: ConditionName = "normal") -> MotionLaws:
    """Give the motion law flow steps, in a condition."""
    return laws_in(prepared.circuit, prepared.circuit.condition(condition), prepared.throttles)


def solve(
    prepared: Prepared,
    *,
    burst: Sequence[BurstStep] = (),
    day_peak_m3_per_s: float = 0.0,
    classes: Sequence[ClassNeed] = (),
    watches_s: Mapping[str, float] | None = None,
    options: bool = True,
) -> PowerResult:
    """Answer everything about a circuit that does not need the day.

    Parameters
    ----------
    prepared : Prepared
        The circuit as commissioned.
    burst : sequence of BurstStep
        The densest commands of the running programme; every part both ways at once where none is given.
    day_peak_m3_per_s : float
        Largest draw of the days replayed; 0 where none is. [m3/s]
    classes : sequence of ClassNeed
        Classes of stock for the change card.
    watches_s : mapping, optional
        What the control's watch timers are set to, by part, for the change card. [s]
    options : bool
        Compare stores and precharges; half of the work, so a quick look leaves it out.
    """
    circuit = prepared.circuit
    times = tuple(row for name in CONDITIONS for row in motion_times(prepared, circuit.condition(name), burst))
    filled = tuple(charging(prepared, circuit.condition(name)) for name in CONDITIONS)
    peak = max(_peak_flow(prepared, burst), day_peak_m3_per_s)
    forces, lines, inlet = part_forces(prepared), hoses(prepared, peak), suction(circuit)
    level, driven = tank(circuit), engine(circuit)
    problems = store_problems(circuit, circuit.accumulator) if circuit.accumulator else ()
    return PowerResult(
        prepared=prepared,
        times=times,
        forces=forces,
        charging=tuple(row for row in filled if row is not None),
        power_loss=tuple(
            after_power_loss(prepared, circuit.condition(name), after) for name in CONDITIONS for after in _AFTER_S
        ),
        supplies=supplies(circuit),
        engine=driven,
        generator=generator(circuit),
        ways=supply_ways(circuit),
        load_sheet=load_sheet(circuit),
        part_settings=part_settings(prepared, times),
        pack_settings=pack_settings(circuit),
        card=class_card(prepared, classes, watches_s or {}),
        hoses=lines,
        suction=inlet,
        tank=level,
        options=store_options(prepared) if options else (),
        store_problems=problems,
        failures=single_failures(prepared),
        findings=findings(
            circuit,
            forces=forces,
            hoses=lines,
            suction=inlet,
            tank=level,
            engine=driven,
            store_problems=problems,
            replayed=bool(burst),
        ),
        peak_flow_m3_per_s=peak,
        noise_db=level_at_distance(
            level=circuit.pack.noise_db,
            level_distance=circuit.pack.noise_distance_m,
            distance=max(circuit.control_point_distance_m, circuit.pack.noise_distance_m),
        ),
        replayed=bool(burst),
        assumptions=ASSUMED,
        cautions=cautions(circuit),
    )


def duty(prepared: Prepared, log: MotionLog, condition: ConditionName = "normal") -> DutyResult:
    """Replay a day's log of motions with the full model."""
    return duty_of(prepared, log, prepared.circuit.condition(condition))


def _peak_flow(prepared: Prepared, burst: Sequence[BurstStep]) -> float:
    """Largest draw of all parts together in the burst, warm oil."""
    condition = prepared.circuit.condition("normal")
    made = prepared.arrays(condition)
    commands = []
    place = [0.0] * len(prepared.circuit.actuators)
    begun: set[int] = set()
    for step in burst or default_burst(prepared, condition):
        n, drive = prepared.circuit.driven(step.motion)
        stroke = prepared.circuit.actuators[n].stroke_m
        if n not in begun:
            place[n] = drive.from_share * stroke
            begun.add(n)
        commands.append(Command(step.at_s, n, drive.way, drive.to_share * stroke))
    if not commands:
        return 0.0
    until = max(command.at_s for command in commands) + 20.0
    done = simulate(
        made, commands, start_pa=prepared.circuit.pack.cut_out_pa, until_s=until, place_m=np.array(place), to_rest=True
    )
    return float(done.state[c.PEAK_FLOW])
