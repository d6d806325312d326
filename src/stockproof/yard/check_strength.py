"""Findings about strength: gates, latches, anchors, posts and bases against a stated animal impact."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.yard.findings import at_least, at_most, not_shown
from stockproof.yard.formulas import post_stress
from stockproof.yard.model import Point
from stockproof.yard.result import Finding, Yard

__all__ = ["check_strength"]


def check_strength(yard: Yard) -> Iterator[Finding]:
    """Judge what the makers state against the impact the brief states; without either nothing is shown."""
    at, impact, strength = (yard.crush.x, yard.crush.y), yard.ask.impact, yard.ask.strength
    parts: tuple[tuple[str, str, float | None], ...] = (
        ("Y601", "gates", strength.gate_n),
        ("Y602", "latches", strength.latch_n),
        ("Y603", "anchors", strength.anchor_n),
    )
    for code, part, resists in parts:
        if impact is None:
            yield not_shown(code, part, at, "the brief states no animal impact")
        elif resists is None:
            yield not_shown(code, part, at, f"nobody states what the {part} resist")
        else:
            yield at_least(code, part, at, f"{part} against {impact.source}", resists, impact.force_n, "N", None)
    yield _posts(yard, at)
    yield not_shown("Y605", "post bases", at, "the soil's bearing value is not given")


def _posts(yard: Yard, at: Point) -> Finding:
    impact, strength = yard.ask.impact, yard.ask.strength
    if impact is None:
        return not_shown("Y604", "posts", at, "the brief states no animal impact")
    if strength.post_modulus_m3 is None or strength.post_yield_pa is None:
        return not_shown("Y604", "posts", at, "the posts' section and yield strength are not given")
    stress = post_stress(impact.force_n, impact.height_m, strength.post_modulus_m3)
    return at_most(
        "Y604",
        "posts",
        at,
        f"bending stress at a post's foot under {impact.source}",
        stress,
        strength.post_yield_pa,
        "Pa",
        None,
    )
