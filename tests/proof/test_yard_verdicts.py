"""Verdicts on the yard follow its findings, not the mere existence of a layout."""

from __future__ import annotations

import math
from typing import Any, cast

import pytest

from stockproof.brief import promises as kinds
from stockproof.figures import Ledger
from stockproof.proof.judges import yards as _entered  # noqa: F401
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import JUDGES, Ruling
from stockproof.yard import YardAsk, check, publish, quantities
from stockproof.yard.model import Fix, Move
from tests.yard.sample import ask, laid_out

PLAIN = ask(families=("straight",))
HOLDS = kinds.Holds.model_validate({"kind": "holds", "at_least": "80 head", "mob": "cows"})
OUTSIDE = ask(families=("straight",), fix=Fix(1.0, 1.0, math.radians(90.0)))


class _Found:
    """What the judges of the yard read of the rooms."""

    def __init__(self, wanted: YardAsk) -> None:
        self.yard, self.no_yard, self.ledger = laid_out(wanted), "", Ledger()
        self.findings = check(self.yard)
        publish(self.yard, quantities(self.yard), self.findings, self.ledger)


def _ruled(promise: object, wanted: YardAsk) -> Ruling:
    return JUDGES[cast(Any, type(promise))](promise, cast(Rooms, _Found(wanted)))


def _pen_over_another() -> YardAsk:
    yard = laid_out(PLAIN)
    (x0, y0), (x1, y1) = yard.zone("sick pen").ring[0], yard.zone("receiving pen 1").ring[0]
    return ask(families=("straight",), moves=(Move("sick pen", x1 - x0, y1 - y0),))


@pytest.mark.parametrize("wanted", [OUTSIDE, _pen_over_another()], ids=["outside", "over another"])
def test_a_yard_that_breaks_its_ground_fits_neither_site_nor_guide_nor_mob(wanted: YardAsk) -> None:
    fits = _ruled(kinds.FitsSite(kind="fits_site"), wanted)
    assert fits.state == "not met"
    assert "Y107" in fits.because
    assert _ruled(kinds.PenSpace(kind="pen_space", guide=""), wanted).state == "not met"
    held = _ruled(HOLDS, wanted)
    assert [measure.met for measure in held.measures] == [False]


def test_a_yard_on_its_ground_fits_and_holds() -> None:
    assert _ruled(kinds.FitsSite(kind="fits_site"), PLAIN).state == "met"
    held = _ruled(HOLDS, PLAIN)
    assert [(measure.found, measure.met) for measure in held.measures] == [(80.0, True)]


def test_room_for_each_head_is_the_pens_own() -> None:
    found = _Found(PLAIN)
    for zone in found.yard.zones:
        if zone.head and zone.space_m2_per_head:
            assert found.ledger[f"yard.space.{zone.key}.space"].value == pytest.approx(zone.area_m2 / zone.head)
    # the forcing pen is to be half filled, so it has more than the guide's crowding room for each
    pen = found.yard.zone("forcing pen")
    assert found.ledger["yard.space.forcing pen.space"].value > cast(float, pen.space_m2_per_head) * 1.5
