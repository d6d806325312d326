"""Lowers assembled rules to the one netlist: every motion is requested, permitted and not contended for."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from stockproof.errors import Fault, InputError, Place, nearest
from stockproof.logic.assembly import Assembly
from stockproof.logic.assembly import Motion as AssembledMotion
from stockproof.logic.rules import Go, Rule, RuleKind, Sequence
from stockproof.netlist.build import Builder
from stockproof.netlist.expression import FALSE, Expression, Name
from stockproof.netlist.model import Chart, Lamp, Motion, Netlist, Transition

__all__ = ["lower"]


def lower(assembly: Assembly) -> Netlist:
    """Give the netlist of an assembly.

    Raises
    ------
    InputError
        A rule reads a name that means nothing, rules go round in a circle, or a sensor is read by no rule.
    """
    lowering = _Lowering(assembly)
    for sequence in assembly.sequences:
        lowering.sequence(sequence)
    for motion in assembly.motions:
        lowering.motion(motion.name)
    for rule, signal in assembly.lamps:
        node = lowering.expression(rule.when)
        name, terminal = (signal.name, signal.terminal) if signal else (rule.target, "")
        lowering.builder.lamp(Lamp(name, node, rule.label, terminal, rule.place))
    lowering.finish_sequences()
    faults = [*lowering.faults, *lowering.unread()]
    if faults:
        raise InputError(list(dict.fromkeys(faults)))
    return lowering.builder.finish()


class _Lowering:
    """Resolves names on demand; `path` is the chain of names being resolved, to tell circles."""

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
        self.builder = Builder()
        self.faults: list[Fault] = []
        self.path: list[tuple[str, Place]] = []
        self.known: dict[str, int] = {}
        self.read: set[str] = set()
        self.inputs: dict[str, int] = {}
        self.motions = {motion.name: motion for motion in assembly.motions}
        self.steps: dict[str, list[int]] = {}
        for s in assembly.inputs:
            assert s.kind is not None
            self.inputs[s.name] = self.builder.input(s.name, s.kind, s.label, s.terminal, s.place)

    def expression(self, expression: Expression) -> int:
        return self.builder.expression(expression, self.resolve)

    def resolve(self, name: Name) -> int:
        word = name.name
        if word in self.inputs:
            self.read.add(word)
            return self.inputs[word]
        if word in self.known:
            return self.known[word]
        if any(word == other for other, _ in self.path):
            self.faults.append(self._circle(word, name.place))
            return self.builder.constant(False)
        with self._inside(word, name.place):
            node = self._meaning(name)
        self.known[word] = node
        return node

    def motion(self, name: str) -> int:
        if name in self.known:
            return self.known[name]
        with self._inside(name, self.motions[name].motion.place):
            node = self._drive(self.motions[name])
        self.known[name] = node
        return node

    def sequence(self, sequence: Sequence) -> None:
        """Make the remembered bits of a sequence and the nodes of its steps."""
        count = max(1, (len(sequence.steps) - 1).bit_length())
        bits = [
            self.builder.memory(f"{sequence.name}.bit{k}", False, f"{sequence.label}, bit {k}", sequence.place)
            for k in range(count)
        ]
        self.steps[sequence.name] = bits
        for number, step in enumerate(sequence.steps):
            terms = [bit if number >> k & 1 else self.builder.not_(bit) for k, bit in enumerate(bits)]
            word = f"{sequence.name}.{step.name}"
            self.known[word] = self.builder.name(word, self.builder.and_(terms))

    def finish_sequences(self) -> None:
        for sequence in self.assembly.sequences:
            self._next_step(sequence)

    def unread(self) -> Iterator[Fault]:
        for signal in self.assembly.inputs:
            if signal.name not in self.read:
                yield Fault(
                    f"nothing reads {signal.name!r} ({signal.label})",
                    signal.place,
                    mend="take it out of the build, or state a rule that reads it",
                )

    def _meaning(self, name: Name) -> int:
        word = name.name
        head, _, rest = word.partition(".")
        if word in self.motions:
            return self._drive(self.motions[word])
        if word in self.assembly.named:
            return self._definition(word, self.assembly.named[word])
        if head in ("any", "all"):
            members = [self.resolve(Name(member, name.place)) for member in self.assembly.groups.get(rest, ())]
            return self.builder.or_(members) if head == "any" else self.builder.and_(members)
        if any(head == sequence.name for sequence in self.assembly.sequences) or head in self.assembly.absent_sequences:
            return self.builder.constant(False)
        known = [*self.inputs, *self.assembly.named, *self.motions, *self.known]
        mend = nearest(word, known) or "add the sensor or control to the build, or correct the rule"
        self.faults.append(Fault(f"{word!r} means nothing in this installation", name.place, mend=mend))
        return self.builder.constant(False)

    def _definition(self, word: str, rules: tuple[Rule, ...]) -> int:
        rule, builder = rules[0], self.builder
        if rule.kind == RuleKind.ALL_OF:
            return builder.name(word, builder.and_([self.expression(r.when) for r in rules]))
        if rule.kind == RuleKind.ANY_OF:
            return builder.name(word, builder.or_([self.expression(r.when) for r in rules]))
        if rule.kind == RuleKind.DEFINE:
            return builder.name(word, self.expression(rule.when))
        if rule.kind == RuleKind.ON_DELAY:
            when = self.expression(rule.when)
            return builder.name(word, builder.on_delay(word, when, rule.delay_s, rule.label or word, rule.place))
        last = builder.memory(f"{word}.last", False, f"{rule.label or word} (last scan)", rule.place)
        when = self.expression(rule.when)
        if rule.kind == RuleKind.LATCH:
            reset = self.expression(rule.reset or FALSE)
            q = builder.and_([builder.not_(reset), builder.or_([when, last])])
            builder.remember(last, q)
            return builder.name(word, q)
        builder.remember(last, when)
        if rule.kind == RuleKind.RISING:
            return builder.name(word, builder.and_([when, builder.not_(last)]))
        if rule.kind == RuleKind.FALLING:
            return builder.name(word, builder.and_([builder.not_(when), last]))
        return builder.name(word, builder.xor([when, last]))

    def _drive(self, motion: AssembledMotion) -> int:
        """Requested, permitted, and no motion against it requested."""
        builder = self.builder
        request, permit = self._request(motion), self._permit(motion)
        against = [builder.not_(self._request(self.motions[other])) for other in motion.against]
        drive = builder.and_([request, permit, *against])
        if all(known.name != motion.name for known in builder.motions):
            made = motion.motion
            builder.motion(Motion(made.name, drive, request, permit, made.label, made.terminal, made.place))
        return drive

    def _request(self, motion: AssembledMotion) -> int:
        word = f"{motion.name}.request"
        if word not in self.known:
            with self._inside(word, motion.motion.place):
                terms = [self.expression(rule.when) for rule in motion.requests]
            self.known[word] = self.builder.name(word, self.builder.or_(terms))
        return self.known[word]

    def _permit(self, motion: AssembledMotion) -> int:
        terms = []
        for k, rule in enumerate(motion.permits):
            terms.append(self.builder.name(f"{motion.name}.permit.{k + 1}", self.expression(rule.when)))
        return self.builder.name(f"{motion.name}.permit", self.builder.and_(terms))

    def _next_step(self, sequence: Sequence) -> None:
        """Of each active step the first transition that is true is taken; not enabled, the first step is next."""
        builder, bits = self.builder, self.steps[sequence.name]
        number = {step.name: k for k, step in enumerate(sequence.steps)}
        terms: list[list[int]] = [[] for _ in bits]
        transitions = []
        for step in sequence.steps:
            free = self.known[f"{sequence.name}.{step.name}"]
            for go in (go for go in sequence.goes if go.source == step.name):
                when = self.expression(go.when)
                transitions.append(_transition(go, when))
                taken = builder.and_([free, when])
                _collect(terms, number[go.target], taken)
                free = builder.and_([free, builder.not_(when)])
            _collect(terms, number[step.name], free)
        enabled = self.expression(sequence.enabled)
        for bit, found in zip(bits, terms, strict=True):
            builder.remember(bit, builder.and_([enabled, builder.or_(found)]))
        steps = tuple((s.name, s.label, self.known[f"{sequence.name}.{s.name}"]) for s in sequence.steps)
        memories = tuple(builder.memory_position(bit) for bit in bits)
        builder.charts.append(Chart(sequence.name, sequence.label, steps, tuple(transitions), enabled, memories))

    @contextmanager
    def _inside(self, word: str, place: Place) -> Iterator[None]:
        self.path.append((word, place))
        try:
            yield
        finally:
            self.path.pop()

    def _circle(self, word: str, place: Place) -> Fault:
        start = next(k for k, (other, _) in enumerate(self.path) if other == word)
        chain = [f"{other} ({where})" for other, where in self.path[start:]]
        return Fault(
            "rules go round in a circle: " + " reads ".join([*chain, word]),
            place,
            mend="break the circle with a latch, or read a sensor instead",
        )


def _transition(go: Go, when: int) -> Transition:
    return Transition(go.source, go.target, when, str(go.when))


def _collect(terms: list[list[int]], number: int, node: int) -> None:
    for k, found in enumerate(terms):
        if number >> k & 1:
            found.append(node)
