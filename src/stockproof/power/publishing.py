"""Sets the power room's answers down in a ledger: formulas as derived figures, simulated answers as runs."""

from __future__ import annotations

from math import isfinite, sqrt

from stockproof.figures import COMMON_PRACTICE, Figure, Ledger, Source
from stockproof.power.cylinders import annulus_area, contact_pressure, cylinder_force, force_at_part, piston_area
from stockproof.power.drive import pump_flow, pump_shaft_power
from stockproof.power.electrical import start_voltage_share, torque_share, voltage_drop
from stockproof.power.forces import PartForces
from stockproof.power.model import Actuator, Outlet, Pack
from stockproof.power.noise import level_at_distance
from stockproof.power.publishing_rows import RestsOn, publish_rows
from stockproof.power.solve import PowerResult
from stockproof.power.sources import IEC_DROP
from stockproof.power.supply import COPPER_IN_SERVICE, REACTANCE, SupplyOption

__all__ = ["publish"]

HOW = "reduced hydraulic model of the circuit; oil incompressible, real nitrogen, stepped until the part stops"
BOUND = "set pressure at rest (a reducing valve holds half its band above it) on the driven side, friction taken off"
#: Assumptions that motion times and flows rest on, that forces and pressures rest on, and that the supply rests on.
IN_MOTIONS = (
    "cushion_drop",
    "lag_lever",
    "lag_on_off",
    "lag_proportional",
    "normal_air",
    "normal_oil",
    "oil_density",
    "orifice_transition",
    "part_viscous",
    "reducing_band_share",
    "relief_override_share",
    "return_flow",
    "stub_flow",
)
IN_FORCES = (
    "animal_stiffness",
    "bulk_modulus",
    "flank_pressure_limit",
    "head_pressure_limit",
    "neck_pressure_limit",
    "own_weights_limit",
    "reducing_band_share",
    "shove_force",
    "sun_rise",
)
IN_SUPPLY = (
    "controller_hold_share",
    "drop_limit_share",
    "electronics_power_factor",
    "engine_altitude_loss",
    "engine_heat_loss",
    "generator_reactance",
    "petrol_fuel",
    "start_time",
    "start_torque_share",
)


def publish(result: PowerResult, ledger: Ledger) -> None:
    """Set down assumptions, pack, times, forces, supply, noise; then every row of every table."""
    assumed = {
        each.name.removeprefix("power."): ledger.assume(
            each.name, each.value, each.unit, each.label, each.source, each.band
        )
        for each in result.assumptions
    }
    rests_on = RestsOn(*(tuple(assumed[name] for name in names) for names in (IN_MOTIONS, IN_FORCES, IN_SUPPLY)))
    pack = _pack(result.prepared.circuit.pack, ledger)
    _times(result, ledger, (*rests_on.motions, *pack))
    for actuator, forces in zip(result.prepared.circuit.actuators, result.forces, strict=True):
        _forces(actuator, forces, ledger, rests_on.forces)
    outlets = {outlet.name: outlet for outlet in result.prepared.circuit.outlets}
    for option in result.supplies:
        _supply(option, outlets[option.outlet], result.prepared.circuit.pack, ledger)
    _noise(result, ledger)
    motion, share = result.slower_share()
    label = f"slowing of {motion} on the coldest morning against normal"
    if isfinite(share):
        ledger.run("power.cold_morning.slowing", share, "1", label, HOW, rests_on.motions)
    publish_rows(result, ledger, rests_on)


def _catalogue(item: str) -> Source:
    return Source(f"catalogue, {item}")


def _pack(pack: Pack, ledger: Ledger) -> tuple[Figure, ...]:
    """Pump delivery and the shaft power it asks at cut-out."""
    source = _catalogue(pack.item)
    size = ledger.given("power.pump.displacement", pack.displacement_m3, "m3", "pump displacement per turn", source)
    speed = ledger.given("power.pump.speed", pack.speed_hz, "1/s", "pump speed on this market's frequency", source)
    volumetric = ledger.given(
        "power.pump.volumetric_efficiency", pack.volumetric_efficiency, "1", "volumetric efficiency", source
    )
    mechanical = ledger.given(
        "power.pump.mechanical_efficiency", pack.mechanical_efficiency, "1", "mechanical efficiency", source
    )
    cut_out = ledger.given("power.pump.cut_out", pack.cut_out_pa, "Pa", "unloading pressure", source)
    flow = ledger.derive(
        "power.pump.flow",
        "flow of the pump",
        pump_flow,
        displacement=size,
        speed=speed,
        volumetric_efficiency=volumetric,
    )
    shaft = ledger.derive(
        "power.pump.shaft_power",
        "shaft power the pump asks at cut-out",
        pump_shaft_power,
        pressure=cut_out,
        flow=flow,
        volumetric_efficiency=volumetric,
        mechanical_efficiency=mechanical,
    )
    return flow, shaft


def _times(result: PowerResult, ledger: Ledger, inputs: tuple[Figure, ...]) -> None:
    for row in result.times:
        for when in ("full", "normal", "cut_in", "burst"):
            name = f"power.time.{row.motion}.{row.condition}.{when}"
            words = f"time of {row.motion}, {row.condition.replace('_', ' ')}, {when.replace('_', '-')}"
            took_s = float(getattr(row, f"{when}_s"))
            if isfinite(took_s):
                # a motion that never arrives has no time to print; its row in the answers says so
                ledger.run(name, took_s, "s", words, HOW, inputs)


def _forces(actuator: Actuator, forces: PartForces, ledger: Ledger, inputs: tuple[Figure, ...]) -> None:
    """Force at rest from bore, setting and linkage; pressure of each pad; push-back withstood."""
    name, part, source = f"power.force.{actuator.part}", actuator.part, _catalogue(actuator.item)
    bore = ledger.given(f"{name}.bore", actuator.bore_m, "m", f"bore of the {part} cylinder", source)
    rod = ledger.given(f"{name}.rod", actuator.rod_m, "m", f"rod of the {part} cylinder", source)
    cap = ledger.derive(f"{name}.cap_area", f"cap-side area, {part}", piston_area, bore=bore)
    ring = ledger.derive(f"{name}.rod_side_area", f"rod-side area, {part}", annulus_area, bore=bore, rod=rod)
    outward = actuator.closing is None or actuator.closing.way > 0
    rest = ledger.run(
        f"{name}.rest_pressure",
        forces.rest_pa,
        "Pa",
        f"pressure at rest on the driven side of the {part}",
        BOUND,
        inputs,
    )
    none = ledger.given(f"{name}.back_pressure", 0.0, "Pa", f"pressure on the other side of the {part} at rest", source)
    at_rod = ledger.derive(
        f"{name}.rod_force",
        f"force of one rod of the {part}, friction not taken off",
        cylinder_force,
        driving=rest,
        driven_area=cap if outward else ring,
        back=none,
        other_area=ring if outward else cap,
    )
    at_part = _at_part(actuator, forces, at_rod, ledger, source)
    for pad, found in zip(actuator.pads, forces.pads, strict=True):
        where = f"{name}.on_{pad.touches}"
        area = ledger.given(f"{where}.area", pad.area_m2, "m2", f"contact area on the {pad.touches}", source)
        share = ledger.given(f"{where}.share", pad.share, "1", f"share of the force this pad carries, {part}", source)
        label = f"mean pressure on the {found.touches}, {part} at rest"
        ledger.derive(f"{where}.pressure", label, contact_pressure, force=at_part, share=share, area=area)
    ledger.run(f"{name}.held", forces.held_n, "N", f"push-back the {part} withstands undriven", BOUND, inputs)


def _at_part(actuator: Actuator, forces: PartForces, at_rod: Figure, ledger: Ledger, source: Source) -> Figure:
    """Force at the part: what friction leaves of the rods' force, through the linkage."""
    name, part = f"power.force.{actuator.part}", actuator.part
    left = max(0.0, 1.0 - actuator.friction_n / at_rod.value) if at_rod.value else 0.0
    ratio = ledger.given(f"{name}.linkage", actuator.linkage_ratio, "1", f"force at the {part} over rod force", source)
    count = ledger.given(f"{name}.count", float(actuator.count), "1", f"cylinders of the {part}", source)
    share = ledger.run(f"{name}.after_friction", left, "1", f"share dry friction leaves, {part}", BOUND, (at_rod,))
    return ledger.derive(
        f"{name}.driven",
        f"force of the {part} at rest, driven",
        force_at_part,
        force=at_rod,
        ratio=ratio,
        count=count,
        efficiency=share,
    )


def _supply(option: SupplyOption, outlet: Outlet, pack: Pack, ledger: Ledger) -> None:
    """Voltage lost running and left at the start, from cable and nameplate."""
    name, site = f"power.supply.{option.outlet}", Source("brief, site.supply")
    three = pack.drive == "mains_3ph"
    plate = _catalogue(pack.item)
    current = ledger.given(f"{name}.current", option.current_a, "A", f"full-load current at {option.outlet}", plate)
    how = "the motor at full load and everything else on, currents added as if in phase"
    label = f"current of all that is fed at {option.outlet}"
    ledger.run(f"{name}.together", option.together_a, "A", label, how, (current,))
    ledger.given(f"{name}.allowed", option.allowed_a, "A", f"current {option.outlet} carries", site)
    volts = ledger.given(f"{name}.voltage", outlet.volts_v, "V", f"voltage at {option.outlet}", site)
    length = ledger.given(f"{name}.cable_length", outlet.cable_length_m, "m", "cable, one way", site)
    resistance = ledger.run(
        f"{name}.cable_resistance",
        COPPER_IN_SERVICE / (outlet.cable_area_m2 * 1e6),
        "ohm/m",
        "resistance of a conductor in service",
        f"{COPPER_IN_SERVICE} ohm mm2/m over its cross-section",
        source=IEC_DROP,
    )
    lost = ledger.derive(
        f"{name}.lost",
        f"voltage lost running at {option.outlet}",
        voltage_drop,
        factor=ledger.given(f"{name}.drop_factor", sqrt(3) if three else 2.0, "1", "out and back", IEC_DROP),
        length=length,
        resistance=resistance,
        reactance=ledger.assume(
            f"{name}.reactance", REACTANCE, "ohm/m", "reactance of a conductor", Source(IEC_DROP.text, seen=False)
        ),
        power_factor=ledger.given(f"{name}.power_factor", pack.power_factor, "1", "power factor of the motor", plate),
        current=current,
    )
    how = "voltage lost over voltage"
    ledger.run(
        f"{name}.drop", option.drop_share, "1", f"share of voltage lost running at {option.outlet}", how, (lost, volts)
    )
    _start(option, outlet, pack, ledger, (current, length, resistance))


def _start(
    option: SupplyOption, outlet: Outlet, pack: Pack, ledger: Ledger, inputs: tuple[Figure, Figure, Figure]
) -> None:
    """Voltage and torque left while the motor starts."""
    name, three = f"power.supply.{option.outlet}", pack.drive == "mains_3ph"
    current, length, resistance = inputs
    ratio = ledger.given(
        f"{name}.start_ratio", pack.start_current_ratio, "1", "start current over full load", _catalogue(pack.item)
    )
    source_ohm = ledger.given(
        f"{name}.source_impedance",
        outlet.source_impedance_ohm,
        "ohm",
        "loop impedance of the supply",
        Source("brief, site.supply"),
    )
    start = ledger.run(
        f"{name}.start_current",
        current.value * ratio.value,
        "A",
        "start current",
        "full-load current times its ratio",
        (current, ratio),
    )
    path_ohm = source_ohm.value + (1.0 if three else 2.0) * length.value * resistance.value
    path = ledger.run(
        f"{name}.path",
        path_ohm,
        "ohm",
        "supply and cable in one path",
        "sum, out and back",
        (source_ohm, length, resistance),
    )
    phase = ledger.run(
        f"{name}.phase_voltage",
        outlet.volts_v / (sqrt(3) if three else 1.0),
        "V",
        "voltage of one path",
        "line voltage, over root of three where three-phase",
    )
    share = ledger.derive(
        f"{name}.start",
        f"share of voltage left as the motor starts at {option.outlet}",
        start_voltage_share,
        start_current=start,
        path_impedance=path,
        voltage=phase,
    )
    label = f"share of starting torque left at {option.outlet}"
    ledger.derive(f"{name}.start_torque", label, torque_share, voltage_share=share)


def _noise(result: PowerResult, ledger: Ledger) -> None:
    circuit = result.prepared.circuit
    source = _catalogue(circuit.pack.item)
    ledger.derive(
        "power.noise",
        "sound level of the pack at the control point",
        level_at_distance,
        level=ledger.given("power.noise.level", circuit.pack.noise_db, "dB", "sound level of the pack", source),
        level_distance=ledger.given(
            "power.noise.level_distance", circuit.pack.noise_distance_m, "m", "distance of that level", source
        ),
        distance=ledger.assume(
            "power.noise.distance",
            max(circuit.control_point_distance_m, circuit.pack.noise_distance_m),
            "m",
            "distance from the pack to the control point, until the yard gives it",
            COMMON_PRACTICE,
            (2.0, 8.0),
        ),
    )
