"""The exported text, run by our evaluator, against the compiled scan: long random traces of the real builds."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from itertools import accumulate

import numpy as np
import pytest

from stockproof.errors import InputError
from stockproof.logic import lower
from stockproof.logic.export.evaluator import Machine
from stockproof.logic.export.model import Code
from stockproof.logic.export.structured_text import code_of, structured_text
from stockproof.netlist import InputKind, Netlist, Op
from stockproof.netlist.build import Builder
from stockproof.netlist.kernel import ALL, commit, fresh, scan
from stockproof.netlist.model import Lamp

from .builds import BUILDS, build
from .engines import Clocks, Trace, run_exported, run_plain

SCANS = 1400
#: Time between scans: often less than any timer, at times exactly a timer's half second, at times longer than all.
GAPS_S = (0.02, 0.02, 0.1, 0.45, 0.5, 7.0)


def random_trace(netlist: Netlist, seed: int, scans: int = SCANS) -> Iterator[tuple[float, dict[str, bool]]]:
    """People who press and let go of buttons, and sensors that show anything; the stops are mostly not pressed."""
    rng, now_s = random.Random(seed), 0.0
    fields = [i for i in netlist.inputs if i.kind != InputKind.ELAPSED]
    buttons = [i.name for i in fields if i.kind == InputKind.MOMENTARY]
    switches = [i.name for i in fields if i.kind == InputKind.MAINTAINED and not i.name.endswith("emergency_ok")]
    stops = [i.name for i in fields if i.name.endswith("emergency_ok")]
    sensors = [i.name for i in fields if i.kind == InputKind.SENSOR]
    wanted = [name for name in buttons if name.endswith((".reset", ".start", ".done"))]
    full = ("occupied", "astride", "crowded")
    # an animal in a gateway or down in the crush holds most things up, so it is seldom there
    often = {name: 0.94 if "access" in name else 0.4 if name.endswith(full) else 0.6 for name in sensors}
    often |= {name: 0.2 for name in sensors if name.endswith("astride")}
    often |= {name: 0.05 for name in sensors if name == "crush.down"}
    held: dict[str, int] = {}
    quiet = 0
    for k in range(scans):
        held = {name: left - 1 for name, left in held.items()}
        changes = dict.fromkeys([name for name, left in held.items() if left == 0], False)
        held = {name: left for name, left in held.items() if left}
        changes |= {name: k == 0 or rng.random() < 0.99 for name in stops if k == 0 or rng.random() < 0.02}
        quiet = quiet - 1 if quiet else rng.choice((0, 0, 0, 8))
        if not quiet:
            changes |= {
                name: rng.random() < often[name]
                for name in sensors
                if rng.random() < (0.04 if "access" in name else 0.2)
            }
            changes |= {name: rng.random() < 0.7 for name in switches if rng.random() < 0.02}
        if not held and rng.random() < 0.6:
            pressed = rng.choice(wanted if rng.random() < 0.5 else buttons)
            changes[pressed], held[pressed] = True, rng.choice((1, 2, 8))
        yield now_s, changes
        now_s += rng.choice(GAPS_S)


@cache
def traced(name: str) -> tuple[Netlist, Trace, list[list[bool]]]:
    """A build's netlist, a trace that moves everything if one of a few does, and every node's value after each scan."""
    netlist = lower(build(name))
    for seed in range(12):
        trace = list(random_trace(netlist, seed))
        history = history_of(netlist, trace)
        if not idle_things(netlist, history):
            break
    return netlist, trace, history


def history_of(netlist: Netlist, trace: Trace) -> list[list[bool]]:
    inputs = {i.name: False for i in netlist.inputs}
    words, spare, clocks = fresh(netlist), np.zeros(len(netlist.memories), np.uint64), Clocks(netlist)
    history = []
    for now_s, changes in trace:
        inputs |= {**changes, **clocks.elapsed(now_s)}
        words[netlist.input_node] = [ALL if inputs[i.name] else 0 for i in netlist.inputs]
        scan(netlist.op, netlist.a, netlist.b, words)
        values: list[bool] = (words & np.uint64(1)).astype(bool).tolist()
        clocks.look(now_s, values)
        history.append(values)
        commit(netlist.memory_node, netlist.memory_next, words, spare)
    return history


def idle_things(netlist: Netlist, history: list[list[bool]]) -> list[str]:
    """Motions, timers and steps that were never on."""
    things = {m.name: m.node for m in netlist.motions}
    things |= {t.name: t.q for t in netlist.timers if netlist.op[t.q] != Op.CONST}
    things |= {step: node for chart in netlist.charts for step, _, node in chart.steps}
    on = {node for values in history for node, value in enumerate(values) if value}
    return [name for name, node in things.items() if node not in on]


@pytest.mark.parametrize(
    ("name", "form"), [*((name, "rules") for name in BUILDS), ("dairy", "operations"), ("maximal", "operations")]
)
def test_exported_text_agrees_with_the_compiled_scan_at_every_scan(name: str, form: str) -> None:
    netlist, trace, _ = traced(name)
    code = code_of(netlist, build(name) if form == "rules" else None)
    assert code.form == form
    machine = Machine(structured_text(code))
    whole = len(trace) if form == "rules" else 300
    assert first_difference(machine, code, name, whole) is None


def first_difference(machine: Machine, code: Code, name: str, scans: int) -> float | None:
    """The moment of the first scan in which an output of the text is not what the compiled scan gave."""
    netlist, trace, history = traced(name)
    nodes = {code.outputs[o]: netlist.names[o] for o in code.outputs}
    for (now_s, changes), values in list(zip(trace, history, strict=True))[:scans]:
        given = machine.scan({code.inputs[word]: value for word, value in changes.items()}, now_s)
        if given != {word: values[node] for word, node in nodes.items()}:
            return now_s
    return None


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("Q := NOT CLK AND was;", "Q := CLK AND was;"),
        ("T#4s", "T#8s"),
        ("T#500ms", "T#8s"),
        ("program_step := 3;", "program_step := 4;"),
        ("AND NOT bail_open_request", "OR NOT bail_open_request"),
        ("program_catch := program_step = 2;", "program_catch := program_step = 3;"),
        ("line_ready_latch : RS;", "line_ready_latch : TON;"),
    ],
)
def test_a_text_altered_in_one_place_is_told_from_the_netlist(right: str, wrong: str) -> None:
    code = code_of(traced("maximal")[0], build("maximal"))
    text = structured_text(code)
    assert right in text
    altered = text.replace(right, wrong)
    if "TON" in wrong:
        with pytest.raises(InputError, match="is no input of ton"):
            Machine(altered)
        return
    assert first_difference(Machine(altered), code, "maximal", SCANS) is not None


@pytest.mark.parametrize("name", BUILDS)
def test_every_named_signal_of_the_text_agrees_with_the_netlist(name: str) -> None:
    """Not the outputs alone: every permit, request, latch and definition that a person would watch."""
    netlist, trace, history = traced(name)
    code = code_of(netlist, build(name))
    machine = Machine(structured_text(code))
    names = {word.replace(".", "_"): node for word, node in netlist.names.items()}
    watched = [
        (run.name, variable.name, names[variable.name])
        for run in code.program.locals
        for pou in code.pous
        if pou.name == run.type and not pou.name.endswith("_Sequence")
        for variable in (*pou.outputs, *pou.locals)
        if variable.name in names
    ]
    assert len(watched) > 2 * len(netlist.motions)
    for (now_s, changes), values in list(zip(trace, history, strict=True))[:150]:
        machine.scan({code.inputs[word]: value for word, value in changes.items()}, now_s)
        wrong = [word for block, word, node in watched if machine.value(block, word) != values[node]]
        assert wrong == [], f"at {now_s} s"


@pytest.mark.parametrize("name", BUILDS)
def test_the_traces_move_everything_and_reach_every_step_and_timer(name: str) -> None:
    netlist, _, history = traced(name)
    assert idle_things(netlist, history) == []


def random_netlist(seed: int) -> Netlist:
    rng = random.Random(seed)
    builder = Builder()
    nodes = [builder.constant(False), builder.constant(True)]
    nodes += [builder.input(f"i{k}", InputKind.SENSOR) for k in range(5)]
    memories = [builder.memory(f"m{k}", rng.random() < 0.5) for k in range(5)]
    nodes += memories
    for k in range(60):
        terms = rng.sample(nodes, rng.randint(1, 3))
        joined = rng.choice((builder.and_, builder.or_, builder.xor))(terms)
        nodes.append(builder.not_(joined) if rng.random() < 0.3 else joined)
        if k % 20 == 19:
            nodes.append(builder.on_delay(f"t{k}", nodes[-1], rng.choice((0.02, 0.5, 1.3))))
    for memory in memories:
        builder.remember(memory, rng.choice(nodes))
    for k in range(8):
        builder.lamp(Lamp(f"o{k}", rng.choice(nodes[-30:])))
    return builder.finish()


@pytest.mark.parametrize("seed", range(20))
def test_any_netlist_exports_to_what_it_means(seed: int) -> None:
    netlist = random_netlist(seed)
    rng = random.Random(seed)
    moments = accumulate(rng.choice(GAPS_S) for _ in range(80))
    trace = [(now_s, {f"i{n}": rng.random() < 0.5 for n in range(5)}) for now_s in moments]
    assert run_exported(netlist, trace) == run_plain(netlist, trace)


def test_everything_is_as_new_after_power_returns() -> None:
    netlist, trace, _ = traced("maximal")
    code = code_of(netlist, build("maximal"))
    used, new = (Machine(structured_text(code)) for _ in range(2))
    for now_s, changes in trace[:200]:
        used.scan({code.inputs[word]: value for word, value in changes.items()}, now_s)
    used.restart()
    for now_s, changes in trace[:200]:
        given = {code.inputs[word]: value for word, value in changes.items()}
        assert used.scan(given, now_s) == new.scan(given, now_s)
