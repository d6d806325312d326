"""The yard's drawings on paper: which views stand on which sheet, at which scale, with which notes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from stockproof.scene import Box, Drawing, Scene, Sheet, SheetSize, TitleBlock, View, fit_scale, fit_view
from stockproof.scene.sheet import CAPTION_MM
from stockproof.yard.guides import read_guides
from stockproof.yard.key_plan import free_corner, key_box, key_scene
from stockproof.yard.plan import ROUND_M, plan_scene, plan_window
from stockproof.yard.plan_words import MARKS
from stockproof.yard.result import Finding, Used, Yard
from stockproof.yard.section import section_scene, section_window
from stockproof.yard.setting_out import check_diagonals, pegs, setting_out_scene, setting_out_window, table_scene

__all__ = ["drawings", "plan_drawing", "screen_view", "section_drawing", "setting_out_drawing"]

PAD_MM = 3.0
COLUMN_ROWS = 12
SETTING_OUT_NOTES = (
    "D is the datum: middle of the crush's entry, level 0.000. Along: the animals' direction; left: to their left.",
    "E, F, R: end of crush, end of draft unit, mouth of race. P: pivot from which the forcing pen's round is struck.",
    "Prove the pegs by the check distances before pouring.",
    "Levels are of the finished floor; natural ground, services and bearing are to be checked on site.",
)
SHOWN_SIZES = (
    *("holding_area", "crowding_area", "race_width", "race_length", "race_pitch", "forcing_radius", "forcing_angle"),
    *("fence_height", "race_height", "post_spacing", "pass_width", "escape_reach", "ramp_slope", "slab_fall"),
    "slab_thickness",
)
#: The whole site is shown unless that would make the drawing smaller than this; then a key plan shows it.
SMALLEST_WHOLE = 250.0
#: On a screen, where the plan can be drawn nearer, the whole site is shown up to so many times the yard's own extent.
LARGEST_SITE = 1.6


def plan_drawing(yard: Yard, findings: tuple[Finding, ...], title: TitleBlock, size: SheetSize = "A3") -> Drawing:
    """Give the plan on a sheet: at the largest standard scale, with the findings that are not met in the notes."""
    sheet = Sheet(size, title, _notes(yard, findings))
    room = _room(sheet)
    inner = Box(room.x0, room.y0 + CAPTION_MM, room.x1, room.y1)
    site = plan_window(yard, None)
    near = min((plan_window(yard, by) for by in ROUND_M), key=lambda window: fit_scale(window, inner))
    north = math.pi / 2 - yard.ask.site.north_rad
    whole = fit_scale(site, inner) <= max(SMALLEST_WHOLE, fit_scale(near, inner))
    window = _filled(site if whole else near, inner)
    scale = fit_scale(window, inner)
    corner = None if whole else free_corner(yard, window, 1000.0 / scale)
    if not whole and corner is None:
        window = _filled(site, inner)
        scale = fit_scale(window, inner)
    scene = plan_scene(yard, findings, scale, window, corner[1] if corner is not None else None)
    plan = fit_view(scene, window, room, f"Plan, {yard.label}", north)
    return Drawing("yard-plan", sheet, (plan, *(_key(yard, plan, *corner) if corner is not None else ())))


def _key(yard: Yard, plan: View, denominator: float, ground: Box) -> tuple[View, ...]:
    """The key plan over a free corner of the plan."""
    scene, box = key_scene(yard, denominator, plan.scene.layers), key_box(yard, denominator)
    return (View(scene, box, 1.0, plan.to_paper((ground.x0, ground.y0))),)


def drawings(
    yard: Yard, findings: tuple[Finding, ...], title: TitleBlock, size: SheetSize = "A3"
) -> tuple[Drawing, ...]:
    """Give every sheet of a yard: plan, section with the schedule of spaces, and setting-out."""
    return (
        plan_drawing(yard, findings, replace(title, title="Yard plan", page="1 of 3"), size),
        section_drawing(yard, replace(title, title="Section and spaces", page="2 of 3"), size),
        setting_out_drawing(yard, replace(title, title="Setting out", page="3 of 3"), size),
    )


def screen_view(yard: Yard, findings: tuple[Finding, ...], width_mm: float, height_mm: float) -> View:
    """Give the plan for a screen of some size: words are set out for it, the scale is whatever fills it.

    The whole site is shown, unless it is so large that the yard would be lost on it.
    """
    near, site = (
        (box, max(box.width / width_mm, box.height / height_mm) * 1000.0)
        for box in (plan_window(yard, ROUND_M[-1]), plan_window(yard, None))
    )
    shown, denominator = site if site[1] <= LARGEST_SITE * near[1] else near
    window = _filled(shown, Box(0.0, 0.0, width_mm, height_mm), denominator)
    north = math.pi / 2 - yard.ask.site.north_rad
    return View(plan_scene(yard, findings, denominator, window), window, denominator, (0.0, 0.0), yard.label, north)


def section_drawing(yard: Yard, block: TitleBlock, size: SheetSize = "A3") -> Drawing:
    """Give the section through the race beside the schedule of spaces."""
    sheet = Sheet(
        size, block, ("Sizes follow the guide named in the engineering file; levels are in the setting-out sheet.",)
    )
    room = _room(sheet)
    split = room.x0 + 0.52 * room.width
    left, title = Box(room.x0, room.y0, split, room.y1), f"Section through the {yard.ask.race.name}"
    section = fit_view(section_scene(yard), section_window(yard), left, title)
    tables = _stacked(_schedule(yard), Box(split + PAD_MM, room.y0, room.x1, room.y1))
    return Drawing("yard-section", sheet, (section, *tables))


def setting_out_drawing(yard: Yard, title: TitleBlock, size: SheetSize = "A3") -> Drawing:
    """Give the slab with its pegs beside their offsets, levels and check distances."""
    sheet = Sheet(size, title, SETTING_OUT_NOTES)
    room = _room(sheet)
    tables = _setting_out_tables(yard)
    high = max(box.height for _, box in tables)
    upper = Box(room.x0, room.y0 + high + PAD_MM, room.x1, room.y1)
    inner = Box(upper.x0, upper.y0 + CAPTION_MM, upper.x1, upper.y1)
    window = _filled(setting_out_window(yard), inner)
    scene = setting_out_scene(yard, fit_scale(window, inner), window)
    north = math.pi / 2 - yard.ask.site.north_rad - yard.crush.heading
    plan = fit_view(scene, window, upper, "Slab and pegs, turned so that the animals walk to the right", north)
    below = _side_by_side(tables, Box(room.x0, room.y0, room.x1, room.y0 + high))
    return Drawing("yard-setting-out", sheet, (plan, *below))


def _setting_out_tables(yard: Yard) -> list[tuple[Scene, Box]]:
    """Pegs and check distances, in columns of so many rows."""
    points = pegs(yard)
    rows = [(peg.name, *(_signed(value) for value in (peg.along_m, peg.left_m, peg.level_m))) for peg in points]
    tapes = [(f"{a} to {b}", f"{long:.3f}") for a, b, long in check_diagonals(points)]
    return [
        *(table_scene("Pegs, m", ("Peg", "Along", "Left", "Level"), part) for part in _chunks(rows)),
        *(table_scene("Check, m", ("From, to", "Taped"), part) for part in _chunks(tapes)),
    ]


def _signed(value: float) -> str:
    """With its sign; what rounds to nothing is nothing."""
    return f"{value:+.3f}" if abs(value) >= 5e-4 else "0.000"


def _chunks(rows: Sequence[tuple[str, ...]]) -> list[tuple[tuple[str, ...], ...]]:
    return [tuple(rows[i : i + COLUMN_ROWS]) for i in range(0, len(rows), COLUMN_ROWS)]


def _side_by_side(tables: list[tuple[Scene, Box]], room: Box) -> list[View]:
    """Stand tables beside one another; one that no longer fits is left out."""
    views, left = [], room.x0
    for scene, box in tables:
        if left + box.width > room.x1:
            break
        views.append(View(scene, box, 1.0, (left, room.y1 - box.height)))
        left += box.width + PAD_MM
    return views


def _schedule(yard: Yard) -> list[tuple[Scene, Box]]:
    """Spaces with head and floor, and the sizes with their guides."""
    rows = tuple(
        (
            zone.key[0].upper() + zone.key[1:],
            str(zone.head) if zone.head else "",
            f"{zone.area_m2:.1f}",
            f"{zone.area_m2 / zone.head:.2f}" if zone.head and zone.space_m2_per_head else "",
        )
        for zone in yard.zones
    )
    titles = {key: guide.title for key, guide in read_guides()[0].items()}
    sizes = tuple(
        (used.label[0].upper() + used.label[1:], _value(used), titles.get(used.guide, used.guide))
        for used in yard.used
        if used.key in SHOWN_SIZES
    )
    return [
        table_scene("Spaces", ("Space", "Head", "m²", "m²/head"), rows),
        table_scene("Sizes and their guides", ("Size", "Value", "Guide"), sizes),
    ]


def _value(used: Used) -> str:
    unit = used.unit.replace("m2", "m²")
    return f"{used.value * 100:.3g} %" if unit == "1" else f"{used.value:.3g} {unit}"


def _stacked(tables: list[tuple[Scene, Box]], room: Box) -> list[View]:
    """Stand tables one under another from the top of a room; one that no longer fits is left out."""
    views, top = [], room.y1
    for scene, box in tables:
        if top - box.height < room.y0:
            break
        views.append(View(scene, box, 1.0, (room.x0, top - box.height)))
        top -= box.height + 2 * PAD_MM
    return views


def _room(sheet: Sheet) -> Box:
    return Box(sheet.room.x0 + PAD_MM, sheet.room.y0 + PAD_MM, sheet.room.x1 - PAD_MM, sheet.room.y1 - PAD_MM)


def _filled(window: Box, room: Box, denominator: float | None = None) -> Box:
    """Widen a window to the room it gets at its scale, so that words have space beside the yard."""
    k = (denominator or fit_scale(window, room)) / 1000.0
    dx, dy = (room.width * k - window.width) / 2, (room.height * k - window.height) / 2
    return Box(window.x0 - dx + 1e-9, window.y0 - dy + 1e-9, window.x1 + dx - 1e-9, window.y1 + dy - 1e-9)


def _notes(yard: Yard, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Numbers in the notes are those of the marks on the plan."""
    wrong = [f"{finding.code}: {finding.what}" for finding in findings if finding.verdict == "not met"]
    more = len(wrong) - MARKS
    rest = (f"and {more} more findings in the engineering file",) if more > 0 else ()
    return (*wrong[:MARKS], *rest)
