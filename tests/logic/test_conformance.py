"""Runs of stock flow are courses that the checked plant can take; runs that were tampered with are not."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest

from stockproof import flow, power, proof
from stockproof.flow.run import FlowResult
from stockproof.proof.alternatives import flow_machine
from stockproof.proof.machine import Control, assemble, circuit_on

from .acceptor import Acceptor
from .conformance import Step, first_refused, steps_of

EXAMPLES = Path(__file__).parents[2] / "examples"
BRIEFS = ("dairy", "hill", "feedlot")
HEAD = 40
#: Moves that flow's animals, people and parts never make: they do not turn back, and nobody closes a gate half-way.
FLOW_NEVER = ("turn back", "back out")


@dataclass(frozen=True)
class Site:
    control: Control
    machine: flow.Machine
    lines: dict[str, flow.Line]

    def run(self, programme: str, seed: int) -> FlowResult:
        line = self.lines[programme]
        m = self.machine
        return flow.simulate(line, m.netlist, m.plant, m.laws, seed=seed, replications=1, traced=0)


@cache
def site(name: str) -> Site:
    """An example's control and flow without a yard, each programme with the first animals of its mob."""
    installation = proof.read_installation(EXAMPLES / name / "brief.toml", None)
    control = assemble(installation, None)
    machine = flow_machine(control, power.laws(power.prepare(circuit_on(installation, None))))
    lines = {}
    for word, programme in installation.brief.programmes.items():
        line = flow.prepare(installation, programme, control.netlist, control.plant, motion_s=machine.motion_s())
        lines[word] = replace(line, mob=replace(line.mob, head=min(HEAD, line.mob.head)))
    return Site(control, machine, lines)


def refused(name: str, steps: list[Step]) -> tuple[int, Step, str] | None:
    control = site(name).control
    return first_refused(Acceptor(control.netlist, control.plant), control.plant, steps)


def accepted(name: str, seeds: range) -> Counter[str]:
    """Check that every run is accepted; gives how often each move was taken."""
    here = site(name)
    taken: Counter[str] = Counter()
    for programme in here.lines:
        for seed in seeds:
            acceptor = Acceptor(here.control.netlist, here.control.plant)
            steps = steps_of(here.run(programme, seed))
            assert len(steps) > 3 * HEAD
            assert first_refused(acceptor, here.control.plant, steps) is None, (name, programme, seed)
            taken += acceptor.taken
    return taken


@pytest.mark.parametrize("name", BRIEFS)
def test_runs_of_every_programme_are_accepted(name: str) -> None:
    taken = accepted(name, range(2))
    walks = [b.name for b in site(name).control.plant.boundaries if f"{b.name} begin" in taken]
    assert "entry" in walks
    assert "bail" in walks
    assert all(taken[f"{walk} begin"] == taken[f"{walk} finish"] > 0 for walk in walks)


@pytest.mark.deep
def test_two_thousand_runs_are_accepted_and_cover_the_plant() -> None:
    runs = 0
    for name in BRIEFS:
        taken = accepted(name, range(100, 290))
        runs += 190 * len(site(name).lines)
        control = site(name).control
        never = [m for m in Acceptor(control.netlist, control.plant).moves if not taken[m]]
        print(f"{name}: {len(taken)} of {len(taken) + len(never)} plant moves; never: {', '.join(never)}")
        lacking = [m for m in never if not m.endswith(FLOW_NEVER)]
        hands = ("by hand", "lift", "side_reach", "side_access", "rear_access", "lock", "let out", "neck", "rear")
        assert [m for m in lacking if not any(word in m for word in hands)] == []
    assert runs >= 2000


def test_a_run_without_the_opening_of_a_gate_is_refused() -> None:
    steps = steps_of(site("hill").run("weaning weigh and draft", 1))
    rng = random.Random(3)
    opened = [k for k, s in enumerate(steps) if s[0] == "arrives" and s[2] in ("entry.open", "slide.open", "bail.open")]
    for k in rng.sample(opened[:-2], 12):
        motion = steps[k][2]
        begun = max(j for j in range(k) if steps[j] == ("begins", steps[k][1], motion))
        tampered = [s for j, s in enumerate(steps) if j not in (begun, k)]
        found = refused("hill", tampered)
        assert found is not None, (k, steps[k])
        assert found[2] in (f"{steps[k][1]} begin", motion.replace(".open", ".close"), motion), found


def test_a_run_in_which_an_animal_goes_before_its_gate_is_open_is_refused() -> None:
    steps = steps_of(site("dairy").run("monthly weigh", 2))
    walks = [k for k, s in enumerate(steps) if s[0] == "sets out" and s[2] == "crush"]
    for k in walks[3:20:4]:
        opened = max(j for j in range(k) if steps[j] == ("arrives", "entry", "entry.open"))
        tampered = [*steps[: opened - 1], steps[k], *steps[opened - 1 : k], *steps[k + 1 :]]
        found = refused("dairy", tampered)
        assert found is not None
        assert found[:2] == (opened - 1, steps[k])


def test_a_run_with_an_animal_too_many_is_refused() -> None:
    """Somebody walks in once more without having left: the place before the crush holds one."""
    steps = steps_of(site("feedlot").run("calf sort", 4))
    place = next(k for k, s in enumerate(steps) if s[0] == "comes in" and s[2] == "ready")
    tampered = [*steps[: place + 1], ("comes in", "1000", "race"), ("comes in", "1000", "ready"), *steps[place + 1 :]]
    assert refused("feedlot", tampered) == (place + 2, ("comes in", "1000", "ready"), "slide begin")
