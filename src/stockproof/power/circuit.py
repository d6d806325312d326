"""Reads the circuit out of an installation: every part with cylinders, the pack, the store, the outlets."""

from __future__ import annotations

from stockproof.catalogue.items import Accumulator as AccumulatorItem
from stockproof.catalogue.items import ControlPoint, ItemBase, PowerPack
from stockproof.catalogue.parts import Cylinder, Motion
from stockproof.catalogue.parts import Valve as ValveRecord
from stockproof.errors import Fault, InputError
from stockproof.installation import Installation
from stockproof.power.consumers import control
from stockproof.power.model import Accumulator, Actuator, Circuit, Drive, Hose, Outlet, Pack, Pad, PartValve

__all__ = ["circuit"]

#: Directions that make a part smaller or hold something: the way a rod goes whose item says it extends to closed.
_CLOSING = frozenset({"close", "in", "raise", "left"})
#: Where a setting stands between the firm's limits until the commissioning sheet sets it.
_SETTING_SHARE = 0.5


def circuit(
    installation: Installation,
    *,
    control_point_distance_m: float = 4.0,
    trunk_length_m: float | None = None,
    cable_length_m: float | None = None,
) -> Circuit:
    """Give the hydraulic circuit of an installation.

    Parameters
    ----------
    installation : Installation
        Brief and build.
    control_point_distance_m : float
        From the pack to the nearest control point; 4 m until the yard says. [m]
    trunk_length_m, cable_length_m : float or None
        Hose from the pack to the crush and cable to the pack, where the yard has measured them; else the brief's. [m]

    Raises
    ------
    InputError
        The build has powered parts and no power pack, or cylinders without a valve.
    """
    pack = installation.one(PowerPack)
    actuators, faults = _actuators(installation)
    if pack is None:
        faults.append(Fault("the build has no power pack", installation.brief.toml.place(("build", "items"))))
    if faults or pack is None:
        raise InputError(faults)
    site = installation.brief.file.site
    return Circuit(
        pack=_pack(pack, installation, trunk_length_m),
        accumulator=_accumulator(installation),
        actuators=tuple(actuators),
        outlets=_outlets(installation, cable_length_m),
        altitude_m=site.altitude_m,
        coldest_degc=site.coldest_morning_degc,
        hottest_degc=site.hottest_day_degc,
        control=control(installation),
        control_point_distance_m=control_point_distance_m if installation.one(ControlPoint) else 1.0,
        frequency_hz=installation.brief.file.market.frequency_hz,
    )


def _actuators(installation: Installation) -> tuple[list[Actuator], list[Fault]]:
    actuators: list[Actuator] = []
    faults: list[Fault] = []
    for chosen in installation.build:
        for cylinder in chosen.item.cylinder:
            valve = next((v for v in chosen.item.valve if v.part == cylinder.part), None)
            motions = [motion for motion in chosen.item.motion if motion.part == cylinder.part]
            place = installation.brief.toml.place(("build", "items", chosen.item.code))
            if valve is None or not motions:
                lacks = "valve" if valve is None else "motion"
                faults.append(Fault(f"{chosen.item.name}: the cylinder of {cylinder.part!r} has no {lacks}", place))
                continue
            if cylinder.rod_m >= cylinder.bore_m:
                faults.append(
                    Fault(f"{chosen.item.name}: the rod of {cylinder.part!r} is not thinner than its bore", place)
                )
                continue
            actuators.append(_actuator(chosen.item, cylinder, valve, motions))
    return actuators, faults


def _actuator(item: ItemBase, cylinder: Cylinder, valve: ValveRecord, motions: list[Motion]) -> Actuator:
    return Actuator(
        part=cylinder.part,
        item=item.code,
        label=f"{cylinder.part.replace('_', ' ')} cylinder",
        bore_m=cylinder.bore_m,
        rod_m=cylinder.rod_m,
        stroke_m=cylinder.stroke_m,
        count=cylinder.count,
        linkage_ratio=cylinder.linkage_ratio,
        moved_mass_kg=cylinder.moved_mass_kg,
        friction_n=cylinder.friction_n,
        load_n=cylinder.load_n,
        cushion_m=cylinder.cushion_m,
        hose=Hose(cylinder.hose_length_m, cylinder.hose_bore_m),
        valve=PartValve(
            style=valve.style,
            undriven=valve.undriven,
            setting_pa=valve.relief_min_pa + _SETTING_SHARE * (valve.relief_max_pa - valve.relief_min_pa),
            setting_min_pa=valve.relief_min_pa,
            setting_max_pa=valve.relief_max_pa,
            reduces=valve.reduces,
            lock_valve=valve.lock_valve,
            port_relief_pa=valve.port_relief_pa,
            manual_override=valve.manual_override,
            bypass=valve.bypass,
            rated_flow_m3_per_s=valve.rated_flow_m3_per_s,
            rated_drop_pa=valve.rated_drop_pa,
            leak_m3_per_s=valve.leak_m3_per_s,
        ),
        drives=tuple(_drive(cylinder, motion) for motion in motions),
        pads=tuple(Pad(pad.touches, pad.area_m2, pad.share) for pad in item.pad if pad.part == cylinder.part),
    )


def _drive(cylinder: Cylinder, motion: Motion) -> Drive:
    name = f"{motion.part}.{motion.direction}"
    if motion.direction == "straight":
        # a three-position gate comes to its middle from either end; the far side of the piston is the slower
        return Drive(name, -1, 1.0, 0.5, motion.time_s, closing=False)
    closing = motion.direction in _CLOSING
    out = closing == (cylinder.extends_to == "closed")
    return Drive(name, 1 if out else -1, 0.0 if out else 1.0, 1.0 if out else 0.0, motion.time_s, closing)


def _pack(pack: PowerPack, installation: Installation, trunk_length_m: float | None) -> Pack:
    market, site = installation.brief.file.market, installation.brief.file.site
    mains = pack.drive != "petrol"
    return Pack(
        item=pack.code,
        label=pack.name,
        drive=pack.drive,
        shaft_power_w=pack.shaft_power_w,
        supply_v=pack.supply_v,
        full_load_current_a=pack.full_load_current_a,
        start_current_ratio=pack.start_current_ratio,
        power_factor=pack.power_factor,
        motor_efficiency=pack.motor_efficiency,
        speed_hz=pack.rated_speed_hz * (market.frequency_hz / pack.rated_frequency_hz if mains else 1.0),
        displacement_m3=pack.displacement_m3,
        volumetric_efficiency=pack.volumetric_efficiency,
        mechanical_efficiency=pack.mechanical_efficiency,
        relief_pa=pack.relief_pa,
        cut_out_pa=pack.cut_out_pa,
        cut_in_pa=pack.cut_in_pa,
        tank_m3=pack.tank_m3,
        tank_area_m2=pack.tank_area_m2,
        oil_grade=pack.oil_grade,
        fuel_kg_per_kwh=pack.fuel_kg_per_kwh,
        noise_db=pack.noise_db,
        noise_distance_m=pack.noise_distance_m,
        heater_w=pack.heater_w,
        cooler_w=pack.cooler_w,
        trunk=Hose(trunk_length_m or site.hose_length_m, pack.hose_bore_m),
        suction=Hose(pack.suction_length_m, pack.suction_bore_m),
        hand_pump_stroke_m3=pack.hand_pump_stroke_m3 if pack.hand_pump else None,
    )


def _accumulator(installation: Installation) -> Accumulator | None:
    for chosen in installation.build:
        if isinstance(chosen.item, AccumulatorItem):
            item = chosen.item
            return Accumulator(
                item=item.code,
                label=item.name,
                shell_m3=item.shell_m3,
                precharge_pa=item.precharge_pa,
                max_pressure_pa=item.max_pressure_pa,
                style=item.style,
                thermal_time_s=item.thermal_time_s,
                count=chosen.count,
            )
    return None


def _outlets(installation: Installation, cable_length_m: float | None) -> tuple[Outlet, ...]:
    return tuple(
        Outlet(
            supply.name,
            supply.phases,
            supply.volts_v,
            supply.breaker_a,
            supply.outlet_a,
            cable_length_m or supply.cable_length_m,
            supply.cable_area_m2,
            supply.source_impedance_ohm,
        )
        for supply in installation.brief.file.site.supply
    )
