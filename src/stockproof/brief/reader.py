"""Reads a brief and checks that its parts agree: names that are used exist, amounts share a currency."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from stockproof.amounts import Amount
from stockproof.brief.model import BriefFile, Mob, Person, Programme
from stockproof.brief.promises import PromiseBase
from stockproof.brief.tasks import Task, task_table
from stockproof.errors import Fault, InputError, nearest
from stockproof.records import Record, key_of, load
from stockproof.tomlfile import KeyPath, TomlFile, read_column, read_toml

__all__ = ["Brief", "check_brief", "read_brief"]


@dataclass(frozen=True)
class Brief:
    """A brief whose parts agree with one another, with the places its keys were written at."""

    file: BriefFile
    toml: TomlFile
    weights_kg: dict[str, tuple[float, ...]]

    @cached_property
    def mobs(self) -> dict[str, Mob]:
        return {mob.name: mob for mob in self.file.mob}

    @cached_property
    def programmes(self) -> dict[str, Programme]:
        return {programme.name: programme for programme in self.file.programme}

    @cached_property
    def people(self) -> dict[str, Person]:
        return {person.name: person for person in self.file.person}

    @cached_property
    def tasks(self) -> dict[str, Task]:
        """The trade's tasks with this farm's own times."""
        tasks = dict(task_table())
        for change in self.file.task:
            update = {"time_s": change.time_s, "source": "brief"}
            if change.spread_share is not None:
                update["spread_share"] = change.spread_share
            tasks[change.task] = tasks[change.task].model_copy(update=update)
        return tasks

    @property
    def promises(self) -> tuple[PromiseBase, ...]:
        return self.file.promise

    @cached_property
    def file_key(self) -> str:
        """A name for output folders: the brief's title in plain letters."""
        return re.sub(r"[^a-z0-9]+", "-", self.file.title.lower()).strip("-") or "brief"


def read_brief(path: Path, name: str | None = None) -> Brief:
    """Read and check a brief.

    Raises
    ------
    InputError
        Everything found wrong, each with file, line and key.
    """
    return check_brief(read_toml(path, name))


def check_brief(toml: TomlFile) -> Brief:
    """Turn a parsed file into a brief; see `read_brief`."""
    file = load(BriefFile, toml)
    faults = [
        *_doubled_names(file, toml),
        *_unknown_names(file, toml),
        *_wrong_currency(file, file.market.currency, toml),
        *_wrong_sorting(file, toml),
        *_wrong_breaks(file, toml),
        *_wrong_promises(file, toml),
        *_wrong_boundary(file, toml),
    ]
    weights = {}
    for i, mob in enumerate(file.mob):
        try:
            weights[mob.name] = _weights(mob, toml, ("mob", i))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(sorted(faults, key=lambda fault: fault.place.line or 0))
    return Brief(file, toml, weights)


def _doubled_names(file: BriefFile, toml: TomlFile) -> Iterator[Fault]:
    for key in ("mob", "programme", "person"):
        seen: set[str] = set()
        for i, thing in enumerate(getattr(file, key)):
            if thing.name in seen:
                yield Fault(
                    "name is used twice", toml.place((key, i, "name")), repr(thing.name), mend="give it another name"
                )
            seen.add(thing.name)


def _unknown_names(file: BriefFile, toml: TomlFile) -> Iterator[Fault]:
    mobs = [mob.name for mob in file.mob]
    people = [person.name for person in file.person]
    programmes = [programme.name for programme in file.programme]
    tasks = list(task_table())
    for i, programme in enumerate(file.programme):
        yield from _unknown("mob", [programme.mob], mobs, toml, ("programme", i, "mob"))
        yield from _unknown("task", programme.tasks, tasks, toml, ("programme", i, "tasks"))
        yield from _unknown("person", programme.crew, people, toml, ("programme", i, "crew"))
    for i, change in enumerate(file.task):
        yield from _unknown("task", [change.task], tasks, toml, ("task", i, "task"))
    if file.today is not None:
        yield from _unknown("person", file.today.crew, people, toml, ("today", "crew"))
    supplies = [supply.name for supply in file.site.supply]
    known = {
        "programme": programmes,
        "programmes": programmes,
        "mob": mobs,
        "mobs": mobs,
        "crew": people,
        "supply": supplies,
    }
    for i, promise in enumerate(file.promise):
        for key, names in known.items():
            value = getattr(promise, key, ())
            words = [value] if isinstance(value, str) else list(value)
            yield from _unknown(key.removesuffix("s"), words, names, toml, ("promise", i, key))


def _wrong_boundary(file: BriefFile, toml: TomlFile) -> Iterator[Fault]:
    """The site is a piece of ground: its sides meet at corners alone."""
    ring = file.site.boundary_m
    sides = list(zip(ring, (*ring[1:], *ring[:1]), strict=True))
    place = toml.place(("site", "boundary"))
    for i, one in enumerate(sides):
        for j in range(i + 2, len(sides) - (i == 0)):
            if _crosses(one, sides[j]):
                yield Fault(
                    "crosses itself",
                    place,
                    f"side {i + 1} crosses side {j + 1}",
                    "a ring that does not cross itself",
                    "list the corners in order round the site",
                )
                return


_Side = tuple[tuple[float, float], tuple[float, float]]


def _crosses(one: _Side, other: _Side) -> bool:
    """The two sides cross, each with its ends on both sides of the other."""

    def turns(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return all(turns(*a, b[0]) * turns(*a, b[1]) < 0 for a, b in ((one, other), (other, one)))


def _wrong_breaks(file: BriefFile, toml: TomlFile) -> Iterator[Fault]:
    """Breaks follow one another within the day."""
    for i, programme in enumerate(file.programme):
        ends_s = 0.0
        for k, pause in enumerate(programme.breaks):
            if not ends_s < pause.after_s < programme.day_s:
                yield Fault(
                    "does not lie between the break before it and the end of the day",
                    toml.place(("programme", i, "breaks", k, "after")),
                    got=f"{pause.after_s / 3600:g} h",
                    allowed=f"more than {ends_s / 3600:g} h and less than {programme.day_s / 3600:g} h",
                    mend="put the breaks in order, or lengthen working_day",
                )
            ends_s = pause.after_s + pause.lasts_s


def _unknown(what: str, words: Iterable[str], known: list[str], toml: TomlFile, path: KeyPath) -> Iterator[Fault]:
    for word in words:
        if word not in known:
            allowed = ", ".join(known) or f"the brief has no {what}"
            yield Fault(f"is no {what} of this brief", toml.place(path), repr(word), allowed, nearest(word, known))


def _wrong_currency(record: Record, currency: str, toml: TomlFile, path: KeyPath = ()) -> Iterator[Fault]:
    for name in type(record).model_fields:
        value, here = getattr(record, name), (*path, key_of(name))
        if isinstance(value, Amount) and value.currency != currency:
            yield Fault("is in another currency than the market", toml.place(here), str(value), currency)
        elif isinstance(value, Record):
            yield from _wrong_currency(value, currency, toml, here)
        elif isinstance(value, tuple):
            for i, element in enumerate(value):
                if isinstance(element, Record):
                    yield from _wrong_currency(element, currency, toml, (*here, i))


def _wrong_sorting(file: BriefFile, toml: TomlFile) -> Iterator[Fault]:
    for i, programme in enumerate(file.programme):
        if programme.sort != bool(programme.sorted_by):
            allowed = "weight, tag or eye when the sort switch is on, empty when it is off"
            yield Fault(
                "does not agree with the sort switch",
                toml.place(("programme", i, "sorted_by")),
                repr(programme.sorted_by),
                allowed,
            )
        if (programme.sorted_by == "weight") != bool(programme.cuts_kg):
            yield Fault(
                "cut weights belong to sorting by weight, and to that alone",
                toml.place(("programme", i, "cuts")),
                mend='give cuts = ["440 kg"], or sort by something else',
            )
        if list(programme.cuts_kg) != sorted(set(programme.cuts_kg)):
            yield Fault(
                "cut weights do not rise", toml.place(("programme", i, "cuts")), mend="write them from light to heavy"
            )


def _wrong_promises(file: BriefFile, toml: TomlFile) -> Iterator[Fault]:
    sorting = {programme.name for programme in file.programme if programme.sort}
    for i, promise in enumerate(file.promise):
        if getattr(promise, "kind", "") == "wrong_pen" and getattr(promise, "programme", "") not in sorting:
            yield Fault("names a programme that does not sort", toml.place(("promise", i, "programme")))
        if promise.confidence is not None and not 0.5 <= promise.confidence < 1:
            yield Fault(
                "is no usable confidence",
                toml.place(("promise", i, "confidence")),
                f"{promise.confidence:g}",
                "from 50 % to below 100 %",
            )


def _weights(mob: Mob, toml: TomlFile, path: KeyPath) -> tuple[float, ...]:
    """The weights of a mob from its CSV, or empty where mean and spread are given."""
    stated = mob.weight_mean_kg is not None
    if stated == bool(mob.weights_csv) or stated != (mob.weight_spread_share is not None):
        mend = 'give weight_mean and weight_spread, or weights_csv = "weights.csv", and not both'
        raise InputError(Fault("does not say its weights in one way", toml.place(path), mend=mend))
    if not mob.weights_csv:
        return ()
    place = toml.place((*path, "weights_csv"))
    if Path(mob.weights_csv).name != mob.weights_csv:
        raise InputError(Fault("must be a file beside the brief", place, mob.weights_csv, "a plain file name"))
    cells, lines = read_column(toml.folder / mob.weights_csv, "weight_kg", place)
    weights, faults = [], []
    for cell, line in zip(cells, lines, strict=True):
        try:
            weight = float(cell)
        except ValueError:
            weight = -1.0
        if not 10 <= weight <= 2000:
            where = replace(place, file=mob.weights_csv, line=line, key="weight_kg")
            faults.append(
                Fault("is no weight of a bovine animal", where, repr(cell), "a number of kilograms from 10 to 2000")
            )
        weights.append(weight)
    if len(weights) < 10:
        faults.append(Fault(f"{mob.weights_csv} has {len(weights)} weights", place, allowed="at least 10"))
    if faults:
        raise InputError(faults[:20])
    return tuple(weights)
