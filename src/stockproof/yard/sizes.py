"""Every size a layout is drawn with: from the build where it fixes one, else from the guides, each on record."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from stockproof.yard.formulas import race_pitch
from stockproof.yard.guides import Use, find
from stockproof.yard.model import Held, YardAsk
from stockproof.yard.result import Used

__all__ = ["Sizes", "holding_space", "read_sizes"]

#: The published race lengths per head are for adult cattle of about this weight.
ADULT_KG = 600.0


@dataclass(frozen=True, slots=True)
class Sizes:
    """The sizes by key [SI], with where each came from."""

    used: tuple[Used, ...]
    values: dict[str, float] = field(repr=False)

    def __getitem__(self, key: str) -> float:
        return self.values[key]


def holding_space(mob: Held, guide: str) -> Used:
    """Give the holding space per head that a guide asks for a mob."""
    quantity = "holding_area_pair" if mob.with_calf else "holding_area"
    return find(quantity, mob.mean_kg, guide, "most", f"holding space per head, {mob.name}")


#: (quantity, which end, label) of the sizes that come straight from the guides.
_FROM_GUIDES: tuple[tuple[str, Use, str], ...] = (
    ("crowding_area", "most", "forcing pen space per head"),
    ("forcing_angle", "most", "angle of the forcing pen's funnel"),
    ("forcing_group", "most", "largest group in the forcing pen"),
    ("forcing_fill", "most", "share of the forcing pen that is filled"),
    ("race_sight", "least", "length of race an animal in the forcing pen must see"),
    ("curve_inside_radius", "least", "smallest inside radius of a curved race"),
    ("curve_wide_radius", "most", "inside radius a curved race is given where it is long enough"),
    ("lane_width", "least", "lane width"),
    ("pen_gate", "most", "pen gate width"),
    ("race_places_most", "most", "most head in a race"),
    ("fence_height", "most", "fence height"),
    ("post_depth", "most", "post depth"),
    ("post_spacing", "most", "post spacing"),
    ("post_base_side", "least", "side of a post's concrete base"),
    ("post_base_depth", "least", "depth of a post's concrete base"),
    ("sick_area", "most", "sick pen space per head"),
    ("ramp_width", "least", "load-out ramp width"),
    ("ramp_slope", "most", "steepest load-out ramp"),
    ("ramp_dock", "least", "level landing at the head of the ramp"),
    ("pass_width", "middle", "worker pass width"),
    ("catwalk_width", "most", "catwalk width"),
    ("catwalk_below_top", "middle", "catwalk below the race's top rail"),
    ("escape_reach", "most", "farthest way out"),
    ("man_gate", "least", "man-gate width"),
    ("work_depth", "most", "work area depth"),
    ("off_side_depth", "most", "off-side access depth"),
    ("clear_margin", "least", "clear walk round the yard"),
    ("pack_way", "most", "longest way on foot from the crush to the power pack"),
    ("control_reach", "most", "farthest powered part from its control point"),
    ("eye_height", "least", "eye height of a standing person"),
    ("slab_fall", "middle", "fall of the slab"),
    ("slab_thickness", "most", "slab thickness"),
    ("earthworks_step", "most", "largest level difference under the slab without a retaining edge"),
    ("race_climb", "most", "steepest floor along the line"),
    ("sun_angle", "least", "smallest angle between the line and the low sun"),
    ("corner_angle", "least", "sharpest pen corner"),
    ("machine_access", "least", "clear way for lifting gear"),
    ("lift_reach", "most", "farthest lift of the crush from open ground"),
    ("width_spare", "least", "race width beyond the lightest class's that lets them turn"),
    ("truck_clear", "least", "clear on each side of a truck"),
    ("pen_front", "least", "front that receiving pens are divided to"),
    ("pen_head", "least", "head that receiving pens are divided to"),
    ("front_spare", "least", "room along a pen's front besides its gate"),
    ("pen_side", "least", "shortest side of a pen"),
    ("approach", "least", "open ground in front of the entry gate"),
    ("bend_radius", "least", "radius of the bend in an angled race"),
    ("bypass_gate", "least", "gate into the bypass"),
    ("apron_side", "least", "room on each side of a truck on its stand"),
    ("hose_rise", "least", "hose rise over the work area"),
)


def read_sizes(ask: YardAsk) -> Sizes:
    """Give every size of a layout with its source, the build's own dimensions first."""
    heavy = max(mob.heavy_kg for mob in ask.mobs)
    used = [find(quantity, heavy, ask.guide, use, label) for quantity, use, label in _FROM_GUIDES]
    used.append(_renamed(holding_space(ask.mob, ask.guide), "holding_area"))
    used += [_forcing_radius(ask, heavy), *_race(ask, heavy), _sick_head(ask), _hold_share(ask)]
    return Sizes(tuple(used), {item.key: _si(item) for item in used})


def _si(used: Used) -> float:
    return math.radians(used.value) if used.unit == "deg" else used.value


def _renamed(used: Used, key: str) -> Used:
    return Used(key, used.value, used.unit, used.label, used.guide, used.source, used.status)


def _built(key: str, value: float, label: str) -> Used:
    return Used(key, value, "m", label, "build", "the build", "seen")


def _forcing_radius(ask: YardAsk, heavy: float) -> Used:
    if ask.forcing.radius_m is not None:
        funnel = ask.forcing.shapes == ("funnel",)
        label = "width of the lane and of the funnel's wide end" if funnel else "forcing pen radius"
        return _built("forcing_radius", ask.forcing.radius_m, label)
    return find("forcing_radius", heavy, ask.guide, "most", "forcing pen radius")


def _race(ask: YardAsk, heavy: float) -> list[Used]:
    race, adult = ask.race, max(ask.mobs, key=lambda mob: mob.heavy_kg)
    width = (
        _built("race_width", race.clear_width_m, "race clear width")
        if race.clear_width_m is not None
        else find("race_width", heavy, ask.guide, "middle", "race clear width")
    )
    height = (
        _built("race_height", race.height_m, "height of race sides")
        if race.height_m is not None
        else _renamed(find("fence_height", heavy, ask.guide, "most", "height of race sides"), "race_height")
    )
    per_head = find("race_length_per_head", heavy, ask.guide, "most", "race length per adult")
    pitch = race_pitch(per_head.value, adult.mean_kg)
    return [
        width,
        height,
        Used("race_pitch", pitch, "m", "race length per head", per_head.guide, per_head.source, per_head.status),
        _race_length(ask, heavy, pitch),
    ]


def _race_length(ask: YardAsk, heavy: float, pitch_m: float) -> Used:
    if ask.race.length_m is not None:
        return _built("race_length", ask.race.length_m, "race length")
    if ask.race.places is not None:
        return Used(
            "race_length",
            ask.race.places * pitch_m,
            "m",
            "race length",
            "build",
            "places of the build times race length per head",
            "seen",
        )
    return _renamed(find("race_length_least", heavy, ask.guide, "least", "race length"), "race_length")


def _sick_head(ask: YardAsk) -> Used:
    if ask.sick_head is not None:
        return Used("sick_head", float(ask.sick_head), "head", "head in the sick pen", "brief", "brief", "seen")
    share = find("sick_share", ask.mob.mean_kg, ask.guide, "least", "share of the mob in the sick pen")
    head = float(max(1, math.ceil(share.value * ask.mob.head)))
    return Used("sick_head", head, "head", "head in the sick pen", share.guide, share.source, share.status)


def _hold_share(ask: YardAsk) -> Used:
    """How much of the mob the draft pens are made for; the layout tries the whole mob first."""
    share = 1.0 if ask.draft_hold_share is None else ask.draft_hold_share
    source = "largest of the tried shares that fits the site, or the brief"
    return Used(
        "draft_hold_share", share, "1", "share of the mob the draft pens hold together", "house", source, "assumed"
    )
