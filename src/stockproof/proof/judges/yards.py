"""Verdicts on the yard: what it holds, its space, its ways out, and whether it fits the ground."""

from __future__ import annotations

from dataclasses import replace

from stockproof.brief import promises as kinds
from stockproof.proof.model import Measure
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import Ruling, judges, not_shown
from stockproof.yard import Finding

__all__: list[str] = []

NO_LAYOUT = "there is no layout to judge: {}"
#: Findings that bear on each kind of promise, by the first letters of their code.
SPACE = ("Y101", "Y102", "Y103", "Y104", "Y105")
ESCAPE = ("Y401", "Y402", "Y403", "Y515")
FITS = ("Y107",)


@judges(kinds.Holds)
def _holds(promise: kinds.Holds, rooms: Rooms) -> Ruling:
    """Head the receiving pens hold at the guide's space."""
    if rooms.yard is None:
        return not_shown(NO_LAYOUT.format(rooms.no_yard))
    if rooms.yard.ask.held != promise.mob:
        return not_shown(f"the yard was laid out for {rooms.yard.ask.held}, not for {promise.mob}")
    name = "yard.receiving_head"
    head = rooms.ledger[name].value
    measure = Measure("head the receiving pens hold", promise.at_least_head, head, "", "more", name, "head")
    return Ruling(
        (measure,), because=f"at the space of the guide {rooms.yard.ask.guide}", mend="a larger receiving pen"
    )


@judges(kinds.PenSpace)
def _pen_space(promise: kinds.PenSpace, rooms: Rooms) -> Ruling:
    """No finding about space may be against the guide."""
    if rooms.yard is None:
        return not_shown(NO_LAYOUT.format(rooms.no_yard))
    if promise.guide and promise.guide != rooms.yard.ask.guide:
        return not_shown(f"the yard was laid out by the guide {rooms.yard.ask.guide}, not by {promise.guide}")
    return _by_findings(rooms.findings, SPACE)


@judges(kinds.Escape)
def _escape(promise: kinds.Escape, rooms: Rooms) -> Ruling:
    """No finding about ways out for people may be against the rule."""
    if rooms.yard is None:
        return not_shown(NO_LAYOUT.format(rooms.no_yard))
    return _by_findings(rooms.findings, ESCAPE)


@judges(kinds.FitsSite)
def _fits_site(promise: kinds.FitsSite, rooms: Rooms) -> Ruling:
    """A layout exists, and nothing of it lies outside the free ground or over another part."""
    if rooms.yard is None:
        return Ruling(state="not met", because=rooms.no_yard, mend="more ground, fewer head at once, or another family")
    ruling = _by_findings(rooms.findings, FITS)
    because = f"{rooms.yard.label} lies on the free ground" if ruling.state == "met" else ruling.because
    return replace(ruling, because=because, figures=("yard.ground_m2", "yard.used_m2", *ruling.figures))


def _by_findings(findings: tuple[Finding, ...], codes: tuple[str, ...]) -> Ruling:
    """Met when every finding with these codes is; the first few against are named."""
    bearing = [finding for finding in findings if finding.code in codes]
    against = [finding for finding in bearing if finding.verdict == "not met"]
    open_ = [finding for finding in bearing if finding.verdict == "not shown"]
    if against:
        what = "; ".join(f"{finding.code} {finding.part}: {finding.what}" for finding in against[:3])
        more = f"; and {len(against) - 3} more" if len(against) > 3 else ""
        remedies = "; ".join(dict.fromkeys(finding.remedy for finding in against[:3]))
        return Ruling(state="not met", because=what + more, mend=remedies, figures=("yard.findings_against",))
    if open_ or not bearing:
        return not_shown("; ".join(f"{finding.code}: {finding.what}" for finding in open_[:3]) or "nothing was checked")
    return Ruling(
        state="met", because=f"all {len(bearing)} findings keep their rule", figures=("yard.findings_against",)
    )
