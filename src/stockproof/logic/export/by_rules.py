"""Writes a rulebook as function blocks: one for each part, one for each sequence, and the program that calls them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from stockproof.logic.export.blocks import Block, into_blocks
from stockproof.logic.export.layout import INDENT, Scribe, call, duration_literal, ended
from stockproof.logic.export.model import Code, Pou, Variable
from stockproof.logic.export.names import Namer, comment, source_of, wrapped
from stockproof.logic.export.rules import Definition, Rulebook, Way
from stockproof.logic.rules import Sequence as Steps
from stockproof.netlist.expression import And, Const, Not, Or, names
from stockproof.netlist.model import InputKind, Lamp, Motion

__all__ = ["code_by_rules"]

#: Our own blocks for edges: the standard's falling-edge block reports an edge at its first scan where its input is off.
LET_GO = Pou(
    "FB_Let_Go",
    "FUNCTION_BLOCK",
    "True for the one scan in which CLK has become false; unlike F_TRIG, nothing at the first scan.",
    (Variable("CLK"),),
    (Variable("Q"),),
    (Variable("was"),),
    ("Q := NOT CLK AND was;", "was := CLK;"),
)
CHANGED = Pou(
    "FB_Changed",
    "FUNCTION_BLOCK",
    "True for the one scan in which CLK differs from the scan before; before the first scan it counts as false.",
    (Variable("CLK"),),
    (Variable("Q"),),
    (Variable("was"),),
    ("Q := CLK XOR was;", "was := CLK;"),
)
#: Block that remembers for a form: its type, the inputs its terms go to, its output, and the ending of its name.
REMEMBERING = {
    "latch": ("RS", ("S", "R1"), "Q1", "latch"),
    "rising": ("R_TRIG", ("CLK",), "Q", "edge"),
    "falling": (LET_GO.name, ("CLK",), "Q", "edge"),
    "changed": (CHANGED.name, ("CLK",), "Q", "edge"),
    "on_delay": ("TON", ("IN",), "Q", "delay"),
}


def code_by_rules(book: Rulebook) -> Code:
    """Give the program of a rulebook."""
    return _Writer(book).code()


class _Writer:
    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self.name = Namer()
        self.scribe = Scribe(self.name)
        self.fields = [i for i in book.netlist.inputs if i.kind != InputKind.ELAPSED]
        self.outputs: dict[str, Motion | Lamp] = {m.name: m for m in book.netlist.motions}
        self.outputs |= {lamp.name: lamp for lamp in book.netlist.lamps}
        for name in (*(f.name for f in self.fields), *self.outputs):
            self.name(name)
        self.blocks = into_blocks(book.definitions, [*(f.name for f in self.fields), *book.steps])
        self.labels = {d.name: d.label for d in book.definitions} | {f.name: f.label for f in self.fields}
        self.labels |= {f"{c.name}.{s[0]}": s[1] for c in book.netlist.charts for s in c.steps}
        self.home = {name: block.name for block in self.blocks for name in block.gives}

    def code(self) -> Code:
        edges = {definition.form for definition in self.book.definitions}
        own = [pou for form, pou in (("falling", LET_GO), ("changed", CHANGED)) if form in edges]
        blocks = [self._block(block) for block in self.blocks]
        sequences = [self._sequence(sequence) for sequence in self.book.assembly.sequences]
        pous = (*own, *blocks, *sequences, self._program(blocks, sequences))
        inputs = {field.name: self.name(field.name) for field in self.fields}
        outputs = {name: self.name(name) for name in self.outputs}
        return Code("rules", pous, inputs, outputs, {name: self.name(name) for name in (*self.home, *self.book.steps)})

    def _variable(self, name: str, start: str = "") -> Variable:
        return Variable(self.name(name), start=start, comment=self.labels.get(name, ""))

    def _block(self, block: Block) -> Pou:
        reported = [n for n in block.gives if n in self._read_outside(block) or self._of_motion(n)]
        kept = [self._variable(n) for n in block.gives if n not in reported]
        body: list[str] = []
        for definition in block.definitions:
            lines, instance = self._definition(definition)
            body += lines
            kept += [instance] if instance else []
        return Pou(
            self.name(f"FB_{_capital(block.name)}"),
            "FUNCTION_BLOCK",
            self._about(block),
            tuple(self._variable(n) for n in block.reads),
            tuple(self._variable(n) for n in reported),
            tuple(kept),
            tuple(body),
        )

    def _read_outside(self, block: Block) -> set[str]:
        found = {w for other in self.blocks if other is not block for w in other.reads} | {*self.outputs}
        return found | {w for s in self.book.assembly.sequences for w in self._sequence_reads(s)}

    def _of_motion(self, name: str) -> bool:
        return any(name.startswith(f"{motion.name}.") for motion in self.book.netlist.motions)

    def _about(self, block: Block) -> str:
        group, _, number = block.name.partition(" ")
        if group == "controls":
            return "Controls of one meaning at several control points"
        device = next((d.label for d in self.book.assembly.devices if d.name == group), "")
        later = "; called later in the scan, because it reads what other parts do" if number else ""
        return f"{device or group.replace('_', ' ').capitalize()}{later}"

    def _definition(self, definition: Definition) -> tuple[list[str], Variable | None]:
        lines = ["", *wrapped(_head(definition))]
        target = self.name(definition.name)
        if definition.form in ("all", "any"):
            return lines + self._terms(target, definition), None
        kind, pins, output, ending = REMEMBERING[definition.form]
        instance = Variable(self.name(f"{definition.name}.{ending}"), kind)
        given = [(pin, term.expression) for pin, term in zip(pins, definition.terms, strict=True)]
        preset = [f"PT := {duration_literal(definition.delay_s)}"] if kind == "TON" else []
        lines += self.scribe.call(instance.name, given, preset)
        return [*lines, f"{target} := {instance.name}.{output};"], instance

    def _terms(self, target: str, definition: Definition) -> list[str]:
        """One term a line with its reason; what is constant and changes nothing is left out."""
        every = definition.form == "all"
        terms = [t for t in definition.terms if t.expression != Const(every)]
        if not terms or any(t.expression == Const(not every) for t in terms):
            return [f"{target} := {Const(every != bool(terms))};"]
        told = definition.source is None and any(t.because or t.source for t in terms)
        kind = And if every else Or
        if not told or (len(terms) == 1 and not terms[0].because):
            whole = kind(tuple(t.expression for t in terms)) if len(terms) > 1 else terms[0].expression
            return ended(self.scribe.spread(f"{target} := ", whole), ";")
        lines = [f"{target} :="]
        for k, term in enumerate(terms):
            word = "" if k == 0 else "AND " if every else "OR "
            where = source_of(term.source.place) if term.source else ""
            text = self.scribe.text(term.expression, kind if len(terms) > 1 else None)
            lines += [*wrapped(f"{term.because} {where}".strip(), INDENT), f"{INDENT}{word}{text}"]
        return ended(lines, ";")

    def _sequence_reads(self, sequence: Steps) -> list[str]:
        """What a sequence reads besides its own steps."""
        own = {f"{sequence.name}.{step.name}" for step in sequence.steps}
        found = [*names(self.book.enabled[sequence.name])]
        found += [w for way in self.book.ways[sequence.name] for w in names(way.when)]
        return [word for word in dict.fromkeys(found) if word not in own]

    def _sequence(self, sequence: Steps) -> Pou:
        own = [f"{sequence.name}.{step.name}" for step in sequence.steps]
        number = self.name(f"{sequence.name}.step")
        body = wrapped("Without leave to run it stands in its first step.")
        body += ended(self.scribe.spread("IF ", Not(self.book.enabled[sequence.name])), " THEN")
        body += [f"{INDENT}{number} := 0;", "ELSE", f"{INDENT}CASE {number} OF"]
        for k, step in enumerate(sequence.steps):
            ways = [way for way in self.book.ways[sequence.name] if way.go.source == step.name]
            body += [f"{INDENT * 2}{k}: {comment(step.label)}", *self._ways(sequence, number, k, ways)]
        body += [f"{INDENT}ELSE", f"{INDENT * 2}{number} := 0;", f"{INDENT}END_CASE;", "END_IF;", ""]
        body += [f"{self.name(name)} := {number} = {k};" for k, name in enumerate(own)]
        return Pou(
            self.name(f"FB_{_capital(sequence.name)}_Sequence"),
            "FUNCTION_BLOCK",
            f"{sequence.label}, step by step; called last, so that all others read the step before",
            tuple(self._variable(n) for n in self._sequence_reads(sequence)),
            (
                Variable(number, "INT", "0", "number of the active step"),
                *(self._variable(n, "" if k else "TRUE") for k, n in enumerate(own)),
            ),
            (),
            tuple(body),
        )

    def _ways(self, sequence: Steps, number: str, k: int, ways: Sequence[Way]) -> Iterator[str]:
        places = {step.name: n for n, step in enumerate(sequence.steps)}
        labels = {step.name: step.label for step in sequence.steps}
        word = "IF"
        for way in ways:
            if way.when == Const(False):
                continue
            yield from wrapped(source_of(way.go.place), INDENT * 3)
            yield from ended(self.scribe.spread(f"{INDENT * 3}{word} ", way.when), " THEN")
            yield f"{INDENT * 4}{number} := {places[way.go.target]}; {comment(labels[way.go.target])}"
            word = "ELSIF"
        yield f"{INDENT * 3}END_IF;" if word == "ELSIF" else f"{INDENT * 3}{number} := {k};"

    def _program(self, blocks: Sequence[Pou], sequences: Sequence[Pou]) -> Pou:
        parts = {
            b.name: Variable(self.name(f"{b.name}.block"), p.name) for b, p in zip(self.blocks, blocks, strict=True)
        }
        steps = self.book.assembly.sequences
        runs = [Variable(self.name(f"{s.name}.sequence.block"), p.name) for s, p in zip(steps, sequences, strict=True)]
        body: list[str] = []
        for sequence, run in zip(steps, runs, strict=True):
            body += [comment(f"The steps of {sequence.label} as they stand at the start of the scan.")]
            own = [self.name(f"{sequence.name}.{step.name}") for step in sequence.steps]
            body += [*(f"{name} := {run.name}.{name};" for name in own), ""]
        body.append(comment("Every part once, each after what it reads."))
        for block in self.blocks:
            body += call(parts[block.name].name, self._given(block.reads, parts))
        body += ["", comment("The sequences last: they go to the next step.")] if runs else []
        for sequence, run in zip(steps, runs, strict=True):
            body += call(run.name, self._given(self._sequence_reads(sequence), parts))
        body += ["", comment("Outputs.")]
        body += [f"{self.name(n)} := {parts[self.home[n]].name}.{self.name(n)};" for n in self.outputs]
        return Pou(
            self.name("Control"),
            "PROGRAM",
            "Runs once a scan: reads the inputs, calls every block in order, writes the outputs.",
            tuple(Variable(self.name(f.name), comment=_with_terminal(f.label, f.terminal)) for f in self.fields),
            tuple(self._output(name) for name in self.outputs),
            (*(self._variable(name) for name in self.book.steps), *parts.values(), *runs),
            tuple(body),
        )

    def _given(self, reads: Iterable[str], parts: dict[str, Variable]) -> list[str]:
        """Where the program finds each signal: in a block that has been called, or among its own variables."""
        found = []
        for name in reads:
            word = self.name(name)
            found.append(
                f"{word} := {parts[self.home[name]].name}.{word}" if name in self.home else f"{word} := {word}"
            )
        return found

    def _output(self, name: str) -> Variable:
        made = self.outputs[name]
        return Variable(self.name(name), comment=_with_terminal(made.label or self.labels[name], made.terminal))


def _with_terminal(label: str, terminal: str) -> str:
    return f"{label}; terminal {terminal}" if terminal else label


def _capital(words: str) -> str:
    return "_".join(part.capitalize() for part in words.replace(" ", "_").split("_"))


def _head(definition: Definition) -> str:
    """What stands above a definition: its name, what it means, why, and where it was written."""
    motion, _, number = definition.name.partition(".permit.")
    where = source_of(definition.source.place) if definition.source else ""
    if number:
        why = f"; it is missing when {definition.because}" if definition.because else ""
        return f"Permit {number} of {motion}{why} {where}"
    label = f": {definition.label}" if definition.label else ""
    because = f"; {definition.because}" if definition.because else ""
    return f"{definition.name}{label}{because} {where}"
