"""Circuit symbols as drawing blocks: shapes by ISO 1219-1 in a module of 2.5 mm, basic length 10 mm.

Every symbol is drawn for flow upward with its inlet below; proportions beyond the basic shapes are from
memory of the standard.
"""

from __future__ import annotations

from math import pi

from stockproof.scene import Arc, Block, Circle, Entity, Insert, Line, Polygon, Polyline, Text

__all__ = ["BLOCKS", "COMPONENT", "FLOW", "FRAME", "PILOT", "WORDS", "directional_valve"]

#: Layers by line type: components, working lines, pilot and drain lines, frames of assemblies, lettering.
COMPONENT, FLOW, PILOT, FRAME, WORDS = "COMPONENT", "LINE", "PILOT", "ASSEMBLY", "WORDS"


def _arrow(x0: float, y0: float, x1: float, y1: float, size: float = 2.0) -> tuple[Entity, ...]:
    """A flow arrow with a solid head at its end."""
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    base = (x1 - ux * size, y1 - uy * size)
    side = (-uy * size * 0.35, ux * size * 0.35)
    head = ((x1, y1), (base[0] + side[0], base[1] + side[1]), (base[0] - side[0], base[1] - side[1]))
    return (Line(COMPONENT, (x0, y0), base), Polygon(COMPONENT, head, "solid"))


def _square(x0: float, y0: float, x1: float, y1: float) -> Polygon:
    return Polygon(COMPONENT, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), "paper")


def _spring(x: float, y: float, way: float = 1.0, turns: int = 3) -> Polyline:
    """A zigzag along x from an envelope's side."""
    points = [(x, y)]
    for k in range(turns):
        points += [(x + way * (1.5 * k + 0.5), y + 1.5), (x + way * (1.5 * k + 1.25), y - 1.5)]
    return Polyline(COMPONENT, (*points, (x + way * 1.5 * turns, y)))


def _adjustable(x: float, y: float) -> tuple[Entity, ...]:
    return _arrow(x - 2.2, y - 3.0, x + 2.2, y + 3.0, 1.6)


def _tee(x: float, y: float, way: float) -> tuple[Entity, ...]:
    """A blocked port inside a valve's square."""
    return (
        Line(COMPONENT, (x, y), (x, y + way * 2.5)),
        Line(COMPONENT, (x - 1, y + way * 2.5), (x + 1, y + way * 2.5)),
    )


CHECK = Block(
    "CHECK",
    (
        Circle(COMPONENT, (0, 0), 1.7, "paper"),
        Polyline(COMPONENT, ((-2.4, 0), (0, -2.4), (2.4, 0))),
        Line(COMPONENT, (0, -5), (0, -2.4)),
        Line(COMPONENT, (0, 1.7), (0, 5)),
    ),
    "check valve",
)
SHUTTLE = Block(
    "SHUTTLE",
    (
        _square(-5, -2.5, 5, 2.5),
        Circle(COMPONENT, (-1.9, 0), 1.2, "paper"),
        Polyline(COMPONENT, ((-1.4, 1.9), (-3.3, 0), (-1.4, -1.9))),
        Polyline(COMPONENT, ((1.4, 1.9), (3.3, 0), (1.4, -1.9))),
        Line(COMPONENT, (-5, 0), (-3.3, 0)),
        Line(COMPONENT, (3.3, 0), (5, 0)),
        Line(COMPONENT, (0, 0.9), (0, 2.5)),
    ),
    "shuttle valve",
)
PUMP = Block(
    "PUMP",
    (
        Circle(COMPONENT, (0, 0), 5, "paper"),
        Polygon(COMPONENT, ((0, 5), (-2, 1.5), (2, 1.5)), "solid"),
        Line(COMPONENT, (5, 0.7), (10, 0.7)),
        Line(COMPONENT, (5, -0.7), (10, -0.7)),
        Arc(COMPONENT, (7.5, 0), 2.2, -0.35 * pi, 0.35 * pi),
    ),
    "fixed pump",
)
HAND_PUMP = Block(
    "HAND_PUMP",
    (
        Circle(COMPONENT, (0, 0), 5, "paper"),
        Polygon(COMPONENT, ((0, 5), (-2, 1.5), (2, 1.5)), "solid"),
        Line(COMPONENT, (5, 0), (8, 0)),
        Line(COMPONENT, (8, 0), (11, 5)),
        Circle(COMPONENT, (11, 5), 0.8, "solid"),
    ),
    "hand pump",
)
MOTOR = Block(
    "MOTOR",
    (
        Circle(COMPONENT, (0, 0), 5, "paper"),
        Text(COMPONENT, (0, 0), "M", 2.8, "centre", "middle"),
    ),
    "electric motor",
)
ENGINE = Block(
    "ENGINE",
    (_square(-5, -5, 5, 5), Text(COMPONENT, (0, 0), "M", 2.8, "centre", "middle")),
    "combustion engine",
)
RELIEF = Block(
    "RELIEF",
    (
        _square(-5, -5, 5, 5),
        *_arrow(1.5, -5, 1.5, 5),
        Polyline(PILOT, ((0, -6.5), (-7, -6.5), (-7, 0), (-5, 0))),
        _spring(5, 0),
        *_adjustable(7.2, 0),
        Line(COMPONENT, (0, -7.5), (0, -5)),
        Line(COMPONENT, (0, 5), (0, 7.5)),
    ),
    "relief valve",
)
UNLOADING = Block(
    "UNLOADING",
    (
        _square(-5, -5, 5, 5),
        *_arrow(1.5, -5, 1.5, 5),
        Line(PILOT, (-7.5, 0), (-5, 0)),
        _spring(5, 0),
        *_adjustable(7.2, 0),
        Line(COMPONENT, (0, -7.5), (0, -5)),
        Line(COMPONENT, (0, 5), (0, 7.5)),
    ),
    "unloading valve",
)
REDUCING = Block(
    "REDUCING",
    (
        _square(-5, -5, 5, 5),
        *_arrow(0, -5, 0, 5),
        Polyline(PILOT, ((0, 6.5), (-7, 6.5), (-7, 0), (-5, 0))),
        _spring(5, 0),
        *_adjustable(7.2, 0),
        Line(COMPONENT, (0, -7.5), (0, -5)),
        Line(COMPONENT, (0, 5), (0, 7.5)),
        Polyline(PILOT, ((5, -3), (9.5, -3))),
    ),
    "reducing valve",
)


def _accumulator(name: str, divider: tuple[Entity, ...], title: str) -> Block:
    body = (
        Arc(COMPONENT, (0, 11.5), 3.5, 0, pi),
        Arc(COMPONENT, (0, 3.5), 3.5, pi, 2 * pi),
        Line(COMPONENT, (-3.5, 3.5), (-3.5, 11.5)),
        Line(COMPONENT, (3.5, 3.5), (3.5, 11.5)),
        Polygon(COMPONENT, ((0, 12.2), (-1.4, 14.4), (1.4, 14.4)), "paper"),
    )
    return Block(name, (*body, *divider), title)


ACCUMULATORS = (
    _accumulator(
        "ACCUMULATOR_BLADDER", (Arc(COMPONENT, (0, 11.0), 4.95, 1.25 * pi, 1.75 * pi),), "bladder accumulator"
    ),
    _accumulator("ACCUMULATOR_PISTON", (Line(COMPONENT, (-3.5, 7.5), (3.5, 7.5)),), "piston accumulator"),
    _accumulator(
        "ACCUMULATOR_DIAPHRAGM", (Arc(COMPONENT, (0, 4.0), 4.95, 0.25 * pi, 0.75 * pi),), "diaphragm accumulator"
    ),
)
FILTER = Block(
    "FILTER",
    (
        Polygon(COMPONENT, ((0, -5), (5, 0), (0, 5), (-5, 0)), "paper"),
        Line(PILOT, (-5, 0), (5, 0)),
        Line(COMPONENT, (0, -7.5), (0, -5)),
        Line(COMPONENT, (0, 5), (0, 7.5)),
    ),
    "filter",
)
GAUGE = Block(
    "GAUGE",
    (Circle(COMPONENT, (0, 3.75), 3.75, "paper"), *_arrow(-1.8, 1.8, 1.8, 5.7, 1.6)),
    "pressure gauge",
)
SHUT_OFF = Block(
    "SHUT_OFF",
    (
        Polygon(COMPONENT, ((-2, -3), (2, -3), (0, 0)), "paper"),
        Polygon(COMPONENT, ((-2, 3), (2, 3), (0, 0)), "paper"),
        Line(COMPONENT, (0, -5), (0, -3)),
        Line(COMPONENT, (0, 3), (0, 5)),
    ),
    "shut-off valve",
)
#: A throttle with a check that lets oil pass freely upward: it meters oil that comes down from the cylinder.
ONE_WAY_THROTTLE = Block(
    "ONE_WAY_THROTTLE",
    (
        Line(COMPONENT, (0, -7), (0, 7)),
        Arc(COMPONENT, (-2.6, 0), 2.0, -0.3 * pi, 0.3 * pi),
        Arc(COMPONENT, (2.6, 0), 2.0, 0.7 * pi, 1.3 * pi),
        *_adjustable(0, 0),
        Polyline(COMPONENT, ((0, -6), (5.5, -6), (5.5, -5))),
        Polyline(COMPONENT, ((0, 6), (5.5, 6), (5.5, 5))),
        Insert(COMPONENT, "CHECK", (5.5, 0)),
    ),
    "one-way throttle",
)
#: The same with its check turned: it meters oil on its way to the cylinder.
ONE_WAY_THROTTLE_IN = Block(
    "ONE_WAY_THROTTLE_IN",
    (
        Line(COMPONENT, (0, -7), (0, 7)),
        Arc(COMPONENT, (-2.6, 0), 2.0, -0.3 * pi, 0.3 * pi),
        Arc(COMPONENT, (2.6, 0), 2.0, 0.7 * pi, 1.3 * pi),
        *_adjustable(0, 0),
        Polyline(COMPONENT, ((0, -6), (5.5, -6), (5.5, -5))),
        Polyline(COMPONENT, ((0, 6), (5.5, 6), (5.5, 5))),
        Insert(COMPONENT, "CHECK", (5.5, 0), pi),
    ),
    "one-way throttle",
)
CYLINDER = Block(
    "CYLINDER",
    (
        _square(-17, -4.5, 13, 4.5),
        Line(COMPONENT, (-9, -4.5), (-9, 4.5)),
        Line(COMPONENT, (-7.5, -4.5), (-7.5, 4.5)),
        Line(COMPONENT, (-7.5, 1), (19, 1)),
        Line(COMPONENT, (-7.5, -1), (19, -1)),
        Line(COMPONENT, (19, -1), (19, 1)),
        Line(COMPONENT, (-14, -4.5), (-14, -7)),
        Line(COMPONENT, (10, -4.5), (10, -7)),
    ),
    "double-acting cylinder",
)
CYLINDER_CUSHIONED = Block(
    "CYLINDER_CUSHIONED",
    (
        Insert(COMPONENT, "CYLINDER", (0, 0)),
        Polygon(COMPONENT, ((-11, -1.6), (-9, -1.6), (-9, 1.6), (-11, 1.6)), "paper"),
        Polygon(COMPONENT, ((-7.5, -1.6), (-5.5, -1.6), (-5.5, 1.6), (-7.5, 1.6)), "paper"),
        *_arrow(-12.0, -3.6, -8.0, 3.6, 1.4),
    ),
    "cylinder with adjustable cushions",
)
DOT = Block("DOT", (Circle(FLOW, (0, 0), 0.6, "solid"),), "joined lines")
TANK_END = Block("TANK_END", (Polyline(COMPONENT, ((-3, 2.5), (-3, 0), (3, 0), (3, 2.5))),), "line to tank")


def directional_valve(style: str, centre: str) -> Block:
    """A directional valve with two or three positions.

    Parameters
    ----------
    style : {'on_off', 'proportional', 'lever'}
        How it is worked.
    centre : {'closed', 'float', 'two'}
        Rest position: all ports blocked, or working ports to tank (for lock valves); `two` has no rest position.
    """
    squares: list[Entity] = [_square(-15, -5, -5, 5), _square(-5, -5, 5, 5)]
    straight = (*_arrow(-12, -5, -12, 5), *_arrow(-8, 5, -8, -5))
    if centre == "two":
        squares += [*straight, *_arrow(-2, -5, 2, 5), *_arrow(-2, 5, 2, -5)]
        right = 5.0
    else:
        squares += [_square(5, -5, 15, 5), *straight, *_arrow(8, -5, 12, 5), *_arrow(8, 5, 12, -5)]
        squares += _rest(centre)
        right = 15.0
    ends = _ends(style, right, single=centre == "two")
    return Block(f"VALVE_{style.upper()}_{centre.upper()}", (*squares, *ends), "directional valve")


def _rest(centre: str) -> tuple[Entity, ...]:
    if centre == "closed":
        return (*_tee(-2, -5, 1), *_tee(2, -5, 1), *_tee(-2, 5, -1), *_tee(2, 5, -1))
    return (
        *_tee(-2, -5, 1),
        Line(COMPONENT, (2, -5), (2, 1.5)),
        Polyline(COMPONENT, ((-2, 5), (-2, 1.5), (2, 1.5), (2, 5))),
        Circle(COMPONENT, (2, 1.5), 0.5, "solid"),
    )


def _ends(style: str, right: float, *, single: bool) -> tuple[Entity, ...]:
    """What works the valve at both ends: solenoids with springs behind, or a lever."""
    if style == "lever":
        lever = (Line(COMPONENT, (-15, 0), (-18, 0)), Line(COMPONENT, (-18, -2.5), (-18, 2.5)))
        return (
            *lever,
            Line(COMPONENT, (-18, 0), (-21, 3.5)),
            Circle(COMPONENT, (-21, 3.5), 0.8, "solid"),
            _spring(right, 0),
        )
    left = _solenoid(-15, -1)
    parts: tuple[Entity, ...] = (*left, _spring(-20, 0, -1, 2))
    parts += (_spring(right, 0),) if single else (*_solenoid(right, 1), _spring(right + 5, 0, 1, 2))
    if style == "proportional":
        parts += (Line(COMPONENT, (-15, 5.8), (right, 5.8)), Line(COMPONENT, (-15, -5.8), (right, -5.8)))
        parts += _arrow(-19.3, -2.2, -15.7, 2.2, 1.3)
        if not single:
            parts += _arrow(right + 0.7, -2.2, right + 4.3, 2.2, 1.3)
    return parts


def _solenoid(x: float, way: float) -> tuple[Entity, ...]:
    return (
        _square(min(x, x + 5 * way), -2.5, max(x, x + 5 * way), 2.5),
        Line(COMPONENT, (x + 1.5 * way, -2.5), (x + 3.5 * way, 2.5)),
    )


BLOCKS = (
    CHECK,
    SHUTTLE,
    PUMP,
    HAND_PUMP,
    MOTOR,
    ENGINE,
    RELIEF,
    UNLOADING,
    REDUCING,
    *ACCUMULATORS,
    FILTER,
    GAUGE,
    SHUT_OFF,
    ONE_WAY_THROTTLE,
    ONE_WAY_THROTTLE_IN,
    CYLINDER,
    CYLINDER_CUSHIONED,
    DOT,
    TANK_END,
    *(
        directional_valve(style, centre)
        for style in ("on_off", "proportional", "lever")
        for centre in ("closed", "float", "two")
    ),
)
