"""Lists for the people who wire, set up and repair the line: inputs and outputs, timers, why a motion does not come."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.logic.export.cause_effect import MARKS
from stockproof.logic.export.dependence import NO
from stockproof.logic.export.layout import duration_literal
from stockproof.logic.export.model import SCAN_INTERVAL_S
from stockproof.logic.export.names import source_of
from stockproof.logic.export.people import CONTROL_VOLTAGE_SOURCE, CONTROL_VOLTAGE_V, INPUT_LEVELS, Program
from stockproof.logic.rules import Rule
from stockproof.netlist.model import InputKind, Motion
from stockproof.scene.pages import Cell, Column, Quantity, Table

__all__ = ["LEVELS_NOTE", "addresses", "io_table", "matrix_table", "timer_table", "why_table"]

ON = f"{CONTROL_VOLTAGE_V:g} V"
OFF = "0 V"
KINDS = {
    InputKind.SENSOR: "sensor",
    InputKind.MOMENTARY: "button",
    InputKind.MAINTAINED: "switch",
}
LEVELS_NOTE = (
    f"Voltages are d.c. against the common of the control supply, assumed to be {ON} ({CONTROL_VOLTAGE_SOURCE}); an "
    f"input counts as on from 11 V and as off up to 5 V ({INPUT_LEVELS}). Measure with the part at rest, people clear."
)


def io_table(program: Program) -> Table:
    """Give every input and output with terminal, expected voltage, variable and proposed address."""
    rows: list[tuple[Cell, ...]] = []
    places = addresses(program)
    for i in program.fields:
        variable = program.code.inputs[i.name]
        at = _terminal(program, i.name)
        rows.append((*at, "in", KINDS[i.kind], i.label, ON, variable, places[i.name]))
    for o in program.outputs:
        kind = "valve" if isinstance(o, Motion) else "lamp"
        variable = program.code.outputs[o.name]
        label = o.label or program.label(o.name)
        rows.append((*_terminal(program, o.name), "out", kind, label, ON, variable, places[o.name]))
    return Table(
        "inputs and outputs",
        "",
        (
            Column("Terminal"),
            Column("Given by"),
            Column("Way"),
            Column("Kind"),
            Column("What it is", share=3),
            Column("When true", share=1),
            Column("Variable", share=2),
            Column("Address"),
        ),
        tuple(rows),
        note="Terminals given by this list and all addresses are proposals.",
    )


def _terminal(program: Program, name: str) -> tuple[str, str]:
    terminal, by_catalogue = program.terminals[name]
    return terminal, "catalogue" if by_catalogue else "this list"


def addresses(program: Program) -> dict[str, str]:
    """Give a proposed address for every input and output, bit by bit in the order of the list."""
    found = {i.name: f"%IX{k // 8}.{k % 8}" for k, i in enumerate(program.fields)}
    return found | {o.name: f"%QX{k // 8}.{k % 8}" for k, o in enumerate(program.outputs)}


def timer_table(program: Program) -> Table:
    """Give every timer and parameter with its value, what it waits for, and where it was stated."""
    rows: list[tuple[Cell, ...]] = []
    by_name = {d.name: d for d in program.book.definitions}
    for t in program.netlist.timers:
        rule = by_name[t.name].source if t.name in by_name else None
        starts = program.words(by_name[t.name].terms[0].expression) if t.name in by_name else ""
        literal = duration_literal(t.preset_s)
        rows.append((t.name, t.label, Quantity(t.preset_s, "duration", unit="s"), literal, starts, _where(rule)))
    scan, volts = Quantity(SCAN_INTERVAL_S, "duration", unit="s"), Quantity(CONTROL_VOLTAGE_V, "voltage")
    literal = duration_literal(SCAN_INTERVAL_S)
    rows.append(("scan interval", "time from scan to scan", scan, literal, "always", str(CONTROL_VOLTAGE_SOURCE)))
    rows.append(("control voltage", "supply of inputs and outputs", volts, "", "always", str(CONTROL_VOLTAGE_SOURCE)))
    return Table(
        "timers and parameters",
        "",
        (
            Column("Name", share=1),
            Column("What it is", share=2),
            Column("Value", align="right"),
            Column("In the code"),
            Column("Runs while", share=3),
            Column("Stated in", share=2),
        ),
        tuple(rows),
        note="A timer's output comes at the first scan at or after its time: up to one scan late, never early.",
    )


def _where(rule: Rule | None) -> str:
    return source_of(rule.place).strip("[]") if rule else ""


def matrix_table(program: Program) -> Table:
    """Give the whole cause-and-effect matrix as a table."""
    matrix = program.matrix
    columns = (Column("Cause"), Column("Kind"), Column("Terminal"), *(Column(effect.name) for effect in matrix.effects))
    rows = tuple(
        (cause.name, cause.kind, program.terminals.get(cause.name, ("", True))[0], *marks)
        for cause, marks in zip(matrix.causes, matrix.marks, strict=True)
    )
    note = "; ".join(f"{mark} {says}" for mark, says in MARKS.items())
    return Table("cause and effect", "Cause and effect", columns, rows, note=note)


def why_table(program: Program) -> Table:
    """For each motion, what it needs: the permit, where to look, what to measure, what to do."""
    rows: list[tuple[Cell, ...]] = []
    groups: list[int] = []
    for motion in program.assembly.motions:
        groups.append(len(rows))
        rows.append(
            (f"{_said(program.label(motion.name))} ({program.terminals[motion.name][0]})", None, None, None, None)
        )
        rows += _asked(program, motion.name, "nobody asks for it", True)
        for k, rule in enumerate(motion.permits, 1):
            rows += _needs(program, f"{motion.name}.permit.{k}", rule.because or f"permit {k} is missing")
        for other in motion.against:
            rows += _asked(program, other, f"the opposite is asked for: {program.label(other)}", False)
    groups.append(len(rows))
    rows.append(("What the controller remembers", None, None, None, None))
    rows += [("", _said(program.label(name)), "", "", _how_set(program, name)) for name in program.kept]
    return Table(
        "why won't it move",
        "",
        (
            Column("It does not come when", share=3),
            Column("Look at", share=3),
            Column("Terminal"),
            Column("Must be", share=1),
            Column("If it is not", share=4),
        ),
        tuple(rows),
        groups=tuple(groups),
    )


def _asked(program: Program, motion: str, why: str, wanted: bool) -> Iterator[tuple[Cell, ...]]:
    """The controls that ask for a motion and what they need to be listened to; and whether the program asks."""
    kinds = {i.node: i.kind for i in program.fields}
    diagrams = program.diagrams
    asked = diagrams.of(program.netlist.names[f"{motion}.request"])
    support = diagrams.support(asked)
    for node in support:
        if kinds.get(node) == InputKind.MOMENTARY and node in program.variables:
            yield _row(program, why, node, wanted)
            why = ""
    if wanted:
        heard = [n for n in support if program.variables.get(n) == "line.hands_free"]
        yield from (_row(program, why, node, True) for node in heard)
    elif _steps(program, asked):
        yield (
            why,
            "Whether the program asks for it",
            "",
            "not so",
            "stop the program, or wait until it is past this step",
        )


def _needs(program: Program, signal: str, why: str) -> Iterator[tuple[Cell, ...]]:
    """What a permit depends on, each with the state it needs."""
    diagrams = program.diagrams
    f = diagrams.of(program.netlist.names[signal])
    for node in diagrams.support(f):
        if node not in program.variables:
            continue
        on, off = (diagrams.given(f, {node: value}) for value in (True, False))
        state = True if diagrams.implies(off, on) else False if diagrams.implies(on, off) else None
        yield _row(program, why, node, state)
        why = ""
    steps = _steps(program, f)
    if steps:
        yield (
            why,
            f"Whether the program stands at: {steps}",
            "",
            "so",
            "stop the program, or wait until it has got there",
        )


def _row(program: Program, why: str, node: int, state: bool | None) -> tuple[Cell, ...]:
    name = program.variables[node]
    if name not in program.terminals:
        must = {True: "set", False: "not set", None: "as the rest stands"}[state]
        do = "see at the end of this table" if name in program.kept else _how_set(program, name)
        return why, f"In the controller: {program.label(name)}", "", must, do
    must = {True: ON, False: OFF, None: f"{ON} or {OFF}, as the rest stands"}[state]
    return why, _said(program.label(name)), program.terminals[name][0], must, _remedy(program, name, state)


def _remedy(program: Program, name: str, state: bool | None) -> str:
    kind = next(i.kind for i in program.fields if i.name == name)
    if name.endswith(".emergency_ok"):
        return "see why the emergency stop was pressed, release it, then reset"
    if kind == InputKind.MOMENTARY:
        return "press and hold it" if state else f"let go of it; if {ON} stays, the button or its wire is at fault"
    if state is None:
        return "compare with the other signals named here"
    shown, bring = (OFF, "make it so") if state else (ON, "make it not so")
    return f"{bring}; if that is done and the terminal shows {shown}, look at the device, its supply and its wire"


def _how_set(program: Program, name: str) -> str:
    definition = next((d for d in program.book.definitions if d.name == name), None)
    if definition is None:
        return ""
    if definition.form == "latch":
        set_by, reset_by = (program.words(term.expression) for term in definition.terms)
        return f"set once: {set_by}. Lost when: {reset_by}"
    return f"true once this has lasted {definition.delay_s:g} s: {program.words(definition.terms[0].expression)}"


def _steps(program: Program, f: int) -> str:
    """The steps in which a function can be true, where it depends on the step at all."""
    found = []
    for chart in program.netlist.charts:
        bits = [program.netlist.memories[k].node for k in chart.memories]
        if not set(bits) & set(program.diagrams.support(f)):
            continue
        for n, (_, label, _) in enumerate(chart.steps):
            code = {bit: bool(n >> k & 1) for k, bit in enumerate(bits)}
            if program.diagrams.given(f, code) != NO:
                found.append(label)
    return ", or ".join(found)


def _said(label: str) -> str:
    """A label at the head of a cell begins with a capital."""
    return label[:1].upper() + label[1:]
