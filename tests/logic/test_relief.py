"""Relief and release as a game."""

from __future__ import annotations

from dataclasses import replace

from stockproof.logic import assemble, lower
from stockproof.logic.faults import Fault, FaultKind, single_faults
from stockproof.logic.relief import Missing, relief_and_release
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of, plant_of
from stockproof.netlist import Netlist
from stockproof.plant.model import Plant


def installed(rig: Rig) -> tuple[Netlist, Plant]:
    return lower(assemble(devices_of(rig))), plant_of(rig)


def test_one_person_frees_the_animal_whatever_the_controls_do() -> None:
    (free,) = relief_and_release(*installed(MAXIMAL))
    assert free.forced
    # stop everything, then two positions each of squeeze and lift, then two of the bail
    assert (free.relieve_steps, free.release_steps) == (5, 7)
    assert free.means.startswith("press an emergency stop (panel)")


def test_without_stored_energy_nothing_moves() -> None:
    (free,) = relief_and_release(*installed(MAXIMAL), stored_energy=False)
    assert not free.forced
    assert (free.part, free.missing) == ("squeeze", Missing.ENERGY)


def test_valves_that_cannot_be_worked_by_hand_are_an_obstacle() -> None:
    netlist, plant = installed(SMALL)
    electric = replace(plant, motions=tuple(replace(m, manual=False) for m in plant.motions))
    (free,) = relief_and_release(netlist, electric)
    assert (free.forced, free.obstacle) == (False, "the head bail cannot be moved without electricity")


def test_only_valves_that_work_against_the_person_prevent_it() -> None:
    netlist, plant = installed(MAXIMAL)
    found = relief_and_release(netlist, plant, single_faults(netlist, plant))
    prevented = {(f.fault.kind, f.fault.target) for f in found if f.fault and not f.forced}
    assert prevented == {
        (FaultKind.VALVE_DRIVES, "squeeze.in"),
        (FaultKind.VALVE_DRIVES, "lift.raise"),
        (FaultKind.VALVE_DRIVES, "bail.close"),
        (FaultKind.VALVE_DEAD, "squeeze.out"),
        (FaultKind.VALVE_DEAD, "lift.lower"),
        (FaultKind.VALVE_DEAD, "bail.open"),
        (FaultKind.LEAKS, "squeeze.out"),
        (FaultKind.LEAKS, "lift.lower"),
        (FaultKind.LEAKS, "bail.open"),
    }
    # every one of these valves has an override, and none is of use: that cannot be the mend
    targets = {target for _, target in prevented}
    assert all(motion.manual for motion in plant.motions if motion.name in targets)
    assert {f.missing for f in found if not f.forced} == {Missing.BYPASS}


def test_with_a_dead_emergency_stop_the_isolator_is_the_means() -> None:
    netlist, plant = installed(SMALL)
    dead = Fault(FaultKind.STUCK_ON, "panel.emergency_ok", "The contact is stuck.")
    _, found = relief_and_release(netlist, plant, [dead])
    assert found.forced
    assert found.means.startswith("switch off the supply at its isolator")


def test_a_bypass_at_the_cylinder_frees_a_part_whose_valve_sticks() -> None:
    netlist, plant = installed(MAXIMAL)
    bypassed = replace(plant, motions=tuple(replace(m, bypass=m.name.startswith("bail.")) for m in plant.motions))
    stuck = [fault for fault in single_faults(netlist, plant) if fault.target.startswith(("bail.", "squeeze."))]
    found = relief_and_release(netlist, bypassed, stuck)
    lost = {fault.target for fault in (one.fault for one in found if not one.forced) if fault}
    assert lost == {"squeeze.in", "squeeze.out"}
    drives = next(one for one in found if one.fault and one.fault.name == "valve sticks driven bail.close")
    assert "the head bail open (its bypass open, pushed by hand)" in drives.means


def test_the_instruction_names_the_parts_that_are_there() -> None:
    (large,) = relief_and_release(*installed(MAXIMAL))
    assert "the squeeze off, the head lift down, the head bail open" in large.means
    (small,) = relief_and_release(*installed(SMALL))
    assert "lift" not in small.means
    assert "squeeze" not in small.means
