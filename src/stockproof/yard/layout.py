"""Makes the layout: sizes, sketches by family, places on the site, a ranking, and the best one finished."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice

import shapely

from stockproof.errors import Fault, InputError
from stockproof.yard.assemble import footprint, options, overlaps, sketch
from stockproof.yard.draft_pens import way_heads, way_names
from stockproof.yard.families import FAMILIES, Family, allowed, race_legs
from stockproof.yard.finish import finish, form_of
from stockproof.yard.ground import Ground, gateway_for, read_ground
from stockproof.yard.model import Form, Point, YardAsk
from stockproof.yard.plane import distance, heading_of_bearing
from stockproof.yard.ranking import explain, score
from stockproof.yard.result import Rank, Yard
from stockproof.yard.siting import Placing, fixed_placing, placings, put, shortcomings
from stockproof.yard.sizes import Sizes, read_sizes
from stockproof.yard.sketch import Option, Part, Sketch

__all__ = ["DoesNotFit", "lay_out", "most_head"]

#: Of a family's proportions so many that fit and lack nothing are compared, more where some lack something; of
#: each so many places are looked at for access.
COMPARED, MOST_COMPARED = 4, 16
LOOKED_AT = 8
#: Among one family's proportions the penalty of the place counts so much beside the score.
PENALTY_SHARE = 0.3
#: A pen that is missing, for want of room along the lane, costs as much as so much fence.
UNDIVIDED_M = 25.0
#: Shares of the mob the draft pens are made for, tried in this order where the brief leaves it open.
HOLD_SHARES = (1.0, 0.5, 0.25)


@dataclass(frozen=True, slots=True)
class _Trial:
    """A family tried on the site: its place and rank, or why it does not fit.

    `hopeless` where finer proportions would not mend it: its floors alone are too much for the ground.
    """

    family: Family
    rank: Rank
    placing: Placing | None = None
    hopeless: bool = True


class DoesNotFit(InputError):
    """No layout family fits the free ground; holds what each would need."""


@lru_cache(maxsize=8)
def lay_out(ask: YardAsk) -> Yard:
    """Lay a yard out on its site: every family the build allows is tried, the best is finished.

    Where the brief leaves open how many the draft pens hold, the whole mob is tried first and then less, so
    that the receiving pens keep their room; the share taken is on record. What was asked before is remembered: most
    changes of a build leave the yard as it is.

    Raises
    ------
    InputError
        The ask contradicts itself, or no family fits the site (then what the smallest would take is said).
    """
    chosen = _choose(replace(ask, moves=()))
    return finish(chosen.sketch, replace(chosen.ask, moves=ask.moves), chosen.sizes, chosen.ground, chosen.ranking)


@dataclass(frozen=True, slots=True)
class _Chosen:
    """The best layout at its place, before parts are shifted by hand; `ask` says the share the draft pens hold."""

    sketch: Sketch
    ask: YardAsk
    sizes: Sizes
    ground: Ground
    ranking: tuple[Rank, ...]


@lru_cache(maxsize=4)
def _choose(ask: YardAsk) -> _Chosen:
    """The layout chosen; remembered, since a part that is dragged asks for the same choice many times."""
    _check_ask(ask)
    form = ask.fix.form if ask.fix is not None else None
    return _sized(ask) if ask.resizes and form is None else _search(ask, form)


def _sized(ask: YardAsk) -> _Chosen:
    """The layout as it is chosen without the floors set by hand, with these: so no pen comes or goes by them."""
    plain = _choose(replace(ask, resizes=()))
    kept = replace(ask, families=(plain.sketch.family,), draft_hold_share=plain.ask.draft_hold_share)
    try:
        sized = _search(kept, form_of(plain.sketch))
    except DoesNotFit as refusal:
        first = ask.resizes[0]
        raise DoesNotFit(
            Fault(
                "the yard does not fit the site with its pens as they are sized by hand",
                first.place,
                got=", ".join(f"{resize.part} {resize.area_m2:.4g} m2" for resize in ask.resizes),
                allowed=refusal.faults[0].allowed,
                mend="another floor for the pen, or none: then it has what its head need",
            )
        ) from refusal
    ranking = (
        replace(sized.ranking[0], reason=rank.reason) if rank.family == kept.families[0] else rank
        for rank in plain.ranking
    )
    return replace(sized, ranking=tuple(ranking))


def _search(ask: YardAsk, form: Form | None) -> _Chosen:
    """Try every family on the site, in the form that is held or in all of its proportions."""
    ground = read_ground(ask.site)
    shares = HOLD_SHARES if ask.draft_hold_share is None and ask.machine.ways > 1 else (ask.draft_hold_share or 1.0,)
    trials: list[_Trial] = []
    for share in shares:
        tried = replace(ask, draft_hold_share=share)
        sizes = read_sizes(tried)
        for fine in (False, True):
            trials = [_try_family(family, tried, sizes, ground, form, fine) for family in allowed(tried)]
            best = {trial.family.key: trial.placing for trial in trials if trial.placing is not None}
            if best:
                ranking = explain([trial.rank for trial in trials])
                return _Chosen(put(best[ranking[0].family]), tried, sizes, ground, ranking)
            if all(trial.hopeless for trial in trials):
                break
    raise DoesNotFit(_refusal(ask, ground, trials))


def most_head(ask: YardAsk) -> int:
    """Give the most head of the held mob for which a layout was found, by halving; 0 where not even one fits.

    The search is of stated fineness, so a yard drawn by hand might hold some more.
    """
    low, high = 0, max(1, math.ceil(read_ground(ask.site).free.area / read_sizes(ask)["holding_area"]))
    while high - low > 1:
        head = (low + high) // 2
        mobs = tuple(replace(mob, head=head) if mob.name == ask.held else mob for mob in ask.mobs)
        try:
            lay_out(replace(ask, mobs=mobs))
        except InputError:
            high = head
        else:
            low = head
    return low


def _check_ask(ask: YardAsk) -> None:
    names = [mob.name for mob in ask.mobs]
    if ask.held not in names:
        raise InputError(Fault(f"{ask.held!r} is no mob", allowed=", ".join(names) or "at least one mob"))
    if not allowed(ask):
        raise InputError(
            Fault(
                "no layout family goes with this race and forcing pen",
                got=f"race {' or '.join(ask.race.shapes)}, forcing pen {' or '.join(ask.forcing.shapes)}"
                + (f", families {', '.join(ask.families)}" if ask.families else ""),
                allowed="; ".join(f"{family.key}: {family.label}" for family in FAMILIES),
                mend="choose another race or forcing pen, or widen the families",
            )
        )


def _try_family(family: Family, ask: YardAsk, sizes: Sizes, ground: Ground, form: Form | None, fine: bool) -> _Trial:
    if race_legs(family, sizes, ask.mob.body_length_m) is None:
        return _unfit(
            family, f"a race of {sizes['race_length']:.1f} m is too short to run straight at first and then bend"
        )
    drawn = _drawn(family, ask, sizes, form, fine)
    if not drawn and form is not None:
        return _unfit(family, "cannot be drawn in the form that is held by hand")
    small_enough = [pair for pair in drawn if ask.fix is not None or _may_fit(pair[0], ground, sizes)]
    found = _found(family, small_enough, ask, sizes, ground, fine)
    if found is not None:
        return _Trial(family, *found)
    sound = (layout for layout, _ in sorted(drawn, key=lambda pair: _floor(pair[0])) if not overlaps(layout.part))
    smallest = next(sound, None)
    if smallest is None:
        return _unfit(family, "its parts would lie over one another", hopeless=False)
    taken = footprint(smallest, sizes["clear_margin"])
    long, short = _sides(taken)
    reason = f"does not fit the free ground; in its smallest form it takes {long:.0f} m by {short:.0f} m"
    return _unfit(family, reason, float(taken.area), hopeless=not small_enough)


def _unfit(family: Family, reason: str, area_m2: float = 0.0, hopeless: bool = True) -> _Trial:
    return _Trial(family, Rank(family.key, family.label, False, math.inf, area_m2, reason=reason), None, hopeless)


def _drawn(family: Family, ask: YardAsk, sizes: Sizes, form: Form | None, fine: bool) -> list[tuple[Sketch, bool]]:
    """Every layout of a family with whether it is to be mirrored, the least bulky first.

    One alone if it is held in a form; none where that form no longer works, since the build has changed: nobody asked
    for another.
    """
    if form is not None:
        ramp = "end" if ask.truck is not None and form.ramp_at == "none" else form.ramp_at
        option = Option(form.pen_depth_m, form.pen_rows, form.draft_length_m, ramp)
        held = sketch(family, ask, sizes, option, _heads(ask, form.mirrored))
        return [(held, form.mirrored)] if held is not None else []
    made: dict[tuple[tuple[str, int], ...], list[tuple[float, Sketch]]] = {}
    pairs: list[tuple[float, Sketch, bool]] = []
    for mirrored in {"left": (False,), "right": (True,), None: (False, True)}[ask.operator_side]:
        heads = _heads(ask, mirrored)
        key = tuple(sorted(heads.items()))
        if key not in made:
            drawn = (sketch(family, ask, sizes, option, heads) for option in options(family, ask, sizes, fine))
            made[key] = [(_bulk(layout, sizes), layout) for layout in drawn if layout is not None]
        pairs += [(bulk, layout, mirrored) for bulk, layout in made[key]]
    return [(layout, mirrored) for _, layout, mirrored in sorted(pairs, key=lambda pair: pair[0])]


def _heads(ask: YardAsk, mirrored: bool) -> dict[str, int]:
    """Head of each way's pen; the first side way lies away from the operator unless the site asks otherwise."""
    far_first = ask.draft_side == "both" or ask.draft_side != ("right" if mirrored else "left")
    return way_heads(ask, way_names(ask.machine.ways, far_first), mirrored)


def _bulk(layout: Sketch, sizes: Sizes) -> float:
    """What a layout takes before it has a place, so that the lean ones are tried first: outlines, floor and walk."""
    rings = [zone.ring for zone in layout.part.zones]
    outlines = sum(distance(ring[i - 1], ring[i]) for ring in rings for i in range(len(ring)))
    return 0.6 * outlines + 0.06 * _floor(layout) + _walk(layout) + _crowding(layout, sizes)


def _crowding(layout: Sketch, sizes: Sizes) -> float:
    """What it costs to work the mob in fewer pens than would keep each to its number of head, in metres of fence."""
    pens = [zone for zone in layout.part.zones if zone.key.startswith("receiving pen")]
    return UNDIVIDED_M * sum(max(0, math.ceil(pen.head / sizes["pen_head"]) - 1) for pen in pens)


def _floor(layout: Sketch) -> float:
    """Ground the spaces take, without any walk round them [m2]."""
    return sum(zone.area_m2 for zone in layout.part.zones)


def _may_fit(layout: Sketch, ground: Ground, sizes: Sizes) -> bool:
    """Say whether a layout could fit: what lies within another has less area and its hull a shorter outline."""
    points = [point for zone in layout.part.zones for point in zone.ring]
    points += [point for strip in layout.part.strips for point in strip.ring]
    # the clear walk lengthens a convex outline by a full turn of its width
    outline = shapely.convex_hull(shapely.linestrings(points)).length + 2 * math.pi * sizes["clear_margin"]
    return bool(_floor(layout) <= ground.free.area and outline <= shapely.convex_hull(ground.free).length)


def _fence_length(part: Part) -> float:
    """Line of fences with their gates and passes, shared stretches once, without the machines' sides [m]."""
    rings = {zone.key: shapely.Polygon(zone.ring) for zone in part.zones}
    machines = [shapely.buffer(rings[zone.key], 0.02) for zone in part.zones if zone.kind in ("crush", "draft")]
    fenced = [rings[zone.key].exterior for zone in part.zones if zone.kind not in ("crush", "draft")]
    return float(shapely.union_all(fenced).difference(shapely.union_all(machines)).length)


def _walk(layout: Sketch) -> float:
    """From the crush back to the forcing gate and on to the farthest receiving pen's gate, straight [m]."""
    gates = layout.part.gates
    forcing = next(gate.hinge for gate in gates if gate.kind == "forcing gate")
    crush = (layout.crush.x, layout.crush.y)
    pens = [distance(forcing, gate.hinge) for gate in gates if gate.kind == "pen gate" and gate.between[0] == "lane"]
    return distance(crush, forcing) + max(pens, default=0.0)


def _found(
    family: Family, drawn: list[tuple[Sketch, bool]], ask: YardAsk, sizes: Sizes, ground: Ground, fine: bool
) -> tuple[Rank, Placing] | None:
    """Look for the best place of the first few proportions that fit."""
    sound = (pair for pair in drawn if not overlaps(pair[0].part))
    if ask.fix is not None:
        margin = sizes["clear_margin"]
        places = [fixed_placing(layout, ask, mirrored, ground, margin) for layout, mirrored in islice(sound, LOOKED_AT)]
        fixed = min(places, key=lambda place: (round(place.penalty, 3), _bulk(place.layout, sizes)), default=None)
        return None if fixed is None else (_ranked(family, fixed, ask, sizes, ground), fixed)
    ranked: list[tuple[Rank, Placing]] = []
    for layout, mirrored in sound:
        places = _accessible(placings(layout, mirrored, ask, ground, sizes, fine), ask, sizes, ground)
        ranked += [(_ranked(family, place, ask, sizes, ground), place) for place in places]
        sound_ones = sum(not rank.reason for rank, _ in ranked)
        if sound_ones >= COMPARED or len(ranked) >= MOST_COMPARED:
            break
    return min(ranked, key=lambda pair: pair[0].score + pair[1].penalty * PENALTY_SHARE, default=None)


def _accessible(places: list[Placing], ask: YardAsk, sizes: Sizes, ground: Ground) -> list[Placing]:
    """The best place that lacks nothing, or the best place of all where each lacks something."""
    for place in places[:LOOKED_AT]:
        if not shortcomings(put(place), ask, ground, sizes):
            return [place]
    return places[:1]


def _ranked(family: Family, place: Placing, ask: YardAsk, sizes: Sizes, ground: Ground) -> Rank:
    layout = put(place)
    sun, truck = ask.site.sun_bearing_rad, gateway_for(ask.site, "truck")
    stand = next((strip.ring for strip in layout.part.strips if strip.kind == "apron"), None)
    lacking = shortcomings(layout, ask, ground, sizes)
    rank = Rank(
        family.key,
        family.label,
        True,
        0.0,
        float(footprint(layout, 0.0).area),
        _fence_length(layout.part),
        _walk(layout),
        layout.turn_rad,
        abs(math.remainder(layout.crush.heading - heading_of_bearing(sun), 2 * math.pi)) if sun is not None else 0.0,
        distance(truck.at, _middle(stand)) if truck is not None and stand else 0.0,
        "".join(f"; {what}" for what in lacking),
    )
    return replace(rank, score=score(rank, family.sweep_rad, len(lacking)) + _crowding(layout, sizes))


def _middle(ring: tuple[Point, ...]) -> Point:
    return (sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring))


def _sides(shape: shapely.Geometry) -> tuple[float, float]:
    """Long and short side of the smallest rectangle round a shape [m]."""
    corners = list(shapely.minimum_rotated_rectangle(shape).exterior.coords)
    sides = (distance(corners[0], corners[1]), distance(corners[1], corners[2]))
    return max(sides), min(sides)


def _refusal(ask: YardAsk, ground: Ground, trials: list[_Trial]) -> Fault:
    long, short = _sides(ground.free)
    mob = ask.mob
    held = ask.fix is not None and ask.fix.form is not None
    let_go = "take [yard.fix.form] out, so that a layout is looked for again; or " if held else ""
    return Fault(
        f"no layout for {mob.head} head of {mob.name} fits the site",
        got=f"{ground.free.area:.0f} m2 of free ground, {long:.0f} m by {short:.0f} m over all",
        allowed="; ".join(f"{trial.family.label}: {trial.rank.reason}" for trial in trials),
        mend=f"{let_go}hold fewer head at once, pick a guide with less space per head, leave out ramp or bypass, "
        "choose a turning forcing pen or a shorter race, or give more ground",
    )
