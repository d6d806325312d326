"""The layers of a yard's drawings: names, weights and words for the legend."""

from __future__ import annotations

from stockproof.scene import Layer

__all__ = ["LAYERS"]

LAYERS = (
    Layer("SLAB", "steel", 0.13, title="concrete slab", fill="tint"),
    Layer("DRAIN", "steel", 0.18, title="drain", fill="hatch"),
    Layer("WORK", "steel", 0.18, (1.2, 0.8), title="floor for people, catwalk"),
    Layer("APRON", "steel", 0.18, (3.0, 1.0), title="truck stand, approach"),
    Layer("EXISTING", "steel", 0.35, title="stands and stays", fill="hatch"),
    Layer("BOUNDARY", "ink", 0.35, (5.0, 1.2, 0.6, 1.2), title="site boundary"),
    Layer("ANIMAL", "hide", 0.13, title="animal to size", fill="tint"),
    Layer("MACHINE", "ink", 0.35, title="crush and draft unit", fill="tint"),
    Layer("FENCE-RAIL", "ink", 0.25, title="rail fence"),
    Layer("FENCE-SHEETED", "ink", 0.7, title="sheeted side"),
    Layer("GATE", "ink", 0.5, title="gate, closed"),
    Layer("GATE-SWING", "steel", 0.18, (1.0, 0.8), title="gate's swing"),
    Layer("PASS", "ink", 0.25, title="worker pass or man-gate", marks=("triangle",)),
    Layer("ANIMAL-PATH", "hide", 0.35, (3.0, 1.2), title="way of the animals"),
    Layer("PEOPLE-PATH", "ink", 0.25, (0.6, 1.0), title="way of people"),
    Layer("HOSE", "steel", 0.25, (4.0, 0.8, 0.6, 0.8), title="hose over the line, cable"),
    Layer("POWER", "ink", 0.35, title="power pack, controls", fill="cross", marks=("box", "dot")),
    Layer("FINDING", "rust", 0.35, title="finding, see notes", fill="none"),
    Layer("PEG", "ink", 0.35, title="peg: solid on the line, open on the slab's edge", marks=("dot", "ring")),
    Layer("DIM", "ink", 0.13),
    Layer("WORDS", "ink", 0.13),
    Layer("GROUND", "steel", 0.18),
)
