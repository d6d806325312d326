"""What the rooms found, side by side, for the judges and the dossier to read."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.brief import Brief
from stockproof.figures import Ledger
from stockproof.fit import FitResult
from stockproof.flow import Unwatched
from stockproof.installation import Installation
from stockproof.logic.findings import Verification
from stockproof.logic.relief import Relief
from stockproof.logic.settle import Settling
from stockproof.money import Budget, Price
from stockproof.power import DutyResult, PowerResult
from stockproof.proof.day import Flows
from stockproof.proof.machine import Control
from stockproof.units import Units
from stockproof.yard import Finding, Quantities, Yard

__all__ = ["Rooms"]


@dataclass(frozen=True, slots=True)
class Rooms:
    """The installation, the ledger, and the frozen result of every room that was run.

    `yard` and its `numbers` are None where no layout fits; `no_yard` then says why. `checked` and `settling` are None
    and `unwatched` is empty in a quick run.
    """

    installation: Installation
    units: Units
    ledger: Ledger
    fit: FitResult
    price: Price
    budget: Budget
    power: PowerResult
    yard: Yard | None
    no_yard: str
    numbers: Quantities | None
    findings: tuple[Finding, ...]
    control: Control
    flows: Flows
    unwatched: dict[str, Unwatched]
    duties: dict[str, DutyResult]
    checked: Verification | None
    reliefs: tuple[Relief, ...]
    settling: Settling | None

    @property
    def brief(self) -> Brief:
        return self.installation.brief
