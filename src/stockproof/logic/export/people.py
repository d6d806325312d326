"""What the sheets for people are made from: a control program with its terminals, its words, and its functions."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property

from stockproof.figures import COMMON_PRACTICE, Source
from stockproof.logic.assembly import Assembly
from stockproof.logic.export.cause_effect import Matrix, cause_effect, remembered
from stockproof.logic.export.dependence import Diagrams
from stockproof.logic.export.layout import Scribe
from stockproof.logic.export.model import Code
from stockproof.logic.export.rules import Rulebook
from stockproof.netlist.expression import And, Const, Expression, Name, Not, Or, Xor
from stockproof.netlist.model import Input, InputKind, Lamp, Motion, Netlist, Op

__all__ = ["CONTROL_VOLTAGE_SOURCE", "CONTROL_VOLTAGE_V", "INPUT_LEVELS", "Program", "settled"]

#: Supply of the control circuit where the catalogue states none.
CONTROL_VOLTAGE_V = 24.0
CONTROL_VOLTAGE_SOURCE = COMMON_PRACTICE
#: An input of type 3 counts as on from 11 V and as off up to 5 V.
INPUT_LEVELS = Source("IEC 61131-2, digital inputs of type 3", seen=False)
#: Letter of a terminal that nobody has given: sensors B, controls S, lamps P as in the catalogue; valves Q.
LETTERS = {InputKind.SENSOR: "B", InputKind.MOMENTARY: "S", InputKind.MAINTAINED: "S", Motion: "Q", Lamp: "P"}
_NUMBER = re.compile(r"^([A-Z]+)(\d+)")


class Program:
    """A netlist with the rules it was lowered from, and the code it is exported as."""

    def __init__(self, netlist: Netlist, assembly: Assembly, code: Code, book: Rulebook) -> None:
        self.netlist, self.assembly, self.code, self.book = netlist, assembly, code, book
        self.fields = tuple(i for i in netlist.inputs if i.kind != InputKind.ELAPSED)
        self.outputs: tuple[Motion | Lamp, ...] = (*netlist.motions, *netlist.lamps)

    @property
    def _things(self) -> tuple[Input | Motion | Lamp, ...]:
        return (*self.fields, *self.outputs)

    @cached_property
    def terminals(self) -> dict[str, tuple[str, bool]]:
        """Terminal of every signal by name, and whether the catalogue gave it; else it is proposed here."""
        used: dict[str, int] = {}
        for thing in self._things:
            found = _NUMBER.match(thing.terminal)
            if found:
                used[found[1]] = max(used.get(found[1], 0), int(found[2]))
        given = {}
        for thing in self._things:
            letter = LETTERS[thing.kind if isinstance(thing, Input) else type(thing)]
            if not thing.terminal:
                used[letter] = used.get(letter, 0) + 1
            given[thing.name] = (thing.terminal or f"{letter}{used[letter]}", bool(thing.terminal))
        return given

    @cached_property
    def labels(self) -> dict[str, str]:
        """Plain words of every signal that has some."""
        words = {d.name: d.label for d in self.book.definitions}
        words |= {thing.name: thing.label for thing in self._things if thing.label}
        words |= {f"{c.name}.{s[0]}": f"{c.label} stands at: {s[1]}" for c in self.netlist.charts for s in c.steps}
        return {name: label for name, label in words.items() if label}

    @cached_property
    def kept(self) -> dict[str, int]:
        """Node of every latch by name."""
        return remembered(self.netlist)

    @cached_property
    def matrix(self) -> Matrix:
        return cause_effect(self.netlist)

    @cached_property
    def diagrams(self) -> Diagrams:
        """Functions over fields, steps' bits, latches and timers."""
        timers = {t.q for t in self.netlist.timers if self.netlist.op[t.q] >= Op.NOT}
        return Diagrams(self.netlist, {*self.kept.values(), *timers})

    @cached_property
    def variables(self) -> dict[int, str]:
        """Name of every variable of the diagrams that people know."""
        names = {i.node: i.name for i in self.fields}
        names |= {node: name for name, node in self.kept.items()}
        return names | {t.q: t.name for t in self.netlist.timers}

    def text(self, expression: Expression) -> str:
        """Give an expression with the identifiers of the code."""
        known = {**self.code.names, **self.code.inputs, **self.code.outputs}
        return Scribe(lambda name: known.get(name, name)).text(expression)

    def label(self, name: str) -> str:
        """Give plain words for a signal, its name made readable where it has none."""
        if name in self.labels:
            return self.labels[name]
        head, _, rest = name.partition(".")
        if head in ("any", "all"):
            return f"{rest.replace('.', ' ').replace('_', ' ')} at {head} control point"
        return name.replace(".", " ").replace("_", " ")

    def words(self, expression: Expression) -> str:
        """Give an expression in words."""
        match expression:
            case Const(value):
                return "always" if value else "never"
            case Name(name):
                return self._lower(self.label(name))
            case Not(term):
                inner = self.words(term)
                return f"not ({inner})"
            case And(terms):
                return ", and ".join(self.words(t) if not isinstance(t, Or) else f"({self.words(t)})" for t in terms)
            case Or(terms):
                return ", or ".join(self.words(t) if not isinstance(t, And) else f"({self.words(t)})" for t in terms)
            case Xor(terms):
                return "either " + " or ".join(self.words(term) for term in terms) + ", not both"

    @staticmethod
    def _lower(label: str) -> str:
        """A label within a sentence; what begins like a code keeps its case."""
        return label[0].lower() + label[1:] if label[1:2].islower() or label[1:2] == " " else label


def settled(expression: Expression, values: Mapping[str, bool]) -> Expression:
    """Give an expression with some names fixed and folded away."""
    match expression:
        case Const():
            return expression
        case Name(name):
            return Const(values[name]) if name in values else expression
        case Not(term):
            inner = settled(term, values)
            return Const(not inner.value) if isinstance(inner, Const) else Not(inner)
        case And(terms) | Or(terms):
            every = isinstance(expression, And)
            kept = [t for t in (settled(term, values) for term in terms) if t != Const(every)]
            if Const(not every) in kept or not kept:
                return Const(every if not kept else not every)
            return kept[0] if len(kept) == 1 else type(expression)(tuple(kept))
        case Xor(terms):
            return Xor(tuple(settled(term, values) for term in terms))
