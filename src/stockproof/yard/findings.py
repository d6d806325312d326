"""Rules as data, and a finding made from one: code, place, what, why, remedy, source."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from stockproof.errors import InternalError
from stockproof.yard.model import Point
from stockproof.yard.result import Finding, Used, Verdict

__all__ = ["Rule", "at_least", "at_most", "not_shown", "read_rules", "say"]

#: Measured values this close to a limit are on it: sizes are set to the limit and then rounded by geometry.
TOLERANCE = 1e-4


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: what it asks, why, how it is broken, what to do then, and the guide size or source it rests on."""

    code: str
    what: str
    why: str
    example: str
    remedy: str
    size: str = ""
    source: str = ""


@lru_cache(maxsize=1)
def read_rules() -> dict[str, Rule]:
    """Read the table of rules that is part of the package."""
    table = tomllib.loads(resources.files("stockproof.yard").joinpath("rules.toml").read_text("utf-8"))
    return {code: Rule(code, **entry) for code, entry in table.items()}


def say(
    code: str,
    verdict: Verdict,
    part: str,
    at: Point,
    what: str,
    *,
    used: Used | None = None,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "",
) -> Finding:
    """Make a finding of a rule; `used` is the guide size the limit comes from."""
    rules = read_rules()
    if code not in rules:
        raise InternalError(f"no rule {code}")
    rule = rules[code]
    source = f"{used.guide}: {used.source}" if used is not None else rule.source
    seen = used.status == "seen" if used is not None else True
    return Finding(code, verdict, part, at, what, rule.why, rule.remedy, source, seen, measured, limit, unit)


def at_least(
    code: str, part: str, at: Point, label: str, measured: float, limit: float, unit: str, used: Used | None
) -> Finding:
    """Judge a measured value that must not be less than a limit."""
    verdict: Verdict = "met" if measured >= limit - TOLERANCE else "not met"
    what = f"{label}: {measured:.4g} {unit}, at least {limit:.4g} {unit} asked"
    return say(code, verdict, part, at, what, used=used, measured=measured, limit=limit, unit=unit)


def at_most(
    code: str, part: str, at: Point, label: str, measured: float, limit: float, unit: str, used: Used | None
) -> Finding:
    """Judge a measured value that must not exceed a limit."""
    verdict: Verdict = "met" if measured <= limit + TOLERANCE else "not met"
    what = f"{label}: {measured:.4g} {unit}, at most {limit:.4g} {unit} allowed"
    return say(code, verdict, part, at, what, used=used, measured=measured, limit=limit, unit=unit)


def not_shown(code: str, part: str, at: Point, missing: str) -> Finding:
    """Say that a rule cannot be judged, and what is missing."""
    return say(code, "not shown", part, at, f"{read_rules()[code].what}: {missing}")
