"""START HERE: one proof from one brief, every room called once, in order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stockproof import fit, money
from stockproof.figures import Ledger
from stockproof.installation import Installation
from stockproof.proof.judge import judge
from stockproof.proof.model import Verdict
from stockproof.proof.rooms import Rooms
from stockproof.proof.words import market_units

__all__ = ["Proof", "prove"]

#: Called with what is being done and the share done, from 0 to 1.
Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class Proof:
    """The whole answer to a brief: verdicts, and the rooms' results they rest on."""

    rooms: Rooms
    verdicts: tuple[Verdict, ...]

    @property
    def all_met(self) -> bool:
        return all(verdict.state == "met" for verdict in self.verdicts)


def prove(installation: Installation) -> Proof:
    """Prove an installation: run the rooms in order and judge every promise."""
    ledger = Ledger()
    fits = fit.assess(installation)
    price = money.price(installation)
    budget = money.budget(installation, rates={}, energy=None)
    fit.publish(fits, ledger)
    money.publish(budget, installation, ledger)
    rooms = Rooms(installation, market_units(installation.brief.file.market), ledger, fits, price, budget)
    return Proof(rooms, judge(rooms))
