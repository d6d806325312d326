"""What items are made of: cylinders, valves, motions, signals and control rules."""

from __future__ import annotations

from typing import Annotated, Literal

from stockproof.records import Record, attribute
from stockproof.units import Area, Duration, Flow, Force, Length, Mass, Power, Pressure, Share

__all__ = ["Code", "Cylinder", "Motion", "Rule", "Signal", "Undriven", "Valve"]

Code = Annotated[str, attribute("identifier: lower-case letters, digits and underscores", pattern=r"^[a-z][a-z0-9_]*$")]
#: What holds the part when its valve is not driven.
Undriven = Literal["held", "springs_back", "stays_where_set", "latched", "by_weight", "drifts"]


class Cylinder(Record):
    """A hydraulic cylinder, or several alike that move one part together."""

    part: str = attribute("the part it moves, as named in the item's motions")
    bore_m: Length = attribute("piston diameter", gt=0)
    rod_m: Length = attribute("rod diameter", gt=0)
    stroke_m: Length = attribute("full stroke", gt=0)
    count: int = attribute("how many act together", 1, ge=1, le=8)
    linkage_ratio: float = attribute(
        "force at the part divided by force at the rod (travel the other way round), mean over the stroke",
        1.0,
        source="common practice: direct acting",
        gt=0,
    )
    moved_mass_kg: Mass = attribute("mass of the part it moves", gt=0)
    extends_to: Literal["open", "closed"] = attribute("which way the part goes when the rod goes out", "closed")
    friction_n: Force = attribute(
        "dry friction of seals, guides and pins, at one rod",
        120.0,
        source="common practice: a small cylinder and its part",
        ge=0,
    )
    load_n: Force = attribute(
        "steady force of the part against the rod going out (its weight; negative where weight helps), at the part",
        0.0,
        source="common practice: the part swings or slides level",
    )
    cushion_m: Length = attribute(
        "length of the end cushions; 0 without", 0.0, source="common practice: plain ends", ge=0
    )
    hose_length_m: Length = attribute(
        "hose from the valve block to the cylinder", 2.5, source="common practice: block on the crush", gt=0
    )
    hose_bore_m: Length = attribute("bore of that hose", 9.5e-3, source="common practice: three-eighths hose", gt=0)


class Valve(Record):
    """The directional valve of one part, with its pressure setting."""

    part: str = attribute("the part it drives, as named in the item's motions")
    style: Literal["on_off", "proportional", "lever"] = attribute("how it is worked")
    undriven: Undriven = attribute("what holds the part when the valve is not driven")
    relief_min_pa: Pressure = attribute("lowest pressure setting of this part's relief or reducing valve", gt=0)
    relief_max_pa: Pressure = attribute("highest pressure setting of this part's relief or reducing valve", gt=0)
    reduces: bool = attribute("a reducing-relieving valve limits both driving pressure and push-back", False)
    lock_valve: bool = attribute("pilot-operated checks lock the oil at the cylinder", False)
    manual_override: bool = attribute("its spool can be worked by hand without electricity", True)
    bypass: bool = attribute(
        "a hand valve at the cylinder joins both its sides: the part can be pushed by hand whatever its valve does",
        False,
    )
    port_relief_pa: Pressure | None = attribute(
        "relief valve between a lock valve and its cylinder, where there is one", None, gt=0
    )
    leak_m3_per_s: Flow = attribute(
        "oil that leaks through it at working pressure while closed",
        10e-6 / 60,
        source="common practice: a small spool valve leaks some 10 mL a minute at 100 bar",
        ge=0,
    )
    coil_w: Power | None = attribute("electric power of one coil while it is driven; none for a lever", None, ge=0)
    gives_way: bool = attribute(
        "the part stops or gives way when it meets a body: low set force, edge or reverse", False
    )
    rated_flow_m3_per_s: Flow = attribute(
        "flow at which each of its two paths drops the rated pressure",
        25e-3 / 60,
        source="common practice: small directional valves of size 4 to 6",
        gt=0,
    )
    rated_drop_pa: Pressure = attribute(
        "pressure drop of a path at the rated flow", 5e5, source="common practice", gt=0
    )


class Motion(Record):
    """One direction of one powered part."""

    part: str = attribute("the part that moves: entry, bail, squeeze, lift, slide, draft_left ...")
    direction: Literal["open", "close", "raise", "lower", "in", "out", "left", "right", "straight"] = attribute(
        "which way it moves"
    )
    time_s: Duration = attribute("time for the full travel, from the firm's own tests", gt=0)
    emergency_stop: Literal["stops", "continues", "releases"] = attribute(
        "what an emergency stop does to it while it moves", "stops"
    )
    undriven: Undriven | None = attribute(
        "for a part that no valve of this item drives (an electric lock): what holds it when it is not driven", None
    )


class Signal(Record):
    """A sensor, control, lamp or remembered bit, with the terminal it is wired to."""

    name: str = attribute("dotted name, for example entry.closed", pattern=r"^[a-z][a-z0-9_]*(\.[a-z0-9_]+)*$")
    kind: Literal["sensor", "control", "lamp", "memory"] = attribute("what sort of signal it is")
    label: str = attribute("plain words for people", min_length=1)
    terminal: str = attribute("terminal mark, empty for remembered bits", "")
    acts: Literal["momentary", "maintained"] = attribute("how a control behaves when let go", "momentary")
    sees: str = attribute(
        "what a sensor truly sees, as an expression over the plant's facts; its own name if unsaid",
        "",
    )
    unsure: str = attribute("when the sensor may show either value, as an expression over the plant's facts", "")


class Rule(Record):
    """One rule of control, in IEC 61131-3 boolean syntax."""

    kind: Literal[
        "permit", "request", "define", "all_of", "any_of", "latch", "rising", "falling", "changed", "on_delay", "lamp"
    ] = attribute("what sort of rule it is")
    target: str = attribute("the motion, memory, timer or lamp it is about")
    when: str = attribute("boolean expression over signal names", min_length=1)
    reset: str = attribute("for a latch: the expression that resets it (reset wins)", "")
    delay_s: Duration | None = attribute("for an on-delay: how long", None)
    present: str = attribute("the rule exists only where this is true of the build's signals, parts and kinds", "")
    label: str = attribute("plain words for the target", "")
    because: str = attribute("why, in a sentence people can read", "")


class ContactPad(Record):
    """A surface that presses on the animal."""

    part: str = attribute("the part it belongs to, as named in the item's motions")
    area_m2: Area = attribute("contact area at work", gt=0)
    touches: Literal["neck", "flank", "head"] = attribute("where on the animal")
    share: Share = attribute(
        "share of the part's force this surface carries", 1.0, source="common practice", gt=0, le=1
    )
