"""What the assembled logic does, scan by scan, and what assembly refuses."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest

from stockproof.errors import InputError, Place
from stockproof.logic import Device, DeviceMotion, DeviceSignal, assemble, lower
from stockproof.logic.library import library, read_fragment
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of, plant_of
from stockproof.logic.rules import Rule, RuleKind
from stockproof.netlist import InputKind, Netlist
from stockproof.netlist.expression import parse
from stockproof.netlist.reference import evaluate_scan, started
from stockproof.plant.model import Guard
from stockproof.tomlfile import parse_toml

BY_HAND = Rig(hold=False)
FULL = Rig(
    parts=("entry", "bail", "squeeze", "lift", "draft"),
    rear=Guard.SWITCHED,
    rear_view=True,
    flank=Guard.SWITCHED,
    neck=Guard.SWITCHED,
    ways=2,
    sort=True,
    points=("panel", "remote"),
)


class Controller:
    """Runs a netlist by the plain evaluator; inputs stay as set until set again."""

    def __init__(self, netlist: Netlist) -> None:
        self.netlist = netlist
        self.inputs = {i.name: i.name.endswith((".emergency_ok", "_access.closed")) for i in netlist.inputs}
        self.memory = started(netlist)
        self.driven: set[str] = set()
        self.values: list[bool] = []

    def scan(self, times: int = 1, **changes: bool) -> set[str]:
        self.inputs |= {name.replace("__", "."): value for name, value in changes.items()}
        for _ in range(times):
            self.values, self.memory = evaluate_scan(self.netlist, self.inputs, self.memory)
        self.driven = {m.name for m in self.netlist.motions if self.values[m.node]}
        return self.driven

    def press(self, name: str, scans: int = 2) -> set[str]:
        self.scan(scans, **{name: True})
        held = self.driven
        self.scan(**{name: False})
        return held

    def ready(self) -> Controller:
        self.press("panel.reset")
        self.scan()
        return self

    def value(self, name: str) -> bool:
        return self.values[self.netlist.names[name]]

    def step(self) -> str:
        (chart,) = self.netlist.charts
        return next(name for name, _, node in chart.steps if self.values[node])


def controller(rig: Rig) -> Controller:
    return Controller(lower(assemble(devices_of(rig))))


@pytest.mark.parametrize("rig", [BY_HAND, SMALL, FULL, MAXIMAL], ids=["by hand", "small", "full", "maximal"])
def test_nothing_moves_before_somebody_resets(rig: Rig) -> None:
    plc = controller(rig)
    for name in [m.name for m in plc.netlist.motions]:
        assert plc.press(f"panel.{name}") == set()


@pytest.mark.parametrize("rig", [BY_HAND, SMALL, FULL, MAXIMAL], ids=["by hand", "small", "full", "maximal"])
def test_nothing_moves_when_power_or_leave_returns_while_a_button_is_held(rig: Rig) -> None:
    plc = controller(rig)
    plc.scan(panel__bail__close=True)
    plc.press("panel.reset")
    assert plc.scan(3) == set()
    plc.scan(panel__bail__close=False)
    assert "bail.close" in plc.scan(2, panel__bail__close=True)


def test_an_emergency_stop_stops_and_its_release_starts_nothing() -> None:
    plc = controller(SMALL).ready()
    assert plc.scan(2, panel__entry__close=True) == {"entry.close"}
    assert plc.scan(panel__emergency_ok=False) == set()
    assert plc.scan(panel__emergency_ok=True) == set()
    plc.ready()
    assert plc.scan(3) == set()
    plc.scan(panel__entry__close=False)
    assert plc.scan(panel__entry__close=True) == {"entry.close"}


def test_opposite_buttons_at_two_points_move_neither_but_relief_wins() -> None:
    plc = controller(FULL).ready()
    plc.scan(bail__closed=True, squeeze__released=True, lift__down=True)
    assert plc.scan(panel__entry__open=True, remote__entry__close=True) == set()
    plc.scan(panel__entry__open=False, remote__entry__close=False)
    assert plc.scan(panel__squeeze__in=True, remote__squeeze__out=True) == {"squeeze.out"}


def test_turning_a_switch_needs_all_buttons_let_go() -> None:
    plc = controller(FULL).ready()
    assert plc.scan(panel__entry__close=True) == {"entry.close"}
    assert plc.scan(panel__sort=True) == set()
    assert plc.scan(3) == set()
    assert plc.value("lamp.let_go")


def test_the_entry_stays_shut_until_the_rear_space_is_seen_to_be_empty() -> None:
    plc = controller(FULL).ready()
    plc.press("rear_access.reset")
    assert plc.press("panel.entry.open") == {"entry.open"}
    plc.scan(rear_access__closed=False)
    plc.scan(rear_access__closed=True)
    assert plc.press("panel.entry.open") == set()
    plc.press("rear_access.reset")
    assert plc.press("panel.entry.open") == {"entry.open"}


def test_a_guard_shutting_starts_nothing() -> None:
    plc = controller(FULL).ready()
    plc.scan(squeeze__released=True, lift__down=True)
    plc.scan(side_access__closed=False)
    plc.scan(2, panel__squeeze__in=True)
    assert plc.scan(side_access__closed=True) == set()
    assert plc.scan(3) == set()


def test_the_squeeze_is_adjusted_with_the_side_gate_open_by_two_held_buttons() -> None:
    plc = controller(FULL).ready()
    plc.scan(side_access__closed=False)
    plc.scan()
    assert plc.scan(2, panel__squeeze__in=True) == set()
    assert plc.scan(remote__enable=True) == {"squeeze.in"}
    assert plc.scan(remote__enable=False) == set()


def test_the_bail_opens_only_for_a_relieved_animal() -> None:
    plc = controller(FULL).ready()
    plc.scan(bail__closed=True)
    assert plc.press("panel.bail.open") == set()
    plc.scan(squeeze__released=True)
    assert plc.press("panel.bail.open") == set()
    plc.scan(lift__down=True)
    assert plc.press("panel.bail.open") == {"bail.open"}


def test_holding_and_sorting_one_animal() -> None:
    plc = controller(FULL).ready()
    plc.scan(panel__hold=True, panel__sort=True, squeeze__released=True, lift__down=True, entry__closed=True)
    plc.press("rear_access.reset")
    plc.scan(2)
    plc.press("panel.start")
    assert plc.step() == "admit"
    assert plc.driven == {"entry.open", "bail.open"}
    plc.scan(entry__closed=False, crush__occupied=True, entry__astride=True)
    assert plc.driven == set()
    plc.scan(entry__astride=False)
    assert plc.driven == {"entry.close"}
    plc.scan(bail__neck=True)
    assert plc.scan() == {"bail.close", "entry.close"}
    plc.scan(2, bail__closed=True, entry__closed=True)
    assert plc.driven == {"squeeze.in"}
    plc.scan(2, squeeze__released=False, squeeze__gripping=True)
    assert plc.step() == "work"
    assert plc.driven == set()
    plc.scan(side_access__closed=False)
    plc.press("panel.done")
    assert plc.step() == "work"
    plc.scan(side_access__closed=True)
    plc.scan(weigh__settled=True, weigh__right=True)
    plc.press("panel.done")
    assert plc.step() == "set"
    assert plc.driven == {"draft.right"}
    plc.scan(2, draft__at_right=True)
    assert plc.driven == {"squeeze.out", "lift.lower"}
    plc.scan(2, squeeze__gripping=False, squeeze__released=True)
    assert plc.driven == {"bail.open", "squeeze.out", "lift.lower"}
    plc.scan(bail__closed=False, bail__neck=False, crush__occupied=False, draft__occupied=True)
    plc.scan(crush__left_long__elapsed=True)
    plc.scan()
    assert plc.step() == "admit"


def test_two_animals_in_the_crush_are_not_sorted_as_one() -> None:
    plc = controller(FULL).ready()
    plc.scan(panel__sort=True, crush__occupied=True, entry__closed=True, bail__closed=True, crush__crowded=True)
    plc.press("rear_access.reset")
    plc.scan(2)
    plc.press("panel.start")
    plc.scan(3, weigh__settled=True, weigh__left=True)
    assert plc.step() == "work"
    assert plc.value("lamp.doubted")
    plc.scan(2, crush__crowded=False)
    assert plc.step() == "set"


def test_turning_a_switch_ends_the_program_and_start_is_needed_again() -> None:
    plc = controller(FULL).ready()
    plc.press("rear_access.reset")
    plc.scan(2, panel__hold=True)
    plc.press("panel.start")
    assert plc.step() == "admit"
    assert "entry.open" in plc.driven
    plc.scan(panel__sort=True)
    assert plc.scan(5) == set()
    assert plc.step() == "idle"


def test_a_rule_of_an_absent_option_is_absent() -> None:
    names = {rule.place for m in assemble(devices_of(SMALL)).motions for rule in m.permits}
    assert not any("rear_access" in place.file for place in names)
    netlist = lower(assemble(devices_of(SMALL)))
    assert not any("squeeze" in name or "lift" in name for name in netlist.names)


def changed(devices: Iterable[Device], name: str, **changes: object) -> list[Device]:
    return [replace(d, **changes) if d.name == name else d for d in devices]  # type: ignore[arg-type]


def test_refuses_two_owners_of_a_motion() -> None:
    devices = [*devices_of(SMALL), Device("other", "entry_gate", "another gate", "", (DeviceMotion("entry.open", ""),))]
    with pytest.raises(InputError, match=r"motion 'entry.open' has two owners: the entry gate and another gate"):
        assemble(devices)


def test_refuses_a_motion_nobody_requests() -> None:
    extra = Device("vent", "controller", "a vent", "", (DeviceMotion("vent.open", "", place=Place("c.toml", 3)),))
    with pytest.raises(InputError, match=r"^c.toml, line 3: nobody requests the motion 'vent.open'") as caught:
        assemble([*devices_of(SMALL), extra])
    assert "the motion 'vent.open' has no permit" in str(caught.value)


def test_refuses_an_unread_sensor() -> None:
    lone = DeviceSignal("vent.closed", InputKind.SENSOR, "the vent is shut", place=Place("c.toml", 9))
    devices = [*devices_of(SMALL), Device("vent", "sensor", "a vent", "", (), (lone,))]
    with pytest.raises(InputError, match=r"^c.toml, line 9: nothing reads 'vent.closed' \(the vent is shut\)"):
        lower(assemble(devices))


def test_refuses_a_name_that_means_nothing_and_offers_the_nearest() -> None:
    rule = Rule(RuleKind.PERMIT, "bail.open", parse("entry.closd", Place("c.toml", 5, "when")))
    with pytest.raises(InputError, match=r"c.toml, line 5, when, character 1: 'entry.closd' means nothing") as caught:
        lower(assemble(changed(devices_of(SMALL), "bail", rules=(rule,))))
    assert "did you mean 'entry.closed'?" in str(caught.value)


def test_refuses_rules_in_a_circle_and_shows_it() -> None:
    a = Rule(RuleKind.DEFINE, "x.a", parse("x.b", Place("c.toml", 1)))
    b = Rule(RuleKind.DEFINE, "x.b", parse("NOT x.a", Place("c.toml", 2)))
    use = Rule(RuleKind.PERMIT, "bail.open", parse("x.a"))
    with pytest.raises(InputError, match=r"rules go round in a circle: x.a \(.*\) reads x.b \(.*\) reads x.a"):
        lower(assemble(changed(devices_of(SMALL), "bail", rules=(a, b, use))))


def test_refuses_a_name_with_two_meanings() -> None:
    twice = tuple(Rule(RuleKind.DEFINE, "x.a", parse("TRUE"), place=Place("c.toml", k)) for k in (4, 8))
    with pytest.raises(
        InputError, match=r"^c.toml, line 8: 'x.a' has two meanings\n    mend: the first is at c.toml, line 4"
    ):
        assemble(changed(devices_of(SMALL), "bail", rules=twice))


def test_a_button_for_a_part_that_is_not_there_is_spare() -> None:
    button = DeviceSignal("panel.lift.raise", InputKind.MOMENTARY, "lift up")
    devices = [replace(d, signals=(*d.signals, button)) if d.name == "panel" else d for d in devices_of(SMALL)]
    assembly = assemble(devices)
    assert assembly.spare == (button,)
    assert button not in assembly.inputs


def test_every_shipped_fragment_reads() -> None:
    assert {"line", "program", "entry_gate", "rear_access_gate"} <= set(library())


def test_a_fragment_error_points_at_line_and_character() -> None:
    text = b'[[rule]]\nkind = "permit"\ntarget = "a.open"\nwhen = "b AND AND c"\n'
    with pytest.raises(InputError, match=r"^own.toml, line 4, rule\[1\].when, character 7: 'AND' cannot stand here"):
        read_fragment("own", parse_toml(text, "own.toml", Path()))


def test_plant_sensors_have_the_names_the_control_reads() -> None:
    for rig in (SMALL, FULL, MAXIMAL):
        netlist, plant = lower(assemble(devices_of(rig))), plant_of(rig)
        sensors = {i.name for i in netlist.inputs if i.kind == InputKind.SENSOR}
        assert sensors == {s.name for s in plant.sensors}
        assert {m.name for m in netlist.motions} == {m.name for m in plant.motions}
