"""Stock flow: the rate of each programme with its intervals, what limits it, and what a change would bring."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from stockproof.dossier.chapters.cells import RowCells, plain
from stockproof.flow import Clock, Interval, Study, crew_use, head_rates, stations, ways_taken
from stockproof.scene.pages import (
    Axis,
    Cell,
    Column,
    Curve,
    Facts,
    Marker,
    Paragraph,
    Plot,
    Quantity,
    Said,
    Section,
    Table,
)

__all__ = ["flow_in_brief", "flow_in_full"]

PER_HOUR = 3600.0
#: What limits, from this share of the run on, is named.
WORTH_NAMING = 0.03
#: What nobody does for this share of the time has no row.
WORTH_A_ROW = 0.005
#: Bars of the plot of rates: about so many.
BARS = 12


def flow_in_brief(studies: Sequence[Study]) -> Iterator[Section]:
    """Give each programme's rate, the rate of one day to come, and what limits it."""
    if studies:
        yield Section("Head an hour", (Paragraph(_words(studies[0])), _rates(studies)))


def flow_in_full(studies: Sequence[Study]) -> Iterator[Section]:
    """Give each programme's rate, its spread over days, where time goes, the crew, and every variant."""
    if not studies:
        return
    yield Section("Head an hour", (Paragraph(_words(studies[0])), _rates(studies)))
    for study in studies:
        yield Section(study.programme, tuple(_in_full(study)), level=2)


def _in_full(study: Study) -> Iterator[Facts | Table | Plot]:
    yield Facts(
        (
            ("Timed", _clock(study.clock)),
            ("Runs", plain(study.result.replications, f"flow.{study.programme}.runs")),
            ("Ended", _endings(study)),
        )
    )
    yield _spread(study)
    if ways_taken(study.result.line):
        yield _ways(study)
    yield _limits(study)
    yield _stations(study)
    yield _crew(study)
    if study.variants:
        yield _variants(study)


def _words(study: Study) -> str:
    return (
        "Each programme was run animal by animal with its crew and the control as built. The mean is the rate over "
        f"many days; a day to come lies between the two ends {study.day.level * 100:.0f} times of 100."
    )


def _rates(studies: Sequence[Study]) -> Table:
    columns = (
        Column("Work", share=2),
        Column("Mean", "right"),
        Column("A day: at least", "right"),
        Column("at most", "right"),
        Column("What takes the time", share=3),
    )
    rows = tuple(
        (
            study.programme,
            _rate(study.mean.value, f"flow.{study.programme}.rate"),
            *(_rate(value, f"flow.{study.programme}.day") for value in (study.day.low, study.day.high)),
            _named(study),
        )
        for study in studies
    )
    return Table("rates", "", columns, rows)


def _rate(head_per_s: float, figure: str) -> Cell:
    return Quantity(head_per_s, "head rate", 3, figure=figure) if math.isfinite(head_per_s) else "not shown"


def _named(study: Study) -> str:
    return ", ".join(f"{what} {share * 100:.0f} %" for what, share in study.limits[:3] if share >= WORTH_NAMING)


def _clock(clock: Clock) -> str:
    counted = ", ".join(stop.replace("_", " ") for stop in clock.counts) or "no stops"
    return f"{clock.starts.replace('_', ' ')} to {clock.ends.replace('_', ' ')}, counting {counted}"


def _endings(study: Study) -> str:
    return ", ".join(f"{count} {ending}" for ending, count in sorted(Counter(study.result.endings).items()))


def _spread(study: Study) -> Plot:
    """How the rate differs from day to day, as shares of all runs."""
    rates = sorted(float(rate) * PER_HOUR for rate in head_rates(study.result, study.clock) if math.isfinite(rate))
    step = _round_step((rates[-1] - rates[0]) / BARS) if rates else 1.0
    counts = Counter(math.floor(rate / step) for rate in rates)
    places = range(min(counts, default=0), max(counts, default=0) + 1)
    middles = tuple((place + 0.5) * step for place in places)
    shares = tuple(100.0 * counts[place] / max(len(rates), 1) for place in places)
    return Plot(
        "rate-" + "-".join(study.programme.lower().split()),
        "How the rate differs from day to day",
        Axis("Rate", "head/h"),
        Axis("Share of days", "%"),
        (Curve("days", middles, shares, "bars"),),
        markers=(Marker("mean", study.mean.value * PER_HOUR, "x", "ink"),),
        alt=f"Rates of single days run from {rates[0]:.0f} to {rates[-1]:.0f} head an hour."
        if rates
        else "No run ended.",
        height_mm=48,
    )


def _round_step(least: float) -> float:
    """The smallest of 1, 2, 5, 10, 20, 50 ... that is not below."""
    power = 10.0 ** math.floor(math.log10(least)) if least > 0 else 1.0
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= least or step == 10.0)


def _ways(study: Study) -> Table:
    """How many go each way of the draft unit; the pens of the yard are made for the same shares."""
    rows = tuple(
        (
            way.replace("_", " ").capitalize(),
            Quantity(share, "share", 3, figure=f"flow.{study.programme}.way.{way}"),
        )
        for way, share in ways_taken(study.result.line)
    )
    columns = (Column("Way of the draft unit, from the left", share=4), Column("Animals", "right"))
    note = "By weight the lightest leave to the left; each animal's way is drawn with its weight."
    return Table(f"ways {study.programme}", "Where the animals go", columns, rows, note=note)


def _limits(study: Study) -> Table:
    name = f"flow.{study.programme}.limit"
    rows = tuple(
        (what[:1].upper() + what[1:], Quantity(share, "share", 2, figure=f"{name}.{what}"))
        for what, share in study.limits
    )
    columns = (Column("What takes the time of the place of work", share=4), Column("Share", "right"))
    return Table(f"limits {study.programme}", "", columns, rows)


def _stations(study: Study) -> Table:
    heads = ("Coming in", "Until done", "Waiting to leave", "Together", "Longest")
    rows: list[tuple[Cell, ...]] = []
    for found in stations(study.result):
        cell = RowCells(f"flow.{study.programme}.zone.{found.zone}", found)
        times = ("coming_s", "working_s", "waiting_s", "total_s", "longest_s")
        rows.append((found.zone.replace("_", " "), *(cell(time, 3, "s") for time in times)))
    columns = (Column("Zone", share=2), *(Column(head, "right") for head in heads))
    return Table(f"stations {study.programme}", "Mean time of an animal", columns, tuple(rows))


def _crew(study: Study) -> Table:
    uses, name = crew_use(study.result), f"flow.{study.programme}.crew"
    rows: list[tuple[Cell, ...]] = []
    for doing in uses[0].shares if uses else ():
        if any(use.shares[doing] >= WORTH_A_ROW for use in uses):
            shares = (Quantity(use.shares[doing], "share", 2, figure=f"{name}.{use.person}.{doing}") for use in uses)
            rows.append((doing[:1].upper() + doing[1:], *shares))
    rows.append(("Busy", *(Quantity(use.busy, "share", 2, figure=f"{name}.{use.person}.busy") for use in uses)))
    columns = (Column("What they do", share=2), *(Column(use.person, "right") for use in uses))
    return Table(f"crew {study.programme}", "How people spend their time", columns, tuple(rows), total=True)


def _variants(study: Study) -> Table:
    columns = (
        Column("If", share=3),
        Column("Mean", "right"),
        Column("Gain", "right"),
        Column("Gain lies between", "right"),
        Column("Remark", share=2),
    )
    name = f"flow.{study.programme}.change"
    rows = tuple(
        (
            variant.words,
            _rate(variant.mean.value, f"{name}.{variant.name}.rate") if variant.mean is not None else None,
            _signed(variant.gain, f"{name}.{variant.name}.gain"),
            _range(variant.gain, f"{name}.{variant.name}.gain"),
            variant.cannot,
        )
        for variant in (*((study.as_it_is,) if study.as_it_is else ()), *study.variants)
    )
    note = (
        "Every change was run on the same animals, people and days as the first row, from which gains are counted; "
        "the mean over all runs stands above."
    )
    return Table(f"changes {study.programme}", "What one change would bring", columns, rows, note=note)


def _signed(gain: Interval | None, figure: str) -> Cell:
    return Said(_gain(gain.value) + " head/h", figure) if gain is not None else ""


def _range(gain: Interval | None, figure: str) -> Cell:
    if gain is None or not math.isfinite(gain.low):
        return ""
    return Said(f"{_gain(gain.low)} and {_gain(gain.high)}", figure)


def _gain(head_per_s: float) -> str:
    return f"{head_per_s * PER_HOUR:+.1f}".replace("-", "\u2212")
