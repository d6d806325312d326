"""What must hold of every run: nothing lost, nothing dependent on workers, common random numbers that pay."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from stockproof.errors import InputError, InternalError
from stockproof.flow import (
    Clock,
    clock_s,
    crew_use,
    cycles_per_head,
    day_plan,
    events,
    head_rates,
    motion_log,
    simulate,
    stations,
    stays,
    treated,
    waits,
    what_limits,
)
from stockproof.flow import tables as t
from stockproof.flow.day import days_needed
from stockproof.flow.model import (
    Balk,
    Break,
    Job,
    Line,
    Mob,
    Passage,
    Person,
    Task,
    Uncertain,
    Zone,
    constant,
    exponential,
    lognormal,
    seen,
)
from stockproof.flow.run import FlowResult
from stockproof.motion.laws import MotionLaws

from .conftest import Small, small_line


def by_hand_line(head: int = 60, people: int = 2, reload_every: int = 0, breaks: tuple[Break, ...] = ()) -> Line:
    """A yard without power: batches brought on foot, balking, two draft pens that fill, breaks."""
    return Line(
        zones=(
            Zone("yard", 10**6),
            Zone("pen", 8, headway=constant(1.0), nominal=4, crowding=0.5, stragglers=1, straggling=2.0),
            Zone("race", 3, transit=constant(3.0), nominal=1),
            Zone("crush", 1, work_zone=True),
            Zone("heavy", 20),
            Zone("light", 20),
            Zone("round", 10**6),
        ),
        passages=(
            Passage("pen", "race", lognormal(2.0, 0.3), balk=Balk(0.1, lognormal(8.0, 0.5)), paced=True),
            Passage("race", "crush", lognormal(3.0, 0.3), balk=Balk(0.2, lognormal(8.0, 0.5), 0.5, 3), follow_s=5.0),
            Passage("crush", "heavy", constant(1.0), way=1),
            Passage("crush", "light", constant(1.0), way=2),
        ),
        mob=Mob(head, pace=lognormal(1.0, 0.2), balk_persistence=0.3, balk_animal=0.3, balk_day=0.3, ways=(0.4, 0.6)),
        tasks=(Task("work", "crush", lognormal(12.0, 0.5), "husbandry", "side", reload_every=reload_every,
                    reload=constant(30.0)),),
        crew=tuple(Person(f"person {k}", ("husbandry", "stock"), "side") for k in range(people)),
        jobs=(
            Job("bring", "bring", "pen", lognormal(20.0, 0.3), "stock", "yard", "back", "back",
                when=(seen("low", "race"),), batch=constant(4.0), per_head_s=1.0),
            Job("push", "push", "race", constant(2.0), "stock", start_place="back", priority=20),
            Job("round", "lead_round", "race", constant(40.0), "stock", source="round", start_place="back"),
            Job("walk heavy away", "empty", "heavy", constant(30.0), "stock", start_place="side", at_most=20),
            Job("walk light away", "empty", "light", constant(30.0), "stock", start_place="side", at_most=20),
        ),
        breaks=breaks,
        uncertain=(Uncertain("work", lognormal(1.0, 0.1)),),
        places=("side", "back"),
        distances_m=((0.0, 8.0), (8.0, 0.0)),
    )  # fmt: skip


@pytest.fixture(scope="module")
def hand() -> FlowResult:
    return simulate(by_hand_line(reload_every=25, breaks=(Break(300.0, 600.0),)), seed=3, replications=30, traced=0)


@pytest.fixture(scope="module")
def held(small: Small) -> FlowResult:
    return simulate(small.line, small.netlist, small.plant, seed=4, replications=12, traced=1, motion_rows=600)


@pytest.mark.parametrize("rows", [0, 16])
def test_the_table_of_situations_changes_nothing(small: Small, rows: int, monkeypatch: pytest.MonkeyPatch) -> None:
    # with no rows each situation is scanned anew; so few rows that the table is emptied over and over
    run = (small.line, small.netlist, small.plant)
    kept = simulate(*run, seed=4, replications=3, traced=0, motion_rows=600)
    monkeypatch.setitem(simulate.__globals__, "settled_rows", lambda model: rows)
    other = simulate(*run, seed=4, replications=3, traced=0, motion_rows=600)
    assert np.array_equal(kept.times, other.times, equal_nan=True)
    assert np.array_equal(kept.log, other.log)
    assert kept.herd.tobytes() == other.herd.tobytes()
    for name in ("now", "scans", "cycles", "memory", "fact", "unmet"):
        assert np.array_equal(kept.worlds[name], other.worlds[name])


def test_no_animal_is_lost_or_doubled(hand: FlowResult, held: FlowResult) -> None:
    for result in (hand, held):
        assert set(result.endings) == {"all through"}
        assert np.all(result.worlds["finished"] == result.line.mob.head)
        assert np.all(result.herd["doing"] == t.GONE)
        times = result.times
        for z, zone in enumerate(result.line.zones):
            for r in range(result.replications):
                came, went = times[r, :, z, t.BEGAN_IN], times[r, :, z, t.LEFT]
                present = ~np.isnan(came) & ~np.isnan(went)
                _never_more_than(zone.places, came[present], went[present])
        assert np.all(
            (times[..., t.IN] <= times[..., t.LEFT]) | np.isnan(times[..., t.LEFT]) | np.isnan(times[..., t.IN])
        )


def _never_more_than(places: int, came: Any, went: Any) -> None:
    moments = np.concatenate([went, came])
    step = np.concatenate([-np.ones(went.size), np.ones(came.size)])
    order = np.lexsort((step, moments))
    assert np.cumsum(step[order]).max(initial=0) <= places


def test_time_is_booked_whole(hand: FlowResult, held: FlowResult) -> None:
    for result in (hand, held):
        end_s = result.worlds["now"]
        people = result.worlds["person"]["spent_s"][:, : len(result.names.people)].sum(axis=2)
        np.testing.assert_allclose(people, np.broadcast_to(end_s[:, None], people.shape), rtol=1e-9)
        crush = result.names.zones.index("crush")
        np.testing.assert_allclose(result.worlds["zone"]["spent_s"][:, crush].sum(axis=1), end_s, rtol=1e-9)
        assert sum(share for _, share in what_limits(result)) == pytest.approx(1.0, abs=1e-6)


def test_bytes_do_not_depend_on_workers(small: Small) -> None:
    one = simulate(small.line, small.netlist, small.plant, seed=9, replications=20, workers=1)
    two = simulate(small.line, small.netlist, small.plant, seed=9, replications=20, workers=3)
    assert one.times.tobytes() == two.times.tobytes()
    assert one.herd.tobytes() == two.herd.tobytes()
    later = simulate(small.line, small.netlist, small.plant, seed=9, replications=5, first=15)
    assert later.times.tobytes() == one.times[15:].tobytes()


def test_a_trace_changes_nothing(small: Small, held: FlowResult) -> None:
    untraced = simulate(small.line, small.netlist, small.plant, seed=4, replications=12)
    assert untraced.times.tobytes() == held.times.tobytes()


def test_common_random_numbers_cut_the_variance_of_a_difference() -> None:
    line = by_hand_line()
    quicker = dataclasses.replace(line, tasks=(dataclasses.replace(line.tasks[0], law=lognormal(11.0, 0.5)),))
    base = head_rates(simulate(line, seed=5, replications=60))
    same_days = head_rates(simulate(quicker, seed=5, replications=60))
    other_days = head_rates(simulate(quicker, seed=6, replications=60))
    paired, apart = np.var(same_days - base, ddof=1), np.var(other_days - base, ddof=1)
    assert np.mean(same_days - base) > 0
    assert paired < apart / 3


def test_the_same_animals_whatever_the_crew() -> None:
    two, three = (simulate(by_hand_line(people=n), seed=8, replications=4) for n in (2, 3))
    np.testing.assert_array_equal(two.herd["way"], three.herd["way"])
    np.testing.assert_array_equal(two.herd["pace"], three.herd["pace"])
    np.testing.assert_array_equal(two.worlds["factor"], three.worlds["factor"])


def test_draft_ways_take_their_shares(hand: FlowResult) -> None:
    share = float(np.mean(hand.herd["way"] == 1))
    assert abs(share - 0.4) < 4 * np.sqrt(0.24 / hand.herd.size)
    heavy = hand.names.zones.index("heavy")
    assert np.all((hand.herd["way"] == 1) | np.isnan(hand.times[:, :, heavy, t.IN]))


def test_breaks_begin_with_an_empty_crush_and_are_taken_whole(hand: FlowResult) -> None:
    told = events(hand)
    begins = next(event for event in told if event.words == "Break 1 begins.")
    ends = next(event for event in told if event.words == "Break 1 is over.")
    assert ends.time_s - begins.time_s == pytest.approx(600.0)
    crush = hand.times[0, :, hand.names.zones.index("crush")]
    inside = (crush[:, t.BEGAN_IN] < ends.time_s) & (crush[:, t.LEFT] > begins.time_s)
    assert not inside.any()
    assert np.all(hand.worlds["break_s"] == 600.0)


def test_the_clock_takes_out_the_stops_it_does_not_count(hand: FlowResult) -> None:
    whole = clock_s(hand, Clock("work_begins", "work_ends"))
    np.testing.assert_allclose(whole, hand.worlds["now"])
    without = clock_s(hand, Clock("work_begins", "work_ends", tuple(s for s in t.STOPS if s != "breaks")))
    np.testing.assert_allclose(whole - without, 600.0)
    assert np.all(clock_s(hand, Clock("first_animal_enters_race", "last_animal_released")) < whole)
    with pytest.raises(InternalError):
        Clock("sunrise")


def test_refusers_do_not_count_as_treated(hand: FlowResult) -> None:
    led = hand.worlds["refusals"]
    assert led.sum() > 0
    np.testing.assert_array_equal(treated(hand), hand.line.mob.head - led)


def test_statistics_of_a_run_agree_with_its_records(hand: FlowResult, held: FlowResult) -> None:
    by_zone = {station.zone: station for station in stations(held)}
    crush = held.times[:, :, held.names.zones.index("crush")]
    assert by_zone["crush"].total_s == pytest.approx(float((crush[..., t.LEFT] - crush[..., t.BEGAN_IN]).mean()))
    vet = next(use for use in crew_use(held) if use.person == "vet")
    worked = held.times[..., held.names.zones.index("crush"), t.DONE_IN]
    assert 0.2 < vet.shares["working on an animal"] < 0.6
    assert vet.busy == pytest.approx(1 - vet.shares["free"])
    assert not np.isnan(worked).any()
    assert cycles_per_head(held)["bail.close"] == pytest.approx(1.0)
    assert waits(hand).stops["breaks"] == pytest.approx(600.0 / hand.worlds["now"].mean(), rel=0.05)


def test_the_motion_log_is_what_power_replays(held: FlowResult) -> None:
    log = motion_log(held, 0)
    assert log.command_s.size == int(held.worlds["cycles"][0].sum())
    np.testing.assert_allclose(log.durations_s(), log.share * 1.0, atol=1e-9)  # every motion of the rig takes 1 s


def test_a_trace_tells_every_animal(held: FlowResult) -> None:
    words = " ".join(event.words for event in events(held))
    assert "Animal 40 is caught by the neck." in words
    assert "operator acts: start." in words
    assert [stay.zone for stay in stays(held, 1, animals=1)] == ["pen", "race", "crush", "out"]


def test_day_plan_puts_days_together(hand: FlowResult) -> None:
    plan = day_plan(hand, working_day_s=900.0, truck_head=20)
    assert plan.days.value > 1
    assert plan.whole_days >= plan.days.value
    assert len(plan.trucks_s) == 3
    assert list(plan.trucks_s) == sorted(plan.trucks_s)
    times = [np.arange(1.0, 11.0)]
    assert days_needed(times, 10, 5.0)[0] == pytest.approx(2.0)
    assert days_needed(times, 7, 5.0)[0] == pytest.approx(1.4)


def test_a_run_that_cannot_go_on_says_so(small: Small) -> None:
    line = dataclasses.replace(small.line, presses=())
    result = simulate(line, small.netlist, small.plant, seed=1, replications=2)
    assert result.endings == ("stuck", "stuck")
    slow = simulate(by_hand_line(), seed=1, replications=1, latest_s=100.0)
    assert slow.endings == ("too long",)


def test_an_interrupt_leaves_nothing_running(small: Small) -> None:
    def stop(share: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        simulate(small.line, small.netlist, small.plant, seed=1, replications=64, progress=stop)
    done: list[float] = []
    simulate(small.line, small.netlist, small.plant, seed=1, replications=20, progress=done.append)
    assert done[-1] == 1.0
    assert done == sorted(done)


def test_words_that_name_nothing_are_refused(small: Small) -> None:
    wrong = dataclasses.replace(
        small.line, tasks=(Task("look", "crash", constant(1.0), "vet", needs=(seen("held", "crusch"),)),)
    )
    with pytest.raises(InputError, match="task look names the zone 'crash', which is not in the line") as caught:
        simulate(wrong, small.netlist, small.plant, seed=1, replications=1)
    assert any("did you mean 'crush'?" in fault.mend for fault in caught.value.faults)
    many = dataclasses.replace(small_line(), zones=tuple(Zone(f"zone {k}", 1) for k in range(30)))
    with pytest.raises(InputError, match="the line has 30 zones"):
        simulate(many, seed=1, replications=1)


def test_accumulator_that_runs_low_slows_the_gates(small: Small) -> None:
    names = tuple(motion.name for motion in small.plant.motions)
    laws = MotionLaws(
        names=names,
        lag_s=np.zeros(4),
        time_s=np.tile([1.5, 1.0], (4, 1)),
        oil_m3=np.full(4, 3e-4),
        level_m3=np.array([0.0, 2e-3]),
        level_pressure_pa=np.array([60e5, 120e5]),
        pump_m3_per_s=8e-5,
        leak_m3_per_s=0.0,
        cut_in_m3=1e-3,
        cut_out_m3=1.8e-3,
        start_m3=1.8e-3,
    )
    quick = simulate(small.line, small.netlist, small.plant, seed=4, replications=4)
    slow = simulate(small.line, small.netlist, small.plant, laws, seed=4, replications=4, motion_rows=400)
    assert set(slow.endings) == {"all through"}
    assert np.all(slow.worlds["now"] > quick.worlds["now"])
    assert np.all(slow.worlds["oil"][:, 6] < 1.0e-3)  # lowest stored oil
    log = motion_log(slow)
    full = log.durations_s()[log.share == 1.0]
    assert full.min() >= 1.0 - 1e-9
    assert np.ptp(full) > 0.1


def test_open_arrivals_come_one_by_one() -> None:
    line = Line((Zone("in", 10**6), Zone("out", 10**6)), (Passage("in", "out"),), Mob(50, exponential(10.0)))
    result = simulate(line, seed=1, replications=40)
    gaps = np.diff(result.times[:, :, 0, t.IN], axis=1)
    assert abs(gaps.mean() - 10.0) < 4 * 10.0 / np.sqrt(gaps.size)
