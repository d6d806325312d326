"""Numbers for other rooms: distances and pen sizes for flow, hose and cable for power, materials for money."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from stockproof.yard.draft_pens import side_of
from stockproof.yard.fencing import post_count
from stockproof.yard.formulas import base_volume
from stockproof.yard.plane import area, distance
from stockproof.yard.result import Yard, Zone
from stockproof.yard.slab import DRAIN_M
from stockproof.yard.stands import CRUSH_STAND, DRAFT_STAND, FORCING_STAND, PACK, route_length
from stockproof.yard.walking import walks

__all__ = ["Amount", "Quantities", "cable_length", "hose_lengths", "quantities"]

#: Cable is laid along two square directions and turns up at both ends [m].
CABLE_ENDS_M = 2.0


@dataclass(frozen=True, slots=True)
class Amount:
    """A line of the bill: what, how much, unit, and the trade that supplies it."""

    what: str
    amount: float
    unit: str
    trade: str


@dataclass(frozen=True, slots=True)
class Quantities:
    """What flow, power and money read of a yard.

    `walks_m` are shortest ways on foot (from, to, metres); a way that does not exist is left out.
    `pens` are (key, head, floor) of every space that holds animals; `draft_places` the head of each draft pen by
    the side it lies on, seen in the animals' direction. `pack_to_control_m` is straight from the pack to the nearest
    control point. `materials` are totals as a price is set on them.
    """

    race_places: int
    race_length_m: float
    batch_head: int
    forcing_head: int
    pens: tuple[tuple[str, int, float], ...]
    walks_m: tuple[tuple[str, str, float], ...]
    hoses_m: tuple[tuple[str, float], ...]
    cable_m: float | None
    pack_to_control_m: float | None
    draft_places: tuple[tuple[str, int], ...]
    materials: tuple[tuple[str, float], ...]
    amounts: tuple[Amount, ...]

    def walk(self, start: str, end: str) -> float | None:
        """Give the way between two places on foot [m], or None where there is none."""
        return next((long for a, b, long in self.walks_m if {a, b} == {start, end}), None)

    def amount(self, what: str) -> float:
        return next((line.amount for line in self.amounts if line.what == what), 0.0)


def quantities(yard: Yard) -> Quantities:
    """Count and measure a yard."""
    return Quantities(
        yard.race_places,
        yard.race_length_m,
        yard.batch_head,
        yard.zone("forcing pen").head,
        tuple((zone.key, zone.head, zone.area_m2) for zone in yard.zones if zone.head > 0),
        _walks(yard),
        hose_lengths(yard),
        cable_length(yard),
        _pack_to_control(yard),
        tuple((side, zone.head) for side, zone in draft_pens_by_side(yard).items()),
        _materials(yard),
        _amounts(yard),
    )


def _walks(yard: Yard) -> tuple[tuple[str, str, float], ...]:
    """Ways between the stands, and from the forcing pen's stand to every receiving pen's gate."""
    grid = walks(yard.zones, yard.fences, 3.0)
    stands = {spot.key: spot.at for spot in yard.spots if spot.kind == "stand"}
    pairs = [(CRUSH_STAND, FORCING_STAND), (CRUSH_STAND, DRAFT_STAND), (FORCING_STAND, DRAFT_STAND)]
    goals = {
        gate.between[1]: gate.hinge for gate in yard.gates if gate.kind == "pen gate" and gate.between[0] == "lane"
    }
    goals |= {gate.between[0]: gate.latch for gate in yard.gates if gate.kind == "exit gate"}
    pairs += [(FORCING_STAND if key.startswith("receiving") else CRUSH_STAND, key) for key in goals]
    found = []
    for start, end in pairs:
        places = stands | goals
        if start in places and end in places:
            way = grid.way(places[start], places[end])
            if way is not None:
                found.append((start, end, way[0]))
    return tuple(found)


def hose_lengths(yard: Yard) -> tuple[tuple[str, float], ...]:
    """Give the hose from the power pack to each powered part that needs one [m]."""
    spots = {spot.key: spot.at for spot in yard.spots}
    if PACK not in spots:
        return ()
    names = yard.ask.machine.actuated or tuple(name for name, _ in yard.ask.machine.moving_parts)
    rise = yard.size("hose_rise")
    return tuple((name, route_length(yard.line, spots[PACK], spots[name], rise)) for name in names if name in spots)


def cable_length(yard: Yard) -> float | None:
    """Give the cable from the supply outlet to the power pack [m], or None where either is missing."""
    spots = {spot.key: spot.at for spot in yard.spots}
    if PACK not in spots or yard.ask.site.supply_at is None:
        return None
    (x0, y0), (x1, y1) = spots[PACK], yard.ask.site.supply_at
    return abs(x1 - x0) + abs(y1 - y0) + CABLE_ENDS_M


def _pack_to_control(yard: Yard) -> float | None:
    packs = [spot.at for spot in yard.spots if spot.kind == "power pack"]
    points = [spot.at for spot in yard.spots if spot.kind == "control point"]
    return min((distance(pack, point) for pack in packs for point in points), default=None)


def draft_pens_by_side(yard: Yard) -> dict[str, Zone]:
    """Give the draft pens by the side they lie on, seen in the animals' direction: `left back` to `right back`."""
    pens = {zone.key.removeprefix("draft pen "): zone for zone in yard.zones if zone.kind == "draft pen"}
    return {side_of(way, yard.mirrored): zone for way, zone in pens.items()}


def _materials(yard: Yard) -> tuple[tuple[str, float], ...]:
    """Fence, catwalk and cable [m], gates, ramp [m2] and concrete [m3]; what the yard does not have is left out."""
    catwalk = [area(strip.ring) / yard.size("catwalk_width") for strip in yard.strips if strip.kind == "catwalk"]
    ramp = _zone(yard, "ramp")
    slab, bases = _concrete(yard)
    totals = {
        "fence": sum(run.length_m for run in yard.fences),
        "gate": float(sum(gate.kind != "worker pass" for gate in yard.gates)),
        "catwalk": sum(catwalk),
        "ramp": ramp.area_m2 if ramp else 0.0,
        "concrete": slab + bases,
        "cable": cable_length(yard) or 0.0,
    }
    return tuple((what, amount) for what, amount in totals.items() if amount > 0)


def _concrete(yard: Yard) -> tuple[float, float]:
    """Concrete in the slab and in the post bases [m3]."""
    slab = next(strip.ring for strip in yard.strips if strip.kind == "slab")
    base = base_volume(yard.size("post_base_side"), yard.size("post_base_depth"))
    return area(slab) * yard.size("slab_thickness"), _posts(yard) * base


def _amounts(yard: Yard) -> tuple[Amount, ...]:
    """The bill of fences, gates, posts and concrete."""
    lines = [*_fence_lines(yard), *_gate_lines(yard), *_concrete_lines(yard)]
    catwalk = next((strip.ring for strip in yard.strips if strip.kind == "catwalk"), None)
    if catwalk is not None:
        lines.append(Amount("catwalk", area(catwalk) / yard.size("catwalk_width"), "m", "steelwork"))
    ramp = _zone(yard, "ramp")
    if ramp is not None:
        lines.append(Amount("load-out ramp", ramp.area_m2, "m2", "steelwork"))
    hoses = hose_lengths(yard)
    if hoses:
        lines.append(Amount("hose, pressure and return", 2.0 * sum(long for _, long in hoses), "m", "machine"))
    cable = cable_length(yard)
    if cable is not None:
        lines.append(Amount("supply cable", cable, "m", "cable"))
    return tuple(lines)


def _zone(yard: Yard, kind: str) -> Zone | None:
    return next((zone for zone in yard.zones if zone.kind == kind), None)


def _posts(yard: Yard) -> int:
    spacing = yard.size("post_spacing")
    return sum(post_count(run.path, spacing) for run in yard.fences)


def _fence_lines(yard: Yard) -> list[Amount]:
    lines = [
        Amount(f"{kind} fence", sum(run.length_m for run in yard.fences if run.kind == kind), "m", "steelwork")
        for kind in ("rail", "sheeted")
    ]
    return [*lines, Amount("fence posts", float(_posts(yard)), "1", "steelwork")]


def _gate_lines(yard: Yard) -> list[Amount]:
    counted = Counter((gate.kind, round(gate.width_m, 2)) for gate in yard.gates)
    return [
        Amount(f"{kind} {width:.2f} m", float(number), "1", "steelwork")
        for (kind, width), number in sorted(counted.items())
    ]


def _concrete_lines(yard: Yard) -> list[Amount]:
    """Slab, post bases and drains."""
    slab = next(strip.ring for strip in yard.strips if strip.kind == "slab")
    drains = [strip.ring for strip in yard.strips if strip.kind == "drain"]
    in_slab, in_bases = _concrete(yard)
    return [
        Amount("slab", area(slab), "m2", "concrete"),
        Amount("concrete in the slab", in_slab, "m3", "concrete"),
        Amount("concrete in post bases", in_bases, "m3", "concrete"),
        Amount("drain", sum(area(ring) for ring in drains) / DRAIN_M, "m", "concrete"),
        Amount("formwork round the slab", _perimeter(slab), "m", "concrete"),
    ]


def _perimeter(ring: tuple[tuple[float, float], ...]) -> float:
    return math.fsum(distance(ring[i - 1], ring[i]) for i in range(len(ring)))
