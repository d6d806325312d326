"""What the fit room gives: by mob and limit who fits and with what margin; task by task what covers it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stockproof.amounts import Amount
from stockproof.errors import InternalError
from stockproof.herd import Assumption
from stockproof.units import Units

__all__ = [
    "Animal",
    "Finding",
    "FitCheck",
    "FitResult",
    "GuideRow",
    "Mend",
    "MobFit",
    "RaceHold",
    "TaskPair",
    "TaskRow",
]


@dataclass(frozen=True, slots=True)
class Mend:
    """An item of the catalogue that would mend a limit or a lack.

    Parameters
    ----------
    item, name : str
        Code and name.
    replaces : str
        Code of the item it stands in for; empty where it is added.
    share, share_everywhere : float or None
        Share of the mob that passes this limit with it, and every limit; None where it is not about a mob.
    price : Amount
        Price ex works.
    also : tuple of str
        Rules of the catalogue that the build would then break: what must change besides.
    """

    item: str
    name: str
    replaces: str
    share: float | None
    share_everywhere: float | None
    price: Amount
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a reader must know, as data.

    Parameters
    ----------
    code : str
        Stable code of `findings.CODES`.
    about : str
        The mob, programme or task it is about.
    sentence : str
        What was found; `{}` stands for each of `values` in turn, where there are any.
    values : tuple of (value, dimension)
        SI values and the dimension of each, so that a document writes them in its market's units.
    mend, source : str
        What to do about it; where the rule comes from.
    stops : bool
        It alone makes a promise fail.
    mends : tuple of Mend
        Items of the catalogue that mend it.
    """

    code: str
    about: str
    sentence: str
    values: tuple[tuple[float, str], ...]
    mend: str
    stops: bool
    source: str = ""
    mends: tuple[Mend, ...] = ()

    @property
    def text(self) -> str:
        """The sentence in kilograms and metres."""
        return self.said(Units({}))

    def said(self, units: Units) -> str:
        """The sentence in a market's units."""
        if not self.values:
            return self.sentence
        return self.sentence.format(*(units.text(value, dimension) for value, dimension in self.values))


@dataclass(frozen=True, slots=True)
class Animal:
    """The animal at one percentile of a mob against one limit.

    `margin` is what is left before the limit, negative when it does not fit; `weight_kg` is the weight at the same
    percentile, at which a limit that depends on weight is read.
    """

    percentile: float
    weight_kg: float
    size: float
    bound: float
    margin: float


@dataclass(frozen=True, slots=True)
class FitCheck:
    """One limit of one item against one mob.

    Parameters
    ----------
    code : str
        Stable name of the limit, for example `bail.neck_least`.
    item, name : str
        Code and name of the item that sets it (`existing_race` for a race that stays).
    measure, unit : str
        The body size it is about, and `m` or `kg`.
    at_most : bool
        True where the size must not exceed the bound, False where it must reach it.
    share : float
        Share of the mob that passes.
    counts : bool
        False for advice that does not enter the share that fits everywhere: what is never done to the mob, or what
        animals get round.
    limiting : Animal
        The animal that the promised share turns on.
    animals : tuple of Animal
        The same at 1, 5, 50, 95 and 99 %.
    mends : tuple of Mend
        Items that would let the promised share pass, cheapest first; empty where it passes already.
    """

    code: str
    label: str
    item: str
    name: str
    measure: str
    unit: str
    at_most: bool
    share: float
    counts: bool
    limiting: Animal
    animals: tuple[Animal, ...]
    mends: tuple[Mend, ...]


@dataclass(frozen=True, slots=True)
class GuideRow:
    """A race's clear width against what one guide asks for this mob."""

    race: str
    guide: str
    sides: Literal["straight", "sloped"]
    width_m: float
    low_m: float
    high_m: float
    answer: Literal["narrower", "within", "wider"]
    source: str


@dataclass(frozen=True, slots=True)
class RaceHold:
    """How many head of a mob stand in the race: length over the spacing of the middle animal."""

    length_m: float
    spacing_m: float
    head: int


@dataclass(frozen=True, slots=True)
class MobFit:
    """One mob against the whole build."""

    mob: str
    head: int
    required_share: float
    share: float
    checks: tuple[FitCheck, ...]
    race: RaceHold | None
    guides: tuple[GuideRow, ...]

    @property
    def fits(self) -> bool:
        """Whether the promised share of the mob passes every limit that counts."""
        return self.share >= self.required_share

    @property
    def tightest(self) -> FitCheck | None:
        """The counting limit that the fewest animals pass; the smaller margin decides between equals."""
        counting = [check for check in self.checks if check.counts]
        return min(counting, key=lambda check: (check.share, check.limiting.margin), default=None)

    @property
    def turning_share(self) -> float:
        """Share of the mob that can turn round somewhere in the line: the loosest of race and crush."""
        return max((1 - check.share for check in self.checks if check.code.endswith(".turn_round")), default=0.0)

    @property
    def failing(self) -> tuple[FitCheck, ...]:
        """What keeps the mob from fitting, worst first: the counting limits that fewer than the promised share pass.

        Where each alone lets the promised share pass and only together they do not, it is the tightest.
        """
        if self.fits:
            return ()
        short = [check for check in self.checks if check.counts and check.share < self.required_share]
        tightest = [self.tightest] if self.tightest is not None else []
        return tuple(sorted(short, key=lambda check: check.share) or tightest)


@dataclass(frozen=True, slots=True)
class TaskRow:
    """One task of one programme against build and crew.

    `people` are those of the crew who have the skill and may stand at the place; `items` the codes that serve it;
    `lacks` what is missing, each a finding that stops. `keeps_shut` are the gates that stay shut and held while it goes
    on, because somebody stands in the animals' way behind the crush.
    """

    programme: str
    task: str
    label: str
    place: str
    people: tuple[str, ...]
    items: tuple[str, ...]
    lacks: tuple[Finding, ...]
    keeps_shut: tuple[str, ...] = ()

    @property
    def covered(self) -> bool:
        return not self.lacks


@dataclass(frozen=True, slots=True)
class TaskPair:
    """Whether two tasks of a programme may go on at the same time, and why not.

    `because` is empty when they may, otherwise one of `same_person`, `same_place`, `weighing`, `behind_raised_head`,
    `not_covered`.
    """

    programme: str
    first: str
    second: str
    together: bool
    because: str


@dataclass(frozen=True, slots=True)
class FitResult:
    """Animals and tasks against the build."""

    mobs: tuple[MobFit, ...]
    tasks: tuple[TaskRow, ...]
    pairs: tuple[TaskPair, ...]
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]

    def mob(self, name: str) -> MobFit:
        """The result of one mob by its name."""
        for each in self.mobs:
            if each.mob == name:
                return each
        raise InternalError(f"mob {name!r} was not assessed; there are {', '.join(m.mob for m in self.mobs)}")

    def programme(self, name: str) -> tuple[TaskRow, ...]:
        """The task rows of one programme."""
        return tuple(row for row in self.tasks if row.programme == name)

    def lacks(self, programme: str) -> tuple[Finding, ...]:
        """What a programme lacks, over all its tasks and duties."""
        return tuple(lack for row in self.programme(programme) for lack in row.lacks)
