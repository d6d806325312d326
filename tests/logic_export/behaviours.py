"""What a control program does, stated once and asked of every engine that runs one.

An engine's test class inherits `Behaviours` and says how it runs a netlist. What is expected is worked out by hand
from the words of the rules, never taken from another engine.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from itertools import product

import pytest

from stockproof.logic import Device, DeviceMotion, DeviceSignal, assemble, lower
from stockproof.logic.assembly import Assembly
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of
from stockproof.logic.rules import Rule, RuleKind
from stockproof.netlist import InputKind, Lamp, Netlist
from stockproof.netlist.build import Builder
from stockproof.netlist.expression import evaluate, parse

from .engines import Outputs, Trace

TICK_S = 0.02


def ticks(*changes: dict[str, bool]) -> Trace:
    """One scan after another, a tick apart."""
    return [(k * TICK_S, change) for k, change in enumerate(changes)]


def gated(*rules: Rule, inputs: str = "a b c") -> Assembly:
    """The always present rules with rules of a test, and inputs that they may read."""
    signals = tuple(DeviceSignal(name, InputKind.SENSOR, name) for name in inputs.split())
    panel = (
        DeviceSignal("panel.reset", InputKind.MOMENTARY, "reset"),
        DeviceSignal("panel.emergency_ok", InputKind.MAINTAINED, "no emergency stop"),
    )
    reads = tuple(Rule(RuleKind.LAMP, f"lamp.{s.name}", parse(s.name)) for s in signals)
    return assemble(
        [
            Device("panel", "control_point", "a panel", signals=panel),
            Device("t", "sensor", "", "", (), signals, (*rules, *reads)),
        ]
    )


def lit(outputs: Outputs, name: str) -> list[bool]:
    return [output[name] for output in outputs]


class Behaviours(ABC):
    """Inherit and say how to run; every test below then holds the engine to it."""

    @abstractmethod
    def run(self, netlist: Netlist, trace: Trace, assembly: Assembly | None = None) -> Outputs:
        """Give every motion and lamp after each scan of a trace, from a fresh start with all inputs false."""

    def of(self, assembly: Assembly, trace: Trace) -> Outputs:
        return self.run(lower(assembly), trace, assembly)

    @pytest.mark.parametrize(
        "text", ["a AND b", "a OR NOT b", "a XOR b XOR c", "NOT (a OR b AND c)", "a AND (b OR c)", "(a XOR b) AND c"]
    )
    def test_expressions_have_the_values_of_their_truth_table(self, text: str) -> None:
        assembly = gated(Rule(RuleKind.LAMP, "lamp.x", parse(text)))
        rows = [dict(zip("abc", row, strict=True)) for row in product((False, True), repeat=3)]
        expected = [evaluate(parse(text), row.__getitem__) for row in rows]
        assert lit(self.of(assembly, ticks(*rows)), "lamp.x") == expected
        assert len(set(expected)) == 2

    def test_a_latch_keeps_and_reset_wins(self) -> None:
        latch = Rule(RuleKind.LATCH, "x.kept", parse("a"), parse("b"))
        assembly = gated(latch, Rule(RuleKind.LAMP, "lamp.x", parse("x.kept")))
        trace = ticks({}, {"a": True}, {"a": False}, {"b": True}, {"a": True}, {"b": False}, {"a": False})
        assert lit(self.of(assembly, trace), "lamp.x") == [False, True, True, False, False, True, True]

    def test_a_rise_is_reported_once_and_also_at_the_first_scan(self) -> None:
        rule = Rule(RuleKind.RISING, "x.edge", parse("a"))
        assembly = gated(rule, Rule(RuleKind.LAMP, "lamp.x", parse("x.edge")))
        trace = ticks({"a": True}, {}, {"a": False}, {"a": True}, {})
        assert lit(self.of(assembly, trace), "lamp.x") == [True, False, False, True, False]

    def test_a_fall_is_reported_once_and_never_at_the_first_scan(self) -> None:
        rule = Rule(RuleKind.FALLING, "x.edge", parse("a"))
        assembly = gated(rule, Rule(RuleKind.LAMP, "lamp.x", parse("x.edge")))
        trace = ticks({}, {"a": True}, {"a": False}, {}, {"a": True})
        assert lit(self.of(assembly, trace), "lamp.x") == [False, False, True, False, False]

    def test_a_change_either_way_is_reported_once(self) -> None:
        rule = Rule(RuleKind.CHANGED, "x.edge", parse("a"))
        assembly = gated(rule, Rule(RuleKind.LAMP, "lamp.x", parse("x.edge")))
        trace = ticks({}, {"a": True}, {}, {"a": False}, {})
        assert lit(self.of(assembly, trace), "lamp.x") == [False, True, False, True, False]

    @pytest.mark.parametrize(
        ("moments", "expected"),
        [
            pytest.param((0.0, 0.5, 0.999, 1.0, 9.0), (False, False, False, True, True), id="at the very moment"),
            pytest.param((0.0, 5.0), (False, True), id="first scan after it"),
            pytest.param((3.0, 3.25, 4.25), (False, False, True), id="counted from the rise, not from the start"),
        ],
    )
    def test_an_on_delay_waits_for_its_time(self, moments: tuple[float, ...], expected: tuple[bool, ...]) -> None:
        rule = Rule(RuleKind.ON_DELAY, "x.late", parse("a"), delay_s=1.0)
        assembly = gated(rule, Rule(RuleKind.LAMP, "lamp.x", parse("x.late")))
        assert lit(self.of(assembly, [(t, {"a": True}) for t in moments]), "lamp.x") == list(expected)

    def test_an_on_delay_falls_at_once_and_begins_anew(self) -> None:
        rule = Rule(RuleKind.ON_DELAY, "x.late", parse("a"), delay_s=1.0)
        assembly = gated(rule, Rule(RuleKind.LAMP, "lamp.x", parse("x.late")))
        steps = ((0.0, True), (0.75, False), (0.875, True), (1.75, True), (1.875, True), (2.0, False), (2.25, True))
        trace = [(t, {"a": a}) for t, a in steps]
        expected = [False, False, False, False, True, False, False]
        assert lit(self.of(assembly, trace), "lamp.x") == expected

    def test_remembered_bits_are_written_all_at_once(self) -> None:
        """Two bits that take each other's value swap; written one after the other they would become equal."""
        builder = Builder()
        one, other = builder.memory("one", True), builder.memory("other", False)
        builder.remember(one, other)
        builder.remember(other, one)
        builder.lamp(Lamp("lamp.one", one))
        builder.lamp(Lamp("lamp.other", other))
        outputs = self.run(builder.finish(), ticks({}, {}, {}))
        assert lit(outputs, "lamp.one") == [True, False, True]
        assert lit(outputs, "lamp.other") == [False, True, False]

    def test_what_contends_for_a_part_moves_it_neither_way(self) -> None:
        motions = (DeviceMotion("vent.open", ""), DeviceMotion("vent.close", ""))
        rules = [Rule(RuleKind.REQUEST, f"vent.{way}", parse(by)) for way, by in (("open", "a"), ("close", "b"))]
        rules += [Rule(RuleKind.PERMIT, f"vent.{way}", parse("c")) for way in ("open", "close")]
        signals = tuple(DeviceSignal(name, InputKind.SENSOR, name) for name in "abc")
        base = [d for d in devices_of(SMALL) if d.name == "panel"]
        signals_kept = tuple(s for s in base[0].signals if s.name in ("panel.reset", "panel.emergency_ok"))
        panel = Device("panel", "control_point", "", signals=signals_kept)
        assembly = assemble([panel, Device("vent", "controller", "a vent", "", motions, signals, tuple(rules))])
        rows = [dict(zip("abc", row, strict=True)) for row in product((False, True), repeat=3)]
        outputs = self.of(assembly, ticks(*rows))
        assert lit(outputs, "vent.open") == [r["a"] and r["c"] and not r["b"] for r in rows]
        assert lit(outputs, "vent.close") == [r["b"] and r["c"] and not r["a"] for r in rows]

    @pytest.mark.parametrize("rig", [SMALL, MAXIMAL], ids=["small", "maximal"])
    def test_nothing_moves_after_power_returns_until_reset_is_let_go_and_a_button_is_pressed_anew(
        self, rig: Rig
    ) -> None:
        quiet = _quiet(rig)
        trace = ticks(
            {**quiet, "panel.bail.open": True},
            {"panel.reset": True},
            {"panel.reset": False},
            {},
            {"panel.bail.open": False},
            {"panel.bail.open": True},
        )
        outputs = self.of(assemble(devices_of(rig)), trace)
        assert [motion for output in outputs[:5] for motion in _driven(output)] == []
        assert _driven(outputs[5]) == ["bail.open"]

    @pytest.mark.parametrize("rig", [SMALL, MAXIMAL], ids=["small", "maximal"])
    def test_an_emergency_stop_stops_within_the_scan_and_its_release_starts_nothing(self, rig: Rig) -> None:
        trace = ticks(
            {**_quiet(rig), "panel.reset": True},
            {"panel.reset": False},
            {"panel.bail.open": True},
            {"panel.emergency_ok": False},
            {"panel.emergency_ok": True},
            {},
        )
        outputs = self.of(assemble(devices_of(rig)), trace)
        assert [_driven(output) for output in outputs[2:]] == [["bail.open"], [], [], []]

    def test_the_program_catches_holds_and_lets_go(self) -> None:
        """One animal through the small rig: in, caught by the neck, held, done, out after the half second."""
        trace = [
            (0.0, {**_quiet(SMALL), "panel.hold": True, "panel.reset": True}),
            (0.1, {"panel.reset": False}),
            (0.2, {"panel.start": True}),  # runs from this scan on; it still stands in its first step
            (0.3, {"panel.start": False}),  # admit
            (0.4, {"crush.occupied": True, "bail.neck": True, "entry.closed": False, "bail.closed": False}),
            (0.5, {}),  # catch
            (0.6, {"bail.closed": True, "entry.closed": True}),  # caught: goes on to work
            (0.7, {}),  # work
            (0.8, {"panel.done": True}),  # goes on to relieve
            (0.9, {"panel.done": False}),  # relieve: nothing presses
            (1.0, {}),  # release
            (1.1, {"bail.closed": False, "crush.occupied": False, "bail.neck": False}),  # empty from here
            (1.5, {}),
            (1.75, {}),  # the half second is over: goes on to admit
            (1.85, {}),  # admit
        ]
        driven = [_driven(output) for output in self.of(assemble(devices_of(SMALL)), trace)]
        assert driven[:3] == [[], [], []]
        assert "entry.open" in driven[3]
        assert "bail.close" in driven[5]
        assert "bail.close" in driven[6]
        assert driven[7:9] == [[], []]
        assert ["bail.open" in d for d in driven[9:]] == [False, True, True, True, True, True]
        assert ["entry.open" in d for d in driven[4:]] == [False] * 10 + [True]


def _quiet(rig: Rig) -> dict[str, bool]:
    """An empty line at rest: gates and guards shut, emergency stops not pressed, nothing pressed on."""
    rest = (".emergency_ok", "_access.closed", "entry.closed", "bail.closed", "squeeze.released", "lift.down")
    names = [s.name for device in devices_of(rig) for s in device.signals if s.kind is not None]
    return {name: True for name in names if name.endswith(rest)}


def _driven(output: dict[str, bool]) -> list[str]:
    return [name for name, value in output.items() if value and "lamp" not in name]
