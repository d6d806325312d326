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

import numpy as np
import pytest

from stockproof.logic import assemble, lower
from stockproof.logic.explore import explore
from stockproof.logic.promela import promela
from stockproof.logic.properties import properties_of
from stockproof.logic.rig import SMALL, Rig, devices_of, plant_of
from stockproof.logic.scope import EVERYTHING
from stockproof.logic.system import System
from stockproof.logic.world_build import build_world
from stockproof.plant.model import Guard

pytestmark = pytest.mark.skipif(not (shutil.which("spin") and shutil.which("gcc")), reason="SPIN or gcc not installed")

BY_HAND = Rig(hold=False, limited=False)
MIDDLE = Rig(rear=Guard.LOCKED, rear_view=True, limited=False)


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


#: Remembers which values sixteen bits of state took together, for as many sets of sixteen as cover the state.
MARKS = """c_decl {{
static unsigned char seen[{sets}][1 << 16];
static int bits[{sets}][16] = {{ {bits} }};
static int begun;
static void keep(void) {{ FILE *f = fopen("seen.bin", "wb"); fwrite(seen, 1, sizeof seen, f); fclose(f); }}
}}
"""
MARK = """    c_code {{
      int set, bit;
      if (!begun) {{ begun = 1; atexit(keep); }}
      for (set = 0; set < {sets}; set++) {{
        int found = 0;
        for (bit = 0; bit < 16; bit++) found |= now.s[bits[set][bit]] << bit;
        seen[set][found] = 1;
      }}
    }};
"""


def projections(system: System, folder: Path) -> tuple[int, list[set[int]], list[list[int]]]:
    """Give SPIN's stored states, and for sets of sixteen bits the values they take together in its states."""
    count = len(system.bits)
    firsts = [*range(0, count - 16, 7), count - 16]
    chosen = [list(range(first, first + 16)) for first in firsts]
    rows = ", ".join("{" + ", ".join(map(str, row)) + "}" for row in chosen)
    text = MARKS.format(sets=len(chosen), bits=rows) + promela(system)
    head, step, rest = text.partition("step:\n  atomic {\n")
    states, _ = spin(head + step + MARK.format(sets=len(chosen)) + rest, folder)
    seen = np.fromfile(folder / "seen.bin", np.uint8).reshape(len(chosen), 1 << 16)
    return states, [set(np.nonzero(row)[0].tolist()) for row in seen], chosen


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


@pytest.mark.deep
@pytest.mark.parametrize("rig", [SMALL, MIDDLE], ids=["small", "middle"])
def test_the_states_reached_are_the_same_seen_through_every_sixteen_bits(rig: Rig, tmp_path: Path) -> None:
    system = whole(rig, watch=False)
    found = explore(system)
    states, seen, chosen = projections(system, tmp_path)
    assert states - 1 == found.states
    for bits, values in zip(chosen, seen, strict=True):
        ours = np.zeros(found.states, np.uint64)
        for place, bit in enumerate(bits):
            ours |= ((found.queue >> np.uint64(bit)) & np.uint64(1)) << np.uint64(place)
        assert values == set(np.unique(ours).tolist()), bits
        assert len(values) > 30


@pytest.mark.deep
def test_verdicts_agree_on_a_middle_installation(tmp_path: Path) -> None:
    system = whole(MIDDLE, watch=False)
    found = explore(system)
    reached = {name for name, at in zip(system.bad_names, found.first_bad, strict=True) if at is not None}
    assert reached
    assert len(reached) < len(system.bad_names)
    for name in system.bad_names:
        _, errors = spin(promela(system, name), tmp_path)
        assert bool(errors) == (name in reached), name
