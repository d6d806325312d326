"""Sets the room's results down in a ledger as figures; it computes nothing new."""

from __future__ import annotations

from stockproof.fields import set_down, set_given
from stockproof.figures import Figure, Ledger, Source
from stockproof.fit.model import FitCheck, FitResult, GuideRow, MobFit
from stockproof.herd import ABOUT_WALKING

__all__ = ["publish"]

HOW = "mean over equal shares of the mob's weight of lognormal probabilities at that weight; no random draws"


def publish(result: FitResult, ledger: Ledger) -> None:
    """Set down the assumptions, the share of each mob that fits, each limit's share and margin, and task counts."""
    assumed = [assumption.set_down(ledger) for assumption in result.assumptions]
    inputs = tuple(figure for figure in assumed if not figure.name.endswith(ABOUT_WALKING))
    for mob in result.mobs:
        _publish_mob(mob, ledger, inputs)
    covered = sum(row.covered for row in result.tasks)
    ledger.run("fit.tasks", len(result.tasks), "1", "tasks and duties of all programmes", "counted in the brief")
    ledger.run("fit.tasks_covered", covered, "1", "tasks and duties that build and crew cover", "counted row by row")


def _publish_mob(mob: MobFit, ledger: Ledger, inputs: tuple[Figure, ...]) -> None:
    name = f"fit.{mob.mob}"
    ledger.run(f"{name}.share", mob.share, "1", f"share of {mob.mob} that fits everywhere", HOW, inputs)
    turning = f"share of {mob.mob} that can turn round somewhere in the line"
    ledger.run(f"{name}.turning_share", mob.turning_share, "1", turning, HOW, inputs)
    for check in mob.checks:
        _publish_check(mob, check, ledger, inputs)
    for guide in mob.guides:
        _publish_guide(mob, guide, ledger)
    if mob.race is not None:
        how = "whole animals: race length over the spacing of the middle animal"
        ledger.run(f"{name}.race_spacing", mob.race.spacing_m, "m", f"race an animal of {mob.mob} takes", how, inputs)
        ledger.run(f"{name}.race_head", mob.race.head, "head", f"{mob.mob} that stand in the race", how, inputs)


def _publish_check(mob: MobFit, check: FitCheck, ledger: Ledger, inputs: tuple[Figure, ...]) -> None:
    name, limit = f"fit.{mob.mob}.{check.item}.{check.code}", f"{check.label} ({check.name})"
    ledger.run(f"{name}.share", check.share, "1", f"{limit}: share of {mob.mob}", HOW, inputs)
    how = f"size of the animal at the {check.limiting.percentile:.3g} share"
    size = ledger.run(f"{name}.size", check.limiting.size, check.unit, f"{limit}: the animal", how, inputs)
    how = "the item's limit for this animal, from the catalogue"
    bound = ledger.run(f"{name}.bound", check.limiting.bound, check.unit, f"{limit}: the limit", how)
    how = "limit less animal" if check.at_most else "animal less limit"
    label = f"{limit}: margin of the animal the promise turns on"
    ledger.run(f"{name}.margin", check.limiting.margin, check.unit, label, how, (size, bound))


def _publish_guide(mob: MobFit, guide: GuideRow, ledger: Ledger) -> None:
    name, about = f"fit.{mob.mob}.{guide.race}.{guide.guide}", f"{guide.race} for {mob.mob}"
    set_down(ledger, f"fit.{guide.race}", guide.race, guide, {"width_m": "clear width"}, "the build's race")
    asked = {"low_m": "least clear width a guide asks", "high_m": "largest clear width a guide asks"}
    set_given(ledger, name, about, guide, asked, Source(guide.source))
