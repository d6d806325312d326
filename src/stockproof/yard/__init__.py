"""The yard room: a layout that is computed on its site, checked rule by rule, counted and drawn."""

from stockproof.yard.ask import ask
from stockproof.yard.check import check
from stockproof.yard.draft_pens import FROM_LEFT
from stockproof.yard.layout import DoesNotFit, lay_out, most_head
from stockproof.yard.model import YardAsk
from stockproof.yard.plan import plan_scene
from stockproof.yard.publishing import publish
from stockproof.yard.quantities import Quantities, draft_pens_by_side, quantities
from stockproof.yard.result import Box, Finding, Yard
from stockproof.yard.sheets import drawings, screen_view
from stockproof.yard.solid import solid

__all__ = [
    "FROM_LEFT",
    "Box",
    "DoesNotFit",
    "Finding",
    "Quantities",
    "Yard",
    "YardAsk",
    "ask",
    "check",
    "draft_pens_by_side",
    "drawings",
    "lay_out",
    "most_head",
    "plan_scene",
    "publish",
    "quantities",
    "screen_view",
    "solid",
]
