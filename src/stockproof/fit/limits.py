"""The limits that a build sets to animals, each on one body size: which size, which way, and how far.

A limit is read at an animal's weight, because what a sloped side or a rail leaves depends on how tall the animal is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from stockproof.brief.model import ExistingRace
from stockproof.catalogue import items as kinds
from stockproof.figures import Source, formula
from stockproof.fit.tables import Allowances
from stockproof.herd import WEIGHT, Floats, MobSizes
from stockproof.installation import Installation

__all__ = ["EXISTING_RACE", "Animals", "Limit", "animals_of", "build_limits", "clear_width_m"]

EXISTING_RACE = "existing_race"
#: Height at which a sloped side is measured besides the floor.
TOP_HEIGHT_M = 1.2
GEOMETRY = Source("straight side between two heights; geometry")

Bound = Callable[[Floats], Floats]


@formula(
    "floor_width_m + (top_width_m - floor_width_m) * height_m / top_height_m",
    unit="m",
    sources=(GEOMETRY,),
    example=({"floor_width_m": 0.406, "top_width_m": 0.711, "height_m": 0.6, "top_height_m": 1.2}, 0.5585),
    floor_width_m="m",
    top_width_m="m",
    height_m="m",
    top_height_m="m",
)
def clear_width_m(floor_width_m: float, top_width_m: float, height_m: float, top_height_m: float) -> float:
    """Clear width of a race at a height, between straight sides. [m]"""
    return floor_width_m + (top_width_m - floor_width_m) * height_m / top_height_m


@dataclass(frozen=True)
class Limit:
    """One limit of one item on one body size.

    Parameters
    ----------
    bound : callable
        Gives the bound at each weight. [kg] -> [m or kg], same shape
    at_most : bool
        The size must not exceed the bound; else it must reach it.
    counts : bool
        False for advice only.
    """

    code: str
    label: str
    item: str
    name: str
    measure: str
    bound: Bound
    at_most: bool = True
    counts: bool = True


@dataclass(frozen=True, slots=True)
class Animals:
    """A mob, its allowances, and what is done to it.

    `uses` holds what the mob's programmes do with it: `held`, `squeezed`, `head_raised`, `weighed`. A limit that only
    matters for something never done to the mob is advice.
    """

    mob: MobSizes
    allow: Allowances
    uses: frozenset[str]


@dataclass(frozen=True, slots=True)
class Setting:
    """What the limits of an item depend on besides it: the animals, and how narrow the build's squeeze goes."""

    animals: Animals
    squeeze_min_m: float | None

    @property
    def mob(self) -> MobSizes:
        return self.animals.mob

    @property
    def allow(self) -> Allowances:
        return self.animals.allow

    def uses(self, what: str) -> bool:
        return what in self.animals.uses

    def height(self, share: str) -> Bound:
        """Height of a part of the body, as an allowance's share of the withers."""
        return lambda weight: self.allow[share] * self.mob.typical("withers_height", weight)


def build_limits(build: Sequence[kinds.ItemBase], race: ExistingRace | None, animals: Animals) -> tuple[Limit, ...]:
    """Give every limit that the items of a build, and a race that stays, set to a mob."""
    setting = Setting(animals, next((item.width_min_m for item in build if isinstance(item, kinds.Squeeze)), None))
    limits = [limit for item in build for limit in _item_limits(item, setting)]
    if race is not None:
        limits += _existing_race(race, setting)
    return tuple(limits)


def animals_of(installation: Installation, mob: MobSizes, allow: Allowances) -> Animals:
    """A mob with what is done to it and what it is allowed beyond its size."""
    return Animals(mob, allow, frozenset(_uses(installation, mob.name)))


def _uses(installation: Installation, mob: str) -> Iterator[str]:
    for programme in installation.brief.file.programme:
        if programme.mob == mob:
            restraints = {installation.brief.tasks[code].restraint for code in programme.tasks}
            needs = {kind for code in programme.tasks for kind in installation.brief.tasks[code].needs}
            yield from ("held",) if programme.hold else ()
            yield from ("squeezed",) if "squeeze" in restraints else ()
            yield from ("head_raised",) if "head_raised" in restraints else ()
            yield from ("weighed",) if "weigh_platform" in needs or programme.sorted_by == "weight" else ()


def _item_limits(item: kinds.ItemBase, setting: Setting) -> Iterator[Limit]:
    """Give the limits that one item sets; none for items that animals never pass."""
    match item:
        case kinds.CrushBody():
            yield from _crush(item, setting)
        case kinds.EntryGate():
            yield from _gate("entry", item, setting)
        case kinds.SlideGate():
            yield from _gate("slide", item, setting)
        case kinds.HeadBail():
            yield from _bail(item, setting)
        case kinds.Squeeze():
            yield from _squeeze(item, setting)
        case kinds.HeadLift():
            yield from _lift(item, setting)
        case kinds.DraftUnit():
            yield from _passage("draft", item.code, item.name, _upright(item.clear_width_m), setting)
        case kinds.WeighPlatform():
            yield from _platform(item, setting)
        case kinds.RacePart():
            yield from _race_part(item, setting)


def _crush(item: kinds.CrushBody, setting: Setting) -> Iterator[Limit]:
    allow, mob = setting.allow, setting.mob
    yield from _passage("crush", item.code, item.name, _upright(item.inside_width_m), setting)
    yield Limit(
        "crush.length",
        "inside length of the crush, neck in the bail",
        item.code,
        item.name,
        "body_length",
        lambda weight: item.inside_length_m - allow["neck_behind_bail"] * mob.typical("neck_length", weight),
    )
    yield _size(
        "crush.height", "clear height of the crush", item, "withers_height", item.inside_height_m - allow["headroom"]
    )
    yield _weight("crush.capacity", "heaviest animal the crush is built for", item, item.animal_capacity_kg)
    narrowest = min(item.inside_width_m, setting.squeeze_min_m or item.inside_width_m)
    yield _turn_round("crush.turn_round", "turning round in the crush", item.code, item.name, narrowest, setting)


def _gate(prefix: str, item: kinds.EntryGate | kinds.SlideGate, setting: Setting) -> Iterator[Limit]:
    yield from _passage(prefix, item.code, item.name, _upright(item.clear_width_m), setting)
    room = item.clear_height_m - setting.allow["headroom"]
    yield _size(f"{prefix}.height", f"clear height of the {prefix} gate", item, "withers_height", room)


def _bail(item: kinds.HeadBail, setting: Setting) -> Iterator[Limit]:
    held = setting.uses("held")
    yield from _passage("bail", item.code, item.name, _upright(item.open_width_m), setting)
    yield _size("bail.height", "clear height of the open bail", item, "withers_height", item.clear_height_m)
    yield _at_least("bail.neck_least", "smallest neck the bail holds", item, "neck_width", item.neck_min_m, held)
    label = "largest neck the bail holds without choking"
    yield _size("bail.neck_most", label, item, "neck_width", item.neck_max_m, counts=held)
    yield _weight("bail.capacity", "heaviest animal the bail is built for", item, item.animal_capacity_kg)
    if setting.mob.horned_share > 0:
        label = "horns of horned animals through the open bail (advice: they turn the head to pass)"
        yield _size("bail.horns", label, item, "horn_span", item.open_width_m, counts=False)


def _squeeze(item: kinds.Squeeze, setting: Setting) -> Iterator[Limit]:
    yield from _passage("squeeze", item.code, item.name, _upright(item.width_max_m), setting)
    holds = item.width_min_m / setting.allow["squeeze_closes_to"]
    used = setting.uses("squeezed")
    yield _at_least("squeeze.holds", "narrowest the squeeze goes", item, "belly_width", holds, used)


def _lift(item: kinds.HeadLift, setting: Setting) -> Iterator[Limit]:
    low = item.height_min_m / setting.allow["jaw_resting"]
    high = item.height_max_m / setting.allow["jaw_raised"]
    used = setting.uses("head_raised")
    yield _at_least("lift.low", "head rest down, under the resting jaw", item, "withers_height", low, used)
    yield _size("lift.high", "head rest up, jaw raised for work", item, "withers_height", high, counts=used)
    label = "heaviest animal the head lift is built for"
    yield _weight("lift.capacity", label, item, item.animal_capacity_kg, counts=used)


def _platform(item: kinds.WeighPlatform, setting: Setting) -> Iterator[Limit]:
    used, length = setting.uses("weighed"), item.platform_length_m
    yield _weight("platform.capacity", "capacity of the weigh platform", item, item.capacity_kg, counts=used)
    yield _size("platform.length", "length of the weigh platform", item, "foot_length", length, counts=used)


def _race_part(item: kinds.RacePart, setting: Setting) -> Iterator[Limit]:
    width = _between(item.clear_width_m, item.clear_width_top_m)
    yield from _passage("race", item.code, item.name, width, setting)
    yield _size("race.floor", "floor of the race under the feet", item, "stance_width", item.clear_width_m)
    yield from _race_turn_round(item.code, item.name, width, setting)


def _existing_race(race: ExistingRace, setting: Setting) -> Iterator[Limit]:
    name = "the race that stays"
    yield from _passage("race", EXISTING_RACE, name, _upright(race.clear_width_m), setting)
    yield from _race_turn_round(EXISTING_RACE, name, _upright(race.clear_width_m), setting)


def _passage(prefix: str, item: str, name: str, width: Bound, setting: Setting) -> Iterator[Limit]:
    """Hips and shoulders are bone and need room beside them; a belly is soft and may touch."""
    clearance = setting.allow["hip_clearance"]
    for part, measure, room in (
        ("hips", "hip_width", clearance),
        ("shoulders", "shoulder_width", clearance),
        ("belly", "belly_width", 0.0),
    ):
        height = setting.height({"hips": "hip_height", "shoulders": "shoulder_height", "belly": "belly_height"}[part])
        yield Limit(
            f"{prefix}.{part}",
            f"{part} through the {prefix}",
            item,
            name,
            measure,
            lambda weight, height=height, room=room: width(height(weight)) - room,  # type: ignore[misc]
        )


def _race_turn_round(item: str, name: str, width: Bound, setting: Setting) -> Iterator[Limit]:
    height = setting.height("belly_height")
    share = setting.allow["turn_round"]
    yield Limit(
        "race.turn_round",
        "turning round in the race",
        item,
        name,
        "body_length",
        lambda weight: width(height(weight)) / share,
        at_most=False,
    )


def _turn_round(code: str, label: str, item: str, name: str, width_m: float, setting: Setting) -> Limit:
    bound = _constant(width_m / setting.allow["turn_round"])
    return Limit(code, label, item, name, "body_length", bound, at_most=False)


def _size(code: str, label: str, item: kinds.ItemBase, measure: str, bound_m: float, *, counts: bool = True) -> Limit:
    return Limit(code, label, item.code, item.name, measure, _constant(bound_m), counts=counts)


def _at_least(code: str, label: str, item: kinds.ItemBase, measure: str, bound_m: float, counts: bool) -> Limit:
    return Limit(code, label, item.code, item.name, measure, _constant(bound_m), at_most=False, counts=counts)


def _weight(code: str, label: str, item: kinds.ItemBase, bound_kg: float, *, counts: bool = True) -> Limit:
    return Limit(code, label, item.code, item.name, WEIGHT, _constant(bound_kg), counts=counts)


def _constant(value: float) -> Bound:
    return lambda weight: np.full(np.shape(weight), value)


def _upright(width_m: float) -> Bound:
    """Clear width at a height between upright sides."""
    return _constant(width_m)


def _between(floor_width_m: float, top_width_m: float) -> Bound:
    """Clear width at a height between sides that may slope; above 1.2 m the sides go on as they are."""
    return lambda height: np.array([clear_width_m(floor_width_m, top_width_m, at, TOP_HEIGHT_M) for at in height])
