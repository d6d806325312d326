"""From an installation to what a layout rests on: dimensions of the build, mobs as sizes, the site in plan.

Nothing is made up here: what the `[yard]` table leaves out stays out, and its rules are then `not shown`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.brief.model import Site
from stockproof.brief.promises import Holds
from stockproof.brief.yard_table import YardTable
from stockproof.catalogue.items import ControlPoint as ControlItem
from stockproof.catalogue.items import CrushBody, DraftUnit, ItemBase, RacePart, SlideGate
from stockproof.catalogue.items import ForcingPen as ForcingItem
from stockproof.catalogue.line import part_name
from stockproof.errors import Fault, InputError, Place
from stockproof.herd import MobSizes, mobs, parting
from stockproof.installation import Installation
from stockproof.yard.model import (
    ControlPoint,
    Existing,
    Fix,
    ForcingAsk,
    Form,
    Gateway,
    Held,
    Impact,
    MachineAsk,
    Move,
    RaceAsk,
    Resize,
    SiteAsk,
    Strength,
    Stretch,
    Truck,
    YardAsk,
)
from stockproof.yard.sizes import holding_space

__all__ = ["ask"]

#: Widths are made for this percentile of a mob and judged for animals that turn at the other end.
HEAVY_SHARE, LIGHT_SHARE = 0.95, 0.05
#: Where a powered part stands in the crush, as a share of its length; parts before or behind it in metres.
AT_SHARE = {"entry": 0.0, "rear_access": 0.08, "squeeze": 0.5, "lift": 0.95, "bail": 1.0}
SLIDE_BEFORE_M = 2.5
FORCING_SHAPES = {"funnel": "funnel", "part_circle": "part circle", "half_circle": "half circle"}


def ask(installation: Installation, table: YardTable | None = None) -> YardAsk:
    """Give what a layout rests on.

    Parameters
    ----------
    installation : Installation
        Brief and build.
    table : YardTable or None
        Wishes for the yard; None takes the brief's own `[yard]` table.

    Raises
    ------
    InputError
        The build has no crush, or the table names a mob the brief does not have.
    """
    table = table if table is not None else installation.brief.file.yard
    place = installation.brief.toml.place
    crush = installation.one(CrushBody)
    if crush is None:
        raise InputError(Fault("a yard needs a crush, and the build has none", mend="add a crush body to the build"))
    name, head = _held(installation, table)
    held = tuple(_mob(sizes, head if sizes.name == name else None) for sizes in mobs(installation.brief))
    return YardAsk(
        name=installation.brief.file.title,
        mobs=held,
        held=name,
        machine=_machine(installation, crush),
        site=_site(installation.brief.file.site, table),
        guide=table.guide,
        race=_race(installation),
        forcing=_forcing(installation),
        operator_side=installation.brief.file.site.operator_side,
        draft_side=installation.brief.file.site.draft_side,
        draft_shares=_draft_shares(installation, table, held, name),
        draft_hold_share=table.draft_hold_share,
        holding_heads=table.holding_heads,
        sick_head=table.sick_head,
        bypass=table.bypass,
        truck=Truck(**table.truck.model_dump()) if table.truck is not None else None,
        control_points=tuple(_control_points(installation, crush)),
        hose_reach_m=installation.brief.file.site.hose_length_m,
        pack_at=table.pack_m,
        hose_limit_m=table.longest_hose_m,
        cable_limit_m=table.longest_cable_m,
        lifting_kg=table.lifting_kg or installation.brief.file.site.lifting_on_site_kg,
        access_load_kg=installation.brief.file.site.access_load_kg,
        impact=_impact(table),
        strength=_strength(table),
        fix=_fix(table, installation.brief.file.site, place(("yard", "fix"))),
        moves=tuple(
            Move(row.part, row.east_m, row.north_m, place(("yard", "move", i))) for i, row in enumerate(table.move)
        ),
        resizes=tuple(
            Resize(row.part, row.area_m2, place(("yard", "resize", i))) for i, row in enumerate(table.resize)
        ),
        families=table.families,
    )


def _held(installation: Installation, table: YardTable) -> tuple[str, int]:
    """The mob the yard must hold and its head: from the table, else the promise, else the mob with most head."""
    written = installation.brief.mobs
    promised = [promise for promise in installation.brief.promises if isinstance(promise, Holds)]
    if table.mob and table.mob not in written:
        raise InputError(Fault("is no mob of this brief", got=repr(table.mob), allowed=", ".join(written)))
    most = max(written, key=lambda name: (written[name].head, name))
    name = table.mob or (promised[0].mob if promised else most)
    stated = [promise.at_least_head for promise in promised if promise.mob == name]
    head = table.head or (stated[0] if stated else written[name].head)
    return name, math.ceil(head)


def _draft_shares(installation: Installation, table: YardTable, held: tuple[Held, ...], name: str) -> tuple[float, ...]:
    """For each way, from the left, the most floor any programme's animals need there, over what the mob held needs."""
    draft, brief = installation.one(DraftUnit), installation.brief
    if draft is None or draft.ways < 2:
        return ()
    floors = {mob.name: mob.head * holding_space(mob, table.guide).value for mob in held}
    needed = [
        [share * programme.share * floors[programme.mob] / floors[name] for share in parted.shares]
        for programme in brief.file.programme
        if programme.sort
        for parted in [parting(brief, programme, draft.ways, table.draft_shares)]
    ]
    return tuple(max(shares) for shares in zip(*needed, strict=True))


def _mob(sizes: MobSizes, head: int | None) -> Held:
    return Held(
        sizes.name,
        sizes.stock_class.code,
        head if head is not None else sizes.head,
        sizes.mean("weight"),
        sizes.percentile("weight", HEAVY_SHARE),
        sizes.percentile("weight", LIGHT_SHARE),
        sizes.mean("nose_to_tail"),
        sizes.mean("hip_width"),
        sizes.stock_class.code == "cow_with_calf",
    )


def _site(site: Site, table: YardTable) -> SiteAsk:
    """The site in plan axes (y up); bearings are given from north, which may not be straight up."""
    turned = site.north_rad
    return SiteAsk(
        site.boundary_m,
        site.slope_share,
        site.falls_toward_rad + turned,
        tuple(Gateway(row.name, row.at_m, row.width_m, row.serves) for row in table.gateway),
        tuple(Existing(row.name, row.kind, row.corners_m, row.height_m) for row in table.existing),
        table.outlet_m,
        table.sun_rad + turned if table.sun_rad is not None else None,
        table.wind_rad + turned if table.wind_rad is not None else None,
        turned,
    )


def _machine(installation: Installation, crush: CrushBody) -> MachineAsk:
    draft = installation.one(DraftUnit)
    parts = dict(_moving_parts(installation, crush, draft))
    return MachineAsk(
        crush.length_m,
        crush.width_m,
        crush.inside_width_m,
        crush.height_m,
        crush.mass_kg,
        draft.length_m if draft is not None else 0.0,
        draft.width_m if draft is not None else 0.0,
        draft.ways if draft is not None else 1,
        tuple(parts.items()),
        tuple(part for part in parts if part in {c.part for item in _all(installation) for c in item.cylinder}),
        sum(chosen.count for chosen in installation.build if isinstance(chosen.item, SlideGate)),
        crush.largest_piece_kg or crush.mass_kg,
    )


def _all(installation: Installation) -> list[ItemBase]:
    return [chosen.item for chosen in installation.build]


def _moving_parts(installation: Installation, crush: CrushBody, draft: DraftUnit | None) -> Iterator[tuple[str, float]]:
    """Powered parts by name with their distance from the crush's entry."""
    for item in _all(installation):
        for part in dict.fromkeys(motion.part for motion in item.motion):
            if part in AT_SHARE:
                yield part, AT_SHARE[part] * crush.length_m
            elif part == "slide":
                yield part, -SLIDE_BEFORE_M
            elif draft is not None and part.startswith("draft"):
                share = 0.75 if part == "draft2" else 0.5
                yield part, crush.length_m + share * draft.length_m
            elif part_name(item) in AT_SHARE:
                yield part, AT_SHARE[part_name(item)] * crush.length_m


def _race(installation: Installation) -> RaceAsk:
    """The race of the build; a race that stays lengthens it, and the stretch with most length is the main one."""
    parts = [(chosen.item, chosen.count) for chosen in installation.build if isinstance(chosen.item, RacePart)]
    long: dict[Stretch, float] = {}
    for part, count in parts:
        floor = part.clear_width_m if part.sides == "sloped" else None
        stretch = Stretch(part.name.lower(), part.clear_width_top_m, floor, part.side_height_m)
        long[stretch] = long.get(stretch, 0.0) + part.length_m * count
    stays = installation.brief.file.site.existing_race
    if stays is not None:
        floor = stays.clear_width_m if stays.sides == "sloped" else None
        long[Stretch("race that stays", stays.clear_width_m, floor, stays.side_height_m)] = stays.length_m
    if not sum(long.values()):
        return RaceAsk()
    main, *others = sorted(long, key=lambda stretch: -long[stretch])
    curved = any(part.shape == "curved" for part, _ in parts)
    return RaceAsk(
        ("curved",) if curved else ("straight",),
        sum(long.values()),
        main.clear_width_m,
        main.floor_width_m,
        main.height_m,
        name=main.name,
        others=tuple(others),
        man_gate=any(part.man_gate for part, _ in parts),
    )


def _forcing(installation: Installation) -> ForcingAsk:
    """The forcing pen of the build; for a funnel its overall width is the mouth."""
    pen = installation.one(ForcingItem)
    if pen is None:
        return ForcingAsk()
    shape = FORCING_SHAPES[pen.shape]
    return ForcingAsk((shape,), pen.width_m if pen.shape == "funnel" else pen.radius_m)  # type: ignore[arg-type]


def _control_points(installation: Installation, crush: CrushBody) -> Iterator[ControlPoint]:
    """Control points with the powered parts that their controls name."""
    parts = {part for item in _all(installation) for part in (motion.part for motion in item.motion)}
    places = {"side_panel": 0.5 * crush.length_m, "front_panel": crush.length_m, "hand_held_remote": None}
    for item in installation.items(ControlItem):
        named = dict.fromkeys(
            word
            for signal in item.signal
            if signal.kind == "control"
            for word in signal.name.split(".")
            if word in parts
        )
        yield ControlPoint(item.style.replace("_", " "), places[item.style], tuple(named))


def _impact(table: YardTable) -> Impact | None:
    row = table.impact
    return Impact(row.force_n, row.height_m, row.source) if row is not None else None


def _strength(table: YardTable) -> Strength:
    row = table.impact
    if row is None:
        return Strength()
    return Strength(row.gate_n, row.latch_n, row.anchor_n, row.post_modulus_m3, row.post_yield_pa)


def _fix(table: YardTable, site: Site, place: Place) -> Fix | None:
    row = table.fix
    if row is None:
        return None
    held = row.form
    form = Form(held.pen_depth_m, held.pen_rows, held.draft_length_m, held.ramp, held.mirrored) if held else None
    return Fix(row.at_m[0], row.at_m[1], row.heading_rad + site.north_rad, place, form)
