"""A rehearsal is the run of the kernel, may be stepped in any way, and shows what the control program does."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from stockproof.errors import InputError
from stockproof.flow import events, simulate
from stockproof.flow.live import Live, Script, Setting, Trouble, TroubleKind, troubles_of
from stockproof.flow.model import Line, Press, Seen, Task, Zone, constant, seen
from stockproof.logic.rig import SMALL
from stockproof.netlist.model import InputKind
from stockproof.netlist.reference import evaluate_scan

from .conftest import Small
from .oracle_lines import powered


@pytest.fixture
def script(small: Small) -> Script:
    return Script(small.line, small.netlist, small.plant, None, seed=7, setting=Setting(True, False))


def trouble(script: Script, kind: TroubleKind, target: str = "") -> Trouble:
    return next(t for t in troubles_of(script.netlist, script.plant) if (t.kind, t.target) == (kind, target))


def test_a_rehearsal_nobody_touches_is_the_run_of_the_kernel(script: Script) -> None:
    live = Live(script)
    seen = list(live.events)
    while len(seen) < 10_000 and live.next_s < 1e9:
        live.advance(live.next_s + 0.1)
        seen += list(live.events)[-(live.told - len(seen)) :] if live.told > len(seen) else []
    run = simulate(script.line, script.netlist, script.plant, seed=7, replications=1, traced=0)
    told = events(run)
    assert [e.time_s for e in seen[: len(told)]] == [e.time_s for e in told]
    assert live.snapshot().through == script.line.mob.head


def test_same_acts_at_the_same_times_give_the_same_bytes_however_it_is_stepped(script: Script) -> None:
    rng = random.Random(3)
    controls = Live(script).names.controls
    first = Live(script)
    for _ in range(60):
        first.advance(first.now_s + rng.uniform(0.0, 3.0))
        name = rng.choice(controls)
        first.press(name)
        first.advance(first.now_s + rng.uniform(0.0, 1.0))
        first.release(name)
    again = Live.replayed(script, first.acts, first.now_s)
    assert again.fingerprint() == first.fingerprint()
    stepped = Live(script)
    for act in first.acts:
        while stepped.next_s < act.time_s:
            stepped.to_next()
            stepped.snapshot()
        stepped.advance(act.time_s)
        stepped.act(act.verb, act.name, act.on)
    stepped.advance(first.now_s)
    assert stepped.fingerprint() == first.fingerprint()


def test_random_presses_give_what_the_plain_scan_of_the_netlist_gives(script: Script) -> None:
    """Lamps, motions driven and refused, against the reference, which remembers for itself from press to press.

    Where animals and parts move, several scans fall into one instant with inputs nobody sees from outside; there the
    reference takes the memory over, and must find it settled.
    """
    rng = random.Random(11)
    netlist, live = script.netlist, Live(script)
    live.act("crew", "", False)
    reads = {i.name: i.node for i in netlist.inputs}
    buttons = [i.name for i in netlist.inputs if i.kind == InputKind.MOMENTARY]
    memory, held, refusals, driven = _memory(script, live), list[str](), 0, 0
    for _ in range(400):
        moved = False
        if held and rng.random() < 0.6:
            live.release(held.pop())
        elif rng.random() < 0.5:
            held.append(rng.choice(buttons))
            live.press(held[-1])
        else:
            live.to_next()
            moved, memory = True, _memory(script, live)
        shown = live.values()
        inputs = {name: shown[node] for name, node in reads.items()}
        for _ in range(1 if moved else 9):
            values, memory = evaluate_scan(netlist, inputs, memory)
        seen = live.snapshot()
        assert memory == _memory(script, live)
        assert seen.lamps == tuple(values[lamp.node] for lamp in netlist.lamps)
        assert seen.driven == tuple(values[m.node] for m in netlist.motions)
        assert seen.refused == tuple(values[m.request] and not values[m.node] for m in netlist.motions)
        refusals, driven = refusals + sum(seen.refused), driven + sum(seen.driven)
    assert refusals > 10
    assert driven > 10


def _memory(script: Script, live: Live) -> dict[str, bool]:
    shown = live.values()
    return {m.name: shown[m.node] for m in script.netlist.memories}


def test_a_stuck_sensor_shows_its_value_and_the_truth_again_when_mended(script: Script) -> None:
    live = Live(script)
    live.advance(20.0)
    names = [i.name for i in script.netlist.inputs if i.kind == InputKind.SENSOR]
    at = names.index("entry.closed")
    before = live.snapshot().sensors[at]
    stuck = trouble(script, TroubleKind.SHOWS_NO if before else TroubleKind.SHOWS_YES, "entry.closed")
    live.strike(stuck)
    assert live.snapshot().sensors[at] != before
    live.mend(stuck)
    assert live.snapshot().sensors[at] == before
    assert live.troubles == ()


def test_without_power_nothing_is_driven_and_leave_must_be_given_anew(script: Script) -> None:
    live = Live(script)
    live.advance(15.0)
    ready = [lamp.name.endswith("lamp.ready") for lamp in script.netlist.lamps].index(True)
    assert live.snapshot().lamps[ready]
    off = trouble(script, TroubleKind.POWER_OFF)
    live.act("crew", "", False)
    live.strike(off)
    live.advance(live.now_s + 5.0)
    seen = live.snapshot()
    assert not any(seen.driven)
    assert not any(seen.lamps)
    live.mend(off)
    live.advance(live.now_s + 5.0)
    assert not live.snapshot().lamps[ready]


def test_on_the_pump_alone_a_part_stands_where_the_pump_stops_and_goes_on_with_it(small: Small) -> None:
    laws = powered(SMALL, 1, pump=True).laws
    script = Script(small.line, small.netlist, small.plant, laws, seed=7, setting=Setting(True, False))
    live = Live(script)
    bail = live.names.parts.index("bail")
    live.act("crew", "", False)
    live.press("panel.reset")
    live.release("panel.reset")
    live.press("panel.bail.open")
    live.advance(live.now_s + 0.4)
    at = live.snapshot().parts[bail].at
    assert 0.0 < at < 1.0
    off = trouble(script, TroubleKind.PUMP_OFF)
    live.strike(off)
    live.advance(live.now_s + 30.0)
    assert live.snapshot().parts[bail].at == pytest.approx(at)
    live.mend(off)
    live.advance(live.now_s + 0.1)
    assert at < live.snapshot().parts[bail].at < 1.0
    live.advance(live.now_s + 5.0)
    assert live.snapshot().parts[bail].at == 1.0


def test_a_leaking_valve_lets_the_part_creep_and_a_dead_one_does_not_move_it(script: Script) -> None:
    live = Live(script)
    bail = live.names.parts.index("bail")
    live.act("crew", "", False)
    live.press("panel.reset")
    live.release("panel.reset")
    live.press("panel.bail.open")
    live.advance(live.now_s + 5.0)
    live.release("panel.bail.open")
    assert live.snapshot().parts[bail].at == 1.0
    live.strike(trouble(script, TroubleKind.CREEPS, "bail.open"))
    live.advance(live.now_s + 5.0)
    assert 0.0 < live.snapshot().parts[bail].at < 1.0
    live.mend(live.troubles[0])
    live.strike(trouble(script, TroubleKind.VALVE_DEAD, "bail.open"))
    live.advance(live.now_s + 60.0)
    live.press("panel.bail.open")
    live.advance(live.now_s + 5.0)
    assert live.snapshot().parts[bail].at == 0.0
    assert any(live.snapshot().refused)


def test_what_is_not_there_cannot_be_acted_on(script: Script) -> None:
    live = Live(script)
    with pytest.raises(InputError, match="there is no control"):
        live.press("panel.sing")
    with pytest.raises(InputError, match="no gate that is opened by hand"):
        live.act("gate", "bail", True)
    with pytest.raises(InputError, match="no such fault can strike here"):
        live.act("trouble", "CREEPS:lift.raise", True)
    assert live.acts == []


def by_hand(small: Small, zones: tuple[Zone, ...], tasks: tuple[Task, ...]) -> Line:
    """The small line with every motion worked by the operator."""

    def hold_to_run(name: str, motion: str, *when: Seen) -> Press:
        part, _, way = motion.partition(".")
        there = seen("open" if way == "open" else "closed", part)
        return Press(name, f"panel.{motion}", (*when, ~there), "controls", until=(there,))

    standing, empty = seen("standing", "crush"), ~seen("occupied", "crush")
    presses = (
        small.line.presses[0],
        hold_to_run("shut the exit", "bail.close", empty),
        hold_to_run(
            "let in", "entry.open", ~seen("occupied", "crush"), seen("standing", "race"), seen("closed", "bail")
        ),
        hold_to_run("shut in", "entry.close", standing),
        hold_to_run("open up", "bail.open", standing, seen("done", "crush")),
    )
    return replace(small.line, zones=zones, tasks=tasks, presses=presses, switched_on=("panel.emergency_ok",))


@pytest.fixture
def turned(small: Small, script: Script) -> Script:
    """The small yard with a hold switch: turned off, nobody is held, and each is waved at by the operator besides."""
    line, standing = small.line, (seen("standing", "crush"),)
    loose = tuple(replace(zone, catch=None) for zone in line.zones)
    tasks = (replace(line.tasks[0], needs=standing), Task("wave", "crush", constant(2.0), "controls", needs=standing))
    return replace(
        script,
        others={
            Setting(True, False, by_hand=True): by_hand(small, line.zones, line.tasks),
            Setting(False, False): by_hand(small, loose, tasks),
            Setting(False, False, by_hand=True): by_hand(small, loose, tasks),
        },
    )


def test_a_bail_that_does_not_hold_lets_animals_through_unheld(turned: Script) -> None:
    setting = Setting(False, False)
    live = Live(Script(turned.others[setting], turned.netlist, turned.plant, None, seed=7, setting=setting))
    live.advance(300.0)
    assert not live.snapshot().catches
    assert live.snapshot().missed == 0
    assert live.snapshot().through > 3


def test_habits_of_the_other_setting_change_nothing_while_the_switch_is_not_turned(
    script: Script, turned: Script
) -> None:
    plain, other = Live(script), Live(turned)
    for live in (plain, other):
        live.advance(500.0)
    assert list(plain.events) == list(other.events)


def test_the_crew_goes_by_the_habits_and_tasks_of_the_switch_as_it_stands(turned: Script) -> None:
    live = Live(turned)
    live.advance(60.0)
    live.turn("panel.hold", False)
    live.advance(150.0)
    told = [event.words for event in live.events]
    assert any("open up" in words for words in told)
    assert any("wave" in words for words in told)
    assert not live.snapshot().catches
    through = live.snapshot().through
    live.turn("panel.hold", True)
    live.advance(700.0)
    assert live.snapshot().catches
    assert live.snapshot().through > through


@pytest.mark.parametrize("seed", range(6))
def test_a_turned_switch_gives_the_same_run_whatever_the_stride(turned: Script, seed: int) -> None:
    """Also where it is turned while an animal is in the crush, and the bail changes over only later."""
    rng = random.Random(seed)
    acts = sorted((rng.uniform(5.0, 250.0), rng.random() < 0.5) for _ in range(8))
    ends = []
    for _ in range(4):
        live = Live(turned)
        for at_s, on in acts:
            _in_strides(live, at_s, rng)
            live.turn("panel.hold", on)
        _in_strides(live, 300.0, rng)
        ends.append(live.fingerprint())
    once = Live.replayed(turned, live.acts, 300.0)
    assert set(ends) == {once.fingerprint()}


def _in_strides(live: Live, until_s: float, rng: random.Random) -> None:
    """Go on to a time in strides of any length, or thing by thing, or at once."""
    longest_s = rng.choice((0.05, 1.0, 30.0, 1e3))
    while live.now_s < until_s:
        if rng.random() < 0.2 and live.next_s < until_s:
            live.to_next()
        else:
            live.advance(min(until_s, live.now_s + rng.uniform(0.0, longest_s)))


def test_a_crew_told_to_take_its_hands_off_presses_nothing_more(script: Script) -> None:
    """Also somebody who was just about to press, or who had pressed and would press again."""
    for at_s in (0.4, 1.0, 2.0, 30.3):
        live = Live(script)
        live.advance(at_s)
        live.act("crew", "", False)
        live.advance(200.0)
        assert not any(event.time_s > at_s for event in live.events if "acts:" in event.words)
        live.act("crew", "", True)
        live.advance(300.0)
        assert any(event.time_s > 200.0 for event in live.events if "acts:" in event.words)
