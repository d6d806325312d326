"""Verdicts on animals and tasks, from the fit room."""

from __future__ import annotations

from stockproof.brief import promises as kinds
from stockproof.fit import Mend
from stockproof.proof.model import Measure
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import Ruling, judges

__all__: list[str] = []


@judges(kinds.Fits)
def _fits(promise: kinds.Fits, rooms: Rooms) -> Ruling:
    """Every mob named, at the share promised; the mob that fits worst decides."""
    mobs = [rooms.fit.mob(name) for name in promise.mobs or rooms.brief.mobs]
    worst = min(mobs, key=lambda mob: mob.share)
    measures = tuple(
        Measure(f"share of {mob.mob}", promise.share, mob.share, "share", "more", f"fit.{mob.mob}.share")
        for mob in mobs
    )
    tightest = worst.tightest
    because = f"{tightest.label} of {tightest.name} is the tightest limit, for {worst.mob}" if tightest else ""
    mends = [_mend_in_words(mend) for check in worst.failing for mend in check.mends if not mend.also][:3]
    return Ruling(measures, because=because, mend="; ".join(dict.fromkeys(mends)))


def _mend_in_words(mend: Mend) -> str:
    share = f", then {mend.share_everywhere:.0%} fit everywhere" if mend.share_everywhere is not None else ""
    return f"{mend.name} ({mend.item}){share}"


@judges(kinds.Tasks)
def _tasks(promise: kinds.Tasks, rooms: Rooms) -> Ruling:
    """Every task of the programmes named must be covered by build and crew."""
    programmes = promise.programmes or tuple(rooms.brief.programmes)
    rows = [row for name in programmes for row in rooms.fit.programme(name)]
    lacks = [finding for name in programmes for finding in rooms.fit.lacks(name)]
    covered = sum(row.covered for row in rows)
    if not lacks:
        return Ruling(state="met", because=f"all {len(rows)} tasks are covered", figures=("fit.tasks_covered",))
    texts = tuple(dict.fromkeys(finding.said(rooms.units) for finding in lacks))
    mends = tuple(dict.fromkeys(finding.mend for finding in lacks if finding.mend))
    because = f"{covered} of {len(rows)} tasks are covered: " + "; ".join(texts)
    return Ruling(state="not met", because=because, mend="; ".join(mends), figures=("fit.tasks_covered",))
