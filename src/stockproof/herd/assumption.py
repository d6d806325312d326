"""A number nobody stated, in the form the ledger takes."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.figures import Figure, Ledger, Source

__all__ = ["Assumption"]


@dataclass(frozen=True, slots=True)
class Assumption:
    """A default that was used: its name, SI value, unit, meaning, source and the band it may lie in."""

    name: str
    value: float
    unit: str
    label: str
    source: Source
    band: tuple[float, float] | None = None

    def set_down(self, ledger: Ledger) -> Figure:
        """Set the assumption down in a ledger."""
        return ledger.assume(self.name, self.value, self.unit, self.label, self.source, self.band)
