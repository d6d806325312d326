"""Numbers the parts of a circuit by ISO 1219-2 and lists them with their settings: what the diagram shows."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.power.model import Actuator, Circuit

__all__ = ["Component", "Fact", "components"]


@dataclass(frozen=True, slots=True)
class Fact:
    """A value printed with a component, in SI with the name of its dimension (see `units`)."""

    name: str
    value: float
    dimension: str


@dataclass(frozen=True, slots=True)
class Component:
    """One component of the diagram and the parts list.

    Parameters
    ----------
    tag : str
        `H` (hydraulic), circuit number, component number: `H2.3`; circuit 1 is the supply.
    role : str
        What it does in its circuit: pump, relief, cylinder ...; unique within a circuit.
    part : str
        The powered part its circuit moves; empty in the supply.
    label : str
        Words for the parts list.
    count : int
        How many alike.
    item : str
        Catalogue item it comes with.
    facts : tuple of Fact
        Sizes and settings.
    """

    tag: str
    role: str
    part: str
    label: str
    count: int
    item: str
    facts: tuple[Fact, ...]


def components(circuit: Circuit) -> tuple[Component, ...]:
    """Give every component of a circuit in the order of its number."""
    rows = list(_supply(circuit))
    numbered = [_numbered(1, k, row) for k, row in enumerate(rows, 1)]
    for n, actuator in enumerate(circuit.actuators, 2):
        numbered += [_numbered(n, k, row) for k, row in enumerate(_part(actuator), 1)]
    return tuple(numbered)


_Row = tuple[str, str, str, int, str, tuple[Fact, ...]]


def _numbered(circuit: int, component: int, row: _Row) -> Component:
    role, part, label, count, item, facts = row
    return Component(f"H{circuit}.{component}", role, part, label, count, item, facts)


def _supply(circuit: Circuit) -> list[_Row]:
    pack = circuit.pack
    driver = "combustion engine" if pack.drive == "petrol" else "electric motor"
    rows: list[_Row] = [
        ("tank", "", "tank", 1, pack.item, (Fact("usable oil", pack.tank_m3, "volume"),)),
        (
            "pump",
            "",
            "fixed pump",
            1,
            pack.item,
            (
                Fact("displacement", pack.displacement_m3, "volume"),
                Fact("flow", pack.flow_m3_per_s, "flow"),
            ),
        ),
        ("driver", "", driver, 1, pack.item, (Fact("shaft power", pack.shaft_power_w, "power"),)),
        ("relief", "", "main relief valve", 1, pack.item, (Fact("set", pack.relief_pa, "pressure"),)),
        _unloading(circuit),
        ("check", "", "check valve", 1, pack.item, ()),
        ("gauge", "", "pressure gauge", 1, pack.item, (Fact("marked", pack.relief_pa, "pressure"),)),
        ("filter", "", "return filter with bypass", 1, pack.item, ()),
    ]
    store = circuit.accumulator
    if store is not None:
        facts = (
            Fact("shell", store.shell_m3, "volume"),
            Fact("precharge", store.precharge_pa, "pressure"),
        )
        rows += [
            ("accumulator", "", f"{store.style} accumulator", store.count, store.item, facts),
            ("shut_off", "", "accumulator shut-off valve", 1, store.item, ()),
            ("vent", "", "accumulator vent valve: open before work", 1, store.item, ()),
            (
                "safety",
                "",
                "accumulator safety valve, type-tested",
                1,
                store.item,
                (Fact("set at most", store.max_pressure_pa, "pressure"),),
            ),
        ]
    if pack.hand_pump_stroke_m3 is not None:
        stroke = (Fact("stroke", pack.hand_pump_stroke_m3, "volume"),)
        rows += [
            ("hand_pump", "", "hand pump", 1, pack.item, stroke),
            ("hand_check", "", "check valve of the hand pump", 1, pack.item, ()),
        ]
    return rows


def _unloading(circuit: Circuit) -> _Row:
    """With a store it works by pressure; without one it loads the pump while a part is driven."""
    pack = circuit.pack
    if circuit.accumulator is None:
        return ("unloading", "", "unloading valve, loads while a part is driven", 1, pack.item, ())
    facts = (Fact("cut-out", pack.cut_out_pa, "pressure"), Fact("cut-in", pack.cut_in_pa, "pressure"))
    return ("unloading", "", "unloading valve", 1, pack.item, facts)


def _part(actuator: Actuator) -> list[_Row]:
    valve, part, item = actuator.valve, actuator.part, actuator.item
    style = {"on_off": "solenoid", "proportional": "proportional", "lever": "lever"}[valve.style]
    setting = (Fact("set", valve.setting_pa, "pressure"),)
    own_relief: list[_Row] = [
        ("shuttle", part, "shuttle valve, to the relief valve from the side under pressure", 1, item, ()),
        ("pressure", part, "relief valve at the working lines", 1, item, setting),
    ]
    rows: list[_Row] = [("pressure", part, "reducing-relieving valve", 1, item, setting)] if valve.reduces else []
    rows += [
        (
            "valve",
            part,
            f"directional valve, {style}",
            1,
            item,
            (Fact("rated", valve.rated_flow_m3_per_s, "flow"),),
        ),
    ]
    if valve.lock_valve:
        rows += [] if valve.reduces else own_relief
        rows.append(("lock", part, "double pilot-operated check valve", 1, item, ()))
    rows += [
        ("throttle_cap", part, "one-way throttle, cap side", 1, item, ()),
        ("throttle_rod", part, "one-way throttle, rod side", 1, item, ()),
    ]
    rows += [] if valve.reduces or valve.lock_valve else own_relief
    if valve.lock_valve and valve.port_relief_pa:
        relief = (Fact("port relief", valve.port_relief_pa, "pressure"),)
        rows += [
            ("port_shuttle", part, "shuttle valve, to the port relief from the side under pressure", 1, item, ()),
            ("port_relief", part, "port relief valve between lock valve and cylinder", 1, item, relief),
        ]
    if valve.bypass:
        rows.append(("bypass", part, "bypass, worked by hand: joins both sides of the cylinder", 1, item, ()))
    rows += [
        (
            "cylinder",
            part,
            "double-acting cylinder" + (", cushioned" if actuator.cushion_m else ""),
            actuator.count,
            item,
            (
                Fact("bore", actuator.bore_m, "length"),
                Fact("rod", actuator.rod_m, "length"),
                Fact("stroke", actuator.stroke_m, "length"),
            ),
        ),
    ]
    return rows
