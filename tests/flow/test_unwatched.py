"""Animals held with nobody beside the crush: read off a log made by hand, and counted in a run of one man alone."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from stockproof.flow import notes, prepare, simulate, unwatched
from stockproof.flow.model import Job, Person, constant
from tests.flow.test_prepare import machine

PLACES = ("yard", "forcing_pen", "crush_side")


def told(*events: tuple[float, int, int, int]) -> Any:
    """A run of one person, at the crush to begin with, who walks 10 m from place to place at 1 m/s."""
    line = SimpleNamespace(
        places=PLACES,
        crew=(Person("one", ("stock",), "crush_side"),),
        distances_m=[[0.0 if a == b else 10.0 for b in PLACES] for a in PLACES],
        walking_m_per_s=1.0,
        jobs=(Job("bring", "bring", "pen", constant(1.0), "stock", end_place="forcing_pen"),),
    )
    return cast(Any, SimpleNamespace(line=line, log=np.array(events, dtype=np.float64)))


def test_a_walk_away_and_back_leaves_the_animal_alone_from_step_to_step() -> None:
    run = told(
        (5.0, notes.CAUGHT, 0, 1),
        (8.0, notes.PERSON_GOES, 0, 0),  # to the yard, there at 18 s
        (40.0, notes.JOB_ENDS, 0, 0),  # with the animals in the forcing pen
        (41.0, notes.PERSON_GOES, 0, 2),  # back at the crush at 51 s
        (60.0, notes.LET_OUT, 0, 1),
        (70.0, notes.CAUGHT, 1, 1),
        (75.0, notes.LET_OUT, 1, 1),
    )
    found = unwatched(run, 30.0)
    assert (found.held, found.left_alone, found.longest_s) == (2, 1, 51.0 - 8.0)
    assert unwatched(run, 43.0).left_alone == 0


def test_one_more_who_stays_at_the_crush_leaves_none_alone() -> None:
    run = told((5.0, notes.CAUGHT, 0, 1), (8.0, notes.PERSON_GOES, 0, 0), (90.0, notes.LET_OUT, 0, 1))
    assert unwatched(run, 30.0).left_alone == 1
    run.line.crew = (*run.line.crew, Person("two", ("controls",), "crush_side"))
    assert (unwatched(run, 30.0).left_alone, unwatched(run, 30.0).longest_s) == (0, 0.0)


def test_one_person_alone_leaves_animals_held_that_a_crew_does_not() -> None:
    installation, built = machine("dairy")
    programme = installation.brief.programmes["drench and weigh"]
    both = prepare(installation, programme, built.netlist, built.plant)
    manager = next(person for person in both.crew if person.name == "manager")
    one = replace(both, crew=(replace(manager, skills=("stock", "controls", "husbandry"), stands=()),))
    found = []
    for line in (both, one):
        short = replace(line, mob=replace(line.mob, head=40))
        found.append(unwatched(simulate(short, built.netlist, built.plant, seed=4, replications=1, traced=0), 30.0))
    assert min(each.held for each in found) > 30
    assert found[1].left_alone > found[0].left_alone
