"""Finishes a placed layout: parts moved by hand, fences, ways out, places for people and power, slab and drain."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from stockproof.errors import Fault, InputError, Place, nearest
from stockproof.yard.assemble import batch_head, race_places
from stockproof.yard.escapes import escapes
from stockproof.yard.fencing import fences
from stockproof.yard.ground import Ground
from stockproof.yard.model import Form, Move, Point, Ring, YardAsk
from stockproof.yard.pack_place import find_pack
from stockproof.yard.result import Gate, Rank, Spot, Strip, Yard, Zone
from stockproof.yard.sizes import Sizes
from stockproof.yard.sketch import Sketch
from stockproof.yard.slab import make_slab
from stockproof.yard.stands import CRUSH_STAND, FORCING_STAND, control_spots, stands
from stockproof.yard.walking import walks

__all__ = ["SIZED_KINDS", "finish", "form_of"]

S = TypeVar("S", Zone, Strip)
#: Kinds of space whose floor may be set by hand.
SIZED_KINDS = ("pen", "draft pen", "sick pen")
#: People may walk so far round the outside of the yard.
WALK_MARGIN_M = 3.0


def finish(layout: Sketch, ask: YardAsk, sizes: Sizes, ground: Ground, ranking: tuple[Rank, ...]) -> Yard:
    """Give the whole yard for a layout that has its place.

    Raises
    ------
    InputError
        A part that is to be moved, or a pen that is to be sized, does not exist.
    """
    near = -1.0 if layout.mirrored else 1.0
    zones, strips = _shifted(layout.part.zones, ask.moves), _shifted(layout.part.strips, ask.moves)
    hung = _gates(layout.part.gates, ask.moves)
    people = stands(layout.stand, layout.crush, near, ask, sizes)
    by_key = {spot.key: spot.at for spot in people}
    out = escapes(zones, hung, ground.boundary, by_key[CRUSH_STAND], sizes)
    gates = (*hung, *out.gates)
    spots = (*people, *control_spots(layout.crush, near, ask, layout.stand), *layout.spots)
    pack = find_pack(layout.line.points, layout.crush, zones, strips, gates, spots, ask, sizes, ground)
    spots = _set_down(spots, pack, ask)
    _check_parts(ask, zones, strips, spots)
    runs = fences(zones, gates, layout.part.openings, sizes["fence_height"], sizes["race_height"])
    way = walks(zones, runs, WALK_MARGIN_M).way(by_key[CRUSH_STAND], by_key[FORCING_STAND])
    return Yard(
        ask=ask,
        family=layout.family,
        label=layout.label,
        mirrored=layout.mirrored,
        crush=layout.crush,
        line=layout.line.points,
        zones=zones,
        gates=gates,
        fences=runs,
        spots=spots,
        strips=(*strips, *_concrete(zones, strips, layout, ask)),
        passes_missing=out.missing,
        animal_path=layout.animal_path,
        people_path=way[1] if way is not None else (),
        race_places=race_places(sizes),
        race_length_m=sizes["race_length"],
        batch_head=batch_head(sizes),
        used=sizes.used,
        ranking=ranking,
        shifted=tuple(move.part for move in ask.moves),
        form=form_of(layout),
    )


def form_of(layout: Sketch) -> Form | None:
    """Give the free choices a layout was drawn with."""
    option = layout.option
    if option is None:
        return None
    return Form(option.depth_m, option.sides, option.draft_length_m, option.ramp_at, layout.mirrored)  # type: ignore[arg-type]


def _concrete(zones: tuple[Zone, ...], strips: tuple[Strip, ...], layout: Sketch, ask: YardAsk) -> tuple[Strip, ...]:
    slab = make_slab(zones, strips, layout.crush, ask.site)
    drains = (Strip(f"drain {i + 1}", "drain", ring) for i, ring in enumerate(slab.drains))
    return (Strip("slab", "slab", slab.ring), *drains)


def _set_down(spots: tuple[Spot, ...], pack: Spot | None, ask: YardAsk) -> tuple[Spot, ...]:
    """The spots with pack and supply outlet among them, each moved as the brief says."""
    supply = ask.site.supply_at
    more = [*([pack] if pack is not None else []), *([Spot("supply outlet", "supply", supply)] if supply else [])]
    return tuple(_moved_spot(spot, ask.moves) for spot in (*spots, *more))


def _by(moves: tuple[Move, ...], key: str) -> tuple[float, float]:
    """How far a part is moved in all."""
    mine = [move for move in moves if move.part == key]
    return (sum(move.east_m for move in mine), sum(move.north_m for move in mine))


def _carried(ring: Ring, by: tuple[float, float]) -> Ring:
    return tuple((x + by[0], y + by[1]) for x, y in ring)


def _shifted(parts: tuple[S, ...], moves: tuple[Move, ...]) -> tuple[S, ...]:
    return tuple(replace(part, ring=_carried(part.ring, _by(moves, part.key))) for part in parts)


def _gates(gates: tuple[Gate, ...], moves: tuple[Move, ...]) -> tuple[Gate, ...]:
    """A gate goes with the pen it serves, which is named last in `between` (first for a way out)."""
    moved = []
    for gate in gates:
        owner = gate.between[0] if gate.between[1] == "outside" else gate.between[1]
        by = _by(moves, owner)
        hinge, latch, *opens = _carried((gate.hinge, gate.latch, *gate.opens), by)
        moved.append(replace(gate, hinge=hinge, latch=latch, opens=tuple(opens)))
    return tuple(moved)


def _moved_spot(spot: Spot, moves: tuple[Move, ...]) -> Spot:
    by = _by(moves, spot.key)
    at: Point = (spot.at[0] + by[0], spot.at[1] + by[1])
    return replace(spot, at=at)


def _check_parts(ask: YardAsk, zones: tuple[Zone, ...], strips: tuple[Strip, ...], spots: tuple[Spot, ...]) -> None:
    """Refuse to move or size by hand what this yard does not have."""
    pens = [zone.key for zone in zones if zone.kind in SIZED_KINDS]
    known = [zone.key for zone in zones] + [strip.key for strip in strips] + [spot.key for spot in spots]
    faults = [_unknown("part", move.part, known, move.place) for move in ask.moves if move.part not in known]
    faults += [_unknown("pen", resize.part, pens, resize.place) for resize in ask.resizes if resize.part not in pens]
    if faults:
        raise InputError(faults)


def _unknown(what: str, name: str, known: list[str], place: Place) -> Fault:
    words = f"no {what} of the yard is called {name!r}"
    return Fault(words, place, allowed=", ".join(known), mend=nearest(name, known))
