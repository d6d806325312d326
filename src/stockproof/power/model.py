"""What the power room is given and what it gives: the circuit, the conditions it is worked in, and its answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stockproof.errors import InternalError
from stockproof.power.assumed import assumed
from stockproof.power.cylinders import annulus_area, piston_area

__all__ = ["Accumulator", "Actuator", "Circuit", "Condition", "Consumer", "Control", "Drive", "Hose", "Outlet", "Pack"]
__all__ += ["Pad", "PartValve"]

DriveKind = Literal["mains_1ph", "mains_3ph", "petrol"]


@dataclass(frozen=True, slots=True)
class Hose:
    """A hose or pipe."""

    length_m: float
    bore_m: float


@dataclass(frozen=True, slots=True)
class Pad:
    """A surface of a part that presses on the animal, and the share of the part's force it carries."""

    touches: Literal["neck", "flank", "head"]
    area_m2: float
    share: float


@dataclass(frozen=True, slots=True)
class PartValve:
    """The directional valve of a part with its pressure valve.

    `reduces`: a reducing-relieving valve holds the driving side at `setting_pa` and throttles act on oil
    leaving; otherwise a relief valve limits it and throttles act on oil going in. `bypass`: a hand valve at the
    cylinder joins both its sides.
    """

    style: Literal["on_off", "proportional", "lever"]
    undriven: str
    setting_pa: float
    setting_min_pa: float
    setting_max_pa: float
    reduces: bool
    lock_valve: bool
    port_relief_pa: float | None
    manual_override: bool
    bypass: bool
    rated_flow_m3_per_s: float
    rated_drop_pa: float
    leak_m3_per_s: float


@dataclass(frozen=True, slots=True)
class Drive:
    """One motion of a part: which way the rod goes, from where to where (shares of stroke), in what time.

    `time_s` is the catalogue's time; the speed throttle is set to reach it in normal conditions. `closing`
    motions close, lift or press on something; the others give way.
    """

    name: str
    way: Literal[1, -1]
    from_share: float
    to_share: float
    time_s: float
    closing: bool

    @property
    def travel_share(self) -> float:
        return abs(self.to_share - self.from_share)


@dataclass(frozen=True, slots=True)
class Actuator:
    """A powered part: its cylinders, valve, hoses and motions.

    `linkage_ratio` is force at the part over force at the rod; part mass and load are referred to the rods
    by it. `friction_n` is dry friction at one rod.
    """

    part: str
    item: str
    label: str
    bore_m: float
    rod_m: float
    stroke_m: float
    count: int
    linkage_ratio: float
    moved_mass_kg: float
    friction_n: float
    load_n: float
    cushion_m: float
    hose: Hose
    valve: PartValve
    drives: tuple[Drive, ...]
    pads: tuple[Pad, ...]

    @property
    def closing(self) -> Drive | None:
        """The motion over the whole stroke that closes or presses, if there is one."""
        return next((drive for drive in self.drives if drive.closing and drive.travel_share == 1.0), None)

    @property
    def opening(self) -> Drive | None:
        """The motion over the whole stroke that gives way, if there is one."""
        return next((drive for drive in self.drives if not drive.closing and drive.travel_share == 1.0), None)

    @property
    def closing_area_m2(self) -> float:
        """Area of one cylinder's side that drives the closing way."""
        out = self.closing is None or self.closing.way > 0
        return piston_area(self.bore_m) if out else annulus_area(self.bore_m, self.rod_m)

    def __post_init__(self) -> None:
        if self.rod_m >= self.bore_m:
            raise InternalError(f"{self.part}: rod {self.rod_m} m is not smaller than bore {self.bore_m} m")
        if not self.drives:
            raise InternalError(f"{self.part}: a cylinder without a motion")


@dataclass(frozen=True, slots=True)
class Pack:
    """Pump with its drive, reliefs, tank and oil, as it runs on this market's frequency."""

    item: str
    label: str
    drive: DriveKind
    shaft_power_w: float
    supply_v: float | None
    full_load_current_a: float | None
    start_current_ratio: float
    power_factor: float
    motor_efficiency: float
    speed_hz: float
    displacement_m3: float
    volumetric_efficiency: float
    mechanical_efficiency: float
    relief_pa: float
    cut_out_pa: float
    cut_in_pa: float
    tank_m3: float
    tank_area_m2: float
    oil_grade: str
    fuel_kg_per_kwh: float | None
    noise_db: float
    noise_distance_m: float
    heater_w: float | None
    cooler_w: float | None
    trunk: Hose
    suction: Hose
    hand_pump_stroke_m3: float | None

    @property
    def flow_m3_per_s(self) -> float:
        """Delivery at working speed."""
        return self.displacement_m3 * self.speed_hz * self.volumetric_efficiency


@dataclass(frozen=True, slots=True)
class Accumulator:
    """The oil store; `count` alike shells stand side by side."""

    item: str
    label: str
    shell_m3: float
    precharge_pa: float
    max_pressure_pa: float
    style: Literal["bladder", "piston", "diaphragm"]
    thermal_time_s: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class Outlet:
    """A supply outlet at the yards and its cable."""

    name: str
    phases: Literal[1, 3]
    volts_v: float
    breaker_a: float
    outlet_a: float
    cable_length_m: float
    cable_area_m2: float
    source_impedance_ohm: float


@dataclass(frozen=True, slots=True)
class Consumer:
    """Things alike that the control's supply unit feeds: power of all of them, and those nobody stated a power for."""

    label: str
    count: int
    power_w: float
    unstated: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Control:
    """The electric side of the control: how long it rides through a gap, and what its supply unit feeds."""

    ride_through_s: float
    supply_efficiency: float
    consumers: tuple[Consumer, ...]

    @property
    def power_w(self) -> float:
        """What the supply unit gives with everything working at once."""
        return sum(consumer.power_w for consumer in self.consumers)


@dataclass(frozen=True, slots=True)
class Condition:
    """Temperatures a circuit is worked in."""

    name: Literal["normal", "cold_morning", "hot_day"]
    oil_degc: float
    ambient_degc: float


@dataclass(frozen=True, slots=True)
class Circuit:
    """The hydraulic circuit of one installation, its supply and its surroundings; SI throughout."""

    pack: Pack
    accumulator: Accumulator | None
    actuators: tuple[Actuator, ...]
    outlets: tuple[Outlet, ...]
    altitude_m: float
    coldest_degc: float
    hottest_degc: float
    control: Control | None
    control_point_distance_m: float
    frequency_hz: float

    def __post_init__(self) -> None:
        parts = [actuator.part for actuator in self.actuators]
        if len(set(parts)) != len(parts):
            raise InternalError(f"a part has two sets of cylinders: {parts}")

    @property
    def motions(self) -> tuple[str, ...]:
        """Names of all motions, in order of parts."""
        return tuple(drive.name for actuator in self.actuators for drive in actuator.drives)

    def actuator(self, part: str) -> Actuator:
        """The actuator of a part.

        Raises
        ------
        InternalError
            There is no such part.
        """
        for actuator in self.actuators:
            if actuator.part == part:
                return actuator
        raise InternalError(f"no powered part {part!r}")

    def driven(self, motion: str) -> tuple[int, Drive]:
        """Index of the actuator that makes a motion, and the motion's drive.

        Raises
        ------
        InternalError
            There is no such motion.
        """
        for n, actuator in enumerate(self.actuators):
            for drive in actuator.drives:
                if drive.name == motion:
                    return n, drive
        raise InternalError(f"no powered motion {motion!r}")

    def condition(self, name: Literal["normal", "cold_morning", "hot_day"]) -> Condition:
        """Oil and air temperature: worked warm in mild air, at first light, or in the sun at the end of a day."""
        if name == "cold_morning":
            return Condition(name, self.coldest_degc, self.coldest_degc)
        if name == "hot_day":
            return Condition(name, self.hottest_degc + assumed("hot_oil_rise"), self.hottest_degc)
        return Condition(name, assumed("normal_oil"), assumed("normal_air"))
