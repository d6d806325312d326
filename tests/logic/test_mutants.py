"""Every weakening of the control is noticed, or listed as redundant with its reason; and the logic settles."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from stockproof.logic import assemble
from stockproof.logic.likeness import equivalent
from stockproof.logic.lower import lower
from stockproof.logic.mutants import mutants_of
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of, plant_of
from stockproof.logic.settle import settles
from stockproof.logic.trials import UNNOTICED, Caught, Trial, try_mutants
from stockproof.logic.verification import verify
from stockproof.netlist.build import Builder
from stockproof.netlist.expression import parse
from stockproof.netlist.kernel import scan
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Guard

LOCKED = Rig(rear=Guard.LOCKED, rear_view=True, limited=False)


def tried(word: str, rig: Rig = LOCKED, **options: Any) -> dict[str, Trial]:
    trials = try_mutants(assemble(devices_of(rig)), plant_of(rig), wanted=lambda m: word in m.what, **options)
    return {trial.what: trial for trial in trials}


def test_every_permit_left_out_is_noticed_or_is_no_weakening() -> None:
    left_out = {what: t.caught for what, t in tried("without the permit").items()}
    # leave is also asked for by `line.hands_free` and `line.running`, and the cleared space implies the shut gate
    same = {what.partition("permit ")[2] for what, caught in left_out.items() if caught == Caught.EQUIVALENT}
    assert same == {"'line.ready'", "'rear_access.closed'"}
    # the lock's sensor covers its drive, but not while the entry gate leaks
    assert left_out["entry.open without the permit 'NOT rear_access_lock.open'"] == Caught.FAULT_PROOF
    assert left_out["bail.close without the permit 'NOT bail.astride'"] == Caught.PROPERTY
    assert not set(left_out.values()) & set(UNNOTICED)


def test_what_no_fault_free_check_notices_says_what_becomes_of_the_bad_states_it_bears_on() -> None:
    (trial,) = tried("without the permit 'NOT rear_access_lock.open'", faults=False).values()
    assert trial.caught == Caught.REDUNDANT
    assert trial.by.startswith("hold without it: person_among_animals.rear, ")


def test_a_permit_that_stands_in_for_another_is_named() -> None:
    """A second, stricter permit for the rear space: without it the first still keeps the entry gate shut."""
    assembly = assemble(devices_of(LOCKED))
    motion = next(m for m in assembly.motions if m.name == "entry.open")
    first = next(p for p in motion.permits if str(p.when) == "rear_access.cleared")
    stricter = replace(first, when=parse("rear_access.cleared AND NOT crush.occupied"))
    doubled = replace(motion, permits=(*motion.permits, stricter))
    motions = tuple(doubled if m is motion else m for m in assembly.motions)
    (trial,) = try_mutants(
        replace(assembly, motions=motions),
        plant_of(LOCKED),
        faults=False,
        wanted=lambda m: m.what.startswith("entry.open without") and "crush.occupied" in m.what,
    )
    assert trial.caught == Caught.REDUNDANT
    assert trial.by == (
        "the permit 'rear_access.cleared' stands in for it: without both person_among_animals.rear can happen"
    )


def test_beyond_the_budget_what_single_faults_do_is_not_shown() -> None:
    (trial,) = tried("catch without 'bail.neck'", most_states=1000).values()
    assert trial.caught == Caught.NOT_SHOWN
    assert trial.by.endswith("1,000 allowed")


@pytest.mark.deep
def test_the_score_counts_what_is_noticed_and_tells_why_the_rest_is_not() -> None:
    found = tried("")
    for trial in found.values():
        if trial.caught in UNNOTICED:
            assert trial.what.startswith("from "), trial
            assert trial.by.startswith("hold without it, under every single fault as before"), trial
    assert sum(t.caught in UNNOTICED for t in found.values()) <= 8
    assert {t.caught for t in found.values()} >= {Caught.PROPERTY, Caught.DEAD, Caught.EQUIVALENT, Caught.REFUSED}


def test_a_program_is_the_same_as_itself_and_not_as_one_without_a_permit() -> None:
    assembly = assemble(devices_of(LOCKED))
    netlist = lower(assembly)
    assert equivalent(netlist, lower(assembly))
    differs = {m.what: not equivalent(netlist, lower(m.assembly)) for m in mutants_of(assembly) if "inverted" in m.what}
    assert differs
    assert all(differs.values())


def test_latches_never_reset_are_noticed() -> None:
    assembly = assemble(devices_of(LOCKED))
    wanted = ("line.ready never reset", "line.hands_free never reset", "rear_access.cleared never reset")
    found = try_mutants(assembly, plant_of(LOCKED), faults=False, wanted=lambda m: m.what in wanted)
    assert [t.caught for t in found] == [Caught.PROPERTY] * 3


def test_mutants_are_of_every_kind() -> None:
    texts = [mutant.what for mutant in mutants_of(assemble(devices_of(LOCKED)))]
    assert len(set(texts)) == len(texts)
    for word in ("without the permit", "inverted", "never reset", "to catch without"):
        assert any(word in text for text in texts)


@pytest.mark.parametrize("rig", [SMALL, Rig(hold=False), LOCKED, MAXIMAL], ids=["holding", "by hand", "locked", "all"])
def test_the_logic_settles_and_every_motion_can_be_driven(rig: Rig) -> None:
    netlist, plant = lower(assemble(devices_of(rig))), plant_of(rig)
    found = settles(netlist)
    assert found.shown
    assert found.scans is not None
    assert found.scans <= 8
    assert most_scans(netlist, 200) <= found.scans
    assert verify(netlist, plant, faults=False, codes=[]).never_driven == ()


def most_scans(netlist: Netlist, trials: int) -> int:
    """Scans until nothing remembered changes, at most, from so many times 64 random memories and inputs."""
    random = np.random.default_rng(5)
    values = np.zeros(len(netlist.op), np.uint64)
    values[(netlist.op == 0) & (netlist.a == 1)] = ~np.uint64(0)
    nodes = [m.node for m in netlist.memories]
    following = [m.next for m in netlist.memories]
    most = 0
    for _ in range(trials):
        values[[i.node for i in netlist.inputs]] = random.integers(0, 1 << 64, len(netlist.inputs), np.uint64)
        values[nodes] = random.integers(0, 1 << 64, len(nodes), np.uint64)
        count = 0
        while count < 20:
            scan(netlist.op, netlist.a, netlist.b, values)
            if (values[nodes] == values[following]).all():
                break
            values[nodes] = values[following]
            count += 1
        most = max(most, count)
    return most


def test_logic_that_never_rests_is_not_shown_to_settle() -> None:
    builder = Builder()
    turning = builder.memory("turning", False)
    builder.remember(turning, builder.not_(turning))
    found = settles(builder.finish())
    assert not found.shown
    assert "may still change after 12 scans" in found.words


def test_two_buttons_that_mean_the_same_share_their_faults() -> None:
    rig = replace(SMALL, points=("panel", "remote"))
    found = verify(lower(assemble(devices_of(rig))), plant_of(rig), codes=["starts_by_itself.bail.open"])
    by_target = {(f.fault.kind, f.fault.target): f.effect for f in found.faults}
    for kind in {kind for kind, _ in by_target}:
        for word in ("bail.open", "entry.close", "start"):
            pair = [by_target.get((kind, f"{point}.{word}")) for point in ("panel", "remote")]
            assert pair[0] == pair[1]
