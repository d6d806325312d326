"""START HERE: one proof from one brief, every room called once, in order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from stockproof import fit, flow, logic, money, power, yard
from stockproof.errors import Fault, InputError
from stockproof.figures import Ledger
from stockproof.installation import Installation
from stockproof.proof.day import (
    Effort,
    busiest,
    classes_of_stock,
    energy_for_money,
    held_unwatched,
    logged_runs,
    rates_for_money,
    run_flows,
    traced_run,
)
from stockproof.proof.judge import judge
from stockproof.proof.machine import assemble, check_control, circuit_on, lay_out, measured, watch_times
from stockproof.proof.model import Verdict
from stockproof.proof.rooms import Rooms
from stockproof.proof.words import market_units

__all__ = ["FULL", "QUICK", "WITH_FAULTS", "Proof", "prove", "rehearse"]

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


#: Enough for a day's 90 % bound and its reasons; and enough for fresh verdicts while a build is changed.
FULL = Effort(replications=60, variant_replications=16, replays=True, checks=True, faults=False)
QUICK = Effort(replications=20, variant_replications=0, replays=False, checks=False, faults=False)


#: The whole, with every single fault struck: minutes for a large build.
WITH_FAULTS = replace(FULL, faults=True)


def prove(
    installation: Installation,
    effort: Effort = FULL,
    workers: int | None = None,
    progress: Progress = lambda what, share: None,
) -> Proof:
    """Prove an installation: run the rooms in order and judge every promise."""
    ledger = Ledger()
    layout, no_yard = lay_out(installation)
    findings = yard.check(layout) if layout else ()
    numbers = yard.quantities(layout) if layout else None
    fits = fit.assess(installation)
    control = assemble(installation, numbers)
    prepared = power.prepare(circuit_on(installation, numbers))
    flows = run_flows(installation, control, power.laws(prepared), numbers, effort, workers, progress)
    logged = logged_runs(installation, flows) if effort.replays else {}
    logs = {name: flow.motion_log(run) for name, run in logged.items()}
    busy = busiest(logs)
    burst = power.worst_burst(prepared, busy) if busy else ()
    needs = classes_of_stock(installation)
    watches_s = watch_times(control)
    duties = {name: power.duty(prepared, log) for name, log in logs.items()}
    hydraulics = power.solve(
        prepared,
        burst=burst,
        day_peak_m3_per_s=max((duty.peak_flow_m3_per_s for duty in duties.values()), default=0.0),
        classes=needs,
        options=effort.replays,
        watches_s=watches_s,
    )
    checked, reliefs, settling = check_control(control, effort.faults, progress) if effort.checks else (None, (), None)
    if layout and numbers:
        yard.publish(layout, numbers, findings, ledger)
    fit.publish(fits, ledger)
    power.publish(hydraulics, ledger)
    for name, duty in duties.items():
        power.publish_duty(duty, name, ledger)
    logic.publish(control.netlist, ledger)
    if checked is not None:
        logic.publish_check(checked, reliefs, settling, ledger)
    rates = rates_for_money(installation, flows, ledger)
    energy = energy_for_money(installation, duties) if duties else money.nameplate_energy(installation, rates)
    budget = money.budget(installation, rates, energy, numbers.materials if numbers else ())
    money.publish(budget, installation, ledger)
    unwatched = held_unwatched(logged, ledger)
    units = market_units(installation.brief.file.market)
    rooms = Rooms(
        installation=installation,
        units=units,
        ledger=ledger,
        fit=fits,
        price=budget.price,
        budget=budget,
        power=hydraulics,
        yard=layout,
        no_yard=no_yard,
        numbers=numbers,
        findings=findings,
        control=control,
        flows=flows,
        unwatched=unwatched,
        duties=duties,
        checked=checked,
        reliefs=reliefs,
        settling=settling,
    )
    return Proof(rooms, judge(rooms))


def rehearse(installation: Installation, programme: str = "") -> flow.FlowResult:
    """Run one replication of a programme (the first if unsaid) and keep everything that happens in it.

    Raises
    ------
    InputError
        The brief has no such programme, or it cannot be done with this crew and build.
    """
    known = installation.brief.programmes
    if programme and programme not in known:
        raise InputError(Fault(f"{programme!r} is no programme of this brief", allowed=", ".join(known)))
    numbers = measured(installation)
    control = assemble(installation, numbers)
    laws = power.laws(power.prepare(circuit_on(installation, numbers)))
    return traced_run(installation, known[programme or next(iter(known))], control, laws, numbers)
