"""What the `logic` command adds to the chapter on the control: numbered stories, mending items, weakened rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from stockproof.errors import Fault, InputError
from stockproof.logic.findings import Verification
from stockproof.logic.story import Story
from stockproof.logic.trials import MOST_STATES, UNNOTICED, Caught, Trial
from stockproof.proof.mending import Mending
from stockproof.scene.pages import Column, Paragraph, Section, Steps, Table

__all__ = ["mending_section", "mutants_section", "numbered", "one_story", "stories_section", "story_at"]


def numbered(checked: Verification) -> tuple[tuple[str, Story], ...]:
    """Give every story with what it is about, in the order of its number: first those without a fault.

    Of a fault that leads to several bad states of one kind, the first one's story is told.
    """
    found = [(f.property.title, f.story) for f in checked.findings if f.story is not None]
    for struck in checked.faults:
        firsts = {code.partition(".")[0]: (code, story) for code, story in reversed(struck.dangerous)}
        found += [
            (f"{struck.fault.sentence} {checked.finding(code).property.title}", story)
            for code, story in reversed(firsts.values())
        ]
    return tuple(found)


def story_at(checked: Verification, number: int) -> tuple[str, Story]:
    """Give the story of a number, counted from 1.

    Raises
    ------
    InputError
        There is no such story.
    """
    stories = numbered(checked)
    if not 1 <= number <= len(stories):
        allowed = f"1 to {len(stories)}" if stories else "none: nothing bad was reached"
        mend = "stories of single faults are numbered where --fault strikes them"
        raise InputError(Fault("is no story of this check", got=str(number), allowed=allowed, mend=mend))
    return stories[number - 1]


def one_story(title: str, story: Story) -> Iterator[Section]:
    """Give one story in plain sentences."""
    yield Section("Story", (Steps(title, story.sentences),))


def stories_section(checked: Verification) -> Iterator[Section]:
    """Give the numbers of the stories."""
    stories = numbered(checked)
    if stories:
        columns = (Column("Story", "right"), Column("Of what", share=5), Column("Steps", "right"))
        rows = tuple((k, title, len(story.steps)) for k, (title, story) in enumerate(stories, 1))
        yield Section("Stories by number", (Table("stories", "", columns, rows),), level=2)


def mending_section(checked: Verification, mended: Mapping[str, Mending]) -> Iterator[Section]:
    """Give the catalogue's items that keep what can happen from happening, each tried, and what they bring about."""
    if mended:
        columns = (Column("What must not happen", share=3), Column("With these in the build it holds", share=3))
        rows = tuple((checked.finding(code).property.title, _mended(found)) for code, found in mended.items())
        yield Section("What would mend it", (Table("mending items", "", columns, rows),), level=2)


def _mended(found: Mending) -> str:
    if not found.items:
        return "nothing in the catalogue was found"
    named = " and ".join(f"{item.name} ({item.code})" for item in found.items)
    return f"{named}; but then this can happen, or is not shown: {' '.join(found.breaks)}" if found.breaks else named


def mutants_section(trials: Sequence[Trial]) -> Iterator[Section]:
    """Give the score: how many weakened rules were noticed, and why the others were not."""
    counts = Counter(trial.caught for trial in trials)
    real = len(trials) - counts[Caught.EQUIVALENT]
    noticed = real - sum(counts[caught] for caught in UNNOTICED)
    words = (
        f"{noticed} of {real} weakened rules were noticed, by the properties without a fault or under a single one; "
        f"{counts[Caught.EQUIVALENT]} more are no weakening, which is shown. Budget: {MOST_STATES:,} states a rule "
        "under single faults."
    )
    told = tuple((caught.value, counts[caught]) for caught in Caught if counts[caught])
    columns = (Column("A weakened rule", share=4), Column("Rules", "right"))
    passed = tuple((trial.what, trial.by) for trial in trials if trial.caught in UNNOTICED)
    parts = (
        Paragraph(words),
        Table("mutants counted", "", columns, told),
        Table("redundant rules", "Not noticed", (Column("Rule", share=3), Column("Why", share=3)), passed),
    )
    yield Section("Weakened rules", parts if passed else parts[:2], level=2)
