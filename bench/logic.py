"""The exhaustive check against SPIN on the same model in the same run, and the time to verdicts.

Run: python bench/logic.py
Both count the same states (asserted). SPIN gets the exported Promela, compiled with gcc -O2, without partial-order
reduction, which gains nothing on one process; it is the exported form and not one tuned by hand.
"""

from __future__ import annotations

import re
import resource
import shutil
import subprocess
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from stockproof.logic import assemble, lower
from stockproof.logic.explore import Exploration, explore
from stockproof.logic.promela import promela
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of, plant_of
from stockproof.logic.scope import EVERYTHING
from stockproof.logic.system import System
from stockproof.logic.verification import verify
from stockproof.logic.world_build import build_world
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Guard, Plant
from stockproof.proof import read_installation
from stockproof.proof.machine import assemble as control_of

BRIEFS = ("dairy", "hill", "feedlot")
MIDDLE = Rig(rear=Guard.LOCKED, rear_view=True, limited=False)


def spin_seconds(system: System) -> tuple[int, float, float]:
    """Give stored states, seconds of processor of the run alone, and bytes per state."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "model.pml").write_text(promela(system))
        subprocess.run(["spin", "-a", "model.pml"], cwd=folder, check=True, capture_output=True)
        flags = ["-O2", "-w", "-DSAFETY", "-DNOREDUCE", "-DVECTORSZ=4096"]
        subprocess.run(["gcc", *flags, "-o", "pan", "pan.c"], cwd=folder, check=True, capture_output=True)
        began = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        run = subprocess.run(
            ["./pan", "-E", "-m5000000", "-w24"], cwd=folder, capture_output=True, text=True, check=False
        )
        seconds = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - began
    found, used = re.search(r"(\d+) states, stored", run.stdout), re.search(r"([\d.]+)\s+equivalent memory", run.stdout)
    if found is None:
        raise SystemExit(run.stdout)
    states = int(found[1]) - 1
    return states, seconds, float(used[1]) * 1e6 / states if used else float("nan")


def processor_seconds(system: System) -> tuple[float, Exploration]:
    """Explore, and give the seconds of processor it took: others on the machine do not count."""
    began = time.process_time()
    found = explore(system)
    return time.process_time() - began, found


def against_spin(name: str, rig: Rig) -> None:
    """Explore one installation as a whole here and in SPIN, and print both."""
    netlist, plant = lower(assemble(devices_of(rig))), plant_of(rig)
    _, system = build_world(netlist, plant, (), replace(EVERYTHING, watch=False))
    spent, ours = min((processor_seconds(system) for _ in range(5)), key=lambda run: run[0])
    rate = ours.states / spent
    print(f"{name}: {ours.states} states, {ours.edges} steps, two changes between scans included")
    print(f"  here : {spent:.3f} s, {rate:,.0f} states/s, {ours.bytes_used / ours.states:.0f} bytes a state")
    if shutil.which("spin") and shutil.which("gcc"):
        states, seconds, size = spin_seconds(system)
        assert states == ours.states, (states, ours.states)
        print(f"  SPIN : {seconds:.3f} s, {states / seconds:,.0f} states/s, {size:.0f} bytes a state")
        print(f"  ratio: {seconds / spent:.1f}")


def to_verdicts(name: str, netlist: Netlist, plant: Plant, faults: bool) -> None:
    """Print the time to verdicts on every property, without a fault and, where asked for, under every single one."""
    for struck in (False, True) if faults else (False,):
        began, wall = time.process_time(), time.perf_counter()
        found = verify(netlist, plant, faults=struck, workers=2)
        spent, passed = time.process_time() - began, time.perf_counter() - wall
        states = sum(f.states for f in found.findings) + sum(f.states for f in found.faults)
        what = f"{len(found.faults)} faults" if struck else "no fault"
        print(
            f"{name}, {what}: {len(found.findings)} properties, {spent:.2f} s of processor, {passed:.2f} s passed, "
            f"{states:,} states"
        )


def main() -> None:
    began = time.perf_counter()
    netlist, plant = lower(assemble(devices_of(SMALL))), plant_of(SMALL)
    _, system = build_world(netlist, plant, (), EVERYTHING)
    explore(system)
    print(f"first search, compiling or reading the cache: {time.perf_counter() - began:.2f} s")
    for name, rig in (("holding", SMALL), ("with a locked rear gate", MIDDLE)):
        against_spin(name, rig)
    full = replace(MAXIMAL, limited=False)
    to_verdicts("everything fitted", lower(assemble(devices_of(full))), plant_of(full), False)
    for name in BRIEFS:
        control = control_of(
            read_installation(Path(__file__).parents[1] / "examples" / name / "brief.toml", None), None
        )
        to_verdicts(name, control.netlist, control.plant, True)


if __name__ == "__main__":
    main()
