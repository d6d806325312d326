"""Cautions that go with every answer of this room; local codes and licensed people come first."""

from __future__ import annotations

from stockproof.power.card import CARD_CAUTION
from stockproof.power.model import Circuit
from stockproof.power.supply import BONDING

__all__ = ["cautions"]

STORED = (
    "The accumulator stores energy with the power off: switch off, lock off, open the vent valve and watch the gauge "
    "fall to nothing before any work on the circuit. Charge with dry nitrogen only, never with air or oxygen."
)
PRESSURE = (
    "Accumulator, valves and hoses are pressure equipment: a shut-off, a type-tested safety valve, a vent and a gauge "
    "marked with the highest pressure belong to it, and local rules say who inspects it and how often."
)
JETS = "Oil from a pinhole pierces skin: never feel for a leak with a hand; an injury by oil goes to hospital at once."
ELECTRICIAN = (
    "Supply, outlet, cable, protection and earthing are chosen, connected and tested by a licensed electrician to the "
    "local wiring rules; the voltage drops here are for choosing only."
)
GUARDS = "No part is moved while a hand, head or body is in its way; forces here are for the animal, not for people."
ENGINE = "A petrol engine stands in the open: its exhaust kills in a closed shed. Refuel it cold and switched off."


def cautions(circuit: Circuit) -> tuple[str, ...]:
    """Give the cautions that apply to a circuit."""
    electric = (ELECTRICIAN, BONDING) if circuit.pack.drive != "petrol" else (ENGINE, BONDING)
    stored = (STORED,) if circuit.accumulator is not None else ()
    return (CARD_CAUTION, GUARDS, *stored, PRESSURE, JETS, *electric)
