"""Tries weakened controls and asks whether the checker notices: the mutation score.

A mutant that does the same from every memory and input is no weakening at all and does not count. Of the others each is
checked without a fault, then, if nothing is noticed, under every single fault; only what the unweakened control's check
does not say, too, counts. What then passes is redundant, and why is looked for: another permit that stands in for it,
or what becomes of the bad states that it bears on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import partial

from stockproof.errors import InputError
from stockproof.logic.assembly import Assembly
from stockproof.logic.faults import Fault, single_faults
from stockproof.logic.findings import Answer, FaultEffect, Verification
from stockproof.logic.likeness import Likeness, equivalent
from stockproof.logic.lower import lower
from stockproof.logic.mutants import Mutant, mutants_of
from stockproof.logic.properties import properties_of
from stockproof.logic.verification import never_driven, verify
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["MOST_STATES", "UNNOTICED", "Caught", "Trial", "try_mutants"]

#: Threads that strike faults.
WORKERS = 2
#: States that the single faults of one mutant may take: beyond it what they do is not looked into.
MOST_STATES = 20_000_000
#: Faults whose story is looked for before a proof that is lost counts as lost only.
STORIES = 2


class Caught(Enum):
    """How a mutant was noticed, or why it was not."""

    REFUSED = "refused when lowered"
    DEAD = "a motion that should move never does"
    PROPERTY = "breaks a property"
    PROOF = "loses the proof of a property, with no story found"
    FAULT = "breaks a property under a single fault"
    FAULT_PROOF = "a single fault is no longer shown to be harmless"
    EQUIVALENT = "is no weakening: whatever is remembered and shown, it drives, lights and remembers the same"
    REDUNDANT = "changes nothing that is checked"
    NOT_SHOWN = "not shown: more states than the budget under single faults"


#: What does not count as noticed; of these an equivalent one does not count at all.
UNNOTICED = (Caught.REDUNDANT, Caught.NOT_SHOWN)


@dataclass(frozen=True, slots=True)
class Trial:
    """What became of a mutant: how it was caught and by what, or why it is redundant."""

    what: str
    caught: Caught
    by: str


def try_mutants(
    assembly: Assembly,
    plant: Plant,
    faults: bool = True,
    wanted: Callable[[Mutant], bool] = lambda _: True,
    progress: Callable[[str, float], None] = lambda what, share: None,
    most_states: int = MOST_STATES,
) -> tuple[Trial, ...]:
    """Check every mutant without a fault, and what passes under every single fault.

    Parameters
    ----------
    faults : bool
        Check under single faults too.
    wanted : callable
        Which mutants to try.
    most_states : int
        States that the single faults of one mutant may take.
    """
    progress("weakened rules", 0.0)
    bench = _Bench(assembly, plant, faults, most_states)
    chosen = [mutant for mutant in mutants_of(assembly) if wanted(mutant)]
    trials = []
    for count, mutant in enumerate(chosen, 1):
        trials.append(bench.trial(mutant))
        progress("weakened rules", count / len(chosen))
    return tuple(trials)


class _Bench:
    """What the unweakened control's check says, against which each mutant is held."""

    def __init__(self, assembly: Assembly, plant: Plant, faults: bool, most_states: int) -> None:
        self.plant, self.faults, self.most_states = plant, faults, most_states
        self.netlist = lower(assembly)
        self.healthy = verify(self.netlist, plant, faults=faults, stories=False, workers=WORKERS)
        self.answers = {f.property.code: f.answer for f in self.healthy.findings}
        self.dangers = _dangers(self.healthy)
        self.likeness = Likeness()
        self.rests_on = self._rests_on(self.netlist)

    def trial(self, mutant: Mutant) -> Trial:
        try:
            netlist = lower(mutant.assembly)
        except InputError as error:
            return Trial(mutant.what, Caught.REFUSED, error.faults[0].what)
        if equivalent(self.netlist, netlist):
            return Trial(mutant.what, Caught.EQUIVALENT, "")
        touched = self.touched(netlist)
        caught, by = self._without_fault(netlist) or self._under_faults(netlist, touched) or (None, "")
        if caught is None:
            return Trial(mutant.what, Caught.REDUNDANT, "; ".join(self._reasons(mutant, touched)))
        return Trial(mutant.what, caught, by)

    def touched(self, netlist: Netlist) -> list[str]:
        """Codes of the properties that look at something that was changed."""
        now = self._rests_on(netlist)
        return [code for code, rests_on in self.rests_on.items() if now.get(code) != rests_on]

    def _rests_on(self, netlist: Netlist) -> dict[str, tuple[tuple[str, int], ...]]:
        return {p.code: self.likeness.of(netlist, self.plant, p) for p in properties_of(netlist, self.plant)}

    def lost(self, netlist: Netlist) -> set[str]:
        """Codes of properties that held before and are no longer proved."""
        held = [code for code in self.touched(netlist) if self.answers[code] == Answer.HOLDS]
        found = verify(netlist, self.plant, faults=False, stories=False, codes=held, covers=False)
        return {f.property.code for f in found.findings if f.answer != Answer.HOLDS}

    def looked_into(self, netlist: Netlist, lost: set[str]) -> dict[Answer, str]:
        """Of lost properties one of each kind until there is a story, by what the search for one says."""
        found: dict[Answer, str] = {}
        for code in {code.partition(".")[0]: code for code in sorted(lost, reverse=True)}.values():
            if Answer.REACHED not in found:
                told = verify(netlist, self.plant, faults=False, codes=[code], covers=False)
                found[told.finding(code).answer] = code
        return found

    def _without_fault(self, netlist: Netlist) -> tuple[Caught, str] | None:
        dead = set(never_driven(netlist, self.plant)) - set(self.healthy.never_driven)
        if dead:
            return Caught.DEAD, min(dead)
        lost = self.looked_into(netlist, self.lost(netlist))
        if Answer.REACHED in lost:
            return Caught.PROPERTY, lost[Answer.REACHED]
        return (Caught.PROOF, lost[Answer.NOT_SHOWN]) if Answer.NOT_SHOWN in lost else None

    def _under_faults(self, netlist: Netlist, touched: list[str]) -> tuple[Caught, str] | None:
        """What a single fault does to the mutant that it does not do to the unweakened control."""
        codes = [code for code in touched if self.answers[code] == Answer.HOLDS]
        if not self.faults or not codes:
            return None
        each = {f.property.scope: f.states for f in self.healthy.findings if f.property.code in codes}
        expected = sum(each.values()) * sum(1 for _ in single_faults(netlist, self.plant))
        if expected > self.most_states:
            return Caught.NOT_SHOWN, f"about {expected:,} states, {self.most_states:,} allowed"
        struck = verify(netlist, self.plant, stories=False, covers=False, codes=codes, workers=WORKERS)
        fresh = sorted(_dangers(struck) - self.dangers)
        for name, code in fresh[:STORIES]:
            told = verify(netlist, self.plant, codes=[code], covers=False, strike=partial(_called, name))
            if any(f.effect == FaultEffect.DANGEROUS for f in told.faults):
                return Caught.FAULT, f"{name}: {code}"
        return (Caught.FAULT_PROOF, ": ".join(fresh[0])) if fresh else None

    def _reasons(self, mutant: Mutant, touched: list[str]) -> Iterator[str]:
        """Why a rule protects nobody within the properties."""
        for other, both, alone in mutant.beside:
            broken = self._needs_either(both, alone)
            if broken:
                yield f"the permit '{other}' stands in for it: without both {broken} can happen"
                return
        if not touched:
            yield "no bad state rests on it: it serves the work"
        by_design = {f.property.code for f in self.healthy.findings if f.property.by_design}
        failing = [code for code in touched if self.answers[code] != Answer.HOLDS]
        kept_off = [code for code in touched if code in by_design]
        holding = [code for code in touched if code not in (*failing, *kept_off)]
        for words, codes in (
            ("can happen with it, too", failing),
            ("cannot happen by design", kept_off),
            ("hold without it" + ", under every single fault as before" * self.faults, holding),
        ):
            if codes:
                yield f"{words}: {_listed(codes)}"

    def _needs_either(self, both: Assembly, alone: Assembly) -> str:
        """The code of a property that breaks without two rules and not without the second alone, or empty."""
        try:
            netlist, other = lower(both), lower(alone)
        except InputError:  # a sensor that nothing else reads: such a control is not built
            return ""
        return self.looked_into(netlist, self.lost(netlist) - self.lost(other)).get(Answer.REACHED, "")


def _listed(codes: list[str]) -> str:
    """Codes; of one kind no more than one, with how many others there are."""
    kinds: dict[str, list[str]] = {}
    for code in codes:
        kinds.setdefault(code.partition(".")[0], []).append(code)
    return ", ".join(some[0] + f" and {len(some) - 1} like it" * (len(some) > 1) for some in kinds.values())


def _called(name: str, fault: Fault) -> bool:
    return fault.name == name


def _dangers(found: Verification) -> set[tuple[str, str]]:
    return {
        (f.fault.name, code)
        for f in found.faults
        if f.effect in (FaultEffect.DANGEROUS, FaultEffect.NOT_SHOWN)
        for code in (*(code for code, _ in f.dangerous), *f.not_shown)
    }
