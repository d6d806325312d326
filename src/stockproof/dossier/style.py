"""The house palette: warm paper, ink, galvanised grey and one rust accent; every writer takes its colours here.

Text colours keep a contrast of 7:1 or more on the paper (WCAG 2.2, success criterion 1.4.6), which a test checks.
"""

from __future__ import annotations

from stockproof.scene import Fill, Role

__all__ = ["FILLS", "PALETTE", "PAPER", "STROKES", "TEXTS", "fill_colour"]

PAPER = "#faf7f0"
#: Names as the document templates and the pages use them.
PALETTE = {
    "paper": PAPER,
    "shade": "#f1ede3",
    "ink": "#211f1b",
    "steel": "#6f787c",
    "label": "#4d5559",
    "rule": "#c9c6bd",
    "rust": "#8c340d",
    "hide": "#6b5137",
}
STROKES: dict[Role, str] = {
    "ink": PALETTE["ink"],
    "steel": PALETTE["steel"],
    "faint": PALETTE["rule"],
    "rust": PALETTE["rust"],
    "hide": PALETTE["hide"],
}
TEXTS: dict[Role, str] = {
    "ink": PALETTE["ink"],
    "steel": PALETTE["label"],
    "faint": PALETTE["label"],
    "rust": PALETTE["rust"],
    "hide": PALETTE["hide"],
}
_TINTS: dict[Role, str] = {
    "ink": "#dedbd2",
    "steel": "#e3e5e3",
    "faint": "#f1ede3",
    "rust": "#f0d9cc",
    "hide": "#e0d5c6",
}
FILLS: tuple[Fill, ...] = ("paper", "tint", "solid", "hatch", "cross")


def fill_colour(role: Role, fill: Fill) -> str:
    """Give the colour of a plain fill; hatches are drawn in the role's stroke."""
    return {"paper": PAPER, "tint": _TINTS[role]}.get(fill, STROKES[role])
