"""The key plan: the whole site with the yard on it, in a corner of a plan that shows only the ground round the yard."""

from __future__ import annotations

import shapely

from stockproof.scene import Box, Layer, Polygon, Scene, Text
from stockproof.yard.model import Point, Ring
from stockproof.yard.result import Yard

__all__ = ["free_corner", "key_box", "key_scene"]

#: The key plan is drawn at the first of these at which it finds a free corner.
KEY_SCALES = (1000.0, 2000.0)
EDGE_MM, TITLE_MM, WIDE_MM = 3.0, 6.0, 34.0


def key_box(yard: Yard, denominator: float) -> Box:
    """Give the paper a key plan takes, in mm from its lower left corner."""
    x0, y0, x1, y1 = shapely.Polygon(yard.ask.site.boundary).bounds
    k = 1000.0 / denominator
    return Box(0.0, 0.0, max(WIDE_MM, (x1 - x0) * k + 2 * EDGE_MM), (y1 - y0) * k + 2 * EDGE_MM + TITLE_MM)


def key_scene(yard: Yard, denominator: float, layers: tuple[Layer, ...]) -> Scene:
    """Draw the site's boundary, what stands there, and the ground of the yard, in mm on a paper ground."""
    box, k = key_box(yard, denominator), 1000.0 / denominator
    x0, y0, _, _ = shapely.Polygon(yard.ask.site.boundary).bounds

    def place(ring: Ring) -> Ring:
        return tuple(((x - x0) * k + EDGE_MM, (y - y0) * k + EDGE_MM + TITLE_MM) for x, y in ring)

    frame: tuple[Point, ...] = ((box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1))
    return Scene(
        "mm",
        layers,
        (
            Polygon("GROUND", frame, "paper"),
            Polygon("BOUNDARY", place(yard.ask.site.boundary)),
            *(Polygon("EXISTING", place(thing.ring), "hatch") for thing in yard.ask.site.existing),
            *(Polygon("FENCE-RAIL", place(zone.ring), "tint") for zone in yard.zones),
            Text("WORDS", (EDGE_MM, 2.4), f"Whole site, 1:{denominator:g}", 1.8),
        ),
    )


def free_corner(yard: Yard, window: Box, mm_per_m: float) -> tuple[float, Box] | None:
    """Give the key plan's scale and the ground under it, in a corner of the window where nothing of the yard lies."""
    rings = [zone.ring for zone in yard.zones] + [strip.ring for strip in yard.strips]
    built = shapely.union_all([shapely.Polygon(ring) for ring in rings]).buffer(1.0)
    for denominator in KEY_SCALES:
        size = key_box(yard, denominator)
        wide, high = size.width / mm_per_m, size.height / mm_per_m
        # the upper right corner is the north arrow's
        for x, y in (
            (window.x1 - wide, window.y0),
            (window.x0, window.y0),
            (window.x0, window.y1 - high),
        ):
            if not built.intersects(shapely.box(x, y, x + wide, y + high)):
                return denominator, Box(x, y, x + wide, y + high)
    return None
