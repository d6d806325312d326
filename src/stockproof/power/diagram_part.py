"""Draws the column of one powered part in the circuit diagram, from the pressure line up to its cylinder."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stockproof.power.components import Component
from stockproof.power.model import Actuator, Circuit
from stockproof.power.symbols import COMPONENT, FLOW, FRAME, PILOT, WORDS
from stockproof.scene import Entity, Insert, Line, Polygon, Polyline, Text, text_width_mm

__all__ = [
    "CYLINDER_HIGH",
    "P_LINE",
    "SCALE",
    "TANK_X",
    "T_LINE",
    "WORD_MM",
    "Say",
    "cylinder_foot",
    "named",
    "part_column",
]

Say = Callable[[float, str], str]

#: Everything is laid out with a basic length of 10 mm and drawn at this share of it.
SCALE = 0.8
P_LINE, T_LINE = 68.0, 61.0
#: Heights above the tank of the components that every part has in the same place.
PRESSURE_Y, VALVE_Y, LINES_Y = 84.0, 104.0, 116.0
#: What each row of a part's working lines takes: lock valve, throttles, relief valve, bypass, cylinder.
LOCK_HIGH, THROTTLE_HIGH, RELIEF_HIGH, BYPASS_HIGH, CYLINDER_HIGH = 19.0, 17.0, 29.0, 8.0, 34.0
#: Half the distance of a part's two working lines.
APART = 8.0
#: From a part's middle to the line that takes its relief valves' oil to the tank.
TANK_X = 24.8
WORD_MM, SMALL_MM = 1.8, 1.6


def _rows(actuator: Actuator) -> tuple[tuple[str, float], ...]:
    """What stands in a part's working lines from its directional valve up to its cylinder, and how much it takes.

    A relief valve works behind what holds back the oil, or it would empty the store: the part's own behind its
    directional valve and the throttles that meter oil going in, a port relief behind the lock valve.
    """
    valve = actuator.valve
    own = () if valve.reduces else (("pressure", RELIEF_HIGH),)
    port = (("port_relief", RELIEF_HIGH),) if valve.lock_valve and valve.port_relief_pa else ()
    lock = (*own, ("lock", LOCK_HIGH)) if valve.lock_valve else ()
    bypass = (("bypass", BYPASS_HIGH),) if valve.bypass else ()
    return (*lock, ("throttles", THROTTLE_HIGH), *(() if valve.lock_valve else own), *port, *bypass)


def cylinder_foot(circuit: Circuit) -> float:
    """Height at which the lines of all parts enter their cylinders."""
    return LINES_Y + max((sum(high for _, high in _rows(actuator)) for actuator in circuit.actuators), default=0.0)


def part_column(actuator: Actuator, row: dict[str, Component], x: float, foot: float, say: Say) -> Iterator[Entity]:
    """One column: pressure valve, directional valve, what stands in both working lines, cylinder."""
    yield from _pressure_line(actuator, row, x, say)
    yield from _directional(actuator, row["valve"], x, say)
    port = VALVE_Y + 5.0
    for side in (-1.0, 1.0):
        near, line, bend = x + 2 * side, x + APART * side, port + 3.0
        yield Polyline(FLOW, ((near, port), (near, bend), (line, bend), (line, LINES_Y)))
    y = LINES_Y
    for name, high in _rows(actuator):
        match name:
            case "lock":
                yield from _lock(row[name], x, y, say)
            case "throttles":
                yield from _throttles(actuator, row, x, y, say)
            case "bypass":
                yield from _bypass(row[name], x, y, say)
            case _:
                yield from _relief(row[name], row["shuttle" if name == "pressure" else "port_shuttle"], x, y, say)
        y += high
    for side in (-1.0, 1.0):
        yield Line(FLOW, (x + APART * side, y), (x + APART * side, foot))
    yield from _cylinder(actuator, row["cylinder"], x, foot, say)


def _pressure_line(actuator: Actuator, row: dict[str, Component], x: float, say: Say) -> Iterator[Entity]:
    """From the pressure line to the directional valve, through the reducing valve where there is one, and back."""
    p, t = x - 2.0, x + 14.0
    valve_foot = VALVE_Y - 5.0
    yield Insert(FLOW, "DOT", (p, P_LINE))
    yield Polyline(FLOW, ((x + 2, valve_foot), (x + 2, valve_foot - 2.5), (t, valve_foot - 2.5), (t, T_LINE)))
    yield Insert(FLOW, "DOT", (t, T_LINE))
    if not actuator.valve.reduces:
        yield Line(FLOW, (p, P_LINE), (p, valve_foot))
        return
    yield Line(FLOW, (p, P_LINE), (p, PRESSURE_Y - 7.5))
    yield Insert(COMPONENT, "REDUCING", (p, PRESSURE_Y))
    yield Line(FLOW, (p, PRESSURE_Y + 7.5), (p, valve_foot))
    yield Polyline(PILOT, ((p + 9.5, PRESSURE_Y - 3), (p + 12.5, PRESSURE_Y - 3), (p + 12.5, T_LINE)))
    yield Insert(FLOW, "DOT", (p + 12.5, T_LINE))
    yield from named(row["pressure"], (x - 23.0, PRESSURE_Y + 0.5), say)


def _relief(relief: Component, shuttle: Component, x: float, y: float, say: Say) -> Iterator[Entity]:
    """A relief valve over a shuttle valve, so that it bounds whichever working line is under pressure; to tank."""
    left, right, tank = x - 14.0, x + 10.0, x + TANK_X
    middle, at, top = 0.5 * (left + right), y + 6.0, y + RELIEF_HIGH
    for line, wide in ((x - APART, left), (x + APART, right)):
        yield Polyline(
            FLOW, ((line, y), (line, y + 2), (wide, y + 2), (wide, top - 1.5), (line, top - 1.5), (line, top))
        )
    yield Insert(COMPONENT, "SHUTTLE", (middle, at))
    for wide, port in ((left, middle - 5.0), (right, middle + 5.0)):
        yield Insert(FLOW, "DOT", (wide, at))
        yield Line(FLOW, (wide, at), (port, at))
    valve = at + 10.5
    yield Line(FLOW, (middle, at + 2.5), (middle, valve - 7.5))
    yield Insert(COMPONENT, "RELIEF", (middle, valve))
    out = valve + 8.5
    yield Polyline(FLOW, ((middle, valve + 7.5), (middle, out), (tank, out), (tank, T_LINE)))
    yield Insert(FLOW, "DOT", (tank, T_LINE))
    yield from named(relief, (right + 1.8, valve - 1.0), say)
    yield from named(shuttle, (left - 8.5, at - 1.0), say)


def _bypass(row: Component, x: float, y: float, say: Say) -> Iterator[Entity]:
    """A hand valve, shut, between both working lines."""
    at = y + 0.5 * BYPASS_HIGH
    yield Insert(COMPONENT, "SHUT_OFF", (x, at), 1.5707963267948966)
    for side in (-1.0, 1.0):
        yield Line(FLOW, (x + APART * side, y), (x + APART * side, y + BYPASS_HIGH))
        yield Line(FLOW, (x + 5 * side, at), (x + APART * side, at))
        yield Insert(FLOW, "DOT", (x + APART * side, at))
    yield from named(row, (x + APART + 2.0, at - 1.0), say)


def _directional(actuator: Actuator, row: Component, x: float, say: Say) -> Iterator[Entity]:
    valve = actuator.valve
    centre = "two" if valve.undriven == "springs_back" else ("float" if valve.lock_valve else "closed")
    yield Insert(COMPONENT, f"VALVE_{valve.style.upper()}_{centre.upper()}", (x, VALVE_Y))
    yield from named(row, (x - 25.0, VALVE_Y + 9.0), say)
    names = {way: [d.name for d in actuator.drives if d.way == way and d.travel_share == 1.0] for way in (1, -1)}
    yield Text(WORDS, (x - 24.5, VALVE_Y - 8.5), "/".join(names[1]), SMALL_MM, condensed=True)
    yield Text(WORDS, (x + 8.8, VALVE_Y + 8.5), "/".join(names[-1]), SMALL_MM, condensed=True)


def _lock(row: Component, x: float, y: float, say: Say) -> Iterator[Entity]:
    """Two pilot-operated checks in one block: each line opens the other's check."""
    at = y + 10.0
    for side in (-1.0, 1.0):
        line, bend = x + APART * side, x - 2.0 * side
        yield Line(FLOW, (line, y), (line, at - 5))
        yield Insert(COMPONENT, "CHECK", (line, at))
        yield Line(FLOW, (line, at + 5), (line, y + LOCK_HIGH))
        foot = at - (7.0 if side < 0 else 5.5)
        yield Polyline(PILOT, ((line, foot), (bend, foot), (bend, at - 1), (x - 5.2 * side, at - 1)))
    yield Polygon(FRAME, ((x - 13, at - 8.5), (x + 13, at - 8.5), (x + 13, at + 5.5), (x - 13, at + 5.5)))
    yield from named(row, (x + 14.8, at - 1.0), say)


def _throttles(actuator: Actuator, row: dict[str, Component], x: float, y: float, say: Say) -> Iterator[Entity]:
    block = "ONE_WAY_THROTTLE" if actuator.valve.reduces else "ONE_WAY_THROTTLE_IN"
    at = y + 0.5 * THROTTLE_HIGH
    for side in (-1.0, 1.0):
        line = x + APART * side
        yield Line(FLOW, (line, y), (line, at - 7))
        yield Insert(COMPONENT, block, (line, at), mirrored=side < 0)
        yield Line(FLOW, (line, at + 7), (line, y + THROTTLE_HIGH))
    yield from named(row["throttle_cap"], (x - 25.5, at + 2.0), say)
    yield from named(row["throttle_rod"], (x + 17.0, at + 2.0), say)


def _cylinder(actuator: Actuator, row: Component, x: float, foot: float, say: Say) -> Iterator[Entity]:
    at = foot + 13.0
    yield Insert(COMPONENT, "CYLINDER_CUSHIONED" if actuator.cushion_m else "CYLINDER", (x, at))
    for start, port in ((-APART, -14.0), (APART, 10.0)):
        yield Polyline(FLOW, ((x + start, foot), (x + start, foot + 2), (x + port, foot + 2), (x + port, at - 7)))
    sizes = [say(fact.value, fact.dimension).removesuffix(" mm") for fact in row.facts]
    many = f"{actuator.count} of " if actuator.count > 1 else ""
    yield Text(WORDS, (x - 17.0, at + 12.5), actuator.part.replace("_", " "), 2.2, bold=True)
    yield from _tag(row.tag, (x - 17.0, at + 6.5))
    words = f"{many}{sizes[0]}/{sizes[1]} x {sizes[2]} mm"
    yield Text(WORDS, (x - 7.0, at + 7.3), words, SMALL_MM, condensed=True)


def named(row: Component, at: tuple[float, float], say: Say, *, align: str = "left") -> Iterator[Entity]:
    """A component's framed tag with its settings below it."""
    yield from _tag(row.tag, at)
    for k, fact in enumerate(row.facts):
        words = say(fact.value, fact.dimension)
        if words:
            yield Text(WORDS, (at[0], at[1] - 3.4 - 2.7 * k), words, SMALL_MM, condensed=True)


def _tag(tag: str, at: tuple[float, float]) -> Iterator[Entity]:
    """A tag in its frame; `at` is the lower left corner of the words."""
    x, y = at
    width = text_width_mm(tag, WORD_MM, condensed=True) / SCALE
    height = WORD_MM / SCALE
    frame = (
        (x - 0.7, y - 0.7),
        (x + width + 0.7, y - 0.7),
        (x + width + 0.7, y + height + 0.7),
        (x - 0.7, y + height + 0.7),
    )
    yield Polygon(WORDS, frame)
    yield Text(WORDS, (x, y), tag, WORD_MM, condensed=True)
