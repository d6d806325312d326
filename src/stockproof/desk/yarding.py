"""Writes what was done by hand on the plan into the `[yard]` table of a brief, and draws the plan a page shows.

Where a part may go and how large it may be is the yard's to judge; here its table is written, no more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stockproof.desk.text import add_table, remove, set_value, value_at, values
from stockproof.dossier.svg import view_svg
from stockproof.errors import Fault, InputError
from stockproof.installation import Installation
from stockproof.yard import Box, DoesNotFit, Finding, Yard, ask, check, lay_out, screen_view, solid
from stockproof.yard.handles import Handle, Hold, handles, hold, moved_by, set_down_at
from stockproof.yard.model import Point

__all__ = ["Plan", "anew", "by_hand", "draw_plan", "held", "judge_plan", "moved", "sized", "turned"]

#: Height of a plan on a screen to its width, on a wide one and on a narrow one.
SHAPES = ((180.0, 0.62), (0.0, 1.15))
HAND = ("fix", "move", "resize")
HELD = ("fix", "families", "draft_hold")


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of a yard for a page.

    Parameters
    ----------
    yard : Yard or None
        The layout; None where none fits.
    refused : tuple of Fault
        Why there is none.
    findings : tuple of Finding
        Every rule as judged.
    svg : str
        The picture, in millimetres.
    corner : Point
        Upper left corner of the picture on the ground. [m]
    mm_per_m : float
        The picture's scale.
    handles : tuple of Handle
        What may be moved or sized.
    boxes : tuple of Box
        The yard in space.
    """

    yard: Yard | None
    refused: tuple[Fault, ...] = ()
    findings: tuple[Finding, ...] = ()
    svg: str = ""
    corner: Point = (0.0, 0.0)
    mm_per_m: float = 1.0
    handles: tuple[Handle, ...] = ()
    boxes: tuple[Box, ...] = ()


def draw_plan(installation: Installation, width_mm: float) -> Plan:
    """Lay the yard out, judge it and draw it for a screen of some width."""
    try:
        yard = lay_out(ask(installation))
    except DoesNotFit as refusal:
        return Plan(None, refusal.faults)
    findings = check(yard)
    shape = next(shape for least, shape in SHAPES if width_mm >= least)
    view = screen_view(yard, findings, width_mm, width_mm * shape)
    corner, scale = (view.window.x0, view.window.y1), 1000.0 / view.denominator
    return Plan(yard, (), findings, view_svg("plan", view), corner, scale, handles(yard), solid(yard))


def judge_plan(installation: Installation) -> tuple[Finding, ...]:
    """Lay the yard out and judge it, for a part that is being dragged.

    Raises
    ------
    InputError
        The yard cannot be laid out so.
    """
    return check(lay_out(ask(installation)))


def moved(text: str, yard: Yard, handle: Handle, by: Point) -> str:
    """Write that a part was moved so far east and north. [m]"""
    match handle.kind:
        case "line":
            return _hold(text, set_down_at(yard, by))
        case "outlet":
            return set_value(text, ("yard", "outlet"), list(moved_by(handle.at, by)))
        case "gateway":
            return set_value(text, ("yard", "gateway", handle.index, "at"), list(moved_by(handle.at, by)))
        case "existing":
            corners = [list(moved_by(corner, by)) for corner in handle.ring]
            return set_value(text, ("yard", "existing", handle.index, "corners"), corners)
        case _:
            return _shifted(text, handle.key, by)


def turned(text: str, yard: Yard, turn_deg: float) -> str:
    """Write that the whole yard was turned to the right round the crush's entry. [deg]"""
    return _hold(text, set_down_at(yard, (0.0, 0.0), math.radians(turn_deg)))


def sized(text: str, yard: Yard, pen: str, area_m2: float) -> str:
    """Write a pen's floor; the layout is held where it stands, since another might else be better. [m2]"""
    if value_at(values(text), ("yard", "fix")) is None:
        text = _hold(text, hold(yard))
    return _entry(text, "resize", pen, {"area": f"{area_m2:.1f} m2"})


def held(text: str) -> bool:
    """Whether the brief holds the layout in its place."""
    return value_at(values(text), ("yard", "fix")) is not None


def by_hand(text: str) -> bool:
    """Whether anything of the yard was set by hand."""
    return any(value_at(values(text), ("yard", key)) is not None for key in HAND)


def anew(text: str) -> str:
    """Take out everything that was set by hand, so that the layout is found anew."""
    for key in dict.fromkeys((*HAND, *(HELD if held(text) else ()))):
        text = remove(text, ("yard", key))
    return remove(text, ("yard",)) if value_at(values(text), ("yard",)) == {} else text


def _hold(text: str, kept: Hold) -> str:
    heading = f"{math.degrees(kept.bearing_rad):.6g} deg"
    for path, value in (
        (("yard", "fix", "at"), list(kept.at)),
        (("yard", "fix", "heading"), heading),
        (("yard", "families"), [kept.family]),
        (("yard", "draft_hold"), f"{kept.draft_hold_share * 100:.6g} %"),
    ):
        text = set_value(text, path, value)
    form = kept.form
    if form is None:
        return text
    for key, held_as in (
        ("pen_depth", f"{form.pen_depth_m:.6g} m"),
        ("pen_rows", list(form.pen_rows)),
        ("draft_length", f"{form.draft_length_m:.6g} m"),
        ("ramp", form.ramp_at),
        ("mirrored", form.mirrored),
    ):
        text = set_value(text, ("yard", "fix", "form", key), held_as)
    return text


def _shifted(text: str, part: str, by: Point) -> str:
    """Add to how far a part was moved before; what comes to nothing is taken out."""
    at = _row(text, "move", part)
    before = value_at(values(text), ("yard", "move", at)) if at is not None else {}
    east, north = moved_by((float(before.get("east", 0.0)), float(before.get("north", 0.0))), by)
    if (east, north) == (0.0, 0.0):
        return remove(text, ("yard", "move", at)) if at is not None else text
    return _entry(text, "move", part, {"east": east, "north": north})


def _entry(text: str, table: str, part: str, keys: Mapping[str, Any]) -> str:
    """Write a part's entry in a list of the table, in place of the one it has."""
    at = _row(text, table, part)
    if at is None:
        return add_table(_with_yard(text), ("yard", table), {"part": part, **keys})
    for key, value in keys.items():
        text = set_value(text, ("yard", table, at, key), value)
    return text


def _row(text: str, table: str, part: str) -> int | None:
    rows = value_at(values(text), ("yard", table)) or []
    return next((i for i, row in enumerate(rows) if row.get("part") == part), None)


def _with_yard(text: str) -> str:
    """The text with a `[yard]` table, if it has none."""
    written = values(text)
    if not written:
        raise InputError(Fault("the brief's text is no TOML", mend="mend it on the page of the file"))
    return text if "yard" in written else set_value(text, ("yard",), {})
