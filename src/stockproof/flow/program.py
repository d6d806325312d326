"""Puts a control program, the plant it runs on and the motion law together as the one `PROGRAM` record."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from stockproof.errors import Fault, InputError
from stockproof.flow import tables as t
from stockproof.flow.names import controls_of
from stockproof.flow.watch import truths_shown
from stockproof.motion.laws import MotionLaws, constant_laws
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["program_of"]


def program_of(netlist: Netlist | None, plant: Plant | None, laws: MotionLaws | None) -> t.Records:
    """Put netlist, plant and motion law together for the kernel; empty for a line without powered parts.

    Raises
    ------
    InputError
        The control program or the plant is larger than the tables.
    """
    record = np.zeros(1, t.PROGRAM)
    if netlist is None or plant is None:
        record["levels"] = 1
        return record
    laws = laws or constant_laws({motion.name: motion.time_s for motion in plant.motions})
    _refuse_large(netlist, plant, laws)
    p = record[0]
    _put_netlist(p, netlist)
    _put_plant(p, netlist, plant)
    _put_laws(p, [motion.name for motion in netlist.motions], laws)
    return record


def _refuse_large(netlist: Netlist, plant: Plant, laws: MotionLaws) -> None:
    sizes = {
        "logic nodes": len(netlist),
        "remembered bits": len(netlist.memories),
        "sensors": len(plant.sensors),
        "plant truths": len(truths_shown(netlist, plant)),
        "nodes of plant truth": len(plant.truth),
        "oil levels": laws.level_m3.size,
    }
    faults = [
        Fault(f"the control program has {size} {kind}", allowed=f"at most {t.LIMITS[kind]}")
        for kind, size in sizes.items()
        if size > t.LIMITS[kind]
    ]
    if faults:
        raise InputError(faults)


def _put(p: Any, **columns: Any) -> None:
    for name, values in columns.items():
        p[name][: len(values)] = values


def _put_netlist(p: Any, netlist: Netlist) -> None:
    where = {entry.name: entry.node for entry in netlist.inputs}
    p["nodes"], p["memories"] = len(netlist), len(netlist.memories)
    _put(
        p,
        op=netlist.op,
        a=netlist.a,
        b=netlist.b,
        memory_node=netlist.memory_node,
        memory_next=netlist.memory_next,
        memory_start=netlist.memory_start,
        motion_node=netlist.motion_node,
        motion_request=[motion.request for motion in netlist.motions],
        timer_when=netlist.timer_when,
        timer_running=netlist.timer_running,
        timer_elapsed=netlist.timer_elapsed,
        timer_preset_s=netlist.timer_preset_s,
        control_node=[where[name] for name in controls_of(netlist)],
    )


def _put_plant(p: Any, netlist: Netlist, plant: Plant) -> None:
    where = {entry.name: entry.node for entry in netlist.inputs}
    of_name = {motion.name: motion for motion in plant.motions}
    motions = [of_name[motion.name] for motion in netlist.motions]
    shown = truths_shown(netlist, plant)
    p["sensors"], p["truths"], p["truth_nodes"] = len(plant.sensors), len(shown), len(plant.truth)
    _put(
        p,
        sensor_node=[where.get(sensor.name, -1) for sensor in plant.sensors],
        sensor_sure=plant.sensor_sure,
        truth_op=plant.truth.op,
        truth_a=plant.truth.a,
        truth_b=plant.truth.b,
        truth_node=plant.truth_node[shown],
        motion_part=[motion.part for motion in motions],
        motion_target=[motion.target / 2 for motion in motions],
        motion_undriven=[motion.undriven for motion in motions],
    )


def _put_laws(p: Any, names: Sequence[str], laws: MotionLaws) -> None:
    """The motion law with its rows in the netlist's order of motions."""
    rows = [laws.index(name) for name in names]
    levels = laws.level_m3.size
    p["levels"] = levels
    p["time_s"][: len(rows), :levels] = laws.time_s[rows]
    _put(p, lag_s=laws.lag_s[rows], oil_m3=laws.oil_m3[rows])
    _put(p, level_m3=laws.level_m3, level_pressure_pa=laws.level_pressure_pa)
    for name in ("pump_m3_per_s", "leak_m3_per_s", "cut_in_m3", "cut_out_m3", "start_m3"):
        p[name] = getattr(laws, name)
