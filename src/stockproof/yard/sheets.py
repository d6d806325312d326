"""The yard's drawings on paper: which views stand on which sheet, at which scale, with which notes."""

from __future__ import annotations

import math

from stockproof.scene import Box, Drawing, Sheet, SheetSize, TitleBlock, fit_scale, fit_view
from stockproof.scene.sheet import CAPTION_MM
from stockproof.yard.model import Finding, Yard
from stockproof.yard.plan import MARKS, plan_scene, plan_window

__all__ = ["plan_drawing"]

PAD_MM = 3.0
#: The whole site is shown unless that would make the drawing smaller than this.
SMALLEST_WHOLE = 200.0


def plan_drawing(yard: Yard, findings: tuple[Finding, ...], title: TitleBlock, size: SheetSize = "A3") -> Drawing:
    """Give the plan on a sheet: at the largest standard scale, with the findings that are not met in the notes."""
    sheet = Sheet(size, title, _notes(yard, findings))
    room = _room(sheet)
    inner = Box(room.x0, room.y0 + CAPTION_MM, room.x1, room.y1)
    site, near = plan_window(yard, True), plan_window(yard, False)
    whole = fit_scale(site, inner) <= max(SMALLEST_WHOLE, fit_scale(near, inner))
    window = _filled(site if whole else near, inner)
    scene = plan_scene(yard, findings, fit_scale(window, inner), window)
    north = math.pi / 2 - yard.ask.site.north_rad
    return Drawing("yard-plan", sheet, (fit_view(scene, window, room, f"Plan, {yard.label}", north),))


def _room(sheet: Sheet) -> Box:
    return Box(sheet.room.x0 + PAD_MM, sheet.room.y0 + PAD_MM, sheet.room.x1 - PAD_MM, sheet.room.y1 - PAD_MM)


def _filled(window: Box, room: Box) -> Box:
    """Widen a window to the room it gets at its scale, so that words have space beside the yard."""
    k = fit_scale(window, room) / 1000.0
    dx, dy = (room.width * k - window.width) / 2, (room.height * k - window.height) / 2
    return Box(window.x0 - dx + 1e-9, window.y0 - dy + 1e-9, window.x1 + dx - 1e-9, window.y1 + dy - 1e-9)


def _notes(yard: Yard, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Numbers in the notes are those of the marks on the plan."""
    wrong = [f"{finding.code}: {finding.what}" for finding in findings if finding.verdict == "not met"]
    more = len(wrong) - MARKS
    rest = (f"and {more} more findings in the engineering file",) if more > 0 else ()
    return (*wrong[:MARKS], *rest)
