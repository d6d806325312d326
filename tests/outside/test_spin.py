"""The checker against SPIN (G. J. Holzmann, *The SPIN Model Checker*, 2003; Debian package `spin`).

The exported Promela of a small installation: the same number of reachable states, the same verdict on every property.
Skipped where SPIN or a C compiler is not installed.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from stockproof.logic import assemble, lower
from stockproof.logic.explore import explore
from stockproof.logic.promela import promela
from stockproof.logic.properties import properties_of
from stockproof.logic.rig import SMALL, Rig, devices_of, plant_of
from stockproof.logic.scope import EVERYTHING
from stockproof.logic.system import System
from stockproof.logic.world_build import build_world

pytestmark = pytest.mark.skipif(not (shutil.which("spin") and shutil.which("gcc")), reason="SPIN or gcc not installed")

BY_HAND = Rig(hold=False, limited=False)


def spin(text: str, folder: Path) -> tuple[int, int]:
    """Give stored states and errors."""
    (folder / "model.pml").write_text(text)
    subprocess.run(["spin", "-a", "model.pml"], cwd=folder, check=True, capture_output=True)
    build = ["gcc", "-O2", "-w", "-DSAFETY", "-DNOREDUCE", "-DVECTORSZ=4096", "-o", "pan", "pan.c"]
    subprocess.run(build, cwd=folder, check=True, capture_output=True)
    out = subprocess.run(
        ["./pan", "-E", "-m5000000", "-w24"], cwd=folder, check=False, capture_output=True, text=True
    ).stdout
    states, errors = re.search(r"(\d+) states, stored", out), re.search(r"errors: (\d+)", out)
    assert states, out
    assert errors, out
    assert "max search depth too small" not in out
    return int(states[1]), int(errors[1])


def whole(rig: Rig, watch: bool, permissive: bool = False) -> System:
    netlist, plant = lower(assemble(devices_of(rig))), plant_of(rig)
    properties = [p for p in properties_of(netlist, plant) if watch or not p.scope.watch]
    return build_world(netlist, plant, properties, replace(EVERYTHING, watch=watch), permissive=permissive)[1]


def test_the_small_installation_has_as_many_states(tmp_path: Path) -> None:
    system = whole(BY_HAND, watch=False)
    states, errors = spin(promela(system), tmp_path)
    # SPIN stores one state more: the one before the first step
    assert (states - 1, errors) == (explore(system).states, 0)


@pytest.mark.deep
def test_verdicts_agree_on_every_property(tmp_path: Path) -> None:
    system = whole(BY_HAND, watch=True)
    found = explore(system)
    for name, at in zip(system.bad_names, found.first_bad, strict=True):
        _, errors = spin(promela(system, name), tmp_path)
        assert bool(errors) == (at is not None), name


@pytest.mark.deep
def test_the_held_installation_has_as_many_states(tmp_path: Path) -> None:
    system = whole(SMALL, watch=False)
    states, _ = spin(promela(system), tmp_path)
    assert states - 1 == explore(system).states
