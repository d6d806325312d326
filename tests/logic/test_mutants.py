"""Every weakening of the control is noticed, or listed as redundant with its reason; and the logic settles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stockproof.logic import assemble
from stockproof.logic.lower import lower
from stockproof.logic.mutants import Caught, Trial, mutants_of, try_mutants
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of, plant_of
from stockproof.logic.settle import settles
from stockproof.logic.verification import verify
from stockproof.netlist.build import Builder
from stockproof.netlist.kernel import scan
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Guard

LOCKED = Rig(rear=Guard.LOCKED, rear_view=True, limited=False)


def tried(word: str) -> dict[str, Trial]:
    assembly = assemble(devices_of(LOCKED))
    permits = try_mutants(assembly, plant_of(LOCKED), faults=False, wanted=lambda m: f"{word} the permit" in m.what)
    return {trial.what: trial for trial in permits}


def test_every_permit_left_out_is_noticed_or_redundant_for_a_known_reason() -> None:
    left_out = tried("without")
    redundant = {what.partition("permit ")[2] for what, t in left_out.items() if t.caught == Caught.REDUNDANT}
    # leave is also asked for by `line.hands_free` and `line.running`; the cleared space implies the shut gate; the
    # lock's own sensor covers the lock's drive
    assert redundant == {"'line.ready'", "'rear_access.closed'", "'NOT rear_access_lock.open'"}
    assert sum(t.caught != Caught.REDUNDANT for t in left_out.values()) >= 5


@pytest.mark.deep
def test_an_inverted_permit_is_noticed_by_harm_or_by_a_dead_motion() -> None:
    inverted = {what: t.caught for what, t in tried("inverted:").items()}
    assert {what for what, caught in inverted.items() if caught == Caught.REDUNDANT} == {
        "entry.open inverted: the permit 'NOT rear_access_lock.open'"
    }
    assert Caught.DEAD in inverted.values()
    assert Caught.PROPERTY in inverted.values()


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
