"""Lays out the standard line - forcing pen, race, crush, draft unit - as descriptions of zones, ways and spaces.

The parts say what is there; the shape of the line follows from them. Names are fixed words (`entry`, `bail`,
`squeeze`, `lift`, `slide`, `draft`, `draft2`, `rear_access`, `rear_lock`, `side_access`, `neck_access`), so that
control rules can speak of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stockproof.plant.compile import (
    Described,
    DescribedBoundary,
    DescribedMotion,
    DescribedPart,
    DescribedSensor,
    DescribedSpace,
)
from stockproof.plant.model import PartKind, Position, SpaceKind, Zone, ZoneKind

__all__ = ["Line", "describe", "ways_of"]


@dataclass(frozen=True, slots=True)
class Line:
    """What the line is made of.

    Parameters
    ----------
    pen_places, race_places : int
        Head in the forcing pen at once; places in single file before the crush, all of them together.
    parts, motions, sensors
        See `plant.compile`. Gates across the race are named `slide`, `slide2` ... counting from the crush; each
        keeps one animal ready before it.
    ways : int
        Ways of the draft unit, 0 where there is none.
    weighed : bool
        A weigh platform lies under the crush.
    reset_view : tuple of str
        Access gates with a reset button outside that has a view of the space.
    """

    pen_places: int
    race_places: int
    parts: tuple[DescribedPart, ...]
    motions: tuple[DescribedMotion, ...] = ()
    sensors: tuple[DescribedSensor, ...] = ()
    ways: int = 0
    weighed: bool = False
    reset_view: tuple[str, ...] = ()

    def has(self, name: str) -> bool:
        return any(part.name == name for part in self.parts)


def describe(line: Line) -> Described:
    """Give the descriptions a plant is compiled from."""
    zones = tuple(_zones(line))
    return Described(
        zones=zones,
        boundaries=tuple(_boundaries(line, zones)),
        parts=line.parts,
        motions=line.motions,
        sensors=line.sensors,
        spaces=tuple(_spaces(line)),
        weighed_zone="crush" if line.weighed else "",
    )


def ways_of(count: int) -> dict[str, tuple[tuple[str, Position], ...]]:
    """Give each way of a draft unit with the gate positions that lead to it; `draft2` stands in the right way."""
    left, straight, right = Position.CLOSED, Position.MID, Position.OPEN
    if count <= 3:
        names = {2: ("left", "right"), 3: ("left", "straight", "right")}.get(count, ())
        places = {"left": left, "straight": straight, "right": right}
        return {name: (("draft", places[name]),) for name in names}
    far = {4: ("left", "right"), 5: ("left", "straight", "right")}[count]
    near: dict[str, tuple[tuple[str, Position], ...]] = {
        "left": (("draft", left),),
        "straight": (("draft", straight),),
    }
    places = {"left": left, "straight": straight, "right": right}
    return near | {f"right_{name}": (("draft", right), ("draft2", places[name])) for name in far}


def _slides(line: Line) -> list[str]:
    """Gates across the race from the pen to the crush."""
    return [f"slide{k}" if k > 1 else "slide" for k in range(9, 0, -1) if line.has(f"slide{k}" if k > 1 else "slide")]


def _zones(line: Line) -> Iterator[Zone]:
    slides = _slides(line)
    yield Zone("pen", "the forcing pen", ZoneKind.PEN, line.pen_places)
    yield Zone("race", "the race", ZoneKind.RACE, max(1, line.race_places - len(slides)))
    for slide in slides:
        yield Zone(
            _ready(slide), f"the place before the {'crush' if slide == 'slide' else 'next gate'}", ZoneKind.RACE, 1
        )
    yield Zone("crush", "the crush", ZoneKind.CRUSH, 1)
    if line.ways:
        yield Zone("draft", "the draft unit", ZoneKind.DRAFT, 1)
        for way in ways_of(line.ways):
            yield Zone(f"way_{way}", f"the {way.replace('_', ' ')} pen", ZoneKind.WAY, 1_000_000)
    else:
        yield Zone("out", "the yard beyond the crush", ZoneKind.WAY, 1_000_000)


def _ready(slide: str) -> str:
    return slide.replace("slide", "ready")


def _boundaries(line: Line, zones: tuple[Zone, ...]) -> Iterator[DescribedBoundary]:
    race = [zone.name for zone in zones if zone.kind == ZoneKind.RACE]
    yield DescribedBoundary("mouth", "the mouth of the race", "pen", "race")
    for slide, source, target in zip(_slides(line), race, race[1:], strict=False):
        yield _gateway(line, slide, source, target)
    yield _gateway(line, "entry", race[-1], "crush")
    yield _gateway(line, "bail", "crush", "draft" if line.ways else "out")
    for way, needs in ways_of(line.ways).items() if line.ways else ():
        yield DescribedBoundary(
            f"to_{way}", f"the {way.replace('_', ' ')} way", "draft", f"way_{way}", needs, one_way=True
        )


def _gateway(line: Line, part: str, source: str, target: str) -> DescribedBoundary:
    labels = {p.name: p.label for p in line.parts}
    needs = ((part, Position.OPEN),) if part in labels else ()
    return DescribedBoundary(part, labels.get(part, f"the way into {target}"), source, target, needs, part == "bail")


def _spaces(line: Line) -> Iterator[DescribedSpace]:
    motions = {f"{motion.part}.{motion.direction}" for motion in line.motions}

    def of(*parts: str) -> tuple[str, ...]:
        return tuple(sorted(name for name in motions if name.split(".")[0] in parts))

    for part in line.parts:
        if part.kind != PartKind.ACCESS:
            continue
        view = part.name in line.reset_view
        if part.name.startswith("rear_access"):
            yield DescribedSpace(
                "rear", "behind the animal", SpaceKind.WHOLE_BODY, part.name, "crush", of("entry"), ("entry",), view
            )
        elif part.name.startswith("neck_access"):
            reached = of("bail", "lift")
            yield DescribedSpace("neck", "at the neck", SpaceKind.REACH, part.name, "crush", reached, (), view)
        else:
            reached = of("squeeze")
            yield DescribedSpace(
                part.name.replace("access", "reach"),
                "at the flank",
                SpaceKind.REACH,
                part.name,
                "crush",
                reached,
                (),
                view,
            )
    if not line.ways:
        reached = of("bail", "lift")
        yield DescribedSpace("front", "in front of the bail", SpaceKind.OUTSIDE, "", "", reached)
