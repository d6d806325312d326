"""The checker against a model of a small installation written by hand in Promela, from words alone.

`small_installation.md` says in words what stands there, what its control does and what may happen; its rules are those
of the fragments. `small_installation.pml` was written from it by somebody who had not read this project's checker, its
export or its tests. SPIN (G. J. Holzmann, *The SPIN Model Checker*, 2003; Debian package `spin`) explores it here: the
same states, bit by bit, and the same verdicts. Skipped where SPIN or a C compiler is not installed.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from stockproof.logic import assemble, lower
from stockproof.logic.explore import Exploration, explore
from stockproof.logic.properties import properties_of
from stockproof.logic.rig import Rig, devices_of, plant_of
from stockproof.logic.scope import EVERYTHING
from stockproof.logic.world_build import build_world
from stockproof.plant.model import Guard

pytestmark = pytest.mark.skipif(not (shutil.which("spin") and shutil.which("gcc")), reason="SPIN or gcc not installed")

MODEL = Path(__file__).with_name("small_installation.pml").read_text()
RIG = Rig(hold=False, limited=False, rear=Guard.SWITCHED, rear_view=True)
#: The bits of a state in the order in which the hand-written model writes them.
BITS = (
    "memory.line.hands_free.last",
    "memory.line.ready.last",
    "memory.line.reset_let_go.last",
    "memory.rear_access.moved.last",
    "memory.rear_access.cleared.last",
    "memory.rear_access.reset_let_go.last",
    "entry.is_closed",
    "entry.is_open",
    "bail.is_closed",
    "bail.is_open",
    "rear_access.open",
    "crush.1",
    "crush.2",
    "astride.entry",
    "astride.bail",
    "neck",
    "person.rear",
    "person.front",
)
#: The bad states that the hand-written model asserts, by its number.
BAD = (
    "person_among_animals.rear",
    "presses_in_reach.front",
    "opens_toward.front",
    "closes_on_animal.entry",
    "closes_on_trunk.bail",
    "moves_while_stopped.line",
)


@cache
def ours() -> Exploration:
    netlist, plant = lower(assemble(devices_of(RIG))), plant_of(RIG)
    properties = [p for p in properties_of(netlist, plant) if p.code in BAD]
    return explore(build_world(netlist, plant, properties, replace(EVERYTHING, watch=False))[1])


def by_hand(folder: Path, *defined: str) -> tuple[int, int]:
    """Explore the hand-written model; give stored states and errors."""
    (folder / "model.pml").write_text(MODEL)
    for command in (
        ["spin", "-a", *defined, "model.pml"],
        ["gcc", "-O1", "-w", "-DSAFETY", "-DNOREDUCE", "-o", "pan", "pan.c"],
    ):
        subprocess.run(command, cwd=folder, check=True, capture_output=True)
    out = subprocess.run(["./pan", "-E", "-m5000000"], cwd=folder, check=False, capture_output=True, text=True).stdout
    states, errors = re.search(r"(\d+) states, stored", out), re.search(r"errors: (\d+)", out)
    assert states, out
    assert errors, out
    return int(states[1]), int(errors[1])


def test_the_same_states_are_reached(tmp_path: Path) -> None:
    states, _ = by_hand(tmp_path, "-DDUMP")
    theirs = np.flatnonzero(np.fromfile(tmp_path / "seen.bin", np.uint8))
    found = ours()
    seen = np.zeros(found.states, np.int64)
    for bit in BITS:
        place = np.uint64(found.system.bits.index(bit))
        seen = 2 * seen + ((found.queue >> place) & np.uint64(1)).astype(np.int64)
    assert states == theirs.size > 10_000
    assert np.array_equal(np.unique(seen), theirs)


@pytest.mark.parametrize("number", range(1, len(BAD) + 1), ids=BAD)
def test_the_same_bad_states_are_reached(number: int, tmp_path: Path) -> None:
    found = ours()
    at = found.first_bad[found.system.bad_names.index(BAD[number - 1])]
    _, errors = by_hand(tmp_path, f"-DBAD={number}")
    assert bool(errors) == (at is not None)
