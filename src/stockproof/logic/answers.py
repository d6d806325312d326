"""What a designer can do where a single fault is dangerous: the usual answers of machine control, by what is struck."""

from __future__ import annotations

from stockproof.logic.faults import Fault, FaultKind
from stockproof.netlist.model import InputKind, Netlist

__all__ = ["design_answer"]

VALVES = {
    FaultKind.VALVE_DRIVES: "a second valve in series that cuts the pressure and is watched by a pressure switch",
    FaultKind.VALVE_DEAD: "a valve that can be worked by hand",
    FaultKind.LEAKS: "pilot-operated check valves at the cylinder, or a mechanical lock",
}


def design_answer(fault: Fault, netlist: Netlist) -> str:
    """Give the design answer to a fault (common practice; ISO 12100 and ISO 14119 lead, from memory)."""
    if fault.kind in VALVES:
        return VALVES[fault.kind]
    if fault.kind == FaultKind.RESTART:
        return "a supply that rides through the dip, and leave to move that is lost when the controller starts"
    kind = next((i.kind for i in netlist.inputs if i.name == fault.target), InputKind.SENSOR)
    if fault.target.endswith("emergency_ok"):
        return "a second contact in the stop chain that cuts the drive's energy without the control program"
    if kind == InputKind.MAINTAINED:
        return "a switch with two contacts that are compared, and a start that is asked for anew when they change"
    if kind == InputKind.MOMENTARY:
        return "a button with two contacts that are compared, or an enabling button held together with it"
    if "_access" in fault.target:
        return "a second switch of another kind on the gate, either of which says open; or a lock that holds it shut"
    return "a second sensor of another kind that is compared with it, or a part that gives way when it meets a body"
