"""Verdicts on supply and hydraulics, from the power room."""

from __future__ import annotations

from math import isfinite

from stockproof.brief import promises as kinds
from stockproof.catalogue.line import motion_in_words
from stockproof.power.forces import PartForces
from stockproof.proof.model import Measure
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import Ruling, judges, not_shown

__all__: list[str] = []

NO_CIRCUIT = "the build has no hydraulic circuit to solve"
#: Which condition and which state of the accumulator a promise about motion time means.
WHEN = {
    "normal": ("normal", "cut_in"),
    "cold_morning": ("cold_morning", "cut_in"),
    "worst_burst": ("normal", "burst"),
}
QUICKER = "an item that is quicker by the catalogue, a larger pump or store, or wider hoses and valves"


@judges(kinds.Outlet)
def _outlet(promise: kinds.Outlet, rooms: Rooms) -> Ruling:
    """Current, running drop, start torque and the controller's ride-through at the outlet named."""
    supply = rooms.power.supply(promise.supply)
    if supply is None:
        return not_shown("the build's power pack is not driven from the mains")
    name = f"power.supply.{promise.supply}"
    measures = (
        Measure("full-load current", supply.allowed_a, supply.current_a, "current", "less", f"{name}.current"),
        Measure("with control and tank", supply.allowed_a, supply.together_a, "current", "less", f"{name}.together"),
        Measure("voltage drop running", supply.drop_limit_share, supply.drop_share, "share", "less", f"{name}.drop"),
        Measure(
            "starting torque left",
            supply.needed_torque_share,
            supply.start_torque_share,
            "share",
            "more",
            f"{name}.start_torque",
        ),
    )
    mend = "a smaller pack, another outlet, or a thicker cable"
    return Ruling(measures, None if supply.carries else "not met", "; ".join(supply.problems), mend)


@judges(kinds.MotionTime)
def _motion_time(promise: kinds.MotionTime, rooms: Rooms) -> Ruling:
    """Time from the command, with the accumulator at cut-in (the unfavourable end) unless a burst is asked."""
    motions = {row.motion for row in rooms.power.times}
    if promise.motion not in motions:
        return not_shown(f"the build has no powered motion {promise.motion}; it has {', '.join(sorted(motions))}")
    condition, when = WHEN[promise.when]
    found = rooms.power.time_s(promise.motion, condition, when)  # type: ignore[arg-type]
    in_burst = rooms.power.time_s(promise.motion, condition, "burst")  # type: ignore[arg-type]
    if not isfinite(max(found, in_burst)):
        stuck = f"{motion_in_words(promise.motion)}, but never wholly, {promise.when.replace('_', ' ')}"
        return Ruling((), "not met", stuck, QUICKER)
    figure = f"power.time.{promise.motion}.{condition}.{when}"
    measure = Measure(
        f"time in which {motion_in_words(promise.motion)}", promise.at_most_s, found, "duration", "less", figure
    )
    store = rooms.power.prepared.circuit.accumulator
    oil = "oil store at cut-in or lower" if store else "on the pump's oil alone"
    asked = f"worst burst: {rooms.power.burst_in_words}" if when == "burst" else promise.when.replace("_", " ")
    return Ruling((measure,), because=f"{asked}, {oil}", mend=QUICKER)


@judges(kinds.HoldingForce)
def _holding_force(promise: kinds.HoldingForce, rooms: Rooms) -> Ruling:
    """Push-back the part withstands undriven."""
    forces = next((row for row in rooms.power.forces if row.part == promise.part), None)
    if forces is None:
        return not_shown(f"the build has no powered part {promise.part}")
    measure = Measure(
        f"push-back the {promise.part} withstands",
        promise.at_least_n,
        forces.held_n,
        "force",
        "more",
        f"power.force.{promise.part}.held",
    )
    because = f"held by {forces.held_by}" if forces.held_by else "nothing holds it undriven"
    return Ruling((measure,), because=because + _over_limit(forces, rooms))


def _over_limit(forces: PartForces, rooms: Rooms) -> str:
    """What the part presses on an animal with while driven, where that is more than the stated limit."""
    over = [pad for pad in forces.pads if not pad.within]
    said = (
        f"; driven, it presses {rooms.units.text(pad.at_rest_pa, 'pressure', 2)} on the {pad.touches}, more than the "
        f"stated limit of {rooms.units.text(pad.limit_pa, 'pressure', 2)}"
        for pad in over
    )
    return "".join(said)


@judges(kinds.PowerLoss)
def _power_loss(promise: kinds.PowerLoss, rooms: Rooms) -> Ruling:
    """Releases from stored oil so long after power is lost, on the coldest morning; the hand pump is named."""
    left = rooms.power.releases_after(promise.after_s)
    name, label = f"power.releases_after.{promise.after_s:g}_s", "animals released from stored oil"
    how = "rounds of relieve, release and next animal drawn from what leakage leaves in the accumulator"
    rooms.ledger.run(name, left.from_store, "head", f"{label} {promise.after_s:g} s after power is lost", how)
    measure = Measure(label, promise.releases, left.from_store, "", "more", name, "animals")
    blocked = f"; cannot be moved without electricity: {', '.join(left.blocked)}" if left.blocked else ""
    if left.from_store >= promise.releases or not left.by_hand:
        because = "from stored oil alone" if left.by_hand else "there is no hand pump"
        return Ruling((measure,), because=because + blocked, mend="a hand pump, or a larger accumulator")
    # the hand pump decides, so what the store alone gives is evidence and not the measure
    by_hand = f"{left.from_store} from stored oil, the others by hand pump, {left.hand_s:.0f} s each"
    return Ruling((), "not met" if left.blocked else "met", by_hand + blocked, figures=(name,))


@judges(kinds.ColdMorning)
def _cold_morning(promise: kinds.ColdMorning, rooms: Rooms) -> Ruling:
    """The motion that slows most on the brief's coldest morning."""
    motion, share = rooms.power.slower_share()
    if not isfinite(share):
        return Ruling(
            (), "not met", f"{motion_in_words(motion)}, but never wholly, on the coldest morning", "a thinner oil grade"
        )
    measure = Measure(
        f"how much slower {motion_in_words(motion)}",
        promise.slower_by,
        share,
        "share",
        "less",
        "power.cold_morning.slowing",
    )
    return Ruling(
        (measure,),
        because="cold oil is thick; each motion alone, the oil store at cut-in",
        mend="a thinner oil grade, larger hoses, or warming the tank",
    )


@judges(kinds.Noise)
def _noise(promise: kinds.Noise, rooms: Rooms) -> Ruling:
    """A-weighted level at the control point, from the pack alone in the open."""
    measure = Measure(
        "level at the control point", promise.at_most_db, rooms.power.noise_db, "sound level", "less", "power.noise"
    )
    return Ruling(
        (measure,), because="the power pack alone, in the open", mend="the pack farther off, or a quieter one"
    )
