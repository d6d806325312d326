"""Operator cards: for each setting of the hold and sort switches, what the line does by itself and what it waits for.

Which steps a setting can reach, what moves in them and when they go on is worked out from the functions of the
netlist, with the switches fixed; nothing is written by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from stockproof.logic.export.dependence import NO
from stockproof.logic.export.people import Program, settled
from stockproof.logic.export.rules import Way
from stockproof.logic.export.sequence_chart import driven_in
from stockproof.netlist.model import Chart, InputKind, Op
from stockproof.scene.pages import Bullets, Cell, Column, Paragraph, Section, Table

__all__ = ["Setting", "operator_cards", "reachable_steps", "settings_of"]

SWITCHES = ("hold", "sort")
#: What everybody who works the line is told, whatever the setting.
RULES = Bullets(
    (
        "See the animal and every person near it before you press; stay until the part has stopped.",
        "An emergency stop takes leave away at once. Releasing it starts nothing: reset, then press anew.",
        "Go behind or beside an animal only with the guard of that space open, so that the entry is kept shut.",
    )
)


@dataclass(frozen=True, slots=True)
class Setting:
    """Switches with their positions; `values` are all signals this fixes, by name."""

    title: str
    values: dict[str, bool]

    def nodes(self, program: Program) -> dict[int, bool]:
        """Give the same by node."""
        known = {i.name: i.node for i in program.fields}
        return {known[name]: value for name, value in self.values.items() if name in known}


def settings_of(program: Program) -> tuple[Setting, ...]:
    """Give every combination of the switches the installation has."""
    netlist = program.netlist
    there = [word for word in SWITCHES if program.assembly.groups.get(word)]
    constants = {name: bool(netlist.a[node]) for name, node in netlist.names.items() if netlist.op[node] == Op.CONST}
    found = []
    for values in product((True, False), repeat=len(there)):
        title = ", ".join(f"{word} {'on' if value else 'off'}" for word, value in zip(there, values, strict=True))
        fixed = dict(constants)
        for word, value in zip(there, values, strict=True):
            members = program.assembly.groups[word]
            fixed |= dict.fromkeys((f"any.{word}", f"all.{word}", *members), value)
        found.append(Setting(title or "no switches", fixed))
    return tuple(found)


def operator_cards(program: Program) -> tuple[Section, ...]:
    """Give a card for each setting, and one for the buttons and lamps."""
    cards = [_card(program, setting) for setting in settings_of(program)]
    return (
        Section("Operator cards", (RULES,)),
        *cards,
        Section("Buttons and lamps", (_buttons(program), _lamps(program)), 2),
    )


def reachable_steps(program: Program, chart: Chart, setting: Setting) -> tuple[int, ...]:
    """Give the numbers of the steps a sequence can reach with the switches so, the first one if it cannot run."""
    diagrams, fixed = program.diagrams, setting.nodes(program)
    numbers = {name: k for k, (name, _, _) in enumerate(chart.steps)}
    if not _can_run(program, chart, setting):
        return (0,)
    found, todo = {0}, [0]
    while todo:
        source = todo.pop()
        blocked = NO
        for t in (t for t in chart.transitions if numbers[t.source] == source):
            when = diagrams.and_(diagrams.given(diagrams.of(t.when), fixed), diagrams.not_(blocked))
            blocked = diagrams.or_(blocked, when)
            if when != NO and numbers[t.target] not in found:
                found.add(numbers[t.target])
                todo.append(numbers[t.target])
    return tuple(sorted(found))


def _can_run(program: Program, chart: Chart, setting: Setting) -> bool:
    """Whether what enables the sequence can be set, and is not reset at once, with the switches so."""
    function = program.diagrams.body(chart.enabled)
    return program.diagrams.given(function, setting.nodes(program)) != NO


def _card(program: Program, setting: Setting) -> Section:
    tables = [_steps(program, chart, setting) for chart in program.netlist.charts if _can_run(program, chart, setting)]
    title = setting.title[0].upper() + setting.title[1:]
    if not tables:
        words = "The line is worked by hand: a part moves while its button is held, and only then. No program runs."
        return Section(title, (Paragraph(words),), 2)
    words = "Reset gives leave; a separate press on start lets the program run. A turn of a switch ends it."
    return Section(title, (Paragraph(words), *tables), 2)


def _steps(program: Program, chart: Chart, setting: Setting) -> Table:
    rows: list[tuple[Cell, ...]] = []
    reached = reachable_steps(program, chart, setting)
    for k in reached:
        driven = driven_in(program, chart, k, setting.nodes(program))
        moves = "; ".join(program.label(m) + ("" if always else ", on a condition") for m, always in driven)
        goes = "; ".join(_goes(program, chart, k, setting, reached))
        rows.append((k, chart.steps[k][1], moves or "nothing by itself", goes or "stays until it is stopped"))
    columns = (
        Column("Step", align="right"),
        Column("What happens", share=2),
        Column("What moves by itself", share=3),
        Column("Goes on", share=4),
    )
    return Table(f"card {setting.title} {chart.name}", "", columns, tuple(rows))


def _goes(program: Program, chart: Chart, source: int, setting: Setting, reached: tuple[int, ...]) -> Iterator[str]:
    numbers = {name: k for k, (name, _, _) in enumerate(chart.steps)}
    ways: tuple[Way, ...] = program.book.ways[chart.name]
    for way in ways:
        when = settled(way.when, setting.values)
        if numbers[way.go.source] == source and numbers[way.go.target] in reached and program.words(when) != "never":
            yield f"to {numbers[way.go.target]} when {program.words(when)}"


def _buttons(program: Program) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (program.terminals[i.name][0], i.label, "while held" if i.kind == InputKind.MOMENTARY else "stays as turned")
        for i in program.fields
        if i.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED)
    ]
    columns = (Column("Terminal"), Column("Control", share=4), Column("Acts", share=1))
    return Table("buttons and switches", "Buttons and switches", columns, tuple(rows))


def _lamps(program: Program) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (program.terminals[lamp.name][0], program.label(lamp.name)) for lamp in program.netlist.lamps
    ]
    return Table("lamps", "Lamps", (Column("Terminal"), Column("Says", share=1)), tuple(rows))
