"""Programmes of the invented briefs, run by the kernel and by SimPy on shared draws: the same path, event by event."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from stockproof.flow import Given, notes, prepare, simulate
from stockproof.flow import tables as t
from stockproof.flow.model import Break
from tests.flow.oracle_lines import Powered
from tests.flow.test_oracle import assert_same_path
from tests.flow.test_prepare import PROGRAMMES, machine

#: A break so early that a short run meets it.
BREAK = Break(240.0, 300.0)


def programme(
    brief: str, number: int, head: int, *, by_hand: bool = False, pens: Mapping[str, int] | None = None
) -> Powered:
    """A programme with the logic of its build, shortened to so many head, with a break."""
    installation, built = machine(brief)
    given = Given(draft_pen_places=pens or {})
    wanted = installation.brief.file.programme[number]
    line = prepare(installation, wanted, built.netlist, built.plant, given, by_hand=by_hand)
    line = replace(line, mob=replace(line.mob, head=head), breaks=(BREAK,))
    return Powered(line, built.netlist, built.plant, built.laws)


def test_same_path_of_animals_held_for_work() -> None:
    happened = assert_same_path(programme("hill", 1, 24), seed=33)
    assert happened >= {"CAUGHT", "TASK_ENDS", "BREAK_BEGINS", "BREAK_ENDS", "PERMIT_REFUSED"}


def test_same_path_of_animals_weighed_and_drafted_into_pens_that_fill() -> None:
    pens = dict.fromkeys(("way_left", "way_straight", "way_right"), 5)
    run = programme("hill", 0, 30, pens=pens)
    happened = assert_same_path(run, seed=33)
    assert happened >= {"JOB_ENDS", "TASK_ENDS", "BREAK_BEGINS", "BREAK_ENDS"}


def test_a_full_draft_pen_holds_the_line_up_until_somebody_walks_it_away() -> None:
    ways = ("way_left", "way_straight", "way_right")
    waited = {}
    for places in (5, 100):
        run = programme("hill", 0, 60, pens=dict.fromkeys(ways, places))
        result = simulate(run.line, run.netlist, run.plant, seed=34, replications=8)
        assert set(result.endings) == {"all through"}
        pens = [result.names.zones.index(way) for way in ways]
        emptied = [k for k, job in enumerate(run.line.jobs) if job.kind == "empty"]
        assert result.worlds["zone"]["most"][:, pens].max() <= places
        assert np.all((result.worlds["job"]["count"][:, emptied].sum(axis=1) > 0) == (places == 5))
        waited[places] = result.worlds["stop_s"][:, t.STOPS.index("draft_pen_full")].mean()
    assert waited[5] > waited[100] == 0


def test_nobody_is_in_the_crush_during_a_break_and_nothing_is_done() -> None:
    run = programme("hill", 1, 60)
    result = simulate(run.line, run.netlist, run.plant, seed=35, replications=4, traced=0)
    assert np.all(result.worlds["break_s"] == BREAK.length_s)
    started = next(row[0] for row in result.log if row[1] == notes.BREAK_BEGINS)
    during = [row for row in result.log if started < row[0] < started + BREAK.length_s]
    assert started >= BREAK.start_s
    assert all(row[1] not in (notes.CAUGHT, notes.TASK_BEGINS, notes.PRESSES) for row in during)


@pytest.mark.deep
@pytest.mark.parametrize("by_hand", [False, True])
@pytest.mark.parametrize(("brief", "number"), PROGRAMMES)
def test_same_path_of_every_programme(brief: str, number: int, by_hand: bool) -> None:
    assert_same_path(programme(brief, number, 60, by_hand=by_hand), seed=36, replication=1)
