"""The kinds of item a firm makes, one class a kind, every attribute with its unit and meaning."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from stockproof.amounts import Price, PricePerYear
from stockproof.catalogue.parts import Code, ContactPad, Cylinder, Motion, Rule, Signal, Valve
from stockproof.records import Record, attribute
from stockproof.units import (
    Area,
    Current,
    Duration,
    Frequency,
    Length,
    Mass,
    Power,
    Pressure,
    Share,
    SoundLevel,
    Voltage,
    Volume,
)

__all__ = ["KINDS", "Item", "ItemBase"]

FIRM_PRACTICE = "common practice"


class ItemBase(Record):
    """What every item has."""

    code: Code
    name: str = attribute("what it is called in a proposal", min_length=1)
    description: str = attribute("one sentence for the customer", min_length=1)
    source: str = attribute("the firm's drawing, test or price list the values come from", min_length=1)
    price: Price = attribute("price ex works, without tax")
    mass_kg: Mass = attribute("mass as delivered", gt=0)
    length_m: Length = attribute("length along the line, or the longest side", gt=0)
    width_m: Length = attribute("overall width", gt=0)
    height_m: Length = attribute("overall height", gt=0)
    install_time_s: Duration = attribute("fitting time on site for one person", ge=0)
    service_cost: PricePerYear = attribute("parts and labour of yearly service")
    life_years: float = attribute("working life", 15.0, source="common practice", gt=0, le=60)
    largest_piece_kg: Mass | None = attribute("heaviest piece when taken apart for lifting; whole item if unsaid", None)
    needs: tuple[str, ...] = attribute("rules over item codes and kinds that the build must satisfy", ())
    excludes: tuple[str, ...] = attribute("rules over item codes and kinds that must not be true", ())
    fragment: str = attribute("name of the kind's control fragment this item uses, if not its kind's own", "")
    motion: tuple[Motion, ...] = attribute("its powered motions", ())
    cylinder: tuple[Cylinder, ...] = attribute("its cylinders", ())
    valve: tuple[Valve, ...] = attribute("its valves", ())
    pad: tuple[ContactPad, ...] = attribute("surfaces that press on the animal", ())
    signal: tuple[Signal, ...] = attribute("its sensors, controls and lamps", ())
    electric_w: Power | None = attribute(
        "electric power it takes from the control's supply unit while working, coils of valves apart", None, ge=0
    )
    rule: tuple[Rule, ...] = attribute("its own control rules, added to its fragment's", ())


class CrushBody(ItemBase):
    kind: Literal["crush_body"] = attribute("kind of item")
    inside_length_m: Length = attribute("clear length between tail end and bail", gt=0)
    inside_width_m: Length = attribute("clear width at belly height with the squeeze off", gt=0)
    inside_height_m: Length = attribute("clear height under the top rails", gt=0)
    animal_capacity_kg: Mass = attribute("heaviest animal it is built for", gt=0)
    top_open: bool = attribute("the back line can be reached over the top", True)


class EntryGate(ItemBase):
    kind: Literal["entry_gate"] = attribute("kind of item")
    style: Literal["sliding", "swing", "drop"] = attribute("how it moves")
    clear_width_m: Length = attribute("clear opening width", gt=0)
    clear_height_m: Length = attribute("clear opening height", gt=0)
    powered: bool = attribute("it has a powered motion", True)


class HeadBail(ItemBase):
    kind: Literal["head_bail"] = attribute("kind of item")
    duty: Literal["light", "heavy"] = attribute("how strong it is")
    open_width_m: Length = attribute("clear width when open", gt=0)
    neck_min_m: Length = attribute("smallest neck width it holds", gt=0)
    neck_max_m: Length = attribute("largest neck width it holds without choking", gt=0)
    clear_height_m: Length = attribute("clear opening height", gt=0)
    animal_capacity_kg: Mass = attribute("heaviest animal it is built for", gt=0)
    powered: bool = attribute("it has powered motions", True)


class Squeeze(ItemBase):
    kind: Literal["squeeze"] = attribute("kind of item")
    sides: Literal["one", "both"] = attribute("which sides move")
    width_min_m: Length = attribute("inside width fully in, at flank height", gt=0)
    width_max_m: Length = attribute("inside width fully out, at flank height", gt=0)
    powered: bool = attribute("it has powered motions", True)


class HeadLift(ItemBase):
    kind: Literal["head_lift"] = attribute("kind of item")
    height_min_m: Length = attribute("height of the head rest when down", gt=0)
    height_max_m: Length = attribute("height of the head rest when up", gt=0)
    animal_capacity_kg: Mass = attribute("heaviest animal it is built for", gt=0)
    powered: bool = attribute("it has powered motions", True)


class RearAccessGate(ItemBase):
    kind: Literal["rear_access_gate"] = attribute("kind of item")
    clear_width_m: Length = attribute("clear opening for a person", gt=0)
    guard: Literal["none", "switched", "locked"] = attribute("how the control knows it is shut, and whether it locks")
    reset_outside: bool = attribute("a reset button outside, with a view of the space", False)


class SideAccessGate(ItemBase):
    kind: Literal["side_access_gate"] = attribute("kind of item")
    place: Literal["neck", "flank"] = attribute("which part of the animal it opens to")
    clear_width_m: Length = attribute("clear opening", gt=0)
    clear_height_m: Length = attribute("clear opening height", gt=0)
    guard: Literal["none", "switched", "locked"] = attribute("how the control knows it is shut, and whether it locks")


class SlideGate(ItemBase):
    kind: Literal["slide_gate"] = attribute("kind of item")
    from_crush: int = attribute("which slide gate of the race it is, counted from the crush", 1, ge=1, le=9)
    clear_width_m: Length = attribute("clear opening width", gt=0)
    clear_height_m: Length = attribute("clear opening height", gt=0)
    powered: bool = attribute("it has a powered motion", True)


class DraftUnit(ItemBase):
    kind: Literal["draft_unit"] = attribute("kind of item")
    ways: int = attribute("how many pens it drafts into", ge=2, le=5)
    clear_width_m: Length = attribute("clear width of a way", gt=0)
    powered: bool = attribute("it has powered motions", True)


class WeighPlatform(ItemBase):
    kind: Literal["weigh_platform"] = attribute("kind of item")
    capacity_kg: Mass = attribute("largest load it may weigh", gt=0)
    division_kg: Mass = attribute("scale interval e", gt=0)
    settle_time_s: Duration = attribute("time from a quiet animal to a stable reading", gt=0)
    platform_length_m: Length = attribute("length of the floor that weighs", gt=0)


class TagReader(ItemBase):
    kind: Literal["tag_reader"] = attribute("kind of item")
    mounting: Literal["panel", "hand_held"] = attribute("fixed in the race or crush side, or carried")
    read_share: Share = attribute("share of passing tags it reads", gt=0, le=1)
    read_range_m: Length = attribute("distance at which it reads a tag in good orientation", gt=0)


class PowerPack(ItemBase):
    kind: Literal["power_pack"] = attribute("kind of item")
    drive: Literal["mains_1ph", "mains_3ph", "petrol"] = attribute("what turns the pump")
    shaft_power_w: Power = attribute("rated shaft power", gt=0)
    supply_v: Voltage | None = attribute("rated supply voltage (mains)", None, gt=0)
    full_load_current_a: Current | None = attribute("nameplate current at full load (mains)", None, gt=0)
    start_current_ratio: float = attribute(
        "start current over full-load current", 6.0, source="common practice: 5 to 7 for small induction motors", ge=1
    )
    power_factor: Share = attribute("power factor at full load", 0.85, source="common practice", gt=0, le=1)
    rated_speed_hz: Frequency = attribute("shaft speed at the rated frequency, turns per second", gt=0)
    rated_frequency_hz: Frequency = attribute("mains frequency of the rated speed", 50.0, source="nameplate", gt=0)
    displacement_m3: Volume = attribute("pump displacement per turn", gt=0)
    volumetric_efficiency: Share = attribute(
        "volumetric efficiency of the pump", 0.92, source=FIRM_PRACTICE, gt=0, le=1
    )
    mechanical_efficiency: Share = attribute("mechanical efficiency of the pump", 0.9, source=FIRM_PRACTICE, gt=0, le=1)
    relief_pa: Pressure = attribute("main relief setting", gt=0)
    cut_out_pa: Pressure = attribute("unloading pressure", gt=0)
    cut_in_pa: Pressure = attribute("reloading pressure", gt=0)
    tank_m3: Volume = attribute("usable oil in the tank", gt=0)
    tank_area_m2: Area = attribute("tank surface that gives off heat", gt=0)
    oil_grade: Literal["VG22", "VG32", "VG46", "VG68"] = attribute("ISO viscosity grade of the oil filled")
    fuel_kg_per_kwh: float | None = attribute("fuel burnt per shaft kWh at full load (petrol)", None, gt=0)
    noise_db: SoundLevel = attribute("A-weighted sound pressure level at the stated distance", gt=0)
    noise_distance_m: Length = attribute("distance of the noise figure", 1.0, source="common practice", gt=0)
    hose_bore_m: Length = attribute(
        "bore of the pressure and return hoses to the crush", 0.0127, source="common practice: half-inch hose", gt=0
    )
    hand_pump: bool = attribute("a hand pump can move the parts without the drive", False)
    hand_pump_stroke_m3: Volume = attribute(
        "oil the hand pump gives per double stroke", 15e-6, source="common practice: small lever pumps", gt=0
    )
    motor_efficiency: Share = attribute("efficiency of the motor at full load", 0.75, source=FIRM_PRACTICE, gt=0, le=1)
    heater_w: Power | None = attribute("electric heater in the tank, where there is one", None, gt=0)
    cooler_w: Power | None = attribute("electric fan of an oil cooler, where there is one", None, gt=0)
    suction_bore_m: Length = attribute("bore of the suction line", 19e-3, source=FIRM_PRACTICE, gt=0)
    suction_length_m: Length = attribute("length of the suction line", 0.3, source=FIRM_PRACTICE, gt=0)


class Accumulator(ItemBase):
    kind: Literal["accumulator"] = attribute("kind of item")
    shell_m3: Volume = attribute("gas volume of the empty shell", gt=0)
    precharge_pa: Pressure = attribute("nitrogen precharge, gauge, at 20 degC", gt=0)
    max_pressure_pa: Pressure = attribute("largest allowed pressure", gt=0)
    style: Literal["bladder", "piston", "diaphragm"] = attribute("how gas and oil are kept apart")
    thermal_time_s: Duration = attribute(
        "time in which its gas closes 63 % of the distance to wall temperature",
        30.0,
        source="common practice: shells of a few litres, 10 to 60 s",
        gt=0,
    )


class Controller(ItemBase):
    kind: Literal["controller"] = attribute("kind of item")
    inputs: int = attribute("digital inputs", ge=1)
    outputs: int = attribute("digital outputs", ge=1)
    scan_time_s: Duration = attribute("longest scan time", gt=0)
    ride_through_s: Duration = attribute("supply gap it rides through", ge=0)
    supply_efficiency: Share = attribute(
        "efficiency of its supply unit, which feeds sensors, lamps and coils",
        0.85,
        source="common practice: small switched supply units, 0.8 to 0.9",
        gt=0,
        le=1,
    )


class ControlPoint(ItemBase):
    kind: Literal["control_point"] = attribute("kind of item")
    style: Literal["side_panel", "front_panel", "hand_held_remote"] = attribute("what sort of control point")
    hold_to_run: bool = attribute("every motion runs only while its control is held", True)
    emergency_stop: bool = attribute("it carries an emergency stop", True)
    sees: tuple[Literal["front", "side", "rear", "draft"], ...] = attribute("what a person at it can see")


class Sensor(ItemBase):
    kind: Literal["sensor"] = attribute("kind of item")
    technology: Literal["light_beam", "proximity", "limit_switch", "pressure", "load"] = attribute("how it senses")
    place: str = attribute("where it looks: entry, crush, bail, draft, rear_access, side_access ...")


class ForcingPen(ItemBase):
    kind: Literal["forcing_pen"] = attribute("kind of item")
    shape: Literal["funnel", "part_circle", "half_circle"] = attribute("plan shape")
    radius_m: Length = attribute("radius, or length of the funnel", gt=0)
    floor_area_m2: Area = attribute("floor area with the gate fully back", gt=0)
    powered: bool = attribute("the crowd gate has powered motions", False)


class RacePart(ItemBase):
    kind: Literal["race_part"] = attribute("kind of item")
    shape: Literal["straight", "curved"] = attribute("plan shape")
    sides: Literal["straight", "sloped"] = attribute("upright or sloped sides")
    clear_width_m: Length = attribute("clear width at floor", gt=0)
    clear_width_top_m: Length = attribute("clear width at 1.2 m height", gt=0)
    side_height_m: Length = attribute("height of the sides", gt=0)
    catwalk: bool = attribute("a walkway for people along it", False)
    man_gate: bool = attribute("it has a gate or slip for people", False)


Item = Annotated[
    CrushBody
    | EntryGate
    | HeadBail
    | Squeeze
    | HeadLift
    | RearAccessGate
    | SideAccessGate
    | SlideGate
    | DraftUnit
    | WeighPlatform
    | TagReader
    | PowerPack
    | Accumulator
    | Controller
    | ControlPoint
    | Sensor
    | ForcingPen
    | RacePart,
    Field(discriminator="kind"),
]
KINDS: tuple[type[ItemBase], ...] = (
    CrushBody,
    EntryGate,
    HeadBail,
    Squeeze,
    HeadLift,
    RearAccessGate,
    SideAccessGate,
    SlideGate,
    DraftUnit,
    WeighPlatform,
    TagReader,
    PowerPack,
    Accumulator,
    Controller,
    ControlPoint,
    Sensor,
    ForcingPen,
    RacePart,
)
