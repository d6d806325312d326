"""The checker against people and animals: what holds, what is found, and that every weakening is noticed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stockproof.logic import assemble, lower
from stockproof.logic.answers import design_answer
from stockproof.logic.faults import Fault, FaultKind
from stockproof.logic.findings import Answer, FaultEffect, Verification
from stockproof.logic.properties import properties_of
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of, plant_of
from stockproof.logic.scope import EVERYTHING, Rest
from stockproof.logic.system import System
from stockproof.logic.verification import verify
from stockproof.logic.world_build import build_world
from stockproof.netlist import Netlist
from stockproof.plant.model import Guard, Plant

FULL = replace(MAXIMAL, limited=False)
REAR = Rig(rear=Guard.SWITCHED, rear_view=True, limited=False)


def installed(rig: Rig) -> tuple[Netlist, Plant]:
    return lower(assemble(devices_of(rig))), plant_of(rig)


def answers(found: Verification) -> dict[str, Answer]:
    return {f.property.code: f.answer for f in found.findings}


@pytest.fixture(scope="module")
def full() -> Verification:
    return verify(*installed(FULL), faults=False)


def test_everything_fitted_and_locked_holds_in_every_property(full: Verification) -> None:
    assert {f.property.code: f.reason for f in full.findings if f.answer != Answer.HOLDS} == {}
    kinds = {code.split(".")[0] for code in answers(full)}
    assert kinds == {
        "person_among_animals",
        "presses_in_reach",
        "opens_toward",
        "closes_on_animal",
        "closes_on_trunk",
        "moves_on_animal",
        "lift_up",
        "two_as_one",
        "presses_on_down",
        "lets_in_on_down",
        "starts_by_itself",
        "moves_while_stopped",
    }


def test_bounds_are_printed_with_the_answer(full: Verification) -> None:
    assert "at most 3 animals and 2 people" in full.bounds
    assert all(f.states > 0 for f in full.findings)


def test_a_switched_rear_gate_without_a_lock_lets_a_person_in_with_the_entry_open_and_a_lock_mends_it() -> None:
    code = "person_among_animals.rear"
    found = verify(*installed(REAR), faults=False, codes=[code])
    (finding,) = found.findings
    assert finding.answer == Answer.REACHED
    assert finding.story is not None
    assert finding.story.sentences[-4:] == (
        "The entry gate opens.",
        "A worker opens the rear access gate.",
        "A worker goes into the space behind the animal.",
        "A person is behind the animal while the entry gate is not shut and held.",
    )
    locked = verify(*installed(replace(REAR, rear=Guard.LOCKED)), faults=False, codes=[code])
    assert answers(locked) == {code: Answer.HOLDS}


DOWN = ("presses_on_down.crush", "lets_in_on_down.crush", "two_as_one.crush")
SORTING = Rig(parts=("entry", "bail", "squeeze", "draft"), ways=2, sort=True, limited=False)


@pytest.mark.parametrize(
    ("beams", "seen", "reached"),
    [(False, False, DOWN[:1]), (True, False, DOWN), (True, True, ())],
    ids=["seen standing or lying", "missed when it lies", "seen to lie"],
)
def test_what_may_happen_to_an_animal_that_is_down_rests_on_what_sees_it(
    beams: bool, seen: bool, reached: tuple[str, ...]
) -> None:
    """The program presses on, and lets in onto, an animal of which nothing tells it that it lies there."""
    found = verify(*installed(replace(SORTING, beams=beams, down_seen=seen)), faults=False, codes=DOWN, covers=False)
    assert {code for code, answer in answers(found).items() if answer == Answer.REACHED} == set(reached)
    assert {answer for code, answer in answers(found).items() if code not in reached} <= {Answer.HOLDS}
    for finding in found.findings:
        if finding.story is not None:
            assert "The animal in the crush goes down." in finding.story.sentences


def test_by_hand_nothing_presses_by_itself_on_an_animal_that_is_down() -> None:
    found = verify(*installed(Rig(hold=False, beams=True)), faults=False, codes=DOWN, covers=False)
    assert answers(found) == dict.fromkeys(DOWN[:2], Answer.HOLDS)


def test_an_animal_that_is_down_neither_walks_nor_puts_its_head_through() -> None:
    from stockproof.logic.explore import explore

    netlist, plant = installed(SMALL)
    _, system = build_world(netlist, plant)
    found = explore(system)
    at = {name: ((found.queue >> np.uint64(k)) & np.uint64(1)).astype(bool) for k, name in enumerate(system.bits)}
    assert at["down"].any()
    assert (at["crush.1"] | ~at["down"]).all()
    lying = dict(zip(system.move_names, _possible(system, found.queue[at["down"] & ~at["crush.2"]]), strict=True))
    assert not any(lying[move] for move in ("bail begin", "entry back out", "neck in", "goes down"))
    assert all(lying[move] for move in ("gets up", "entry begin", "entry finish", "neck out"))


def _possible(system: System, states: np.ndarray) -> list[bool]:
    """Whether each move is possible in any of the states, whatever is driven."""
    values = np.zeros((len(system.moves.op), len(states)), bool)
    values[system.moves.op == 0] = (system.moves.a[system.moves.op == 0] == 1)[:, None]
    for k, node in enumerate(system.move_bit):
        values[node] = (states >> np.uint64(k)) & np.uint64(1)
    values[system.move_carried] = True
    for node, (op, a, b) in enumerate(zip(system.moves.op, system.moves.a, system.moves.b, strict=True)):
        if op >= 3:
            x, y = values[a], values[b]
            values[node] = {3: ~x, 4: x & y, 5: x | y, 6: x ^ y}[int(op)]
    return [bool(values[guard].any()) for guard in system.move_guard]


def test_without_a_reset_outside_somebody_shut_in_is_not_seen() -> None:
    code = "person_among_animals.rear"
    found = verify(*installed(replace(REAR, rear=Guard.LOCKED, rear_view=False)), faults=False, codes=[code])
    (finding,) = found.findings
    assert finding.answer == Answer.REACHED
    assert finding.story is not None
    assert "A worker shuts the rear access gate." in finding.story.sentences


def test_a_scope_that_proves_and_the_whole_agree_where_the_whole_is_small() -> None:
    """The proof by scope against the search of everything, on an installation small enough for both."""
    netlist, plant = installed(replace(SMALL, limited=False))
    from stockproof.logic.explore import explore

    for stated in properties_of(netlist, plant):
        _, whole = build_world(netlist, plant, [stated], replace(EVERYTHING, watch=stated.scope.watch))
        exact = explore(whole)
        _, scoped = build_world(netlist, plant, [stated], stated.scope)
        over = explore(scoped)
        assert exact.complete
        assert over.complete
        if over.first_bad[0] is None:
            assert exact.first_bad[0] is None, stated.code


def test_a_story_found_with_the_rest_at_rest_is_found_in_the_whole() -> None:
    from stockproof.logic.explore import explore

    netlist, plant = installed(SMALL)
    found = verify(netlist, plant, faults=False)
    reached = [f.property for f in found.findings if f.answer == Answer.REACHED]
    assert reached
    for stated in reached:
        _, whole = build_world(netlist, plant, [stated], replace(EVERYTHING, watch=stated.scope.watch))
        assert explore(whole).first_bad[0] is not None, stated.code


def test_every_move_of_the_plant_happens_somewhere() -> None:
    """Covers: a plant that cannot move would make every property hold."""
    from stockproof.logic.explore import explore

    for rig in (SMALL, REAR, Rig(hold=False)):
        netlist, plant = installed(rig)
        _, system = build_world(netlist, plant)
        found = explore(system)
        assert found.complete
        never = [name for name, count in zip(system.move_names, found.covered, strict=True) if count == 0]
        assert never == []


def test_permit_everything_reaches_every_bad_state() -> None:
    from stockproof.logic.explore import explore

    netlist, plant = installed(FULL)
    for stated in properties_of(netlist, plant):
        _, system = build_world(netlist, plant, [stated], stated.scope, permissive=True)
        assert explore(system).first_bad[0] is not None, stated.code


@pytest.fixture(scope="module")
def struck() -> Verification:
    return verify(*installed(replace(REAR, rear=Guard.LOCKED)))


@pytest.mark.parametrize(
    ("kind", "target", "effect", "code"),
    [
        (FaultKind.STUCK_OFF, "entry.astride", FaultEffect.DANGEROUS, "closes_on_animal.entry"),
        (FaultKind.STUCK_ON, "entry.astride", FaultEffect.DETECTED, ""),
        (FaultKind.STUCK_ON, "rear_access.closed", FaultEffect.DANGEROUS, "person_among_animals.rear"),
        (FaultKind.STUCK_OFF, "rear_access_lock.closed", FaultEffect.DETECTED, ""),
        (FaultKind.STUCK_ON, "panel.emergency_ok", FaultEffect.DANGEROUS, "moves_while_stopped.line"),
        (FaultKind.STUCK_OFF, "panel.emergency_ok", FaultEffect.ALREADY, ""),
        (FaultKind.VALVE_DRIVES, "bail.close", FaultEffect.DANGEROUS, "closes_on_trunk.bail"),
    ],
)
def test_single_faults(struck: Verification, kind: FaultKind, target: str, effect: FaultEffect, code: str) -> None:
    (finding,) = [f for f in struck.faults if (f.fault.kind, f.fault.target) == (kind, target)]
    assert finding.effect == effect
    assert not finding.not_shown
    if code:
        story = dict(finding.dangerous)[code]
        assert finding.fault.sentence in story.sentences


def test_a_restart_of_the_controller_starts_nothing(struck: Verification) -> None:
    (dip,) = [f for f in struck.faults if f.fault.kind == FaultKind.RESTART]
    assert (dip.dangerous, dip.not_shown) == ((), ())


def test_a_fault_that_strikes_at_what_fails_already_is_not_called_tolerated(struck: Verification) -> None:
    failing = {f.property.code for f in struck.findings if f.answer == Answer.REACHED}
    assert failing == {"presses_in_reach.front", "opens_toward.front", "presses_on_down.crush"}
    bail = [f for f in struck.faults if f.fault.target == "bail.open"]
    assert bail
    assert all(set(f.already) <= failing and f.already for f in bail)
    assert all(f.effect in (FaultEffect.ALREADY, FaultEffect.DANGEROUS) for f in bail)
    only = [f.property.code for f in struck.findings if f.answer == Answer.HOLDS]
    holding = verify(*installed(replace(REAR, rear=Guard.LOCKED)), codes=only, strike=lambda f: f.target == "")
    assert [f.effect for f in holding.faults] == [FaultEffect.TOLERATED]


def test_any_number_of_workers_gives_the_same_findings(struck: Verification) -> None:
    again = verify(*installed(replace(REAR, rear=Guard.LOCKED)), workers=3)
    assert [(f.fault, f.effect, f.dangerous, f.lost) for f in again.faults] == [
        (f.fault, f.effect, f.dangerous, f.lost) for f in struck.faults
    ]


def test_a_fault_strikes_only_from_where_it_is_said_to() -> None:
    netlist, plant = installed(SMALL)
    fault = Fault(FaultKind.STUCK_ON, "panel.entry.close", "The contact sticks.")
    world, _ = build_world(netlist, plant, (), EVERYTHING, fault, strikes=True)
    assert world.first["struck"] is False
    assert EVERYTHING.rest == Rest.NONE


def test_a_second_switch_on_the_rear_gate_mends_a_stuck_one() -> None:
    code = "person_among_animals.rear"
    effects = {}
    for switches in (1, 2):
        rig = replace(REAR, rear=Guard.LOCKED, rear_switches=switches)
        found = verify(*installed(rig), codes=[code])
        stuck = [
            f for f in found.faults if (f.fault.kind, f.fault.target) == (FaultKind.STUCK_ON, "rear_access.closed")
        ]
        effects[switches] = stuck[0].effect
        assert answers(found) == {code: Answer.HOLDS}
    assert effects[1] == FaultEffect.DANGEROUS
    assert effects[2] in (FaultEffect.TOLERATED, FaultEffect.DETECTED)


def test_every_dangerous_fault_has_a_design_answer(struck: Verification) -> None:
    netlist, _ = installed(replace(REAR, rear=Guard.LOCKED))
    for finding in struck.faults:
        if finding.effect == FaultEffect.DANGEROUS:
            assert len(design_answer(finding.fault, netlist)) > 20
    guard = Fault(FaultKind.STUCK_ON, "rear_access.closed", "")
    assert design_answer(guard, netlist).startswith("a second switch of another kind")


def test_at_the_memory_cap_nothing_is_shown_and_the_states_explored_are_told() -> None:
    code = "starts_by_itself.entry.open"
    netlist, plant = installed(FULL)
    (finding,) = verify(netlist, plant, faults=False, codes=[code], cap_bytes=1 << 19, covers=False).findings
    assert finding.answer == Answer.NOT_SHOWN
    assert finding.reason == f"{finding.states} states explored"
    (whole,) = verify(netlist, plant, faults=False, codes=[code], covers=False).findings
    assert whole.answer == Answer.HOLDS
    assert 1000 < finding.states < whole.states
