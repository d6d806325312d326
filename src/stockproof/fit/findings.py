"""The findings this room can make: a stable code each, what it means, why it matters, the mend and the source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stockproof.errors import InternalError
from stockproof.fit.model import Finding, Mend

__all__ = ["CODES", "Meaning", "finding"]

COMMON_PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a code stands for; `stops` where it alone makes a promise of fit or of tasks fail."""

    what: str
    why: str
    mend: str
    stops: bool
    source: str = COMMON_PRACTICE


CODES: Mapping[str, Meaning] = {
    "item_missing": Meaning(
        "The build has no item of a kind that a task or the programme needs.",
        "The task cannot be done at this crush.",
        "add an item of that kind",
        True,
    ),
    "access_missing": Meaning(
        "A part of the animal that a task works on cannot be reached.",
        "Reaching between rails is how arms are broken; the task will be done badly or not at all.",
        "add the access gate, or a crush body that is open there",
        True,
    ),
    "restraint_missing": Meaning(
        "A task needs the animal held in a way the build cannot hold it.",
        "An animal that is not held moves into the person who works on it.",
        "add the item that holds it",
        True,
    ),
    "hold_switch_off": Meaning(
        "A task needs the animal held, but the programme's hold switch is off.",
        "The line would let the animal walk on.",
        "set hold = true for the programme",
        True,
    ),
    "skill_missing": Meaning(
        "Nobody in the programme's crew has the skill a task needs.",
        "Some tasks are a veterinarian's or an inseminator's by law or by training.",
        "add a person with the skill to the crew",
        True,
    ),
    "place_missing": Meaning(
        "Those who have the skill may not stand where the task is done.",
        "The brief says where each person may stand.",
        "let one of them stand there, or add a person",
        True,
    ),
    "nobody_works_controls": Meaning(
        "Nobody in the crew has the skill to work the controls and may stand at a control point.",
        "A powered crush is never run by somebody who was not shown how.",
        "train one of the crew, or add a person",
        True,
    ),
    "nobody_moves_stock": Meaning(
        "Nobody in the crew handles stock behind the line.",
        "The race does not fill itself.",
        "add a person with the skill stock who may stand in the forcing pen or at the race",
        True,
    ),
    "too_few_ways": Meaning(
        "The draft unit has fewer ways than the programme sorts into.",
        "Two groups would end up in one pen.",
        "take a draft unit with more ways, or fewer cut weights",
        True,
    ),
    "weight_outside_class": Meaning(
        "The mob's mean weight is unusual for its class.",
        "Body sizes differ between classes; a wrong class gives wrong sizes.",
        "check the class and the weight",
        False,
    ),
    "spread_below_published": Meaning(
        "The mob's spread of weight is below the smallest one published for a mob picked to be alike.",
        "The lightest and heaviest animals decide what fits.",
        "give the weights themselves, or a usual spread",
        False,
        "Kenward 1987, Applied Statistics 36:296-308, table 1: 4.5 % on day 0, 60 calves",
    ),
    "calf_at_foot": Meaning(
        "Only the cows of this mob were set against the build, not the calves at foot.",
        "A calf turns round in a race made for cows and slips beside the bail.",
        "draft the calves off first, or give them as a mob of their own",
        False,
    ),
    "race_sides_low": Meaning(
        "The sides of the race are lower than a guide asks for this temperament.",
        "Cattle that see over a side may try to jump it.",
        "take a race part with higher sides",
        False,
    ),
    "race_against_guide": Meaning(
        "The clear width of the race is what none of the guides for this weight asks.",
        "Guides disagree with one another; the guide is named.",
        "none needed where the animals fit",
        False,
    ),
    "race_length": Meaning(
        "The race is shorter than a guide asks, or holds more head than a guide recommends.",
        "A short race is empty before the next batch is up; in a long one cattle go down or back up.",
        "change the number of race parts",
        False,
    ),
    "nothing_mends": Meaning(
        "No item of the catalogue mends a limit that too few animals pass.",
        "A change of build cannot mend it.",
        "work that mob in another line, or draft off the animals at that end",
        False,
    ),
}


def finding(
    code: str,
    about: str,
    sentence: str,
    *values: tuple[float, str],
    mends: tuple[Mend, ...] = (),
) -> Finding:
    """Make a finding of a known code; each `{}` of the sentence takes one (SI value, dimension)."""
    if code not in CODES:
        raise InternalError(f"no finding has the code {code!r}")
    meaning = CODES[code]
    return Finding(code, about, sentence, values, meaning.mend, meaning.stops, meaning.source, mends)
