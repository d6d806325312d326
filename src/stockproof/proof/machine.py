"""The control program and the plant of an installation, on its yard: what flow runs and logic checks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from stockproof import logic, power, yard
from stockproof.catalogue.items import Accumulator, PowerPack
from stockproof.catalogue.line import plant_of
from stockproof.figures import COMMON_PRACTICE, Ledger
from stockproof.installation import Installation
from stockproof.logic import Assembly
from stockproof.logic.explore import DEFAULT_CAP_BYTES
from stockproof.logic.export.model import SCAN_INTERVAL_S
from stockproof.logic.export.people import CONTROL_VOLTAGE_SOURCE, CONTROL_VOLTAGE_V
from stockproof.logic.faults import Fault, single_faults
from stockproof.logic.findings import Verification
from stockproof.logic.installed import devices_of
from stockproof.logic.relief import Relief, relief_and_release
from stockproof.logic.settle import Settling, settles
from stockproof.logic.verification import verify
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant, ZoneKind

__all__ = [
    "Control",
    "assemble",
    "assemble_on_site",
    "check_control",
    "circuit_on",
    "draft_pen_places",
    "lay_out",
    "measured",
    "pens_of_ways",
    "reliefs",
    "walking_distances",
    "watch_times",
]

#: Head in forcing pen and race where there is no layout to count them on (common practice).
NO_YARD_PLACES = (10, 6)
#: Names of the controller's figures in the ledger.
SCAN_INTERVAL, VOLTAGE = "control.scan_interval", "control.voltage"
#: Threads that strike faults; the findings are the same for any number.
CHECKERS = 2
#: Where the yard's stands lie in flow's words.
STANDS = {
    "forcing pen stand": ("forcing_pen",),
    "crush operator": ("crush_side", "crush_front", "crush_rear"),
    "draft stand": ("draft",),
}


@dataclass(frozen=True, slots=True)
class Control:
    """The assembled rules, the one netlist every consumer reads, and the plant it runs on.

    `stored_energy`: a store or a hand pump moves the parts once everything is stopped.
    """

    assembly: Assembly
    netlist: Netlist
    plant: Plant
    stored_energy: bool


def assemble(installation: Installation, numbers: yard.Quantities | None) -> Control:
    """Assemble the control of a build and compile its plant, with the places of the yard's pens.

    Raises
    ------
    InputError
        The items' fragments contradict one another, or a rule speaks of what is not there.
    """
    items = [chosen.item for chosen in installation.build]
    assembly = logic.assemble(devices_of(items, installation.catalogue))
    places = (numbers.forcing_head, numbers.race_places) if numbers else NO_YARD_PLACES
    stored = any(isinstance(item, Accumulator) or (isinstance(item, PowerPack) and item.hand_pump) for item in items)
    return Control(assembly, logic.lower(assembly), plant_of(items, installation.catalogue, *places), stored)


def lay_out(installation: Installation) -> tuple[yard.Yard | None, str]:
    """Lay the yard out; where no layout fits the site that is an answer and says why.

    Raises
    ------
    InputError
        A wish in the `[yard]` table is wrong.
    """
    try:
        return yard.lay_out(yard.ask(installation)), ""
    except yard.DoesNotFit as refusal:
        return None, "; ".join(f"{fault.what} ({fault.allowed})" for fault in refusal.faults)


def measured(installation: Installation) -> yard.Quantities | None:
    """Give the numbers of the yard; None where none fits the site."""
    layout, _ = lay_out(installation)
    return yard.quantities(layout) if layout else None


def assemble_on_site(installation: Installation) -> Control:
    """Assemble the control of a build with the places its yard has; usual ones where no yard fits the site."""
    return assemble(installation, measured(installation))


def reliefs(control: Control, faults: Iterable[Fault] = ()) -> tuple[Relief, ...]:
    """Whether one person can free the animal, without a fault and under each of the faults."""
    return relief_and_release(control.netlist, control.plant, faults, control.stored_energy)


def check_control(
    control: Control,
    faults: bool,
    progress: Callable[[str, float], None],
    cap_bytes: int = DEFAULT_CAP_BYTES,
    strike: Callable[[Fault], bool] = lambda fault: True,
    watch: Callable[[int, int], None] | None = None,
) -> tuple[Verification, tuple[Relief, ...], Settling]:
    """Check every bad state, under single faults too if asked; relief and release, and that the logic settles, always.

    Parameters
    ----------
    cap_bytes : int
        Memory of one exploration; what needs more is not shown.
    strike : callable
        Which single faults to strike; all if unsaid.
    watch : callable
        Gets states explored and states found by each search, now and then.
    """
    what = "control: bad states" + (" and single faults" if faults else "")
    progress(what, 0.0)
    netlist, plant = control.netlist, control.plant
    settled = settles(netlist)
    checked = verify(netlist, plant, faults, cap_bytes, watch, strike=strike, workers=CHECKERS)
    progress(what, 1.0)
    checked = replace(checked, bounds=f"{checked.bounds}; {settled.words}")
    return checked, reliefs(control, single_faults(netlist, plant)), settled


def assume_control(ledger: Ledger) -> None:
    """Set down what is taken for granted about the controller where the catalogue does not state it."""
    if SCAN_INTERVAL not in ledger:
        label = "Time from scan to scan of the controller"
        ledger.assume(SCAN_INTERVAL, SCAN_INTERVAL_S, "s", label, COMMON_PRACTICE)
        label = "Voltage of the control circuit"
        ledger.assume(VOLTAGE, CONTROL_VOLTAGE_V, "V", label, CONTROL_VOLTAGE_SOURCE)


def circuit_on(installation: Installation, numbers: yard.Quantities | None) -> power.Circuit:
    """Give the hydraulic circuit with trunk hose and cable as the yard measured them, else as the brief says.

    The trunk ends where the first part's own hose begins: at the nearest of the powered parts.
    """
    hoses = [length for _, length in numbers.hoses_m] if numbers else []
    near = numbers.pack_to_control_m if numbers else None
    return power.circuit(
        installation,
        **({} if near is None else {"control_point_distance_m": near}),
        trunk_length_m=min(hoses, default=None),
        cable_length_m=numbers.cable_m if numbers else None,
    )


def watch_times(control: Control) -> dict[str, float]:
    """Give how long the control lets each part take before it counts as stuck. [s]"""
    slow = [timer for timer in control.netlist.timers if timer.name.endswith(".slow")]
    return {timer.name.removesuffix(".slow"): timer.preset_s for timer in slow}


def pens_of_ways(sides: Iterable[str], plant: Plant) -> dict[str, str]:
    """Give the side of each draft way's pen, by the plant's zone: both are counted from the left.

    Parameters
    ----------
    sides : iterable of str
        Those that have a pen, as in `yard.draft_pens_by_side`.
    """
    ways = [zone.name for zone in plant.zones if zone.kind is ZoneKind.WAY]
    return dict(zip(ways, sorted(sides, key=yard.FROM_LEFT.index), strict=False))


def draft_pen_places(numbers: yard.Quantities | None, plant: Plant) -> dict[str, int]:
    """Give the head each draft pen of the yard holds, by the plant's zone; none without a layout."""
    pens = dict(numbers.draft_places if numbers else ())
    return {way: pens[side] for way, side in pens_of_ways(pens, plant).items()}


def walking_distances(numbers: yard.Quantities | None) -> dict[tuple[str, str], float]:
    """Give the walks the yard measured, between places as flow names them; none without a layout."""
    return {
        (a, b): length
        for start, end, length in (numbers.walks_m if numbers else ())
        for a in STANDS.get(start, ())
        for b in STANDS.get(end, ())
    }
