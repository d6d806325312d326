"""What speaks against a circuit beside the promises: what was found, its limit, and what would mend it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import nan, sqrt

from stockproof.power.card import setting_for
from stockproof.power.forces import PartForces
from stockproof.power.hoses import HoseRow, Suction
from stockproof.power.model import Actuator, Circuit
from stockproof.power.supply import EngineOption
from stockproof.power.tank import Tank

__all__ = ["Finding", "findings"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that speaks against a circuit.

    Parameters
    ----------
    code : str
        Stable short name.
    what : str
        What was found, in words.
    found, limit : float
        The value and what it is held against; not a number where it is no matter of numbers.
    dimension : str
        Of both; empty where there is none.
    found_figure, limit_figure : str
        Figures of the ledger that hold them.
    mend : str
        What would mend it.
    enough : float
        How much of that would be enough; not a number where it cannot be said in one.
    enough_dimension : str
        Its dimension.
    """

    code: str
    what: str
    found: float
    limit: float
    dimension: str
    found_figure: str
    limit_figure: str
    mend: str
    enough: float = nan
    enough_dimension: str = ""


def findings(
    circuit: Circuit,
    *,
    forces: Sequence[PartForces],
    hoses: Sequence[HoseRow],
    suction: Suction,
    tank: Tank,
    engine: EngineOption | None,
    store_problems: Sequence[str],
    replayed: bool,
) -> tuple[Finding, ...]:
    """Give everything that speaks against a circuit, what presses on an animal first.

    `replayed`: whether the largest draw is that of a day's run.
    """
    return (
        *(each for part in forces for each in _pads(circuit.actuator(part.part), part)),
        *_drive(circuit, engine),
        *(_hose(row, replayed) for row in hoses if not row.within),
        *_oil(suction, tank),
        *(
            _said(f"store.{number}", words, "another accumulator or precharge")
            for number, words in enumerate(store_problems, 1)
        ),
    )


def _pads(actuator: Actuator, part: PartForces) -> Iterator[Finding]:
    for pad in part.pads:
        if pad.within:
            continue
        area = next(one for one in actuator.pads if one.touches == pad.touches)
        enough = setting_for(actuator, pad.limit_pa * area.area_m2 / area.share)
        possible = enough >= actuator.valve.setting_min_pa
        how = "as set for its time" if possible else "even at the lowest setting of its valve"
        name = f"power.force.{actuator.part}.on_{pad.touches}"
        yield Finding(
            f"pad.{actuator.part}.{pad.touches}",
            f"the {actuator.part.replace('_', ' ')} presses more on the {pad.touches} than the stated limit, {how}",
            pad.at_rest_pa,
            pad.limit_pa,
            "pressure",
            f"{name}.pressure",
            f"power.{pad.touches}_pressure_limit",
            "a slower motion at a setting of at most"
            if possible
            else "larger pads, cylinders of less bore, or a valve that can be set down to",
            enough,
            "pressure",
        )


def _drive(circuit: Circuit, engine: EngineOption | None) -> Iterator[Finding]:
    if circuit.pack.drive != "petrol" and not circuit.outlets:
        what = f"the brief names no outlet, so nothing is shown of what feeds {circuit.pack.label}"
        yield _said("no_outlet", what, "state the outlet in the brief (site.supply), or build a pack with an engine")
    if engine is not None and not engine.carries:
        yield Finding(
            "engine",
            "the engine has less power left at this height and heat than the pump asks at cut-out",
            engine.power_left_w,
            engine.power_needed_w,
            "power",
            "power.engine.power_left",
            "power.engine.power_needed",
            "a larger engine, or a lower cut-out",
        )


def _hose(row: HoseRow, replayed: bool) -> Finding:
    name = f"power.line.{row.name}"
    once = "" if replayed or row.duty == "suction" else "; taken from every part at once, since no day was replayed"
    return Finding(
        f"line.{row.name}",
        f"the oil runs quicker through the {row.name} than is usual: it heats, and the line chatters and wears{once}",
        row.velocity_m_per_s,
        row.guide_m_per_s,
        "speed",
        f"{name}.velocity",
        f"{name}.guide",
        "a bore of at least",
        row.bore_m * sqrt(row.velocity_m_per_s / row.guide_m_per_s),
        "length",
    )


def _oil(suction: Suction, tank: Tank) -> Iterator[Finding]:
    if suction.inlet_pa < suction.least_pa:
        figures = ("power.suction.inlet", "power.suction.least")
        what = "the pump draws too hard on the coldest morning"
        mend = "a thinner oil grade, a wider suction line, or warming the tank"
        yield Finding("suction", what, suction.inlet_pa, suction.least_pa, "pressure", *figures, mend)
    if suction.viscosity_m2_per_s > suction.viscosity_limit_m2_per_s:
        yield _said(
            "viscosity",
            "the oil is too thick for the pump to start with on the coldest morning",
            "a thinner oil grade, or warming the tank",
        )
    if not tank.within:
        figures = ("power.tank.left", "power.tank.needed")
        what = "the tank runs low with the store full and every rod out"
        mend = "a tank that holds"
        enough = tank.usable_m3 + tank.needed_m3 - tank.left_m3
        yield Finding("tank", what, tank.left_m3, tank.needed_m3, "volume", *figures, mend, enough, "volume")


def _said(code: str, what: str, mend: str) -> Finding:
    return Finding(code, what, nan, nan, "", "", "", mend)
