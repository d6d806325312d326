"""Weakens the control one rule at a time: permits left out or inverted, latches never reset, transitions loosened."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from stockproof.logic.assembly import Assembly, Motion
from stockproof.logic.rules import Rule, RuleKind
from stockproof.netlist.expression import FALSE, TRUE, And, Expression, Not

__all__ = ["Mutant", "mutants_of"]


@dataclass(frozen=True, slots=True)
class Mutant:
    """One weakened rule; `what` says how, `rule` is the rule as it was, `beside` are others that may stand in for it.

    `beside` names each other permit of the motion, with the control without both and the control without the other.
    """

    what: str
    rule: Rule
    assembly: Assembly
    beside: tuple[tuple[str, Assembly, Assembly], ...] = ()


def mutants_of(assembly: Assembly) -> Iterator[Mutant]:
    """Give every mutant: permits left out or inverted, latches never reset, conditions of transitions left out."""
    for motion in assembly.motions:
        for k, permit in enumerate(motion.permits):
            text = f"the permit '{permit.when}'"
            others = tuple(
                (
                    str(other.when),
                    _permitted(assembly, motion, {k: TRUE, j: TRUE}),
                    _permitted(assembly, motion, {j: TRUE}),
                )
                for j, other in enumerate(motion.permits)
                if j != k
            )
            without = _permitted(assembly, motion, {k: TRUE})
            yield Mutant(f"{motion.name} without {text}", permit, without, others)
            yield Mutant(f"{motion.name} inverted: {text}", permit, _permitted(assembly, motion, {k: Not(permit.when)}))
    for name, (rule, *_) in assembly.named.items():
        if rule.kind == RuleKind.LATCH:
            named = {**assembly.named, name: (replace(rule, reset=FALSE),)}
            yield Mutant(f"{name} never reset", rule, replace(assembly, named=named))
    yield from _loose_transitions(assembly)


def _permitted(assembly: Assembly, motion: Motion, changed: Mapping[int, Expression]) -> Assembly:
    permits = tuple(replace(p, when=changed.get(k, p.when)) for k, p in enumerate(motion.permits))
    return replace(assembly, motions=tuple(replace(m, permits=permits) if m is motion else m for m in assembly.motions))


def _loose_transitions(assembly: Assembly) -> Iterator[Mutant]:
    """Transitions with one conjoined condition left out."""
    for s, sequence in enumerate(assembly.sequences):
        for g, go in enumerate(sequence.goes):
            for k, term in enumerate(go.when.terms if isinstance(go.when, And) else ()):
                assert isinstance(go.when, And)
                rest = (*go.when.terms[:k], *go.when.terms[k + 1 :])
                when = And(rest) if len(rest) > 1 else rest[0]
                goes = (*sequence.goes[:g], replace(go, when=when), *sequence.goes[g + 1 :])
                changed = (*assembly.sequences[:s], replace(sequence, goes=goes), *assembly.sequences[s + 1 :])
                rule = Rule(RuleKind.DEFINE, f"{sequence.name}.{go.target}", go.when, place=go.place)
                text = f"from {go.source} to {go.target} without '{term}'"
                yield Mutant(text, rule, replace(assembly, sequences=changed))
