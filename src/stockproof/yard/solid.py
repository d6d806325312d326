"""A light description of the yard in space: fences, machines, slab and ramp as upright shapes with two heights."""

from __future__ import annotations

import shapely

from stockproof.yard.model import Ring
from stockproof.yard.plane import rectangle
from stockproof.yard.result import Box, Pose, Yard
from stockproof.yard.section import catwalk_height
from stockproof.yard.stands import PACK

__all__ = ["solid"]

RAIL_M, SHEET_M = 0.06, 0.05
PACK_HIGH_M = 0.9


def solid(yard: Yard) -> tuple[Box, ...]:
    """Give every part as a footprint with its bottom and top, the slab's surface at zero [m]."""
    thick = yard.size("slab_thickness")
    boxes = [Box(strip.key, strip.kind, strip.ring, -thick, 0.0) for strip in yard.strips if strip.kind == "slab"]
    deck = catwalk_height(yard)
    boxes += [
        Box(strip.key, strip.kind, strip.ring, deck - 0.04, deck) for strip in yard.strips if strip.kind == "catwalk"
    ]
    for number, run in enumerate(yard.fences, 1):
        wide = SHEET_M if run.kind == "sheeted" else RAIL_M
        boxes.append(Box(f"fence {number}", f"{run.kind} fence", _thickened(run.path, wide), 0.0, run.height_m))
    boxes += [
        Box(gate.key, "gate", _thickened((gate.hinge, gate.latch), RAIL_M), 0.3, yard.size("fence_height"))
        for gate in yard.gates
        if gate.kind != "worker pass"
    ]
    high = yard.ask.machine.crush_height_m
    boxes += [Box(zone.key, zone.kind, zone.ring, 0.0, high) for zone in yard.zones if zone.kind in ("crush", "draft")]
    boxes += [Box(thing.name, thing.kind, thing.ring, 0.0, thing.height_m) for thing in yard.ask.site.existing]
    boxes += [Box(PACK, "power pack", _pack(spot.at), 0.0, PACK_HIGH_M) for spot in yard.spots if spot.key == PACK]
    return tuple(boxes)


def _thickened(path: Ring, width_m: float) -> Ring:
    """A line of fence as a narrow ring."""
    shape = shapely.buffer(shapely.LineString(path), width_m / 2, cap_style="flat", join_style="mitre")
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1])


def _pack(at: tuple[float, float]) -> Ring:
    return rectangle(Pose(at[0], at[1], 0.0), -0.55, 0.55, -0.4, 0.4)
