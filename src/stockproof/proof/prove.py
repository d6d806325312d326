"""START HERE: one proof from one brief, every room called once, in order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stockproof import fit, money, power, yard
from stockproof.errors import InputError
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
    layout, no_yard = _lay_out(installation)
    findings = yard.check(layout) if layout else ()
    fits = fit.assess(installation)
    circuit = power.circuit(installation)
    hydraulics = power.solve(power.prepare(circuit))
    price = money.price(installation)
    budget = money.budget(installation, rates={}, energy=None)
    if layout:
        yard.publish(layout, yard.quantities(layout), findings, ledger)
    fit.publish(fits, ledger)
    power.publish(hydraulics, ledger)
    money.publish(budget, installation, ledger)
    units = market_units(installation.brief.file.market)
    rooms = Rooms(installation, units, ledger, fits, price, budget, hydraulics, layout, no_yard, findings)
    return Proof(rooms, judge(rooms))


def _lay_out(installation: Installation) -> tuple[yard.Yard | None, str]:
    """A site where no layout fits is an answer, not an error."""
    try:
        return yard.lay_out(yard.ask(installation)), ""
    except InputError as refusal:
        return None, "; ".join(fault.what for fault in refusal.faults)
