"""An invented yard to test with: eighty cows, a three-way draft unit, and sites of several shapes."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

from stockproof.yard import Finding, Yard, YardAsk, check, lay_out
from stockproof.yard.model import ControlPoint, Existing, Gateway, Held, MachineAsk, RaceAsk, SiteAsk, Truck

COWS = Held("cows", "cow", 80, 560.0, 680.0, 430.0, 2.4, 0.55)
MACHINE = MachineAsk(
    2.6,
    1.9,
    0.75,
    2.1,
    1800.0,
    2.4,
    1.2,
    3,
    (("entry", 0.0), ("squeeze", 1.3), ("bail", 2.6), ("draft", 3.8)),
)
CONTROLS = (
    ControlPoint("side panel", 1.0, ("entry", "squeeze", "bail")),
    ControlPoint("hand-held remote", None, ("entry", "draft")),
)
ROAD = Gateway("road gate", (0.0, 20.0), 5.0, ("stock", "truck"))
SITES = {
    "open": ((0, 0), (80, 0), (80, 60), (0, 60)),
    "ell": ((0, 0), (70, 0), (70, 28), (34, 28), (34, 60), (0, 60)),
    "narrow": ((0, 0), (95, 0), (95, 26), (0, 26)),
    "small": ((0, 0), (45, 0), (45, 38), (0, 38)),
    "tiny": ((0, 0), (25, 0), (25, 25), (0, 25)),
}
SHED = Existing("old shed", "shed", ((30.0, 20.0), (45.0, 20.0), (45.0, 32.0), (30.0, 32.0)), 4.0)


def site(name: str = "open", **changes: object) -> SiteAsk:
    ring = tuple((float(x), float(y)) for x, y in SITES[name])
    plain = SiteAsk(ring, 0.02, math.pi, (ROAD,), sun_bearing_rad=math.radians(80.0))
    return replace(plain, **changes)  # type: ignore[arg-type]


def ask(name: str = "open", **changes: object) -> YardAsk:
    plain = YardAsk(
        "sample",
        (COWS,),
        "cows",
        MACHINE,
        site(name),
        "arkansas",
        race=RaceAsk(length_m=11.0),
        truck=Truck(9.0, 2.5, 10.0, 1.2),
        control_points=CONTROLS,
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


@cache
def laid_out(wanted: YardAsk) -> Yard:
    return lay_out(wanted)


@cache
def judged(wanted: YardAsk) -> tuple[Finding, ...]:
    return check(laid_out(wanted))


def findings(wanted: YardAsk, code: str) -> list[Finding]:
    return [finding for finding in judged(wanted) if finding.code == code]
