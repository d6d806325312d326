"""What a customer asks of a line: the rate, what limits it, what one more of each would bring, who could stay at home.

Every variant runs on the same animals, the same people and the same days as the line itself (common random numbers),
so that a small gain shows above the scatter of days.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import numpy.typing as npt

from stockproof.brief import Programme
from stockproof.errors import InputError
from stockproof.flow.asked import batch_head, full_pen_head
from stockproof.flow.assumptions import chosen
from stockproof.flow.clock import STOPS, Clock, head_rates
from stockproof.flow.intervals import Interval, bound_of_a_day, mean_interval, paired_difference, prediction_interval
from stockproof.flow.model import Line, Person
from stockproof.flow.prepare import LONGEST_ROUND_S, Given, prepare
from stockproof.flow.run import FlowResult, Progress, simulate
from stockproof.flow.stations import what_limits
from stockproof.installation import Installation
from stockproof.motion.laws import MotionLaws, constant_laws
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["Machine", "Other", "Study", "Variant", "people_needed", "study"]

Floats = npt.NDArray[np.float64]

#: Share of its time a quicker part still takes in a variant.
QUICKER = 0.5
#: Working time: from the first animal into the race to the last one penned, breaks left out.
WORKING = Clock("first_animal_enters_race", "last_animal_penned", tuple(stop for stop in STOPS if stop != "breaks"))


@dataclass(frozen=True, slots=True)
class Machine:
    """The control program, the plant it runs on, and the time its motions take (None: catalogue times)."""

    netlist: Netlist
    plant: Plant
    laws: MotionLaws | None = None

    def quicker(self, part: str, share: float) -> Machine:
        """The same machine with the motions of one part (empty: of every part) taking that share of their time."""
        laws = self.laws or constant_laws({motion.name: motion.time_s for motion in self.plant.motions})
        moved = np.array([share if not part or name.split(".")[0] == part else 1.0 for name in laws.names])
        return replace(self, laws=replace(laws, time_s=laws.time_s * moved[:, None], lag_s=laws.lag_s * moved))

    def motion_s(self) -> dict[str, float]:
        """Time of each motion with a full store; on the pump alone, of the bail while the entry gate closes too. [s]"""
        if self.laws is None:
            return {motion.name: motion.time_s for motion in self.plant.motions}
        times = {name: float(lag + row[-1]) for name, lag, row in
                 zip(self.laws.names, self.laws.lag_s, self.laws.time_s, strict=True)}  # fmt: skip
        if self.laws.cut_out_m3 == 0.0 < self.laws.pump_m3_per_s and {"bail.close", "entry.close"} <= times.keys():
            times["bail.close"] = self.laws.beside_s("bail.close", "entry.close")
        return times


@dataclass(frozen=True, slots=True)
class Variant:
    """One change of the line.

    Parameters
    ----------
    name, words : str
        Short key; what is changed, in plain words.
    mean, day : Interval or None
        Rate over replications, and of one day. [head/s]
    gain : Interval or None
        Mean gain in rate over the line itself, on the same days. [head/s]
    cannot : str
        Why it cannot be done, or has no rate; empty where it can and has.
    """

    name: str
    words: str
    mean: Interval | None
    day: Interval | None
    gain: Interval | None
    cannot: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Study:
    """The answer for one programme: the run itself, its rate, what limits, and the variants.

    `as_it_is` is the line itself in the first runs alone, as many as every variant has: what a gain is counted from.
    """

    programme: str
    clock: Clock
    result: FlowResult
    mean: Interval
    day: Interval
    limits: tuple[tuple[str, float], ...]
    as_it_is: Variant | None
    variants: tuple[Variant, ...]

    def at_least(self, confidence: float) -> float:
        """The rate a day reaches with this confidence. [head/s]"""
        return bound_of_a_day(head_rates(self.result, self.clock), confidence, at_least=True)


#: A line with the machine that runs it, or the reason why there is none.
Setup = Callable[[], tuple[Line, Machine]]
#: Makes another build, with the machine that runs it.
Other = Callable[[], tuple[Installation, Machine]]


def study(
    installation: Installation,
    programme: Programme,
    machine: Machine,
    given: Given | None = None,
    *,
    clock: Clock | None = None,
    crew: Sequence[str] | None = None,
    others: Mapping[str, Other] | None = None,
    seed: int,
    replications: int = 200,
    variant_replications: int = 60,
    variants: bool = True,
    workers: int | None = None,
    progress: Progress | None = None,
) -> Study:
    """Run a programme and everything that could be changed about it.

    Parameters
    ----------
    clock : Clock or None
        How the rate is timed; None: `WORKING`.
    crew : sequence of str or None
        Names of the people working, instead of the programme's.
    others : mapping of str to callable
        Other builds to compare, by what is different about them (`with a second slide gate`); each is made when it is
        run, and one that cannot be made is a variant that cannot be done.

    Raises
    ------
    InputError
        The programme cannot be done with this crew and build.
    """
    clock = clock or WORKING
    given = given or Given()
    base = _Base(installation, programme, given, machine, crew)
    setups = list(_setups(base, others or {})) if variants else []
    total = replications + variant_replications * len(setups)
    meter = _Meter(progress, total)
    line, _ = base.setup()
    result = _run(line, machine, seed, replications, workers, meter)
    rates = head_rates(result, clock)
    found = []
    for name, words, setup in setups:
        found.append(_variant(name, words, setup, clock, rates, seed, variant_replications, workers, meter))
    return Study(
        programme.name,
        clock,
        result,
        mean_interval(rates),
        prediction_interval(rates),
        what_limits(result),
        _as_it_is(rates[:variant_replications]) if found and replications >= variant_replications else None,
        tuple(found),
    )


def _as_it_is(rates: Floats) -> Variant:
    words = f"as it is, in the first {rates.size} runs"
    return Variant("none", words, mean_interval(rates), prediction_interval(rates), None)


def people_needed(
    installation: Installation,
    programme: Programme,
    machine: Machine,
    given: Given | None = None,
    *,
    at_least_head_per_s: float,
    clock: Clock | None = None,
    confidence: float = 0.5,
    seed: int,
    replications: int = 60,
    workers: int | None = None,
) -> tuple[str, ...] | None:
    """Give the smallest part of a programme's crew that reaches a rate, or None where even all of them do not.

    Of crews of one size the first in the order of the brief is given.
    """
    clock = clock or WORKING

    def reaches(crew: tuple[str, ...]) -> bool:
        base = _Base(installation, programme, given or Given(), machine, crew)
        try:
            line, _ = base.setup()
        except InputError:
            return False
        result = _run(line, machine, seed, replications, workers, None)
        rate = bound_of_a_day(head_rates(result, clock), confidence, at_least=True)
        return not result.unended and rate >= at_least_head_per_s

    everybody = tuple(programme.crew)
    if not reaches(everybody):
        return None
    smaller = (crew for size in range(1, len(everybody)) for crew in combinations(everybody, size))
    return next((crew for crew in smaller if reaches(crew)), everybody)


@dataclass(frozen=True, slots=True)
class _Base:
    """What a line is prepared from."""

    installation: Installation
    programme: Programme
    given: Given
    machine: Machine
    crew: Sequence[str] | None

    def names(self) -> tuple[str, ...]:
        return tuple(self.programme.crew if self.crew is None else self.crew)

    def setup(self, **changes: object) -> tuple[Line, Machine]:
        """The line with some of `prepare`'s options, or the machine, changed."""
        machine = changes.pop("machine", self.machine)
        assert isinstance(machine, Machine)
        options = {"crew": self.crew, "motion_s": machine.motion_s(), "given": self.given} | changes
        given = options.pop("given")
        line = prepare(self.installation, self.programme, machine.netlist, machine.plant, given, **options)  # type: ignore[arg-type]
        return line, machine


class _Meter:
    """Progress over several simulations."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self.progress, self.total, self.done = progress, total, 0

    def over(self, replications: int) -> Progress | None:
        if self.progress is None:
            return None
        before, report = self.done, self.progress
        self.done += replications
        return lambda share: report((before + share * replications) / self.total)


def _run(
    line: Line, machine: Machine, seed: int, replications: int, workers: int | None, meter: _Meter | None
) -> FlowResult:
    return simulate(
        line,
        machine.netlist,
        machine.plant,
        machine.laws,
        seed=seed,
        replications=replications,
        latest_s=LONGEST_ROUND_S,
        workers=workers,
        progress=meter.over(replications) if meter else None,
    )


def _variant(
    name: str,
    words: str,
    setup: Setup,
    clock: Clock,
    base: Floats,
    seed: int,
    replications: int,
    workers: int | None,
    meter: _Meter,
) -> Variant:
    try:
        line, machine = setup()
    except InputError as error:
        meter.over(replications)
        return Variant(name, words, None, None, None, error.faults[0].what)
    result = _run(line, machine, seed, replications, workers, meter)
    if result.unended:
        return Variant(name, words, None, None, None, result.unended)
    rates = head_rates(result, clock)
    gain = paired_difference(rates, base[:replications]) if base.size >= replications else None
    return Variant(name, words, mean_interval(rates), prediction_interval(rates), gain)


def _setups(base: _Base, others: Mapping[str, Other]) -> Iterator[tuple[str, str, Setup]]:
    """Every variant with its key and words; each line is prepared only when it is run."""
    yield from _fewer(base)
    yield from _more_people(base)
    yield from _quicker(base)
    yield from _pens(base)
    yield from _switches(base)
    for words, make in others.items():

        def setup(make: Other = make) -> tuple[Line, Machine]:
            installation, machine = make()
            return replace(base, installation=installation, machine=machine).setup()

        yield f"build: {words}", words, setup


def _fewer(base: _Base) -> Iterator[tuple[str, str, Setup]]:
    for name in base.names():
        rest = tuple(other for other in base.names() if other != name)
        yield f"without {name}", f"{name} does not turn up", lambda rest=rest: base.setup(crew=rest)  # type: ignore[misc]


def _more_people(base: _Base) -> Iterator[tuple[str, str, Setup]]:
    tasks = [base.installation.brief.tasks[code] for code in base.programme.tasks]
    skills = dict.fromkeys(["stock", *(task.skill for task in tasks if task.skill != "none")])
    what = {"stock": "to bring and move stock", "husbandry": "with husbandry skills", "vet": "vet", "ai": "inseminator"}
    for skill in skills:

        def setup(skill: str = skill) -> tuple[Line, Machine]:
            line, machine = base.setup()
            person = Person(f"one more ({skill})", (skill,), "forcing_pen" if skill == "stock" else "crush_side")
            return replace(line, crew=(*line.crew, person)), machine

        yield f"one more: {skill}", f"one more person {what[skill]}", setup


def _quicker(base: _Base) -> Iterator[tuple[str, str, Setup]]:
    for part in ("bail", "entry", "squeeze", ""):
        if part and base.machine.plant.part_at(part) < 0:
            continue
        machine = base.machine.quicker(part, QUICKER)
        words = f"{'the ' + part if part else 'every powered part'} twice as quick"
        yield f"quicker: {part or 'all'}", words, lambda machine=machine: base.setup(machine=machine)  # type: ignore[misc]


def _pens(base: _Base) -> Iterator[tuple[str, str, Setup]]:
    doubled = dict(base.given.assumed)
    doubled["flow.draft_pen.places"] = 2 * chosen(base.given.assumed)["flow.draft_pen.places"]
    places = {zone: 2 * head for zone, head in base.given.draft_pen_places.items()}
    if base.machine.plant.draft >= 0:
        given = replace(base.given, assumed=doubled, draft_pen_places=places)
        yield "pens doubled", "draft pens that hold twice as many", lambda: base.setup(given=given)
    batch, full = batch_head(base.given, base.machine.plant), full_pen_head(base.given, base.machine.plant)
    fuller = replace(base.given, batch_head=full)
    if full > batch:
        yield (
            "pen filled",
            f"the forcing pen filled: {full} head at a time, not {batch}",
            lambda: base.setup(given=fuller),
        )


def _switches(base: _Base) -> Iterator[tuple[str, str, Setup]]:
    """The same work by hand and with the switches, as far as the work allows."""
    yield "by hand", "both switches off, every motion worked by hand", lambda: base.setup(by_hand=True)
    if base.programme.hold and base.programme.sort:
        yield "hold only", "the hold switch alone, nothing sorted", lambda: base.setup(sort=False)
    if base.programme.hold and not base.programme.sort and base.machine.plant.draft >= 0:
        yield "hold and sort", "held and sorted in one pass", lambda: base.setup(sort=True)
    if base.programme.sort and not base.programme.hold:
        yield "hold and sort", "held and sorted in one pass", lambda: base.setup(hold=True)
