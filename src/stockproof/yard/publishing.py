"""Sets the yard's numbers down in a ledger as figures; it computes nothing new."""

from __future__ import annotations

import math

from stockproof.fields import set_down
from stockproof.figures import Ledger, Source
from stockproof.yard.plane import area
from stockproof.yard.quantities import Quantities
from stockproof.yard.result import Finding, Yard, Zone

__all__ = ["publish"]

HOW = "measured on the layout"
RANK = {
    "score": "score of the layout",
    "area_m2": "area of the layout",
    "fence_m": "fence of the layout",
    "walk_m": "walking in the layout",
    "turn_rad": "turning of stock in the layout",
}
MATERIAL_UNITS = {"fence": "m", "gate": "1", "catwalk": "m", "ramp": "m2", "concrete": "m3", "cable": "m"}


def publish(yard: Yard, numbers: Quantities, findings: tuple[Finding, ...], ledger: Ledger) -> None:
    """Set down what the yard holds and takes, its findings, and what flow, power and money read of it."""
    for used in yard.used:
        put = ledger.assume if used.status == "assumed" else ledger.given
        source = Source(f"{used.guide}: {used.source}", seen=used.status != "from memory")
        put(f"yard.size.{used.key}", used.value, used.unit, used.label, source)
    held = next(finding for finding in findings if finding.code == "Y101")
    ledger.run("yard.receiving_head", held.measured or 0.0, "head", "head the receiving pens hold", HOW)
    ledger.run("yard.ground_m2", area(yard.ask.site.boundary), "m2", "ground available", "area of the boundary")
    taken = sum(zone.area_m2 for zone in yard.zones)
    ledger.run("yard.used_m2", taken, "m2", "ground the yard takes", HOW)
    against = float(sum(finding.verdict == "not met" for finding in findings))
    ledger.run("yard.findings_against", against, "1", "findings against a rule of the yard", "counted rule by rule")
    ledger.run("yard.race_places", float(numbers.race_places), "head", "head in the race", HOW)
    ledger.run("yard.batch_head", float(numbers.batch_head), "head", "head in one filling of the forcing pen", HOW)
    for zone in yard.zones:
        _space(zone, ledger)
    for gate in yard.gates:
        width = f"clear width of {gate.key}"
        ledger.run(f"yard.gate.{gate.key}.width", gate.width_m, "m", width, HOW)
    for number, rank in enumerate(yard.ranking, 1):
        if rank.fits:
            set_down(ledger, f"yard.family.{number}", rank.label, rank, RANK, HOW)
    fence = math.fsum(run.length_m for run in yard.fences)
    ledger.run("yard.fence", fence, "m", "fence and sheeted sides", HOW)
    for line in numbers.amounts:
        ledger.run(f"yard.amount.{line.what}", line.amount, line.unit, f"{line.what} of the yard", HOW)
    for what, amount in numbers.materials:
        unit = MATERIAL_UNITS[what]
        ledger.run(f"yard.material.{what}", amount, unit, f"{what} of the yard", HOW)
    for side, head in numbers.draft_places:
        ledger.run(f"yard.draft_pen.{side}", float(head), "head", f"head the draft pen {side} holds", HOW)
    for start, end, length in numbers.walks_m:
        ledger.run(f"yard.walk.{start}.{end}", length, "m", f"way on foot from {start} to {end}", HOW)
    for part, length in numbers.hoses_m:
        ledger.run(f"yard.hose.{part}", length, "m", f"hose from the power pack to {part}", HOW)


def _space(zone: Zone, ledger: Ledger) -> None:
    """Area of a space; and where it holds stock, how many, with how much room each."""
    name = f"yard.space.{zone.key}"
    area_of = ledger.run(f"{name}.area", zone.area_m2, "m2", f"area of the {zone.key}", HOW)
    if zone.head:
        held = ledger.run(f"{name}.head", float(zone.head), "head", f"head the {zone.key} holds", HOW)
        if zone.space_m2_per_head:
            room, label = zone.area_m2 / zone.head, f"room for each head, {zone.key}"
            ledger.run(f"{name}.space", room, "m2/head", label, "its area over the head it holds", (area_of, held))
