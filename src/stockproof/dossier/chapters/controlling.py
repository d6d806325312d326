"""The control logic as it was checked: what holds, what does not with its story, and what every single fault does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from stockproof.catalogue.line import motion_in_words
from stockproof.dossier.chapters.cells import plain
from stockproof.logic.findings import Answer, FaultEffect, FaultFinding, Finding, Verification
from stockproof.scene.pages import Column, Paragraph, Part, Section, Steps, Table

if TYPE_CHECKING:  # the room behind it is heavy, and only the shape of its answer is read here
    from stockproof.logic import Relief

__all__ = ["control_in_brief", "control_in_full", "relief_chapter"]

#: So many cases with one outcome are counted instead of named.
MANY = 6
ANSWERS = {Answer.HOLDS: "holds", Answer.REACHED: "can happen", Answer.NOT_SHOWN: "not shown"}
EFFECTS = {
    FaultEffect.TOLERATED: "tolerated: no bad state follows",
    FaultEffect.DETECTED: "detected: something stops, which people notice",
    FaultEffect.DANGEROUS: "dangerous: a bad state can follow",
    FaultEffect.ALREADY: "fails already without the fault: it strikes at what can happen anyway",
    FaultEffect.NOT_SHOWN: "not shown",
}


def control_in_brief(checked: Verification) -> Iterator[Section]:
    """Give which bad states cannot be reached, which can, and the counts of single faults."""
    alike = _alike(checked.findings)
    yield Section("The control", (_bounds(checked), _properties(alike), *_stories(checked), *_counts(checked)))


def control_in_full(checked: Verification) -> Iterator[Section]:
    """Give every property with its story, and every single fault with what it does."""
    each = [[finding] for finding in checked.findings]
    yield Section("The control", (_bounds(checked), _properties(each), *_stories(checked)))
    listed = (_faults(checked), *_fault_stories(checked)) if checked.faults else ()
    yield Section("Single faults", (*_counts(checked), *listed), level=2)


def relief_chapter(reliefs: Sequence[Relief]) -> Iterator[Section]:
    """Give whether the animal can always be relieved and let out: without a fault and under each single fault."""
    if reliefs:
        forced = sum(relief.forced for relief in reliefs)
        words = (
            f"Freeing the animal was played as a game against everything that could get in the way: in {forced} of "
            f"{len(reliefs)} cases one person can always force it."
        )
        yield Section("Relief and release", (Paragraph(words), _reliefs(reliefs)), level=2)


def _reliefs(reliefs: Sequence[Relief]) -> Table:
    columns = (
        Column("Under", share=3),
        Column("Relieved in", "right"),
        Column("Let out in", "right"),
        Column("By", share=2),
        Column("What prevents it", share=2),
    )
    alike: dict[tuple[str, str, str, str], list[Relief]] = {}
    for relief in sorted(reliefs, key=lambda relief: (relief.fault is not None, relief.forced)):
        outcome = (_steps(relief.relieve_steps), _steps(relief.release_steps), relief.means, relief.obstacle)
        alike.setdefault(outcome, []).append(relief)
    rows = tuple((_cases(cases), *outcome) for outcome, cases in alike.items())
    return Table("relief and release", "", columns, rows)


def _cases(cases: Sequence[Relief]) -> str:
    """Cases with one outcome: the one without a fault, faults by their sentence, many of them by their number."""
    named = [case.fault.sentence for case in cases if case.fault is not None]
    free = ["No fault"] if len(named) < len(cases) else []
    if len(named) > MANY:
        return " and ".join([*free, f"{len(named)} single faults with the same outcome"])
    return "; ".join([*free, *named])


def _steps(count: int | None) -> str:
    if count is None:
        return "never"
    return f"{count} step" if count == 1 else f"{count} steps"


def _bounds(checked: Verification) -> Paragraph:
    return Paragraph(
        "Every state that people, animals and the control can reach was looked at, within these bounds: "
        f"{checked.bounds}. What holds, holds within them."
    )


def _alike(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one kind of bad state with one answer together: there is one for every motion."""
    kinds: dict[tuple[str, Answer, str, int], list[Finding]] = {}
    for finding in findings:
        kind = finding.property.code.partition(".")[0]
        kinds.setdefault((kind, finding.answer, _reason(finding), finding.states), []).append(finding)
    return list(kinds.values())


def _properties(groups: Sequence[Sequence[Finding]]) -> Table:
    columns = (
        Column("What must not happen", share=3),
        Column("Answer"),
        Column("States", "right"),
        Column("Why", share=3),
    )
    rows = tuple(
        (
            group[0].property.title + _more([finding.property.code for finding in group]),
            ANSWERS[group[0].answer],
            plain(group[0].states, f"logic.property.{group[0].property.code}.states"),
            _reason(group[0]),
        )
        for group in groups
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


def _counts(checked: Verification) -> Iterator[Part]:
    """How many faults do what; a check that left them out says so, since no count is no clean bill."""
    if not checked.faults:
        yield Paragraph("Single faults were not checked in this proof: what they do is not shown.")
        return
    counts = Counter(finding.effect for finding in checked.faults)
    rows = tuple(
        (words, plain(counts[effect], f"logic.faults.{effect.name.lower()}")) for effect, words in EFFECTS.items()
    )
    columns = (Column("What a single fault does", share=4), Column("Faults", "right"))
    yield Table("faults counted", "", columns, rows)


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
    """What the fault breaks, what can happen without it that rests on what it strikes, why something is not shown."""
    firsts = _by_kind([code for code, _ in finding.dangerous])
    broken = [checked.finding(codes[0]).property.title + _more(codes) for codes in firsts]
    already = [f"without the fault already: {checked.finding(code).property.title}" for code in finding.already]
    return "; ".join([*broken, *already, *([finding.reason] if finding.reason else [])])


def _by_kind(codes: Sequence[str]) -> list[list[str]]:
    """Codes of one kind of bad state together: one fault may let every part start by itself."""
    kinds: dict[str, list[str]] = {}
    for code in codes:
        kinds.setdefault(code.partition(".")[0], []).append(code)
    return list(kinds.values())


def _more(codes: Sequence[str]) -> str:
    others = [motion_in_words(code.partition(".")[2]).replace("_", " ").replace(".", " ") for code in codes[1:]]
    return f" (and in the same way: {', '.join(others)})" if others else ""


def _fault_stories(checked: Verification) -> Iterator[Part]:
    """One story for each kind of bad state that a fault leads to, and what a designer does against the fault."""
    for finding in checked.faults:
        stories = dict(finding.dangerous)
        for codes in _by_kind(list(stories)):
            title = f"{finding.fault.sentence} {checked.finding(codes[0]).property.title}{_more(codes)}"
            yield Steps(title, stories[codes[0]].sentences)
        if finding.answer:
            yield Paragraph(f"Design answer: {finding.answer}.")
