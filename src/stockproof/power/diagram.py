"""Draws the circuit diagram: supply on the left, a column a part, everything at rest and without power.

Symbols by ISO 1219-1, numbers by ISO 1219-2 (`components`). Flow runs upward from the tank.
"""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.power.components import Component, components
from stockproof.power.diagram_part import (
    CYLINDER_HIGH,
    P_LINE,
    SCALE,
    T_LINE,
    TANK_X,
    WORD_MM,
    Say,
    cylinder_foot,
    named,
    part_column,
)
from stockproof.power.model import Circuit
from stockproof.power.symbols import BLOCKS, COMPONENT, FLOW, FRAME, PILOT, WORDS
from stockproof.scene import (
    Box,
    Drawing,
    Entity,
    Insert,
    Layer,
    Line,
    Polygon,
    Polyline,
    Scene,
    Sheet,
    Text,
    TitleBlock,
    fit_view,
)
from stockproof.units import DIMENSIONS, show

__all__ = ["diagram", "diagram_scene"]

LAYERS = (
    Layer(COMPONENT, "ink", 0.35, title="Component"),
    Layer(FLOW, "ink", 0.5, title="Pressure, return and working line"),
    Layer(PILOT, "steel", 0.25, (2.0, 1.0), title="Pilot and drain line"),
    Layer(FRAME, "steel", 0.25, (4.0, 1.0, 0.6, 1.0), title="Assembly in one block"),
    Layer(WORDS, "ink", 0.25),
)
PACK_WIDTH, PITCH = 112.0, 52.0
BOTTOM, TANK = -6.0, 4.0
#: Units a dimension is printed in on the sheet; pressure follows the market.
UNITS = {"volume": "L", "flow": "L/min", "power": "kW", "length": "mm"}


def diagram(circuit: Circuit, title: TitleBlock, *, pressure_unit: str = "bar") -> Drawing:
    """Give the circuit diagram as a drawing at full size, on A3 or the next sheet it fits."""
    scene, window = diagram_scene(circuit, pressure_unit=pressure_unit)
    notes = (
        "Drawn at rest, without power and without pressure. Circuit 1 is the supply.",
        "Stored energy: vent the accumulator and lock off the supply before work on the circuit.",
        "Pressure equipment is inspected and set by people licensed for it; local codes go first.",
    )
    for size in ("A3", "A2", "A1"):
        sheet = Sheet(size, title, notes)
        room = sheet.room
        if window.width <= room.width and window.height + 9.0 <= room.height:
            break
    return Drawing("hydraulics", sheet, (fit_view(scene, window, room, "Hydraulic circuit"),))


def diagram_scene(circuit: Circuit, *, pressure_unit: str = "bar") -> tuple[Scene, Box]:
    """Give the scene of the circuit diagram in mm of paper, and the window that holds it."""
    say = _say(pressure_unit)
    listed = components(circuit)
    supply = {row.role: row for row in listed if not row.part}
    entities = [*_supply(circuit, supply, say)]
    for n, actuator in enumerate(circuit.actuators):
        mine = {row.role: row for row in listed if row.part == actuator.part}
        entities += part_column(actuator, mine, PACK_WIDTH + PITCH * (n + 0.5), cylinder_foot(circuit), say)
    right, top = PACK_WIDTH + PITCH * len(circuit.actuators), cylinder_foot(circuit) + CYLINDER_HIGH
    entities += _buses(circuit, right)
    scene = Scene("mm", LAYERS, tuple(_scaled(entity) for entity in entities), BLOCKS)
    window = Box(-14.0 * SCALE, BOTTOM * SCALE, (right + 2.0) * SCALE, top * SCALE)
    return scene, window


def _say(pressure_unit: str) -> Say:
    units = {**UNITS, "pressure": pressure_unit}

    def say(value: float, dimension: str) -> str:
        unit = "cm3" if dimension == "volume" and value < 2e-4 else units[dimension]
        return show(value, unit, DIMENSIONS[dimension], 3)

    return say


def _buses(circuit: Circuit, right: float) -> Iterator[Entity]:
    """Pressure and return line along all parts."""
    first = 20.0
    yield Line(FLOW, (first, P_LINE), (right - 0.5 * PITCH - 2.0, P_LINE))
    yield Line(FLOW, (100.0, T_LINE), (right - 0.5 * PITCH + TANK_X, T_LINE))
    yield Text(WORDS, (PACK_WIDTH - 2.0, P_LINE + 1.0), "P", WORD_MM, bold=True)
    yield Text(WORDS, (PACK_WIDTH - 2.0, T_LINE + 1.0), "T", WORD_MM, bold=True)


def _supply(circuit: Circuit, row: dict[str, Component], say: Say) -> Iterator[Entity]:
    yield from _tank(row["tank"], say)
    yield from _pump(circuit, row, say)
    yield from _return(row["filter"])
    yield Insert(COMPONENT, "GAUGE", (36.0, P_LINE + 3.0))
    yield Line(FLOW, (36.0, P_LINE), (36.0, P_LINE + 3.0))
    yield Insert(FLOW, "DOT", (36.0, P_LINE))
    yield from named(row["gauge"], (41.0, P_LINE + 9.0), say)
    if "accumulator" in row:
        yield from _store(circuit, row, say)
    if "hand_pump" in row:
        yield from _hand_pump(row, say)


def _tank(tank: Component, say: Say) -> Iterator[Entity]:
    yield Polyline(COMPONENT, ((-10, TANK + 8), (-10, TANK - 6), (108, TANK - 6), (108, TANK + 8)))
    yield Line(PILOT, (-10, TANK + 4), (108, TANK + 4))
    yield from named(tank, (32.0, TANK - 1.5), say)


def _pump(circuit: Circuit, row: dict[str, Component], say: Say) -> Iterator[Entity]:
    """Pump, its driver, relief to the left, unloading to the right, check up to the pressure line."""
    x, y = 20.0, 30.0
    yield Line(FLOW, (x, TANK - 3), (x, y - 5))
    yield Insert(COMPONENT, "PUMP", (x, y))
    yield Insert(COMPONENT, "ENGINE" if circuit.pack.drive == "petrol" else "MOTOR", (x + 15, y))
    yield Polyline(FLOW, ((x, y + 5), (x, 51)))
    yield Insert(COMPONENT, "CHECK", (x, 56))
    yield Line(FLOW, (x, 61), (x, P_LINE))
    yield Insert(FLOW, "DOT", (x, 41))
    yield Polyline(FLOW, ((x, 41), (2, 41), (2, 42.5)))
    yield Insert(COMPONENT, "RELIEF", (2, 50))
    yield Polyline(FLOW, ((2, 57.5), (2, 59), (-8, 59), (-8, TANK - 3)))
    yield Polyline(FLOW, ((x, 41), (48, 41), (48, 42.5)))
    yield Insert(COMPONENT, "UNLOADING", (48, 50))
    if circuit.accumulator is not None:
        yield Polyline(PILOT, ((40.5, 50), (30, 50), (30, P_LINE)))
        yield Insert(FLOW, "DOT", (30, P_LINE))
    yield Polyline(FLOW, ((48, 57.5), (48, 59), (62, 59), (62, TANK - 3)))
    yield from named(row["pump"], (6.0, 24.0), say, align="left")
    yield from named(row["driver"], (x + 21.5, 31.0), say)
    yield from named(row["relief"], (-6.0, 34.0), say)
    yield from named(row["unloading"], (32.0, 62.5), say)
    yield from named(row["check"], (8.0, 62.0), say)


def _return(row: Component) -> Iterator[Entity]:
    """Return filter with its bypass between the return line and the tank."""
    x, y = 100.0, 38.0
    yield Line(FLOW, (x, T_LINE), (x, y + 7.5))
    yield Insert(COMPONENT, "FILTER", (x, y))
    yield Line(FLOW, (x, y - 7.5), (x, TANK - 3))
    yield Polyline(COMPONENT, ((x, y + 6.5), (x - 8, y + 6.5), (x - 8, y + 5)))
    yield Insert(COMPONENT, "CHECK", (x - 8, y), 3.141592653589793)
    yield Polyline(COMPONENT, ((x - 8, y - 5), (x - 8, y - 6.5), (x, y - 6.5)))
    yield from named(row, (x + 1.5, y - 12.0), lambda value, dimension: "")


def _store(circuit: Circuit, row: dict[str, Component], say: Say) -> Iterator[Entity]:
    """Accumulator behind its shut-off, with vent and safety valve to the return line."""
    x = 64.0
    style = circuit.accumulator.style.upper() if circuit.accumulator else "BLADDER"
    yield Insert(FLOW, "DOT", (x, P_LINE))
    yield Line(FLOW, (x, P_LINE), (x, 72))
    yield Insert(COMPONENT, "SHUT_OFF", (x, 77))
    yield Line(FLOW, (x, 82), (x, 101))
    yield Insert(COMPONENT, f"ACCUMULATOR_{style}", (x, 101))
    yield Insert(FLOW, "DOT", (x, 86))
    yield Polyline(FLOW, ((x, 86), (78, 86), (78, 84)))
    yield Insert(COMPONENT, "SHUT_OFF", (78, 79))
    yield Line(FLOW, (78, 74), (78, T_LINE))
    yield Insert(FLOW, "DOT", (x, 97))
    yield Polyline(FLOW, ((x, 97), (92, 97), (92, 99.5)))
    yield Insert(COMPONENT, "RELIEF", (92, 107))
    yield Polyline(FLOW, ((92, 114.5), (92, 117), (106, 117), (106, T_LINE)))
    yield Line(FLOW, (78, T_LINE), (100, T_LINE))
    yield Insert(FLOW, "DOT", (106, T_LINE))
    yield from named(row["accumulator"], (46.0, 109.0), say)
    yield from named(row["shut_off"], (52.0, 76.0), say)
    yield from named(row["vent"], (82.0, 78.0), say)
    yield from named(row["safety"], (76.0, 126.0), say)


def _hand_pump(row: dict[str, Component], say: Say) -> Iterator[Entity]:
    x, y = 74.0, 30.0
    yield Line(FLOW, (x, TANK - 3), (x, y - 5))
    yield Insert(COMPONENT, "HAND_PUMP", (x, y))
    yield Line(FLOW, (x, y + 5), (x, 43))
    yield Insert(COMPONENT, "CHECK", (x, 48))
    yield Line(FLOW, (x, 53), (x, P_LINE))
    yield Insert(FLOW, "DOT", (x, P_LINE))
    yield from named(row["hand_pump"], (76.0, 20.0), say)
    yield from named(row["hand_check"], (77.5, 47.0), say)


def _scaled(entity: Entity) -> Entity:
    """Shrink an entity's place and size to the drawn basic length; lettering keeps its height."""
    match entity:
        case Insert():
            at = (entity.at[0] * SCALE, entity.at[1] * SCALE)
            return Insert(entity.layer, entity.block, at, entity.rotation_rad, SCALE, entity.mirrored, entity.tag)
        case Line():
            return Line(entity.layer, _point(entity.a), _point(entity.b), entity.tag)
        case Polyline():
            return Polyline(entity.layer, tuple(_point(point) for point in entity.points), entity.tag)
        case Polygon():
            return Polygon(entity.layer, tuple(_point(point) for point in entity.points), entity.fill, tag=entity.tag)
        case Text():
            return Text(
                entity.layer,
                _point(entity.at),
                entity.text,
                entity.height_mm,
                entity.align,
                entity.level,
                condensed=entity.condensed,
                bold=entity.bold,
            )
        case _:
            return entity


def _point(point: tuple[float, float]) -> tuple[float, float]:
    return point[0] * SCALE, point[1] * SCALE
