"""The rules of an assembly, each one checked against the netlist's own nodes before it is written out as text.

What the text means is taken from the netlist; its form, order and reasons from the people who wrote the rules. Every
rule is lowered once more and has to come out as the very node the netlist holds, else `Differs` is raised and the
program is written operation by operation instead.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stockproof.logic.assembly import Assembly, Motion
from stockproof.logic.rules import Go, Rule, RuleKind, Sequence
from stockproof.netlist.build import Builder
from stockproof.netlist.expression import FALSE, TRUE, And, Const, Expression, Name, Not, Or, Xor, names
from stockproof.netlist.model import InputKind, Netlist, Op

__all__ = ["Definition", "Differs", "Rulebook", "Term", "Way"]


class Differs(Exception):
    """The rules as written are not, node by node, what the netlist holds."""


@dataclass(frozen=True, slots=True)
class Term:
    """Part of a meaning: an expression over signals, with its reason and the place it was written."""

    expression: Expression
    because: str = ""
    source: Rule | None = None


@dataclass(frozen=True, slots=True)
class Definition:
    """What a signal means.

    `form` is `all` or `any` of the terms, `latch` (the terms are set and reset; reset wins), `rising`, `falling`,
    `changed` or `on_delay` of the one term.
    """

    name: str
    form: str
    terms: tuple[Term, ...]
    label: str = ""
    delay_s: float = 0.0
    because: str = ""
    source: Rule | None = None

    @property
    def group(self) -> str:
        return "controls" if self.name.startswith(("any.", "all.")) else self.name.partition(".")[0]

    @property
    def reads(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(word for term in self.terms for word in names(term.expression)))


@dataclass(frozen=True, slots=True)
class Way:
    """A transition of a sequence, over signals."""

    go: Go
    when: Expression


class Rulebook:
    """Definitions, lamps and sequences of an assembly in terms of signals that exist.

    Raises
    ------
    Differs
        The netlist is not what these rules give.
    """

    def __init__(self, netlist: Netlist, assembly: Assembly) -> None:
        self.netlist = netlist
        self.assembly = assembly
        self._mirror = _mirror(netlist)
        self._fields = {i.name: i.node for i in netlist.inputs if i.kind != InputKind.ELAPSED}
        self._motions = {m.name: m for m in netlist.motions}
        self.steps = {f"{c.name}.{s[0]}": s[2] for c in netlist.charts for s in c.steps}
        self.definitions = (*self._named(), *self._moved(), *self._shown())
        self.definitions = (*self._grouped(), *self.definitions)
        self.ways = {s.name: tuple(self._ways(s)) for s in assembly.sequences}
        self.enabled = {s.name: self.plain(s.enabled) for s in assembly.sequences}

    def plain(self, expression: Expression) -> Expression:
        """Give an expression over signals that exist: what is absent becomes a constant and is folded away."""
        match expression:
            case Const():
                return expression
            case Name():
                return self._signal(expression)
            case Not(term):
                inner = self.plain(term)
                return Const(not inner.value) if isinstance(inner, Const) else Not(inner)
            case And(terms):
                return _joined(And, [self.plain(term) for term in terms])
            case Or(terms):
                return _joined(Or, [self.plain(term) for term in terms])
            case Xor(terms):
                return Xor(tuple(self.plain(term) for term in terms))

    def _signal(self, name: Name) -> Expression:
        """A name of one signal; of a group with one member, that member; of nothing, the constant it stands for."""
        word = name.name
        head, _, rest = word.partition(".")
        if word in self._fields or word in self.steps or word in self._motions or word in self.assembly.named:
            return Name(word)
        if head in ("any", "all"):
            members = self.assembly.groups.get(rest, ())
            return Name(members[0]) if len(members) == 1 else Name(word) if members else Const(head == "all")
        return Name(word) if word in self.netlist.names else FALSE

    def _node(self, name: Name) -> int:
        word = name.name
        if word in self._fields:
            return self._fields[word]
        if word in self._motions:
            return self._motions[word].node
        if word in self.netlist.names:
            return self.netlist.names[word]
        head, _, rest = word.partition(".")
        members = [self._fields[member] for member in self.assembly.groups.get(rest, ())]
        if head == "all":
            return self._mirror.and_(members)
        return self._mirror.or_(members) if head == "any" else self._mirror.constant(False)

    def _lower(self, expression: Expression) -> int:
        return self._mirror.expression(expression, self._node)

    def _term(self, rule: Rule) -> Term:
        return Term(self.plain(rule.when), rule.because, rule)

    def _named(self) -> Iterator[Definition]:
        known = {*self._fields, *self.steps, *self._motions, *(lamp.name for lamp in self.netlist.lamps)}
        known |= {i.name for i in self.netlist.inputs} | {m.name for m in self.netlist.memories}
        known |= {f"{name}.{word}" for name in self._motions for word in ("request", "permit")}
        known |= {f"{m.name}.permit.{k + 1}" for m in self.assembly.motions for k in range(len(m.permits))}
        for word, node in self.netlist.names.items():
            if word in known:
                continue
            if word not in self.assembly.named:
                raise Differs(f"{word} is no rule's")
            yield self._definition(word, node, self.assembly.named[word])

    def _definition(self, word: str, node: int, found: tuple[Rule, ...]) -> Definition:
        rule, builder = found[0], self._mirror
        label = next((r.label for r in found if r.label), "")
        whens = [self._lower(r.when) for r in found]
        if rule.kind in (RuleKind.DEFINE, RuleKind.ALL_OF, RuleKind.ANY_OF):
            every = rule.kind == RuleKind.ALL_OF
            _same(word, node, builder.and_(whens) if every else builder.or_(whens))
            return Definition(word, "all" if every else "any", tuple(self._term(r) for r in found), label)
        if rule.kind == RuleKind.ON_DELAY:
            timer = next((t for t in self.netlist.timers if t.name == word), None)
            if timer is None or (timer.when, timer.q, timer.preset_s) != (whens[0], node, rule.delay_s):
                raise Differs(f"{word} is another timer")
            return Definition(word, "on_delay", (self._term(rule),), label, rule.delay_s, rule.because, rule)
        return self._remembered(word, node, rule, whens[0], label)

    def _remembered(self, word: str, node: int, rule: Rule, when: int, label: str) -> Definition:
        builder = self._mirror
        memory = next((m for m in self.netlist.memories if m.name == f"{word}.last" and not m.start), None)
        if memory is None:
            raise Differs(f"{word} remembers nothing")
        last = memory.node
        terms: tuple[Term, ...] = (self._term(rule),)
        if rule.kind == RuleKind.LATCH:
            reset = rule.reset or FALSE
            made = following = builder.and_([builder.not_(self._lower(reset)), builder.or_([when, last])])
            terms = (*terms, Term(self.plain(reset)))
        else:
            following = when
            made = {
                RuleKind.RISING: lambda: builder.and_([when, builder.not_(last)]),
                RuleKind.FALLING: lambda: builder.and_([builder.not_(when), last]),
                RuleKind.CHANGED: lambda: builder.xor([when, last]),
            }[rule.kind]()
        _same(word, node, made)
        _same(f"{word}.last", memory.next, following)
        return Definition(word, rule.kind.value, terms, label, because=rule.because, source=rule)

    def _moved(self) -> Iterator[Definition]:
        for motion in self.assembly.motions:
            _same(motion.name, self._motions[motion.name].request, self._requested(motion))
            yield Definition(f"{motion.name}.request", "any", tuple(self._term(r) for r in motion.requests))
        for motion in self.assembly.motions:
            yield from self._permitted(motion)
            made, builder = self._motions[motion.name], self._mirror
            against = [builder.not_(self._motions[other].request) for other in motion.against]
            _same(motion.name, made.node, builder.and_([made.request, made.permit, *against]))
            yield Definition(motion.name, "all", tuple(_drive(motion)), made.label)

    def _requested(self, motion: Motion) -> int:
        return self._mirror.or_([self._lower(r.when) for r in motion.requests])

    def _permitted(self, motion: Motion) -> Iterator[Definition]:
        permits = [f"{motion.name}.permit.{k + 1}" for k in range(len(motion.permits))]
        nodes = [self.netlist.names[word] for word in permits]
        for word, node, rule in zip(permits, nodes, motion.permits, strict=True):
            _same(word, node, self._lower(rule.when))
            yield Definition(word, "all", (self._term(rule),), because=rule.because, source=rule)
        _same(motion.name, self._motions[motion.name].permit, self._mirror.and_(nodes))
        yield Definition(f"{motion.name}.permit", "all", tuple(Term(Name(word)) for word in permits))

    def _shown(self) -> Iterator[Definition]:
        for (rule, signal), lamp in zip(self.assembly.lamps, self.netlist.lamps, strict=True):
            _same(lamp.name, lamp.node, self._lower(rule.when))
            if lamp.name != (signal.name if signal else rule.target):
                raise Differs(f"{lamp.name} is another lamp")
            yield Definition(lamp.name, "all", (self._term(rule),), lamp.label or (signal.label if signal else ""))

    def _grouped(self) -> Iterator[Definition]:
        read = [word for definition in self.definitions for word in definition.reads]
        for s in self.assembly.sequences:
            read += [w for e in (s.enabled, *(go.when for go in s.goes)) for w in names(self.plain(e))]
        for word in sorted({word for word in read if word.startswith(("any.", "all."))}):
            head, _, rest = word.partition(".")
            terms = tuple(Term(Name(member)) for member in self.assembly.groups[rest])
            yield Definition(word, head, terms)

    def _ways(self, sequence: Sequence) -> Iterator[Way]:
        chart = next(c for c in self.netlist.charts if c.name == sequence.name)
        goes = [go for step in sequence.steps for go in sequence.goes if go.source == step.name]
        for go, made in zip(goes, chart.transitions, strict=True):
            _same(f"{sequence.name}: {go.source} to {go.target}", made.when, self._lower(go.when))
            yield Way(go, self.plain(go.when))
        _same(f"{sequence.name} enabled", chart.enabled, self._lower(sequence.enabled))
        for k, following in enumerate(self._following(sequence)):
            _same(f"{sequence.name}, bit {k}", self.netlist.memories[chart.memories[k]].next, following)

    def _following(self, sequence: Sequence) -> list[int]:
        """The next value of each bit of the step's number: first transition of the active step; not enabled, zero."""
        builder = self._mirror
        number = {step.name: k for k, step in enumerate(sequence.steps)}
        targets: list[tuple[int, int]] = []
        for step in sequence.steps:
            free = self.steps[f"{sequence.name}.{step.name}"]
            for go in (go for go in sequence.goes if go.source == step.name):
                when = self._lower(go.when)
                targets.append((number[go.target], builder.and_([free, when])))
                free = builder.and_([free, builder.not_(when)])
            targets.append((number[step.name], free))
        enabled, bits = self._lower(sequence.enabled), max(1, (len(sequence.steps) - 1).bit_length())
        into = [[node for target, node in targets if target >> k & 1] for k in range(bits)]
        return [builder.and_([enabled, builder.or_(nodes)]) for nodes in into]


def _drive(motion: Motion) -> Iterator[Term]:
    yield Term(Name(f"{motion.name}.request"), "somebody or the program asks for it")
    yield Term(Name(f"{motion.name}.permit"), "every permit is there")
    for other in motion.against:
        yield Term(Not(Name(f"{other}.request")), "and nobody asks for the opposite")


def _mirror(netlist: Netlist) -> Builder:
    """A builder that already holds the netlist's rows under the same numbers."""
    builder = Builder()
    for node, (op, a, b) in enumerate(zip(netlist.op.tolist(), netlist.a.tolist(), netlist.b.tolist(), strict=True)):
        match op:
            case Op.CONST:
                made = builder.constant(a == 1)
            case Op.INPUT:
                made = builder.input(netlist.inputs[a].name, netlist.inputs[a].kind)
            case Op.MEMORY:
                made = builder.memory(netlist.memories[a].name, netlist.memories[a].start)
            case Op.NOT:
                made = builder.not_(a)
            case Op.AND:
                made = builder.and_([a, b])
            case Op.OR:
                made = builder.or_([a, b])
            case _:
                made = builder.xor([a, b])
        _same(f"node {node}", node, made)
    return builder


def _same(what: str, node: int, made: int) -> None:
    if node != made:
        raise Differs(what)


def _joined(kind: type[And] | type[Or], terms: Iterable[Expression]) -> Expression:
    neutral = kind is And
    kept = [term for term in terms if not (isinstance(term, Const) and term.value == neutral)]
    if any(isinstance(term, Const) for term in kept):
        return Const(not neutral)
    return kind(tuple(kept)) if len(kept) > 1 else kept[0] if kept else (TRUE if neutral else FALSE)
