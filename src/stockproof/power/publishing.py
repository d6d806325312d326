"""Sets the power room's answers down in a ledger as figures; it computes nothing new."""

from __future__ import annotations

from math import isfinite

from stockproof.figures import Figure, Ledger
from stockproof.power.solve import PowerResult

__all__ = ["publish"]

HOW = "reduced hydraulic model of the circuit; oil incompressible, real nitrogen, stepped until the part stops"
SUPPLY = "nameplate values against cable and source impedance"


def publish(result: PowerResult, ledger: Ledger) -> None:
    """Set down assumptions, times, forces, supply, releases and noise."""
    inputs = tuple(
        ledger.assume(each.name, each.value, each.unit, each.label, each.source, each.band)
        for each in result.assumptions
    )
    _times(result, ledger, inputs)
    _forces(result, ledger, inputs)
    _supply(result, ledger, inputs)
    motion, share = result.slower_share()
    label = f"slowing of {motion} on the coldest morning against normal"
    ledger.run("power.cold_morning.slowing", share, "1", label, HOW, inputs)
    ledger.run("power.noise", result.noise_db, "dB", "sound level of the pack at the control point", HOW, inputs)


def _times(result: PowerResult, ledger: Ledger, inputs: tuple[Figure, ...]) -> None:
    for row in result.times:
        for when in ("full", "normal", "cut_in", "burst"):
            name = f"power.time.{row.motion}.{row.condition}.{when}"
            words = f"time of {row.motion}, {row.condition.replace('_', ' ')}, {when.replace('_', '-')}"
            took_s = float(getattr(row, f"{when}_s"))
            if isfinite(took_s):
                # a motion that never arrives has no time to print; its row in the answers says so
                ledger.run(name, took_s, "s", words, HOW, inputs)


def _forces(result: PowerResult, ledger: Ledger, inputs: tuple[Figure, ...]) -> None:
    for row in result.forces:
        name = f"power.force.{row.part}"
        ledger.run(f"{name}.driven", row.driven_n, "N", f"force of the {row.part} at rest, driven", HOW, inputs)
        ledger.run(f"{name}.held", row.held_n, "N", f"push-back the {row.part} withstands undriven", HOW, inputs)


def _supply(result: PowerResult, ledger: Ledger, inputs: tuple[Figure, ...]) -> None:
    for row in result.supplies:
        name = f"power.supply.{row.outlet}"
        ledger.run(f"{name}.current", row.current_a, "A", f"full-load current at {row.outlet}", SUPPLY, inputs)
        ledger.run(f"{name}.drop", row.drop_share, "1", f"voltage lost running at {row.outlet}", SUPPLY, inputs)
        left = f"starting torque left at {row.outlet}"
        ledger.run(f"{name}.start_torque", row.start_torque_share, "1", left, SUPPLY, inputs)
