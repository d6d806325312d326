"""The control logic as it was checked: what holds, what does not with its story, and what every single fault does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from stockproof.logic.verification import Answer, FaultEffect, FaultFinding, Finding, Verification
from stockproof.scene.pages import Column, Paragraph, Part, Section, Steps, Table

__all__ = ["control_in_brief", "control_in_full"]

ANSWERS = {Answer.HOLDS: "holds", Answer.REACHED: "can happen", Answer.NOT_SHOWN: "not shown"}
EFFECTS = {
    FaultEffect.TOLERATED: "tolerated: no bad state follows",
    FaultEffect.DETECTED: "detected: something stops, which people notice",
    FaultEffect.DANGEROUS: "dangerous: a bad state can follow",
    FaultEffect.NOT_SHOWN: "not shown",
}


def control_in_brief(checked: Verification) -> Iterator[Section]:
    """Give which bad states cannot be reached, which can, and the counts of single faults."""
    yield Section("The control", (_bounds(checked), _properties(checked), *_stories(checked), _counts(checked)))


def control_in_full(checked: Verification) -> Iterator[Section]:
    """Give every property with its story, and every single fault with what it does."""
    yield Section("The control", (_bounds(checked), _properties(checked), *_stories(checked)))
    yield Section("Single faults", (_counts(checked), _faults(checked), *_fault_stories(checked)), level=2)


def _bounds(checked: Verification) -> Paragraph:
    return Paragraph(
        "Every state that people, animals and the control can reach was looked at, within these bounds: "
        f"{checked.bounds}. What holds, holds within them."
    )


def _properties(checked: Verification) -> Table:
    columns = (
        Column("What must not happen", share=3),
        Column("Answer"),
        Column("States", "right"),
        Column("Why", share=3),
    )
    rows = tuple(
        (finding.property.title, ANSWERS[finding.answer], finding.states, _reason(finding))
        for finding in checked.findings
    )
    return Table("bad states", "Bad states", columns, rows)


def _reason(finding: Finding) -> str:
    if finding.answer is Answer.REACHED:
        return finding.property.why
    return finding.reason


def _stories(checked: Verification) -> Iterator[Part]:
    for finding in checked.findings:
        if finding.story is not None:
            yield Steps(finding.property.title, finding.story.sentences)


def _counts(checked: Verification) -> Table:
    counts = Counter(finding.effect for finding in checked.faults)
    rows = tuple((words, counts[effect]) for effect, words in EFFECTS.items())
    columns = (Column("What a single fault does", share=4), Column("Faults", "right"))
    return Table("faults counted", "", columns, rows)


def _faults(checked: Verification) -> Table:
    columns = (
        Column("Fault", share=3),
        Column("Does", share=1.2),
        Column("Noticed by", share=2),
        Column("Breaks", share=2),
    )
    rows = tuple(
        (
            finding.fault.sentence,
            finding.effect.value,
            ", ".join(f"{motion} no longer moves" for motion in finding.lost),
            _broken(finding, checked),
        )
        for finding in checked.faults
    )
    return Table("single faults", "Every single fault", columns, rows)


def _broken(finding: FaultFinding, checked: Verification) -> str:
    return "; ".join(checked.finding(code).property.title for code, _ in finding.dangerous)


def _fault_stories(checked: Verification) -> Iterator[Part]:
    for finding in checked.faults:
        for code, story in finding.dangerous:
            title = f"{finding.fault.sentence} {checked.finding(code).property.title}"
            yield Steps(title, story.sentences)
