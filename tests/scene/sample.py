"""A small invented yard corner that exercises every primitive."""

import math

from stockproof.scene import (
    Arc,
    Block,
    Box,
    Circle,
    Dimension,
    Drawing,
    Entity,
    Insert,
    Layer,
    Leader,
    Line,
    Polygon,
    Polyline,
    Scene,
    Sheet,
    Text,
    TitleBlock,
    fit_view,
)

LAYERS = (
    Layer("SLAB", "faint", 0.18, title="Concrete", fill="tint"),
    Layer("FENCE", "ink", 0.5, title="Rail fence"),
    Layer("GATE", "ink", 0.35, title="Gate and its swing"),
    Layer("SWING", "steel", 0.18, (2.0, 1.0)),
    Layer("ANIMAL", "hide", 0.18, title="Animal, to size", fill="tint"),
    Layer("PATH", "rust", 0.35, (4.0, 1.5), title="Way of the animals"),
    Layer("DIM", "steel", 0.18),
    Layer("TEXT", "ink", 0.18),
)
ANIMAL = Block(
    "ANIMAL",
    (
        Polygon("ANIMAL", ((-1.1, -0.25), (0.6, -0.3), (1.0, -0.12), (1.0, 0.12), (0.6, 0.3), (-1.1, 0.25)), "tint"),
        Circle("ANIMAL", (0.85, 0.0), 0.05, "solid"),
    ),
)
LABELLED = Block("POST", (Circle("FENCE", (0, 0), 0.08, "solid"), Text("TEXT", (0.2, 0.2), "P1", 1.8)))


def yard_scene(measure: str = "mm", label: str = "Forcing pen") -> Scene:
    entities: list[Entity] = [
        Polygon("SLAB", ((0, 0), (14, 0), (14, 9), (0, 9)), "tint", holes=(((1, 7), (3, 7), (3, 8), (1, 8)),)),
        Polyline("FENCE", ((0.5, 0.5), (8, 0.5), (8, 6.5), (0.5, 6.5))),
        Line("FENCE", (8, 6.5), (13, 6.5)),
        Line("GATE", (8, 0.5), (11, 0.5)),
        Arc("SWING", (8, 0.5), 3.0, 0.0, math.pi / 2),
        Polygon("GATE", ((11, 1), (13, 1), (13, 2), (11, 2)), "hatch"),
        Polyline("PATH", ((1, 3), (6, 3), (10, 5), (13, 5))),
        Insert("FENCE", "POST", (0.5, 6.5)),
        Insert("FENCE", "POST", (8, 6.5), mirrored=True),
        Text("TEXT", (2, 5.4), label, 2.5, bold=True, backed=True),
        Dimension("DIM", (0.5, 0.5), (8, 0.5), -8.0),
        Dimension("DIM", (8, 0.5), (8, 6.5), 36.0, "vertical"),
        Leader("TEXT", ((12, 1.5), (11.4, 3.2)), "pump", "arrow"),
    ]
    entities += [Insert("ANIMAL", "ANIMAL", (2 + 0.9 * i, 2 + 0.3 * (i % 3)), 0.3 * i) for i in range(5)]
    return Scene("m", LAYERS, tuple(entities), (ANIMAL, LABELLED), measure)  # type: ignore[arg-type]


def yard_drawing(scene: Scene | None = None, customer: str = "Invented customer") -> Drawing:
    title = TitleBlock(
        "Yard plan",
        "Sample of every primitive",
        "Invented site",
        customer,
        "Invented firm",
        "Y-01",
        "A",
        "2026-03-02",
        "1 of 1",
    )
    sheet = Sheet("A3", title, ("All dimensions in millimetres.", "Set out from the datum at the gate post."))
    view = fit_view(scene or yard_scene(), Box(-1.5, -2.5, 16, 10), sheet.room, "Plan", math.radians(75))
    return Drawing("yard-plan", sheet, (view,))
