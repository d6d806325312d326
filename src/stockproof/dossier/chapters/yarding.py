"""The yard: its plan on a sheet, what each space holds, the rules checked, quantities, how the layout was chosen."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.dossier.chapters.cells import RowCells, plain
from stockproof.proof import Rooms
from stockproof.scene import Drawing, TitleBlock
from stockproof.scene.pages import Column, Facts, Findings, Paragraph, Plate, Quantity, Section, Table
from stockproof.scene.pages import Finding as Found
from stockproof.yard import Finding, Quantities, Yard, drawings
from stockproof.yard.result import Gate

__all__ = ["sheets_of_the_yard", "title_of", "yard_in_brief", "yard_in_full"]

RANKED = (
    "The lowest score is the best. Area here counts the floors of people and trucks with the animals' spaces; fence is "
    "the whole line with the gates and passes in it."
)
SPACES = {"pen": "receiving pen", "forcing": "forcing pen", "race": "race", "lane": "lane"}


def sheets_of_the_yard(rooms: Rooms) -> tuple[Drawing, ...]:
    """Give the yard's sheets with the job's title block; none where no layout fits."""
    if rooms.yard is None:
        return ()
    return drawings(rooms.yard, rooms.findings, title_of(rooms, "", "Y"))


def title_of(rooms: Rooms, title: str, number: str) -> TitleBlock:
    """Give the job's title block for a drawing."""
    brief = rooms.brief.file
    return TitleBlock(
        title,
        brief.title,
        brief.customer.farm,
        brief.customer.name,
        rooms.installation.catalogue.file.firm.name,
        number,
        "A",
        brief.issue_date.isoformat(),
    )


def yard_in_brief(rooms: Rooms, sheets: tuple[Drawing, ...]) -> Iterator[Section]:
    """Give what a customer wants to know of the yard, the rules that are not met, and the plan."""
    if rooms.yard is None:
        yield Section("The yard", (Paragraph(f"No layout fits the site: {rooms.no_yard}."),))
        return
    wrong = tuple(finding for finding in rooms.findings if finding.verdict == "not met")
    judged = _checked(wrong) if wrong else Paragraph("Every rule that was checked on the plan is met.")
    yield Section("The yard", (_facts(rooms), judged, *(Plate(sheet) for sheet in sheets[:1])))


def yard_in_full(rooms: Rooms, sheets: tuple[Drawing, ...]) -> Iterator[Section]:
    """Give every space, size, rule and quantity of the yard, the families that were tried, and all sheets."""
    yard, counted = rooms.yard, rooms.numbers
    if yard is None or counted is None:
        yield Section("The yard", (Paragraph(f"No layout fits the site: {rooms.no_yard}."),))
        return
    yield Section("The yard", (_facts(rooms), _spaces(yard), _gates(yard)))
    yield Section("How the layout was chosen", (_ranking(yard),), level=2)
    yield Section("Sizes used", (_sizes(yard),), level=2)
    yield Section("Rules checked on the plan", (_checked(rooms.findings),), level=2)
    yield Section("Ways and quantities", (_walks(counted), _amounts(counted)), level=2)
    if sheets:
        yield Section("Sheets of the yard", tuple(Plate(sheet) for sheet in sheets), level=2)


def _facts(rooms: Rooms) -> Facts:
    yard = rooms.yard
    assert yard is not None
    head = rooms.ledger["yard.receiving_head"].value
    area = sum(zone.area_m2 for zone in yard.zones)
    fence = math.fsum(run.length_m for run in yard.fences)
    return Facts(
        (
            ("Layout", yard.label),
            ("Held in the receiving pens", Quantity(head, "head", figure="yard.receiving_head")),
            ("Places in the race", plain(yard.race_places, "yard.race_places")),
            ("A batch in the forcing pen", Quantity(yard.batch_head, "head", figure="yard.batch_head")),
            ("Ground under pens, race and crush", Quantity(area, "area", figure="yard.used_m2")),
            ("Fence and sheeted sides", Quantity(fence, "length", figure="yard.fence")),
        )
    )


def _checked(findings: tuple[Finding, ...]) -> Findings:
    def source(finding: Finding) -> str:
        return finding.source if finding.verdict != "met" else ""

    return Findings(tuple(Found(f.code, f.verdict, f.what, f.why, f.remedy, source(f)) for f in findings))


def _spaces(yard: Yard) -> Table:
    columns = (
        Column("Space", share=2),
        Column("Kind", share=1.5),
        Column("Area", "right"),
        Column("Head", "right"),
        Column("For each head", "right"),
    )
    rows = tuple(
        (
            zone.key,
            SPACES.get(zone.kind, zone.kind),
            Quantity(zone.area_m2, "area", figure=f"yard.space.{zone.key}.area"),
            plain(zone.head, f"yard.space.{zone.key}.head") if zone.head else None,
            Quantity(zone.area_m2 / zone.head, "area per head", figure=f"yard.space.{zone.key}.space")
            if zone.head and zone.space_m2_per_head
            else None,
        )
        for zone in yard.zones
    )
    note = "For each head is the area over the head it holds; the guides' sizes stand under the sizes used."
    return Table("yard spaces", "Spaces", columns, rows, note=note)


def _gates(yard: Yard) -> Table:
    """Gates one by one; worker passes, of which there are many, counted by the space they lead out of."""
    columns = (
        Column("Gate or pass", share=2),
        Column("Count", "right"),
        Column("Between", share=2),
        Column("Clear width", "right"),
    )
    gates = [gate for gate in yard.gates if gate.kind != "worker pass"]
    alike: dict[tuple[str, float], list[Gate]] = {}
    for gate in yard.gates:
        if gate.kind == "worker pass":
            alike.setdefault((gate.between[0], round(gate.width_m, 3)), []).append(gate)
    rows = [(gate.key, "1", " and ".join(gate.between), _width(gate)) for gate in gates]
    rows += [
        ("worker passes", str(len(passes)), f"out of {space}", _width(passes[0]))
        for (space, _), passes in alike.items()
    ]
    return Table("yard gates", "Gates and passes", columns, tuple(rows))


def _width(gate: Gate) -> Quantity:
    return Quantity(gate.width_m, "length", figure=f"yard.gate.{gate.key}.width")


def _ranking(yard: Yard) -> Table:
    columns = (
        Column("Layout", share=2),
        Column("Score", "right"),
        Column("Area", "right"),
        Column("Fence", "right"),
        Column("Walking", "right"),
        Column("Turning", "right"),
        Column("Why", share=2.5),
    )
    rows = tuple(
        (
            rank.label,
            cell("score") if rank.fits else "does not fit",
            *(cell(field) if rank.fits else None for field in ("area_m2", "fence_m", "walk_m")),
            cell("turn_rad", 2) if rank.fits else None,
            rank.reason,
        )
        for number, rank in enumerate(yard.ranking, 1)
        for cell in [RowCells(f"yard.family.{number}", rank)]
    )
    return Table("yard families", "", columns, rows, note=RANKED)


def _sizes(yard: Yard) -> Table:
    columns = (Column("Size", share=3), Column("Value", "right"), Column("From", share=1.2), Column("Source", share=3))
    rows = tuple(
        (used.label, Quantity(used.value, "", 4, used.unit, f"yard.size.{used.key}"), used.status, used.source)
        for used in yard.used
    )
    return Table("yard sizes", "", columns, rows)


def _walks(counted: Quantities) -> Table:
    columns = (Column("From", share=2), Column("To", share=2), Column("On foot", "right"))
    rows = tuple((a, b, Quantity(far, "length", figure=f"yard.walk.{a}.{b}")) for a, b, far in counted.walks_m)
    return Table("yard ways", "Ways", columns, rows)


def _amounts(counted: Quantities) -> Table:
    columns = (Column("What", share=3), Column("Amount", "right"), Column("Unit"), Column("Trade", share=1.5))
    rows = tuple(
        (line.what, plain(line.amount, f"yard.amount.{line.what}"), line.unit, line.trade) for line in counted.amounts
    )
    return Table("yard quantities", "Quantities", columns, rows)
