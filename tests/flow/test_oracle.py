"""The compiled kernel and the SimPy yard take the same path, event by event, on shared draws.

The oracle is SimPy (independent discrete-event library, processes and events), the control netlist is scanned by the
plain reference evaluator, and every draw comes from a second writing of the generator.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from stockproof.flow import notes
from stockproof.flow.model import (
    Balk,
    Job,
    Law,
    Line,
    Mob,
    Passage,
    Person,
    Press,
    Zone,
    constant,
    empirical,
    erlang,
    exponential,
    gamma,
    lognormal,
    normal,
    seen,
    uniform_between,
)
from stockproof.flow.run import simulate
from stockproof.logic.rig import MAXIMAL, SMALL, Rig
from tests.flow.oracle import Happening, Yard
from tests.flow.oracle_draws import philox
from tests.flow.oracle_lines import ENDLESS, Powered, powered, queue, yard

#: Times are sums of the same numbers, perhaps in another order; nothing else happens so close together.
TOLERANCE_S = 1e-7
WORDS = {int(getattr(notes, word)): word for word in dir(notes) if word.isupper()}
Instant = tuple[float, list[tuple[str, int, int]]]


def kernel_path(run: Powered | Line, seed: int, replication: int) -> tuple[list[Happening], str]:
    line, rest = (run, ()) if isinstance(run, Line) else (run.line, (run.netlist, run.plant, run.laws))
    result = simulate(line, *rest, seed=seed, replications=1, first=replication, traced=0, workers=1)
    path = [Happening(float(s), WORDS[int(kind)], int(a), int(b)) for s, kind, a, b in result.log]
    return path, result.endings[0]


def oracle_path(run: Powered | Line, seed: int, replication: int) -> list[Happening]:
    line, rest = (run, ()) if isinstance(run, Line) else (run.line, (run.netlist, run.plant, run.laws))
    yard = Yard(line, *rest, seed=seed, replication=replication)
    path = yard.run()
    assert yard.finished == line.mob.head
    return path


def instants(path: Iterable[Happening], line: Line) -> list[Instant]:
    """What happened in each instant, in no order; how animals stand about where they are fetched from is left out."""
    fetched = {k for k, z in enumerate(line.zones) for job in line.jobs if job.kind == "bring" and job.source == z.name}
    found: list[Instant] = []
    for event in path:
        if event.what == "STANDS" and event.second in fetched:
            continue
        if not found or event.at_s - found[-1][0] > TOLERANCE_S:
            found.append((event.at_s, []))
        found[-1][1].append((event.what, event.first, event.second))
    return [(at_s, sorted(events)) for at_s, events in found]


def assert_same_path(run: Powered | Line, seed: int, replication: int = 0) -> set[str]:
    """Hold the two paths together; gives the kinds of event that happened."""
    line = run if isinstance(run, Line) else run.line
    path, ending = kernel_path(run, seed, replication)
    assert ending == "all through"
    ours, theirs = instants(path, line), instants(oracle_path(run, seed, replication), line)
    for mine, other in zip(ours, theirs, strict=False):
        assert mine[1] == other[1], f"kernel at {mine[0]} s, oracle at {other[0]} s"
        assert mine[0] == pytest.approx(other[0], abs=TOLERANCE_S)
    assert len(ours) == len(theirs)
    return {event.what for event in path}


def test_second_philox_gives_the_published_words() -> None:
    # known-answer vector published with Salmon, Moraes, Dror & Shaw, SC 2011
    counter, key = (0x243F6A88, 0x85A308D3, 0x13198A2E, 0x03707344), (0xA4093822, 0x299F31D0)
    assert philox(counter, key) == (0xD16CFE09, 0x94FDCCEB, 0x5001E420, 0x24126EA1)


@pytest.mark.parametrize(
    "service",
    [
        constant(1.0),
        exponential(1.0),
        uniform_between(0.5, 1.5),
        lognormal(1.0, 1.0),
        normal(1.0, 0.8),
        gamma(1.0, 0.7),
        gamma(1.0, 2.0),
        erlang(1.0, 3),
        empirical((0.3, 0.9, 1.7)),
    ],
)
def test_same_path_of_a_queue_by_every_law(service: Law) -> None:
    assert_same_path(queue(200, exponential(1.2), service), seed=2**40 + 21, replication=3)


def test_same_path_of_several_people() -> None:
    assert_same_path(queue(300, exponential(1.0), gamma(2.4, 0.7), people=3), seed=21)


@pytest.mark.parametrize("replication", range(6))
def test_same_path_of_a_yard_worked_by_people(replication: int) -> None:
    assert_same_path(yard(60), seed=22, replication=replication)


def test_yard_paths_between_them_do_everything() -> None:
    happened: set[str] = set()
    for replication in range(3):
        happened |= {event.what for event in oracle_path(yard(60), 22, replication)}
    wanted = {"BALKS", "REFUSES", "RELOADS", "JOB_BEGINS", "PERSON_GOES", "BREAK_BEGINS", "BREAK_ENDS", "TASK_ENDS"}
    assert wanted <= happened


SMALL_EVENTS = {"CAUGHT", "TOO_EARLY", "TOO_LATE", "LET_OUT", "GOES_DOWN", "GETS_UP", "PERMIT_REFUSED", "MOTION_STOPS"}


#: Without oil, on an accumulator, on a pump that all parts share.
OIL: tuple[dict[str, bool], ...] = ({}, {"store": True}, {"pump": True})


@pytest.mark.parametrize("oil", OIL)
def test_same_path_of_a_powered_bail_and_entry(oil: dict[str, bool]) -> None:
    happened: set[str] = set()
    for replication in range(2):
        happened |= assert_same_path(powered(SMALL, 40, **oil), seed=23, replication=replication)
    assert happened >= SMALL_EVENTS


@pytest.mark.parametrize("oil", OIL)
def test_same_path_of_everything_there_is(oil: dict[str, bool]) -> None:
    # slide, entry, bail, squeeze, lift, draft, guards, two control points, people reaching in at the flank
    happened = assert_same_path(powered(MAXIMAL, 14, **oil), seed=24)
    assert happened >= {"CAUGHT", "PERSON_IN", "PERSON_OUT", "LET_OUT", "MOTION_BEGINS", "TIMER_ELAPSES"}


def test_oil_matters_to_the_path() -> None:
    # a burst of motions slows the next, by the store or the pump, or the tests above would say nothing about oil
    for oil in OIL:
        run = powered(SMALL, 10, **oil)
        closed = run.netlist.motion_at("entry.close")
        path = [event for event in oracle_path(run, 23, 0) if event.second == closed]
        begun = [event.at_s for event in path if event.what == "MOTION_BEGINS"]
        arrived = [event.at_s for event in path if event.what == "PART_ARRIVES"]
        took = [end - start for start, end in zip(begun[1:], arrived[1:], strict=False)]
        assert (max(took) / min(took) > 1.05) == bool(oil)


def test_a_wrong_draw_is_noticed() -> None:
    line = yard(20)
    ours = instants(kernel_path(line, 22, 0)[0], line)
    assert ours != instants(oracle_path(line, 22, 1), line)


def rig_line(presses: tuple[Press, ...]) -> Line:
    """One animal shut in by a bail that somebody must open."""
    return Line(
        zones=(Zone("crush", 1, work_zone=True), Zone("out", ENDLESS)),
        passages=(Passage("crush", "out", lognormal(2.0, 0.3)),),
        mob=Mob(1),
        crew=(Person("operator", ("controls",)),),
        presses=presses,
        switched_on=("panel.emergency_ok",),
    )


def test_a_control_is_pressed_again_after_its_pause() -> None:
    bare = powered(Rig(hold=False), 1)
    leave = Press("leave", "panel.reset", (~seen("signal", "line.ready"),), "controls", reaction=lognormal(0.5, 0.3))
    tap = Press("tap", "panel.bail.open", (seen("signal", "line.ready"), ~seen("open", "bail")), "controls",
                reaction=lognormal(0.5, 0.3), press_s=0.3, again_s=1.0)  # fmt: skip
    assert_same_path(Powered(rig_line((leave, tap)), bare.netlist, bare.plant, bare.laws), seed=25)


def test_pushing_one_of_a_crowd_leaves_the_others_their_time() -> None:
    line = Line(
        zones=(Zone("pen", 9, single_file=False, transit=uniform_between(1.0, 30.0)), Zone("out", ENDLESS)),
        passages=(Passage("pen", "out", lognormal(2.0, 0.3), balk=Balk(0.999, lognormal(60.0, 0.3))),),
        mob=Mob(6),
        crew=(Person("stock hand", ("stock",)),),
        jobs=(Job("push", "push", "pen", lognormal(3.0, 0.3), "stock"),),
    )
    assert_same_path(line, seed=26)


def test_nobody_goes_through_a_locked_gate() -> None:
    assert_same_path(powered(MAXIMAL, 5, rear=True), seed=24)
