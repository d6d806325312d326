"""Cause-and-effect matrix of a control program: what can turn each effect on or off, decided on the function.

Remembered signals (latches, timers) are both effects of what sets them and causes of what reads them, so that a row
says what a cause does within one scan and nothing is hidden behind a chain of memories.

References
----------
IEC 62881:2018, *Cause and effect matrix*: causes in rows, effects in columns (from memory; the marks are our own).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from stockproof.logic.export.dependence import NO, Diagrams
from stockproof.netlist.model import Chart, InputKind, Netlist, Op

__all__ = ["MARKS", "Matrix", "Thing", "cause_effect", "remembered"]

Mark = Literal["", "N", "S", "A", "H", "B"]
#: What each mark says of its cause.
MARKS: dict[Mark, str] = {
    "N": "needed: without the cause the effect is off",
    "S": "stops: with the cause the effect is off",
    "A": "asks: can turn the effect on, never off",
    "H": "hinders: can turn the effect off, never on",
    "B": "both: on or off, as the rest stands",
}


@dataclass(frozen=True, slots=True)
class Thing:
    """A cause or an effect: `kind` is sensor, control, step, remembered, timer, motion, sequence or lamp."""

    name: str
    label: str
    terminal: str
    kind: str
    node: int


@dataclass(frozen=True, slots=True)
class Matrix:
    """`marks[cause][effect]`, in the order of `causes` and `effects`."""

    causes: tuple[Thing, ...]
    effects: tuple[Thing, ...]
    marks: tuple[tuple[Mark, ...], ...]

    def mark(self, cause: str, effect: str) -> Mark:
        """Give the mark of a cause for an effect, by their names."""
        row = next(k for k, thing in enumerate(self.causes) if thing.name == cause)
        column = next(k for k, thing in enumerate(self.effects) if thing.name == effect)
        return self.marks[row][column]


def remembered(netlist: Netlist) -> dict[str, int]:
    """Give the named signals that keep their value: the node of every latch."""
    named = {node for node in netlist.names.values() if netlist.op[node] >= Op.NOT}
    found = {}
    for memory in netlist.memories:
        name = memory.name.removesuffix(".last")
        if name != memory.name and netlist.names.get(name) == memory.next:
            function = Diagrams(netlist, named - {memory.next})
            if memory.node in function.support(function.body(memory.next)):
                found[name] = memory.next
    return found


def cause_effect(netlist: Netlist) -> Matrix:
    """Give the matrix of a netlist: fields, steps, remembered signals and timers against all they drive."""
    kept = remembered(netlist)
    timers = {t.name: t.q for t in netlist.timers if netlist.op[t.q] >= Op.NOT}
    diagrams = Diagrams(netlist, {*kept.values(), *timers.values()})
    causes, effects = tuple(_causes(netlist, kept, timers)), tuple(_effects(netlist, kept, timers))
    functions = [_function(diagrams, netlist, effect) for effect in effects]
    reads = [frozenset(diagrams.support(f)) for f in functions]
    columns = list(zip(functions, reads, strict=True))
    marks = tuple(tuple(_mark(diagrams, netlist, cause, f, known) for f, known in columns) for cause in causes)
    return Matrix(causes, effects, marks)


def _causes(netlist: Netlist, kept: dict[str, int], timers: dict[str, int]) -> Iterator[Thing]:
    words = {InputKind.SENSOR: "sensor", InputKind.MOMENTARY: "control", InputKind.MAINTAINED: "control"}
    for kind in ("control", "sensor"):
        for i in netlist.inputs:
            if words.get(i.kind) == kind:
                yield Thing(i.name, i.label, i.terminal, kind, i.node)
    for chart in netlist.charts:
        for name, label, node in chart.steps:
            yield Thing(f"{chart.name}.{name}", label, "", "step", node)
    yield from _kept(netlist, kept, timers)


def _kept(netlist: Netlist, kept: dict[str, int], timers: dict[str, int]) -> Iterator[Thing]:
    labels = {m.name: m.label.removesuffix(" (last scan)") for m in netlist.memories}
    for name, node in kept.items():
        yield Thing(name, labels[f"{name}.last"], "", "remembered", node)
    for t in netlist.timers:
        if t.name in timers:
            yield Thing(t.name, t.label, "", "timer", t.q)


def _effects(netlist: Netlist, kept: dict[str, int], timers: dict[str, int]) -> Iterator[Thing]:
    for m in netlist.motions:
        yield Thing(m.name, m.label, m.terminal, "motion", m.node)
    yield from _kept(netlist, kept, timers)
    for chart in netlist.charts:
        yield Thing(chart.name, f"{chart.label} goes on to another step", "", "sequence", -1)
    for lamp in netlist.lamps:
        yield Thing(lamp.name, lamp.label, lamp.terminal, "lamp", lamp.node)


def _function(diagrams: Diagrams, netlist: Netlist, effect: Thing) -> int:
    if effect.kind == "sequence":
        chart = next(c for c in netlist.charts if c.name == effect.name)
        return diagrams.and_(diagrams.of(chart.enabled), _leaves(diagrams, chart))
    if effect.kind == "timer":
        return diagrams.of(next(t.when for t in netlist.timers if t.q == effect.node))
    return diagrams.body(effect.node) if effect.kind == "remembered" else diagrams.of(effect.node)


def _leaves(diagrams: Diagrams, chart: Chart) -> int:
    """True where some transition of the active step is taken."""
    active = {name: diagrams.of(node) for name, _, node in chart.steps}
    taken = [diagrams.and_(active[t.source], diagrams.of(t.when)) for t in chart.transitions]
    return diagrams.or_(*taken) if taken else NO


def _mark(diagrams: Diagrams, netlist: Netlist, cause: Thing, f: int, reads: frozenset[int]) -> Mark:
    if cause.kind == "step":
        return _of_step(diagrams, netlist, cause, f)
    if cause.node not in reads:
        return ""
    on, off = (diagrams.given(f, {cause.node: value}) for value in (True, False))
    return _compared(diagrams, on, off, off)


def _of_step(diagrams: Diagrams, netlist: Netlist, cause: Thing, f: int) -> Mark:
    """The step active, against every other step of its sequence active."""
    chart = next(c for c in netlist.charts if cause.name.startswith(f"{c.name}."))
    bits = [netlist.memories[k].node for k in chart.memories]
    codes = [{bit: bool(n >> k & 1) for k, bit in enumerate(bits)} for n in range(len(chart.steps))]
    number = next(n for n, (name, _, _) in enumerate(chart.steps) if cause.name == f"{chart.name}.{name}")
    on = diagrams.given(f, codes[number])
    others = [diagrams.given(f, code) for n, code in enumerate(codes) if n != number]
    if all(other == on for other in others):
        return ""
    return _compared(diagrams, on, diagrams.and_(*others), diagrams.or_(*others))


def _compared(diagrams: Diagrams, on: int, least: int, most: int) -> Mark:
    """How the function with the cause compares with the least and most it is without."""
    if on == least == most:
        return ""
    if most == NO:
        return "N"
    if on == NO:
        return "S"
    if diagrams.implies(most, on):
        return "A"
    return "H" if diagrams.implies(on, least) else "B"
