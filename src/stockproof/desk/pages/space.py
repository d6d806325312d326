"""The yard in space: upright shapes with two heights, to be turned and brought nearer by hand."""

from __future__ import annotations

from nicegui import ui

from stockproof.dossier.style import PALETTE
from stockproof.yard import Box
from stockproof.yard.model import Ring

__all__ = ["space_view"]

#: Colour and opacity by kind of part; what is not named is drawn as fence.
LOOKS: dict[str, tuple[str, float]] = {
    "slab": (PALETTE["rule"], 1.0),
    "catwalk": (PALETTE["steel"], 1.0),
    "crush": (PALETTE["rust"], 0.95),
    "draft": (PALETTE["ink"], 0.85),
    "gate": (PALETTE["ink"], 1.0),
    "sheeted fence": (PALETTE["steel"], 1.0),
    "power pack": (PALETTE["rust"], 1.0),
    "shed": (PALETTE["label"], 0.35),
    "roof": (PALETTE["label"], 0.25),
    "obstacle": (PALETTE["label"], 0.6),
}
#: Rails are seen through.
RAIL = (PALETTE["label"], 0.45)
THIN_M = 0.02


def space_view(boxes: tuple[Box, ...], boundary: Ring) -> None:
    """Show a yard in space, seen from beyond its south side."""
    xs = [x for box in boxes for x, _ in box.ring]
    ys = [y for box in boxes for _, y in box.ring]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    far = max(max(xs) - min(xs), max(ys) - min(ys))
    view = ui.scene(width=960, height=600, grid=False, background_color=PALETTE["paper"])
    view.classes("inspace").props('aria-label="The yard in space; drag to turn it"')
    with view:
        _ring(view, boundary)
        for box in boxes:
            colour, opacity = LOOKS.get(box.kind, RAIL)
            shape = view.extrusion([list(at) for at in box.ring], max(box.high_m - box.low_m, THIN_M))
            shape.move(0, 0, box.low_m).material(colour, opacity).with_name(box.key)
    view.move_camera(
        x=middle[0],
        y=middle[1] - 0.6 * far,
        z=0.45 * far,
        look_at_x=middle[0],
        look_at_y=middle[1],
        look_at_z=0,
        duration=0,
    )


def _ring(view: ui.scene, boundary: Ring) -> None:
    for i, at in enumerate(boundary):
        view.line([*boundary[i - 1], 0.0], [*at, 0.0]).material(PALETTE["label"])
