"""Weakens the control one rule at a time and asks whether the checker notices.

A mutant that no property notices, neither without a fault nor under a single one, is a rule that protects nobody within
the properties: it is listed as redundant with its reason, not passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import Enum

from stockproof.errors import InputError
from stockproof.logic.assembly import Assembly
from stockproof.logic.findings import Answer, FaultEffect, Verification
from stockproof.logic.lower import lower
from stockproof.logic.rules import Rule, RuleKind
from stockproof.logic.verification import verify
from stockproof.netlist.expression import FALSE, TRUE, And, Not
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["Caught", "Mutant", "Trial", "mutants_of", "try_mutants"]


#: Threads that strike faults.
WORKERS = 2


class Caught(Enum):
    """How a mutant was noticed."""

    REFUSED = "refused when lowered"
    PROPERTY = "breaks a property"
    PROOF = "loses the proof of a property, with no story found"
    FAULT = "a single fault is no longer shown to be harmless"
    DEAD = "a motion that should move never does"
    REDUNDANT = "changes nothing that is checked"


@dataclass(frozen=True, slots=True)
class Mutant:
    """One weakened rule; `what` says how, `rule` is the rule as it was."""

    what: str
    rule: Rule
    assembly: Assembly


@dataclass(frozen=True, slots=True)
class Trial:
    """What became of a mutant: how it was caught and by what, or why it is redundant."""

    what: str
    caught: Caught
    by: str


def mutants_of(assembly: Assembly) -> Iterator[Mutant]:
    """Give every mutant: permits left out or inverted, latches never reset, conditions of transitions left out."""
    for motion in assembly.motions:
        for k, permit in enumerate(motion.permits):
            for what, when in (("without", TRUE), ("inverted:", Not(permit.when))):
                changed = (*motion.permits[:k], replace(permit, when=when), *motion.permits[k + 1 :])
                motions = tuple(replace(m, permits=changed) if m is motion else m for m in assembly.motions)
                text = f"{motion.name} {what} the permit '{permit.when}'"
                yield Mutant(text, permit, replace(assembly, motions=motions))
    for name, (rule, *_) in assembly.named.items():
        if rule.kind == RuleKind.LATCH:
            named = {**assembly.named, name: (replace(rule, reset=FALSE),)}
            yield Mutant(f"{name} never reset", rule, replace(assembly, named=named))
    yield from _loose_transitions(assembly)


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


def try_mutants(
    assembly: Assembly,
    plant: Plant,
    faults: bool = True,
    wanted: Callable[[Mutant], bool] = lambda _: True,
    progress: Callable[[str, float], None] = lambda what, share: None,
) -> tuple[Trial, ...]:
    """Check every mutant against the properties, and if it passes them, against single faults too."""
    progress("mutants", 0.0)
    healthy = verify(lower(assembly), plant, faults=faults, stories=False, workers=WORKERS)
    chosen = [mutant for mutant in mutants_of(assembly) if wanted(mutant)]
    trials = []
    for count, mutant in enumerate(chosen, 1):
        trials.append(_try(mutant, plant, healthy, faults))
        progress("mutants", count / len(chosen))
    return tuple(trials)


def _try(mutant: Mutant, plant: Plant, healthy: Verification, faults: bool) -> Trial:
    try:
        netlist = lower(mutant.assembly)
    except InputError as error:
        return Trial(mutant.what, Caught.REFUSED, error.faults[0].what)
    found = verify(netlist, plant, faults=False, stories=False)
    before = {f.property.code: f.answer for f in healthy.findings}
    lost = [f.property.code for f in found.findings if f.answer != before[f.property.code] == Answer.HOLDS]
    broken = {code: _looked_into(netlist, plant, code) for code in _first_of_each_kind(lost)}
    for answer, caught in ((Answer.REACHED, Caught.PROPERTY), (Answer.NOT_SHOWN, Caught.PROOF)):
        if answer in broken.values():
            return Trial(mutant.what, caught, next(code for code, given in broken.items() if given == answer))
    dead = set(found.never_driven) - set(healthy.never_driven)
    if dead:
        return Trial(mutant.what, Caught.DEAD, min(dead))
    struck = verify(netlist, plant, stories=False, covers=False, workers=WORKERS) if faults else healthy
    fresh = _dangers(struck) - _dangers(healthy)
    if fresh:
        return Trial(mutant.what, Caught.FAULT, min(fresh))
    return Trial(mutant.what, Caught.REDUNDANT, _reason(mutant, healthy))


def _reason(mutant: Mutant, healthy: Verification) -> str:
    """Why a rule protects nobody within the properties: what it is for, and what happens or is kept off anyway."""
    if not mutant.rule.because:
        return "it serves the work, not safety"
    part = mutant.what.partition(".")[0]
    about = [f for f in healthy.findings if part in (f.property.scope.parts or ())]
    failing = [f.property.code for f in about if f.answer != Answer.HOLDS]
    kept_off = [f.property.code for f in about if f.property.by_design]
    notes = [f"already not held: {', '.join(failing)}"] * bool(failing)
    notes += [f"kept off by design: {', '.join(kept_off)}"] * bool(kept_off)
    return "; ".join([mutant.rule.because, *notes])


def _first_of_each_kind(codes: list[str]) -> list[str]:
    return list({code.partition(".")[0]: code for code in reversed(codes)}.values())


def _looked_into(netlist: Netlist, plant: Plant, code: str) -> Answer:
    """What the exact search says where the scope that was enough before is so no longer."""
    return verify(netlist, plant, faults=False, codes=[code], covers=False).finding(code).answer


def _dangers(found: Verification) -> set[str]:
    return {
        f"{f.fault.kind.value} {f.fault.target}: {code}"
        for f in found.faults
        if f.effect in (FaultEffect.DANGEROUS, FaultEffect.NOT_SHOWN)
        for code in (*(code for code, _ in f.dangerous), *f.not_shown)
    }
