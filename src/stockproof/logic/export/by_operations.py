"""Writes any netlist as one program, operation by operation; for netlists whose rules are not at hand.

The meaning is exact: remembered bits are written for the next scan at the end, all at once, and every timer is one TON.
"""

from __future__ import annotations

from collections import Counter

from stockproof.errors import InternalError
from stockproof.logic.export.layout import duration_literal
from stockproof.logic.export.model import Code, Pou, Variable
from stockproof.logic.export.names import Namer, comment
from stockproof.netlist.model import InputKind, Lamp, Motion, Netlist, Op

__all__ = ["code_by_operations"]

_WORDS = {Op.AND: "AND", Op.OR: "OR", Op.XOR: "XOR"}


def code_by_operations(netlist: Netlist) -> Code:
    """Give the program of a netlist."""
    return _Operations(netlist).code()


class _Operations:
    def __init__(self, netlist: Netlist) -> None:
        self.netlist, self.name = netlist, Namer()
        self.fields = [i for i in netlist.inputs if i.kind != InputKind.ELAPSED]
        self.words = {i.node: self.name(i.name) for i in self.fields}
        self.words |= {m.node: self.name(m.name) for m in netlist.memories}
        self.timers = {t.q: (t, self.name(f"{t.name}.delay")) for t in netlist.timers if netlist.op[t.q] != Op.CONST}
        self.body: list[str] = []
        self.made: list[Variable] = []

    def code(self) -> Code:
        netlist = self.netlist
        shared = self._shared()
        for node in range(len(netlist)):
            if node in self.timers:
                self._delay(node)
            elif netlist.op[node] >= Op.NOT and node in shared:
                self._assign(self.name(f"node.{node}"), node)
        outputs: list[Motion | Lamp] = [*netlist.motions, *netlist.lamps]
        self.body += [f"{self.name(o.name)} := {self._text(o.node)};" for o in outputs]
        kept = self._remembered()
        inputs = tuple(Variable(self.words[f.node], comment=f.label) for f in self.fields)
        about = "The control as bare operations: every remembered bit, every timer, in the order of the netlist."
        made = tuple(Variable(self.name(o.name), comment=o.label) for o in outputs)
        pou = Pou(self.name("Control"), "PROGRAM", about, inputs, made, (*kept, *self.made), tuple(self.body))
        names = {f.name: self.words[f.node] for f in self.fields}
        return Code("operations", (pou,), names, {o.name: self.name(o.name) for o in outputs})

    def _remembered(self) -> list[Variable]:
        """Every next value first, then every remembered bit, so that none reads another's new value."""
        memories = self.netlist.memories
        following = [self.name(f"{m.name}.next") for m in memories]
        self.body += ["", comment("What is remembered for the next scan, all at once.")]
        self.body += [f"{word} := {self._text(m.next)};" for word, m in zip(following, memories, strict=True)]
        self.body += [f"{self.words[m.node]} := {word};" for word, m in zip(following, memories, strict=True)]
        kept = [Variable(self.words[m.node], start="TRUE" if m.start else "", comment=m.label) for m in memories]
        kept += [Variable(word) for word in following]
        return kept + [Variable(instance, "TON", comment=timer.label) for timer, instance in self.timers.values()]

    def _delay(self, node: int) -> None:
        timer, instance = self.timers[node]
        self.body.append(f"{instance}(IN := {self._text(timer.when)}, PT := {duration_literal(timer.preset_s)});")
        self.words[node] = f"{instance}.Q"

    def _assign(self, word: str, node: int) -> None:
        self.made.append(Variable(word))
        self.body.append(f"{word} := {self._text(node)};")
        self.words[node] = word

    def _shared(self) -> set[int]:
        """Nodes read more than once get a variable, so that no expression grows without bound."""
        uses: Counter[int] = Counter()
        for op, a, b in zip(self.netlist.op.tolist(), self.netlist.a.tolist(), self.netlist.b.tolist(), strict=True):
            uses.update({a} if op == Op.NOT else {a, b} if op > Op.NOT else set())
        for node in (*self.netlist.motion_node, *self.netlist.lamp_node, *self.netlist.memory_next):
            uses[int(node)] += 2
        uses.update(2 * [t.when for t in self.netlist.timers])
        return {node for node, count in uses.items() if count > 1}

    def _text(self, node: int) -> str:
        if node in self.words:
            return self.words[node]
        a, b = int(self.netlist.a[node]), int(self.netlist.b[node])
        match self.netlist.op[node]:
            case Op.CONST:
                return "TRUE" if a else "FALSE"
            case Op.NOT:
                return f"NOT {self._inner(a)}"
            case Op.AND | Op.OR | Op.XOR as op:
                return f"{self._inner(a)} {_WORDS[Op(op)]} {self._inner(b)}"
        raise InternalError(f"node {node} is the clock of a timer and is read elsewhere")

    def _inner(self, node: int) -> str:
        text = self._text(node)
        return f"({text})" if " " in text else text
