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
from stockproof.netlist.build import cone
from stockproof.plant.model import Position
from stockproof.proof.alternatives import flow_machine
from stockproof.proof.machine import Control, assemble, circuit_on

from .acceptor import Acceptor
from .conformance import Step, first_refused, steps_of

EXAMPLES = Path(__file__).parents[2] / "examples"
BRIEFS = ("dairy", "hill", "feedlot")
HEAD = 40


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
    """Every move of the plant is made in some run, or there is a reason why flow cannot make it."""
    runs = 0
    for name in BRIEFS:
        taken = accepted(name, range(100, 290))
        here = site(name)
        runs += 190 * len(here.lines)
        moves = Acceptor(here.control.netlist, here.control.plant).moves
        reasons = {move: why_never(here, move) for move in moves}
        print(f"{name}: {len(taken)} of {len(moves)} plant moves made; never, and why:")
        print("".join(f"  {move}: {reasons[move]}\n" for move in moves if not taken[move]))
        assert [move for move in moves if bool(taken[move]) == bool(reasons[move])] == []
    assert runs >= 2000


def why_never(here: Site, move: str) -> str:
    """Why no run of these programmes makes a move, or empty where some run must."""
    plant, first = here.control.plant, move.partition(" ")[0]
    works = {task.space for line in here.lines.values() for task in line.tasks}
    presses = [press for line in here.lines.values() for press in line.presses]
    if move.endswith(("turn back", "back out")):
        return "an animal of flow that has set out goes on; one that will not is led round"
    idle = [space for space in plant.spaces if space.name not in works]
    gates = {plant.parts[space.through].name for space in idle if space.through >= 0}
    if first in {space.name for space in idle} | gates | {f"{gate}_lock.open" for gate in gates}:
        return "none of the programmes has work there"
    if " by hand " in move:
        rest = plant.parts[plant.part_at(first)].rest
        away = any(press.part == first and press.to != rest / Position.OPEN for press in presses)
        return "" if away else "nobody of flow's crew moves the part from where it rests"
    motion = next((m for m in plant.motions if m.name == first), None)
    if motion is not None and not _leaves(here, motion.part):
        return "neither the program nor flow's crew moves the part from where it rests"
    return ""


def _leaves(here: Site, part: int) -> bool:
    """Whether the program or one of the crew asks for a motion away from where the part rests."""
    plant, netlist = here.control.plant, here.control.netlist
    away = {m.name for m in plant.motions if m.part == part and m.target != plant.parts[part].rest}
    controls = {press.control.partition(".")[2] for line in here.lines.values() for press in line.presses}
    steps = {node for chart in netlist.charts for _, _, node in chart.steps}
    asked = {m.name for m in netlist.motions if steps & cone(netlist, [m.request])}
    return bool(away & (controls | asked))


def test_an_animal_that_goes_down_in_flow_goes_down_in_the_plant() -> None:
    here = site("hill")
    line = here.lines["drench and vaccinate weaners"]
    falling = replace(line, mob=replace(line.mob, down_share=0.5))
    m = here.machine
    run = flow.simulate(falling, m.netlist, m.plant, m.laws, seed=1, replications=1, traced=0)
    acceptor, steps = Acceptor(m.netlist, m.plant), steps_of(run)
    assert first_refused(acceptor, m.plant, steps) is None
    assert acceptor.taken["goes down"] == acceptor.taken["gets up"] > 5
    up = next(k for k, step in enumerate(steps) if step[0] == "gets up")
    refused_at = first_refused(Acceptor(m.netlist, m.plant), m.plant, [*steps[:up], *steps[up + 1 :]])
    assert refused_at is not None
    assert refused_at[2] in ("bail begin", "goes down")


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
