"""A circuit with its pressures and throttles set: what every answer starts from."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.power.arrays import Arrays, Throttle, arrays
from stockproof.power.model import Circuit, Condition
from stockproof.power.pressures import set_pressures
from stockproof.power.throttles import set_throttles

__all__ = ["Prepared", "prepare"]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A circuit as commissioned: part pressures set, speed throttles set in normal conditions."""

    circuit: Circuit
    throttles: tuple[Throttle, ...]

    def arrays(self, condition: Condition) -> Arrays:
        """Arrays for the solver in a condition."""
        return arrays(self.circuit, condition, self.throttles)


def prepare(circuit: Circuit) -> Prepared:
    """Set pressures, then throttles, of a circuit."""
    pressed = set_pressures(circuit)
    return Prepared(pressed, set_throttles(pressed))
