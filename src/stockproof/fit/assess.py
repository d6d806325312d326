"""Sets the mobs and the work of a brief against its build: this room's front."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from stockproof import herd
from stockproof.brief.promises import Fits
from stockproof.catalogue import items as kinds
from stockproof.errors import InternalError
from stockproof.figures import Source, formula
from stockproof.fit.findings import finding
from stockproof.fit.limits import EXISTING_RACE, Animals, Limit, animals_of, build_limits
from stockproof.fit.mends import replacements
from stockproof.fit.model import Finding, FitCheck, FitResult, GuideRow, MobFit, RaceHold
from stockproof.fit.shares import animal_at, share_passing, share_passing_all
from stockproof.fit.tables import Allowances, RaceGuide, allowances, fence_guide, race_guides, race_length_guides
from stockproof.fit.tasks import task_pairs, task_rows
from stockproof.herd import WEIGHT, Assumption, MobSizes
from stockproof.installation import Installation

__all__ = ["PERCENTILES", "assess", "race_head", "required_share"]

PERCENTILES = (0.01, 0.05, 0.50, 0.95, 0.99)
#: Smallest spread published for a mob picked to be alike: Kenward 1987, table 1, day 0.
SMALLEST_SPREAD = 0.045


@formula(
    "floor(race_length_m / spacing_m)",
    unit="dimensionless",
    sources=(Source("common practice: whole animals in single file"),),
    example=({"race_length_m": 9.0, "spacing_m": 1.7}, 5.0),
    race_length_m="m",
    spacing_m="m",
)
def race_head(race_length_m: float, spacing_m: float) -> float:
    """How many animals stand in a race in single file. [head]"""
    return float(math.floor(race_length_m / spacing_m))


def assess(
    installation: Installation, mobs: Iterable[MobSizes] | None = None, changes: Mapping[str, float] | None = None
) -> FitResult:
    """Set mobs and work against a build.

    Parameters
    ----------
    installation : Installation
        Brief and build.
    mobs : iterable of MobSizes, optional
        The mobs to look at; all of the brief's if unsaid. Each is held to the largest share that a promise asks of it.
    changes : mapping of assumption name to value, optional
        Other values for assumptions of `FitResult.assumptions`, to see what they move. Mobs that are handed over
        keep the sizes they were made with.

    Raises
    ------
    InternalError
        A change names no assumption.
    """
    animals = herd.mobs(installation.brief, changes) if mobs is None else tuple(mobs)
    allow = allowances(changes)
    fits = tuple(_mob_fit(installation, mob, allow) for mob in animals)
    rows = task_rows(installation)
    result = FitResult(
        mobs=fits,
        tasks=rows,
        pairs=task_pairs(installation, rows),
        findings=tuple(_findings(installation, animals, fits)),
        assumptions=tuple(_assumptions(animals, allow)),
    )
    unknown = sorted(set(changes or {}) - {assumption.name for assumption in result.assumptions})
    if unknown:
        raise InternalError(f"no assumption of herd or fit is called {', '.join(unknown)}")
    return result


def required_share(installation: Installation, mob: str) -> float:
    """The largest share of a mob that a promise asks to fit; the trade's own where none names it."""
    asked = [
        promise.share
        for promise in installation.brief.promises
        if isinstance(promise, Fits) and (not promise.mobs or mob in promise.mobs)
    ]
    return max(asked, default=float(Fits.model_fields["share"].default))


def _mob_fit(installation: Installation, mob: MobSizes, allow: Allowances) -> MobFit:
    animals = animals_of(installation, mob, allow)
    race = installation.brief.file.site.existing_race
    limits = build_limits([chosen.item for chosen in installation.build], race, animals)
    required, share = required_share(installation, mob.name), share_passing_all(mob, limits)
    fit = MobFit(
        mob=mob.name,
        head=mob.head,
        required_share=required,
        share=share,
        checks=tuple(_check(mob, limit, required) for limit in limits),
        race=_race_hold(installation, mob, allow),
        guides=tuple(_guide_rows(installation, mob)),
    )
    return replace(fit, checks=tuple(_mended(installation, animals, fit, limits)))


def _check(mob: MobSizes, limit: Limit, required: float) -> FitCheck:
    # a promise of every animal has no percentile: read it at the last one of the mob
    turning = 1 - 0.5 / mob.head if required == 1 else required
    return FitCheck(
        code=limit.code,
        label=limit.label,
        item=limit.item,
        name=limit.name,
        measure=limit.measure,
        unit=mob.unit(limit.measure),
        at_most=limit.at_most,
        share=share_passing(mob, limit),
        counts=limit.counts,
        limiting=animal_at(mob, limit, turning if limit.at_most else 1 - turning),
        animals=tuple(animal_at(mob, limit, percentile) for percentile in PERCENTILES),
        mends=(),
    )


def _mended(installation: Installation, animals: Animals, fit: MobFit, limits: tuple[Limit, ...]) -> Iterator[FitCheck]:
    """The checks of a mob, those that keep it from fitting with the items that would mend them."""
    for check, limit in zip(fit.checks, limits, strict=True):
        stops = check in fit.failing
        mends = replacements(installation, animals, limit, fit.required_share) if stops else ()
        yield replace(check, mends=mends)


def _race_hold(installation: Installation, mob: MobSizes, allow: Allowances) -> RaceHold | None:
    race = installation.brief.file.site.existing_race
    length = race.length_m if race is not None else 0.0
    length += sum(
        chosen.item.length_m * chosen.count for chosen in installation.build if isinstance(chosen.item, kinds.RacePart)
    )
    spacing = allow["race_spacing"] * mob.percentile("body_length", 0.5)
    return RaceHold(length, spacing, int(race_head(length, spacing))) if length > 0 else None


def _races(installation: Installation) -> Iterator[tuple[str, str, float, float]]:
    """Code, sides, clear width as guides measure it, and side height of every race."""
    race = installation.brief.file.site.existing_race
    if race is not None:
        yield EXISTING_RACE, race.sides, race.clear_width_m, race.side_height_m
    for part in installation.items(kinds.RacePart):
        yield (
            part.code,
            part.sides,
            part.clear_width_top_m if part.sides == "sloped" else part.clear_width_m,
            part.side_height_m,
        )


def _guide_rows(installation: Installation, mob: MobSizes) -> Iterator[GuideRow]:
    heavy = mob.percentile(WEIGHT, 0.95)
    for code, sides, width, _ in _races(installation):
        for guide in race_guides():
            if guide.sides == sides and guide.weight_from_kg < heavy <= guide.weight_to_kg:
                yield _guide_row(code, width, guide)


def _guide_row(race: str, width_m: float, guide: RaceGuide) -> GuideRow:
    below, above = width_m < guide.width_low_m - 1e-3, width_m > guide.width_high_m + 1e-3
    return GuideRow(
        race,
        guide.guide,
        guide.sides,
        width_m,
        guide.width_low_m,
        guide.width_high_m,
        "narrower" if below else "wider" if above else "within",
        guide.source,
    )


def _findings(installation: Installation, mobs: tuple[MobSizes, ...], fits: tuple[MobFit, ...]) -> Iterator[Finding]:
    for mob, fit in zip(mobs, fits, strict=True):
        yield from _about_mob(mob)
        yield from _about_sides(installation, mob)
        yield from _about_guides(fit)
        yield from _about_length(fit)
        for check in fit.failing:
            if not check.mends:
                sentence = check.label + ": {} of the mob passes, {} is asked"
                yield finding("nothing_mends", mob.name, sentence, _share(check.share), _share(fit.required_share))


def _about_mob(mob: MobSizes) -> Iterator[Finding]:
    stock, mean, spread = mob.stock_class, mob.weights.mean_kg, mob.weights.spread_kg
    if not stock.weight_low_kg <= mean <= stock.weight_high_kg:
        sentence = f"mean weight {{}}; {stock.label} have {{}} to {{}}"
        low, high = (stock.weight_low_kg, "mass"), (stock.weight_high_kg, "mass")
        yield finding("weight_outside_class", mob.name, sentence, (mean, "mass"), low, high)
    if spread < SMALLEST_SPREAD * mean:
        sentence = f"spread {{}} of the mean; {{}} is usual for {stock.label} ({stock.spread_source})"
        usual = _share(stock.usual_spread_share)
        yield finding("spread_below_published", mob.name, sentence, _share(spread / mean), usual)
    if stock.code == "cow_with_calf":
        yield finding("calf_at_foot", mob.name, f"{mob.head} cows, their calves not looked at")


def _about_sides(installation: Installation, mob: MobSizes) -> Iterator[Finding]:
    guide = fence_guide(mob.temperament.code)
    for code, _, _, height in _races(installation):
        if height < guide.height_m:
            sentence = f"{code}: sides {{}}; {{}} for {guide.temperament} stock ({guide.source})"
            yield finding("race_sides_low", mob.name, sentence, (height, "length"), (guide.height_m, "length"))


def _about_guides(fit: MobFit) -> Iterator[Finding]:
    """A race that none of the guides for this weight would have; where they differ, one that agrees is enough."""
    for race in dict.fromkeys(row.race for row in fit.guides):
        rows = [row for row in fit.guides if row.race == race]
        if all(row.answer != "within" for row in rows):
            asked = "; ".join(f"{row.answer} than {row.guide} asks, {_range(row)}" for row in rows)
            limits = [(width, "length") for row in rows for width in dict.fromkeys((row.low_m, row.high_m))]
            sentence = f"{race}: {{}} is {asked}"
            yield finding("race_against_guide", fit.mob, sentence, (rows[0].width_m, "length"), *limits)


def _range(row: GuideRow) -> str:
    return "{}" if row.low_m == row.high_m else "{} to {}"


def _about_length(fit: MobFit) -> Iterator[Finding]:
    if fit.race is None:
        return
    for guide in race_length_guides():
        if fit.race.length_m < guide.least_m:
            sentence = f"the race is {{}} long; at least {{}} ({guide.source})"
            length, least = (fit.race.length_m, "length"), (guide.least_m, "length")
            yield finding("race_length", fit.mob, sentence, length, least)
        if guide.most_head is not None and fit.race.head > guide.most_head:
            sentence = f"the race holds {fit.race.head} head; at most {guide.most_head} ({guide.source})"
            yield finding("race_length", fit.mob, sentence)


def _share(value: float) -> tuple[float, str]:
    return value, "share"


def _assumptions(mobs: tuple[MobSizes, ...], allow: Allowances) -> Iterator[Assumption]:
    """Every assumption once: mobs of one class share theirs."""
    seen: dict[str, Assumption] = {}
    for assumption in (*allow.used.values(), *(each for mob in mobs for each in mob.assumptions())):
        seen.setdefault(assumption.name, assumption)
    yield from seen.values()
