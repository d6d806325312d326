"""Verdicts on the control: bad states, single faults, relief and release; always within the bounds printed."""

from __future__ import annotations

from stockproof.brief import promises as kinds
from stockproof.catalogue import Catalogue
from stockproof.logic.findings import Answer, FaultEffect, Finding, Verification
from stockproof.logic.relief import Missing, Relief
from stockproof.proof.machine import assume_control
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import Ruling, judges, not_shown

__all__: list[str] = []

NOT_CHECKED = "the control is not checked in a quick run"


@judges(kinds.BadState)
def _bad_state(promise: kinds.BadState, rooms: Rooms) -> Ruling:
    """None of the bad states named (all if none is) may be reached."""
    checked = rooms.checked
    assume_control(rooms.ledger)
    if checked is None:
        return not_shown(NOT_CHECKED)
    known = {finding.property.code for finding in checked.findings}
    kinds_known = {code.split(".")[0] for code in known}
    missing = [code for code in promise.properties if code not in known | kinds_known]
    if missing:
        return not_shown(
            f"no bad state of this build is called {', '.join(missing)}; there are {', '.join(sorted(known))}"
        )
    findings = [finding for finding in checked.findings if _meant(finding, promise.properties)]
    reached = [finding for finding in findings if finding.answer is Answer.REACHED]
    if reached:
        return Ruling(state="not met", because=_stories(reached), bounds=checked.bounds)
    open_ = [finding for finding in findings if finding.answer is Answer.NOT_SHOWN]
    if open_ or checked.never_driven:
        return not_shown(_open(open_, checked), bounds=checked.bounds)
    states = sum(finding.states for finding in findings)
    because = f"none of {len(findings)} bad states is reached; {states:,} states looked at"
    return Ruling(state="met", because=because, bounds=checked.bounds)


def _meant(finding: Finding, codes: tuple[str, ...]) -> bool:
    code = finding.property.code
    return not codes or code in codes or code.split(".")[0] in codes


def _stories(reached: list[Finding]) -> str:
    """The shortest story in full; the titles of the others."""
    told = [finding for finding in reached if finding.story is not None]
    shortest = min(told, key=lambda finding: len(finding.story.steps) if finding.story else 0)
    others = [finding.property.title for finding in reached if finding is not shortest]
    sentences = shortest.story.sentences if shortest.story else ()
    story = " ".join(f"{number} {sentence}" for number, sentence in enumerate(sentences, 1))
    more = f" Also: {' '.join(others)}" if others else ""
    return f"{shortest.property.title} {story}{more}"


def _open(findings: list[Finding], checked: Verification) -> str:
    reasons = [f"{finding.property.code}: {finding.reason}" for finding in findings[:3]]
    never = [f"never driven in any state reached: {', '.join(checked.never_driven)}"] if checked.never_driven else []
    return "; ".join(reasons + never)


@judges(kinds.SingleFault)
def _single_fault(promise: kinds.SingleFault, rooms: Rooms) -> Ruling:
    """No single fault of a sensor, control, valve or supply may lead to a bad state."""
    checked = rooms.checked
    if checked is None:
        return not_shown(NOT_CHECKED)
    if not checked.faults:
        return not_shown("single faults were not struck in this run", mend="`prove --faults` strikes every one")
    counts = {effect: sum(found.effect is effect for found in checked.faults) for effect in FaultEffect}
    told = ", ".join(f"{count} {effect.value}" for effect, count in counts.items() if count)
    dangerous = [found for found in checked.faults if found.effect is FaultEffect.DANGEROUS]
    if dangerous:
        first = dangerous[0]
        _, story = first.dangerous[0]
        sentences = " ".join(f"{number} {sentence}" for number, sentence in enumerate(story.sentences, 1))
        because = f"{told}. {first.fault.sentence} {sentences}"
        return Ruling(state="not met", because=because, mend=first.answer, bounds=checked.bounds)
    if counts[FaultEffect.ALREADY]:
        already = dict.fromkeys(code for found in checked.faults for code in found.already)
        titles = "; ".join(checked.finding(code).property.title for code in already)
        return Ruling(state="not met", because=f"{told}; without any fault already: {titles}", bounds=checked.bounds)
    if counts[FaultEffect.NOT_SHOWN]:
        return not_shown(told, bounds=checked.bounds)
    return Ruling(state="met", because=told, bounds=checked.bounds)


@judges(kinds.Relief)
def _relief(promise: kinds.Relief, rooms: Rooms) -> Ruling:
    """One person can force relief and release, fault-free and under every single fault, and without electricity."""
    if rooms.checked is None:
        return not_shown(NOT_CHECKED)
    lost = [relief for relief in rooms.reliefs if not relief.forced]
    bounds = "a game against plant, people, timers and one fault; parts worked by hand move on within a step"
    if lost:
        return Ruling(
            state="not met", because=_obstacles(lost), mend=_lacking(lost, rooms.installation.catalogue), bounds=bounds
        )
    left = rooms.power.releases_after(0.0)
    if promise.without_electricity and not left.by_hand and left.from_store < 1:
        return Ruling(
            state="not met",
            because="the valves can be worked by hand, but no stored oil and no hand pump moves the parts then",
            mend="an accumulator or a hand pump",
            bounds=bounds,
        )
    steps = max(relief.release_steps or 0 for relief in rooms.reliefs)
    because = f"in at most {steps} steps under each of {len(rooms.reliefs) - 1} faults: {rooms.reliefs[0].means}"
    return Ruling(state="met", because=because, bounds=bounds)


def _obstacles(lost: list[Relief]) -> str:
    first = lost[0]
    under = f"{first.fault.sentence} Then" if first.fault else "even without a fault"
    more = f". The same under {len(lost) - 1} more" if len(lost) > 1 else ""
    return f"{under} {first.obstacle}{more}"


def _lacking(lost: list[Relief], catalogue: Catalogue) -> str:
    """What each part lacks that cannot be moved, and which items of the catalogue have it."""
    lacks = dict.fromkeys((relief.part, relief.missing) for relief in lost if relief.missing is not Missing.NOTHING)
    return "; ".join(f"{part.replace('_', ' ')}: {what.value}{_with(what, part, catalogue)}" for part, what in lacks)


def _with(what: Missing, part: str, catalogue: Catalogue) -> str:
    if what is not Missing.BYPASS:
        return ""
    having = [item.name for item in catalogue.items if any(v.part == part and v.bypass for v in item.valve)]
    return f" ({' or '.join(having)})" if having else ", which no item of this catalogue has"
