"""Judges a yard by every rule; findings come in the rules' order, each with its place on the plan."""

from __future__ import annotations

from stockproof.yard.check_gates import check_gates
from stockproof.yard.check_line import check_line
from stockproof.yard.check_people import check_people
from stockproof.yard.check_power import check_power
from stockproof.yard.check_site import check_site
from stockproof.yard.check_space import check_space
from stockproof.yard.check_strength import check_strength
from stockproof.yard.ground import read_ground
from stockproof.yard.result import Finding, Yard
from stockproof.yard.sizes import read_sizes

__all__ = ["check"]


def check(yard: Yard) -> tuple[Finding, ...]:
    """Give every finding about a yard, those that are met among them."""
    ground, sizes = read_ground(yard.ask.site), read_sizes(yard.ask)
    found = [
        *check_space(yard, ground),
        *check_line(yard),
        *check_gates(yard, ground),
        *check_people(yard, ground),
        *check_site(yard, ground, sizes),
        *check_power(yard, ground),
        *check_strength(yard),
    ]
    return tuple(sorted(found, key=lambda finding: finding.code))
