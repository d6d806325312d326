"""Sets each programme's hours and labour costs down in the ledger, today and with the build."""

from __future__ import annotations

from dataclasses import dataclass, field

from stockproof.brief import Programme
from stockproof.figures import Figure
from stockproof.money import formulas
from stockproof.money.model import Crew, Rate, Work
from stockproof.stated import Stated

__all__ = ["LabourFigures", "publish_labour"]


@dataclass(frozen=True, slots=True)
class LabourFigures:
    """A year's labour costs by programme, to be summed: today's and the build's, paid and unpaid."""

    today_paid: list[Figure] = field(default_factory=list)
    today_unpaid: list[Figure] = field(default_factory=list)
    build_paid: list[Figure] = field(default_factory=list)
    build_unpaid: list[Figure] = field(default_factory=list)


def publish_labour(stated: Stated, works: tuple[Work, ...]) -> LabourFigures:
    """Set down the labour of every programme and give the costs' figures."""
    found, file = LabourFigures(), stated.installation.brief.file
    assert file.today is not None
    today_rate = stated.brief(
        file.today, "rate_head_per_s", ("today",), file.today.rate_head_per_s, "head/s", "Head rate reached today"
    )
    for i, (programme, work) in enumerate(zip(file.programme, works, strict=True)):
        name = f"money.programme[{i + 1}]"
        head = _head(stated, programme, i, name)
        today = _Case(stated, f"{name}.today", f"{programme.name}, today", head, today_rate, work.crew_today)
        found.today_paid.append(today.cost("paid"))
        found.today_unpaid.append(today.cost("unpaid"))
        if work.rate.known:
            rate = _rate(stated, work.rate, f"{name}.rate", f"{programme.name}: head rate with the build")
            build = _Case(stated, f"{name}.build", f"{programme.name}, with the build", head, rate, work.crew)
            found.build_paid.append(build.cost("paid"))
            found.build_unpaid.append(build.cost("unpaid"))
    return found


def _head(stated: Stated, programme: Programme, i: int, name: str) -> Figure:
    file, path = stated.installation.brief.file, ("programme", i)
    j, mob = next((j, mob) for j, mob in enumerate(file.mob) if mob.name == programme.mob)
    return stated.ledger.derive(
        f"{name}.head",
        f"{programme.name}: head a year",
        formulas.head_per_year,
        head=stated.brief(mob, "head", ("mob", j), mob.head, "head", f"Head of {mob.name}"),
        share=stated.brief(
            programme, "share", path, programme.share, "1", f"{programme.name}: share of the mob in a round"
        ),
        rounds=stated.brief(
            programme, "times_per_year", path, programme.times_per_year, "1/year", f"{programme.name}: rounds a year"
        ),
    )


def _rate(stated: Stated, rate: Rate, name: str, label: str) -> Figure:
    band = (rate.low_head_per_s, rate.high_head_per_s)
    return stated.handed(rate.figure, name, rate.head_per_s, "head/s", label, rate.source, band)


@dataclass(frozen=True, slots=True)
class _Case:
    """One programme in one case: sets its hours and costs down as they are asked for."""

    stated: Stated
    name: str
    label: str
    head: Figure
    rate: Figure
    crew: Crew

    def cost(self, pay: str) -> Figure:
        """Set down hours, cost a year and cost a head of the paid or the unpaid people; give the cost a year."""
        derive, label = self.stated.ledger.derive, f"{self.label}, {pay}"
        time = derive(
            f"{self.name}.time",
            f"{self.label}: time at the line",
            formulas.working_time,
            head=self.head,
            rate=self.rate,
        )
        people, crew_cost = self._people(pay), self._crew_cost(pay)
        derive(f"{self.name}.{pay}_time", f"{label}: time a year", formulas.person_time, people=people, time=time)
        derive(
            f"{self.name}.{pay}_per_head",
            f"{label}: labour cost of a head",
            formulas.labour_per_head,
            crew_cost=crew_cost,
            rate=self.rate,
        )
        return derive(
            f"{self.name}.{pay}", f"{label}: labour a year", formulas.labour_cost, time=time, crew_cost=crew_cost
        )

    def _people(self, pay: str) -> Figure:
        count = self.crew.paid if pay == "paid" else self.crew.unpaid
        return self.stated.ledger.given(f"{self.name}.{pay}_people", float(count), "1", f"{self.label}: {pay} people")

    def _crew_cost(self, pay: str) -> Figure:
        """The cost of an hour of all the paid, or all the unpaid, people together."""
        value = self.crew.paid_per_s if pay == "paid" else self.crew.unpaid_per_s
        parts = tuple(self._person(name) for name in self.crew.names if self._is(name, pay))
        label = f"{self.label}: cost of the {pay} people together"
        return self.stated.ledger.run(f"{self.name}.{pay}_cost", value, "money/s", label, "sum of its inputs", parts)

    def _is(self, name: str, pay: str) -> bool:
        return self.stated.installation.brief.people[name].paid == (pay == "paid")

    def _person(self, name: str) -> Figure:
        file = self.stated.installation.brief.file
        k, person = next((k, person) for k, person in enumerate(file.person) if person.name == name)
        label = f"{name}: cost of an hour"
        return self.stated.brief(person, "cost", ("person", k), person.cost.value / 3600, "money/s", label)
