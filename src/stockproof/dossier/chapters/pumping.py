"""A working day of the pack, replayed with the full model: whether the law held, pressures, oil, energy, holds."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.dossier.chapters.cells import RowCells
from stockproof.dossier.display import percent
from stockproof.power import DutyResult
from stockproof.power.replay import TOLERANCE
from stockproof.proof import Rooms
from stockproof.scene.pages import (
    Axis,
    Cell,
    Column,
    Curve,
    Facts,
    Marker,
    Paragraph,
    Part,
    Plot,
    Said,
    Section,
    Table,
)

__all__ = ["hardest_day"]

AGREES = "The replay agrees with the day's run within the stated tolerance."
DISAGREES = "The replay disagrees with the day's run beyond the stated tolerance: what rests on it is not shown."
TOO_HOT = (
    "The oil grows hotter than the pump should run on: a cooler, a larger tank, or oil of a thicker grade. The heat of "
    "hoses, block and cylinders is left out, so the true oil is somewhat cooler."
)


def hardest_day(rooms: Rooms) -> Iterator[Section]:
    """Give the day that moves most oil, where days were replayed at all."""
    if rooms.duties:
        programme = max(rooms.duties, key=lambda name: rooms.duties[name].oil_m3)
        yield from _day(programme, rooms.duties[programme])


def _day(programme: str, duty: DutyResult) -> Iterator[Section]:
    """Give a working day of the pack, replayed with the full model, and its first hour as curves."""
    name = f"power.day.{programme}"
    words = f"{AGREES if duty.agrees else DISAGREES} {_furthest(duty)}{TOLERANCE}"
    parts: list[Part] = [Paragraph(words), _facts(name, duty), _by_motion(name, duty)]
    if duty.holds:
        parts.append(_holds(name, duty))
    parts += [_pressures(duty)]
    if _has_store(duty):
        parts.append(_stored(duty))
    parts.append(_oil(duty))
    if duty.oil.too_hot:
        parts.append(Paragraph(TOO_HOT))
    yield Section("A day of the pack", tuple(parts), level=2)


def _furthest(duty: DutyResult) -> str:
    worst = duty.worst_motion
    if duty.agrees or worst is None:
        return ""
    return f"Furthest off is {worst.motion}: {worst.law_s:.2f} s in the day's run, {worst.replay_s:.2f} s replayed. "


def _facts(name: str, duty: DutyResult) -> Facts:
    day, oil = RowCells(name, duty), RowCells(f"{name}.oil", duty.oil)
    return Facts(
        (
            ("Motions replayed", day("motions")),
            ("Not arrived in time", day("unfinished")),
            ("Mean time of a motion in the day's run", day("law_mean_s")),
            ("Replayed", day("replay_mean_s")),
            ("Disagreement of the means", day("disagreement_share", 2)),
            ("Disagreement 95 in a hundred motions keep within", day("widest_share", 2)),
            ("Pump delivers", day("loaded_share", 2)),
            ("Loaded", Said(f"{duty.loadings_per_h:.0f} times an hour", f"{name}.loadings")),
            ("Largest draw", day("peak_flow_m3_per_s")),
            *((("Lowest pressure in the store", day("lowest_pa")),) if _has_store(duty) else ()),
            ("Oil at the end of the day", oil("end_degc")),
            ("Oil if the day never ended", oil("steady_degc")),
            ("Oil as thin as the pump should run on", oil("limit_degc")),
            ("Heat a cooler would have to take off", oil("cooling_w") if duty.oil.cooling_w else "none"),
            ("Energy at the shaft", _kwh(duty.shaft_j, f"{name}.shaft")),
            *_carrier(name, duty),
        )
    )


def _carrier(name: str, duty: DutyResult) -> tuple[tuple[str, Cell], ...]:
    """What the day takes from the outlet or the petrol can, and what an engine would burn instead."""
    day = RowCells(name, duty)
    if duty.fuel_kg:
        return (("Petrol of the day", day("fuel_kg")),)
    return (
        ("Energy from the outlet", _kwh(duty.electric_j, f"{name}.electric")),
        ("Petrol, if an engine turned the pump", day("engine_fuel_kg")),
    )


def _kwh(energy_j: float, figure: str) -> Cell:
    return Said(f"{energy_j / 3.6e6:.3g} kWh", figure)


def _by_motion(name: str, duty: DutyResult) -> Table:
    columns = (
        Column("Motion", share=2),
        Column("Times", "right"),
        Column("In the day's run", "right"),
        Column("Replayed", "right"),
        Column("Off by", "right"),
    )
    rows = tuple(
        (
            row.motion,
            *(cell(field) for field in ("count", "law_s", "replay_s")),
            Said(percent(row.off_share, signed=True), f"{cell.name}.off"),
        )
        for row in duty.by_motion
        for cell in [RowCells(f"{name}.motion.{row.motion}", row)]
    )
    return Table("replay by motion", "Mean time of each motion, in the day's run and replayed", columns, rows)


def _holds(name: str, duty: DutyResult) -> Table:
    columns = (
        Column("Part", share=2),
        Column("Times", "right"),
        Column("Half of them no longer than", "right"),
        Column("Longest", "right"),
    )
    rows = tuple(
        (row.part, *(cell(field) for field in ("count", "median_s", "longest_s")))
        for row in duty.holds
        for cell in [RowCells(f"{name}.hold.{row.part}", row)]
    )
    return Table("hold times", "How long parts that press on animals stood closed, held or not", columns, rows)


def _has_store(duty: DutyResult) -> bool:
    return bool(duty.curve.stored_m3.any())


def _minutes(duty: DutyResult) -> tuple[float, ...]:
    return tuple(float(t) / 60 for t in duty.curve.time_s)


def _pressures(duty: DutyResult) -> Plot:
    gas, manifold = (tuple(float(p) / 1e5 for p in run) for run in (duty.curve.gas_pa, duty.curve.manifold_pa))
    if not _has_store(duty):
        return Plot(
            "pressure-first-hour",
            "Pressure over the first working hour, once a second; there is no store",
            Axis("Time", "min"),
            Axis("Pressure", "bar", low=0.0),
            (Curve("manifold", _minutes(duty), manifold),),
            alt="The manifold has pressure while a part is driven, and none between.",
        )
    return Plot(
        "pressure-first-hour",
        f"Pressure over the first working hour; the lowest of the day is {duty.lowest_pa / 1e5:.0f} bar",
        Axis("Time", "min"),
        Axis("Pressure", "bar"),
        (Curve("manifold", _minutes(duty), manifold, role="steel"), Curve("store", _minutes(duty), gas)),
        alt=f"The store's pressure falls no lower than {duty.lowest_pa / 1e5:.0f} bar in the first hour.",
    )


def _stored(duty: DutyResult) -> Plot:
    litres = tuple(float(oil) * 1e3 for oil in duty.curve.stored_m3)
    return Plot(
        "oil-stored-first-hour",
        f"Oil in the store over the first working hour; the least of the day is {duty.lowest_m3 * 1e3:.1f} L",
        Axis("Time", "min"),
        Axis("Oil stored", "L", low=0.0),
        (Curve("oil stored", _minutes(duty), litres),),
        alt=f"The store holds at least {duty.lowest_m3 * 1e3:.1f} litres all day.",
        height_mm=45.0,
    )


def _oil(duty: DutyResult) -> Plot:
    oil = duty.oil
    hours, degrees = tuple(float(t) / 3600 for t in oil.time_s), tuple(float(t) for t in oil.oil_degc)
    return Plot(
        "oil-temperature",
        "Oil temperature over the day, from the temperature of the air",
        Axis("Time", "h"),
        Axis("Oil", "°C"),
        (Curve("oil", hours, degrees),),
        markers=(Marker("as thin as the pump should run on", oil.limit_degc),),
        alt=f"The oil ends the day at {oil.end_degc:.0f} degrees; {oil.limit_degc:.0f} is where it is too thin.",
        height_mm=45.0,
    )
