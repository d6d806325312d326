"""Runs stock flow for every programme and every crew a promise names, and hands its rates to money."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from stockproof import flow, herd, money, power, yard
from stockproof.brief import Programme
from stockproof.brief import promises as kinds
from stockproof.errors import InputError
from stockproof.figures import Figure, Ledger
from stockproof.installation import Installation
from stockproof.motion.laws import MotionLaws
from stockproof.motion.log import MotionLog
from stockproof.proof.alternatives import flow_machine, other_machines
from stockproof.proof.machine import Control, draft_pen_places, walking_distances
from stockproof.stated import Stated

__all__ = [
    "CONFIDENCE",
    "Effort",
    "Flows",
    "busiest",
    "classes_of_stock",
    "energy_for_money",
    "held_unwatched",
    "logged_runs",
    "rates_for_money",
    "round_of",
    "run_flows",
    "traced_run",
]

#: Confidence of a promise about a day that names none.
CONFIDENCE = 0.9
J_PER_KWH = 3.6e6
#: Room for the motions of one animal in a replayed log; an animal held and drafted takes about a dozen.
MOTIONS_PER_HEAD = 64


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is run: replications of each programme and of each variant (0: none); what is replayed and checked."""

    replications: int
    variant_replications: int
    replays: bool
    checks: bool
    faults: bool


Key = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Flows:
    """The study of every programme with its own crew, and of those crews that promises name besides."""

    studies: dict[Key, flow.Study]
    machine: flow.Machine
    given: flow.Given
    cannot: dict[Key, str]
    people: dict[kinds.People, tuple[str, ...] | None]
    crews: dict[str, tuple[str, ...]]

    @property
    def own_crews(self) -> tuple[flow.Study, ...]:
        """The studies that ran a programme with its own crew, in the brief's order."""
        return tuple(study for (name, crew), study in self.studies.items() if self.crews[name] == crew)

    def own(self, programme: Programme) -> flow.Study | None:
        """The study of a programme with its own crew; None where it cannot be done."""
        return self.studies.get((programme.name, programme.crew))


def run_flows(
    installation: Installation,
    control: Control,
    laws: MotionLaws,
    numbers: yard.Quantities | None,
    effort: Effort,
    workers: int | None,
    progress: Callable[[str, float], None],
) -> Flows:
    """Run every programme and its variants; one seed throughout, so that all see the same animals and people."""
    machine = flow_machine(control, laws)
    given = _given(control, numbers)
    others = other_machines(installation, numbers) if effort.variant_replications else {}
    studies, cannot = {}, {}
    promised = _promised(installation)
    for key in _asked(installation):
        name, crew = key
        programme = installation.brief.programmes[name]
        own = crew == programme.crew
        try:
            studies[key] = flow.study(
                installation,
                programme,
                machine,
                given,
                crew=crew,
                others=others,
                seed=installation.brief.file.seed,
                replications=effort.replications,
                variant_replications=effort.variant_replications,
                variants=own and name in promised and effort.variant_replications > 0,
                workers=workers,
                progress=lambda share, name=name: progress(f"flow: {name}", share),  # type: ignore[misc]
            )
        except InputError as error:
            cannot[key] = error.faults[0].what
    crews = {programme.name: programme.crew for programme in installation.brief.file.programme}
    return Flows(studies, machine, given, cannot, _people(installation, machine, given, effort, workers), crews)


def _given(control: Control, numbers: yard.Quantities | None) -> flow.Given:
    """What the yard knows better than an assumption: walks, the places of the draft pens, the head of a batch."""
    return flow.Given(
        distances_m=walking_distances(numbers),
        draft_pen_places=draft_pen_places(numbers, control.plant),
        batch_head=numbers.batch_head if numbers else 0,
    )


def traced_run(
    installation: Installation,
    programme: Programme,
    control: Control,
    laws: MotionLaws,
    numbers: yard.Quantities | None,
) -> flow.FlowResult:
    """Run one replication of a programme with its events and motions kept, for a rehearsal."""
    machine = flow_machine(control, laws)
    given = _given(control, numbers)
    line = flow.prepare(installation, programme, control.netlist, control.plant, given, motion_s=machine.motion_s())
    return flow.simulate(
        line,
        machine.netlist,
        machine.plant,
        machine.laws,
        seed=installation.brief.file.seed,
        replications=1,
        traced=0,
        motion_rows=MOTIONS_PER_HEAD * line.mob.head,
    )


def _people(
    installation: Installation, machine: flow.Machine, given: flow.Given, effort: Effort, workers: int | None
) -> dict[kinds.People, tuple[str, ...] | None]:
    """The smallest crew that reaches the rate of each promise about people."""
    return {
        promise: flow.people_needed(
            installation,
            installation.brief.programmes[promise.programme],
            machine,
            given,
            at_least_head_per_s=promise.at_least_head_per_s,
            confidence=promise.confidence or CONFIDENCE,
            seed=installation.brief.file.seed,
            replications=effort.replications,
            workers=workers,
        )
        for promise in installation.brief.promises
        if isinstance(promise, kinds.People)
    }


def _promised(installation: Installation) -> frozenset[str]:
    """Programmes a promise about rate, days or people names: only there is it worth asking what would help."""
    kinds_of_flow = (kinds.Rate, kinds.Days, kinds.People)
    return frozenset(p.programme for p in installation.brief.promises if isinstance(p, kinds_of_flow))


def _asked(installation: Installation) -> list[Key]:
    """Every programme with its own crew, then the crews that promises name, each once."""
    own: list[Key] = [(each.name, each.crew) for each in installation.brief.file.programme]
    named: list[Key] = [
        (promise.programme, promise.crew)
        for promise in installation.brief.promises
        if isinstance(promise, kinds.Rate | kinds.Days)
    ]
    return list(dict.fromkeys([*own, *named]))


def rates_for_money(installation: Installation, flows: Flows, ledger: Ledger) -> dict[str, money.Rate]:
    """Set down each programme's answers and give it to money with the interval of its mean."""
    assumed = tuple(each.set_down(ledger) for each in flow.assumptions())
    rates = {}
    for programme in installation.brief.file.programme:
        study = flows.own(programme)
        if study is None:
            continue
        inputs = (*assumed, *_set_down_parting(installation, programme, study, ledger))
        rate = flow.publish(study, installation.brief.file.seed, ledger, inputs)
        flow.publish_day(round_of(programme, study), programme.name, ledger, rate)
        _against_today(installation, programme, ledger, rate)
        low, high = study.mean.low, study.mean.high
        rates[programme.name] = money.Rate(study.mean.value, low, high, source=rate.text, figure=rate.name)
    return rates


def _set_down_parting(
    installation: Installation, programme: Programme, study: flow.Study, ledger: Ledger
) -> tuple[Figure, ...]:
    """Set down the share of a programme's animals that each way of the draft unit takes, where it sorts."""
    ways, brief = flow.ways_taken(study.result.line), installation.brief
    if not ways:
        return ()
    parted = herd.parting(brief, programme, len(ways), brief.file.yard.draft_shares)
    inputs = (parted.assumption.set_down(ledger),) if parted.assumption else ()
    return tuple(
        ledger.run(
            f"flow.{programme.name}.way.{way}",
            share,
            "1",
            f"share of the animals of {programme.name} for {way.replace('_', ' ')}",
            parted.how,
            inputs,
        )
        for way, share in ways
    )


def _against_today(installation: Installation, programme: Programme, ledger: Ledger, rate: Figure) -> None:
    today = installation.brief.file.today
    if today is None:
        return
    stated = Stated(installation, ledger)
    rate_today = stated.brief(
        today, "rate_head_per_s", ("today",), today.rate_head_per_s, "head/s", "Head rate reached today"
    )
    crew = stated.brief(today, "crew", ("today",), float(len(today.crew)), "1", "People working today")
    flow.publish_against_today(programme.name, len(programme.crew), ledger, rate, rate_today, crew)


def round_of(programme: Programme, study: flow.Study) -> flow.DayPlan:
    """Give the plan of one round of a programme."""
    truck = int(programme.truck_head) if programme.truck_head else None
    return flow.day_plan(study.result, programme.day_s, truck_head=truck, confidence=CONFIDENCE)


def logged_runs(installation: Installation, flows: Flows) -> dict[str, flow.FlowResult]:
    """One run of every programme with its motions and events kept."""
    return {
        programme.name: _logged(installation, flows, study)
        for programme in installation.brief.file.programme
        if (study := flows.own(programme)) is not None
    }


def held_unwatched(logged: dict[str, flow.FlowResult], ledger: Ledger) -> dict[str, flow.Unwatched]:
    """Set down, for every programme that holds animals, how long they stand held with nobody by."""
    if not logged:
        return {}
    limit = ledger["flow.unwatched.longest"]
    found = {name: flow.unwatched(run, limit.value) for name, run in logged.items()}
    held = {name: each for name, each in found.items() if each.held}
    for name, each in held.items():
        flow.publish_unwatched(each, name, ledger, limit)
    return held


def busiest(logs: dict[str, MotionLog]) -> MotionLog | None:
    """The log with the most motions a second: its densest burst asks the most of pump and store."""
    return max(logs.values(), key=lambda log: log.motion.size / max(log.span_s, 1.0), default=None)


def classes_of_stock(installation: Installation) -> tuple[power.ClassNeed, ...]:
    """What each mob asks of the class-change card: its middle animal's weight, neck and flank."""
    mobs = herd.mobs(installation.brief)
    return tuple(
        power.ClassNeed(
            mob.name,
            mob.percentile(herd.WEIGHT, 0.5),
            mob.percentile("belly_width", 0.5),
            mob.percentile("neck_width", 0.5),
        )
        for mob in mobs
    )


def _logged(installation: Installation, flows: Flows, study: flow.Study) -> flow.FlowResult:
    """The study's first replication again, with its log of motions and its events kept."""
    machine, result = flows.machine, study.result
    return flow.simulate(
        result.line,
        machine.netlist,
        machine.plant,
        machine.laws,
        seed=installation.brief.file.seed,
        replications=1,
        traced=0,
        motion_rows=MOTIONS_PER_HEAD * result.line.mob.head,
    )


def energy_for_money(installation: Installation, duties: dict[str, power.DutyResult]) -> money.Energy | None:
    """Energy of a year from the replayed rounds, or None where no programme was replayed."""
    if not duties:
        return None
    rounds = [(duties[p.name], p.times_per_year) for p in installation.brief.file.programme if p.name in duties]
    electric = sum(duty.electric_j * times for duty, times in rounds)
    shaft = sum(duty.shaft_j * times for duty, times in rounds)
    carrier: Literal["electricity", "shaft"] = "electricity" if electric > 0 else "shaft"
    kwh = (electric or shaft) / J_PER_KWH
    how = "motions of one round of every programme replayed with power's full model"
    return money.Energy(carrier, kwh, kwh, kwh, source=how)
