"""Ways to run a control program on a trace of inputs: the compiled scan, the plain evaluator, the exported text.

Each gives every motion and lamp after every scan. The clock of the two netlist engines is kept here, by the words of
`netlist.model.Timer`; the exported text keeps its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np

from stockproof.logic.assembly import Assembly
from stockproof.logic.explore import explore
from stockproof.logic.export.evaluator import Machine
from stockproof.logic.export.structured_text import code_of, structured_text
from stockproof.logic.system import MOST_BITS, Program, System
from stockproof.netlist import Netlist
from stockproof.netlist.kernel import ALL, commit, fresh, scan
from stockproof.netlist.reference import evaluate_scan, started

#: Moment of a scan in seconds, and the inputs that change at it.
Trace = Sequence[tuple[float, Mapping[str, bool]]]
Outputs = list[dict[str, bool]]


class Clocks:
    """Which timers have elapsed, as the environment of a netlist has to say it."""

    def __init__(self, netlist: Netlist) -> None:
        self.netlist = netlist
        self.since: dict[str, float] = {}

    def elapsed(self, now_s: float) -> dict[str, bool]:
        names = {t.name: self.netlist.inputs[int(self.netlist.a[t.elapsed])].name for t in self.netlist.timers}
        return {
            names[t.name]: t.name in self.since and now_s - self.since[t.name] >= t.preset_s
            for t in self.netlist.timers
        }

    def look(self, now_s: float, values: Sequence[bool]) -> None:
        for t in self.netlist.timers:
            if values[t.when] and not values[t.running]:
                self.since[t.name] = now_s
            elif not values[t.when]:
                self.since.pop(t.name, None)


def run_plain(netlist: Netlist, trace: Trace) -> Outputs:
    inputs = {i.name: False for i in netlist.inputs}
    memory, clocks, outputs = started(netlist), Clocks(netlist), []
    for now_s, changes in trace:
        inputs |= {**changes, **clocks.elapsed(now_s)}
        values, memory = evaluate_scan(netlist, inputs, memory)
        clocks.look(now_s, values)
        outputs.append(_outputs(netlist, values))
    return outputs


def run_kernel(netlist: Netlist, trace: Trace, lane: int = 0) -> Outputs:
    inputs = {i.name: False for i in netlist.inputs}
    words, spare = fresh(netlist), np.zeros(len(netlist.memories), np.uint64)
    clocks, outputs = Clocks(netlist), []
    for now_s, changes in trace:
        inputs |= {**changes, **clocks.elapsed(now_s)}
        words[netlist.input_node] = [ALL if inputs[i.name] else 0 for i in netlist.inputs]
        scan(netlist.op, netlist.a, netlist.b, words)
        values = (words >> np.uint64(lane) & np.uint64(1)).astype(bool).tolist()
        clocks.look(now_s, values)
        outputs.append(_outputs(netlist, values))
        commit(netlist.memory_node, netlist.memory_next, words, spare)
    return outputs


def run_checker(netlist: Netlist, trace: Trace) -> Outputs:
    """A search a scan: memories are its state, outputs its bad states, the second state it finds is the next one."""
    inputs = {i.name: False for i in netlist.inputs}
    shown = {m.name: m.node for m in netlist.motions} | {lamp.name: lamp.node for lamp in netlist.lamps}
    watched = [*shown.values(), *(node for t in netlist.timers for node in (t.when, t.running))]
    state = sum(1 << k for k, memory in enumerate(netlist.memories) if memory.start)
    clocks, outputs = Clocks(netlist), []
    for now_s, changes in trace:
        inputs |= {**changes, **clocks.elapsed(now_s)}
        found = explore(_stepped(netlist, [inputs[i.name] for i in netlist.inputs], watched), [state])
        on = {node for node, at in zip(watched, found.first_bad, strict=True) if at is not None and at[0] == 0}
        clocks.look(now_s, [node in on for node in range(len(netlist))])
        outputs.append({name: node in on for name, node in shown.items()})
        state = int(found.queue[min(1, found.states - 1)]) & ~(1 << MOST_BITS)
    return outputs


def _stepped(netlist: Netlist, row: list[bool], watched: list[int]) -> System:
    """The program with its inputs held, as a system that only scans."""
    none = np.zeros(0, np.int32)
    return System(
        bits=tuple(memory.name for memory in netlist.memories),
        start=(0,),
        scan=Program(netlist.op, netlist.a, netlist.b),
        scan_bit=netlist.memory_node,
        scan_pattern=netlist.input_node,
        scan_next=netlist.memory_next,
        scan_carried=none,
        scan_bad=np.array(watched, np.int32),
        moves=Program(np.zeros(0, np.int8), none, none),
        move_bit=none,
        move_carried=none,
        move_guard=none,
        write_start=np.zeros(1, np.int32),
        write_bit=none,
        write_node=none,
        patterns=np.array([row], np.uint8),
        pattern_valid=np.array([-1], np.int32),
        pattern_budget=np.zeros(1, np.int8),
        pattern_below=np.full((1, 2), -1, np.int32),
        stays=True,
    )


@lru_cache(maxsize=8)
def machine_of(text: str) -> Machine:
    """A controller for a source; reading it takes longer than a run."""
    return Machine(text)


def run_exported(netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
    code = code_of(netlist, assembly)
    machine = machine_of(structured_text(code))
    machine.restart()
    outputs = []
    for now_s, changes in trace:
        given = machine.scan({code.inputs[name]: value for name, value in changes.items()}, now_s)
        outputs.append({name: given[word] for name, word in code.outputs.items()})
    return outputs


def _outputs(netlist: Netlist, values: Sequence[bool]) -> dict[str, bool]:
    motions = {motion.name: values[motion.node] for motion in netlist.motions}
    return motions | {lamp.name: values[lamp.node] for lamp in netlist.lamps}
