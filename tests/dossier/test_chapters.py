"""Chapters say what their room found: nothing is dropped, nothing infinite is printed as a number."""

from dataclasses import replace
from typing import Any

import pytest

from stockproof.catalogue.line import plant_of
from stockproof.dossier.chapters.controlling import control_in_brief, control_in_full, relief_chapter
from stockproof.dossier.chapters.flowing import flow_in_brief, flow_in_full
from stockproof.dossier.chapters.powering import power_in_full
from stockproof.dossier.chapters.words import words_of_the_market
from stockproof.dossier.chapters.yarding import yard_in_brief, yard_in_full
from stockproof.dossier.display import Display
from stockproof.flow import Machine, study
from stockproof.logic import assemble, lower
from stockproof.logic.faults import Fault, FaultKind
from stockproof.logic.findings import Answer, FaultEffect, FaultFinding, Finding, Verification
from stockproof.logic.installed import devices_of
from stockproof.logic.properties import Property
from stockproof.logic.relief import Relief
from stockproof.logic.scope import Scope
from stockproof.logic.story import Story
from stockproof.scene.pages import Findings, Paragraph, Plot, Section, Steps, Table
from tests.dossier.test_write import proof_of


def parts(sections: Any, kind: type) -> list[Any]:
    return [part for section in sections for part in section.parts if isinstance(part, kind)]


@pytest.fixture(scope="module")
def checked() -> Verification:
    scope: Any = Scope.__new__(Scope)

    def bad(code: str, title: str) -> Property:
        return Property(code, title, "Somebody is hurt.", scope, (), lambda world: 0)

    story = Story(("A person walks in.", "The gate shuts."), (), ())
    fault = Fault(FaultKind.STUCK_ON, "entry_shut", "The sensor 'entry shut' always shows yes.")
    return Verification(
        (
            Finding(bad("gate.person", "The gate shuts on a person."), Answer.REACHED, 1200, 1.0, story),
            Finding(
                bad("bail.trunk", "The bail shuts on a trunk."), Answer.HOLDS, 5000, 1.0, reason="no way leads there"
            ),
            Finding(
                bad("lift.up", "The lift is up while the bail opens."), Answer.NOT_SHOWN, 9, 1.0, reason="too large"
            ),
        ),
        (FaultFinding(fault, FaultEffect.DANGEROUS, (("bail.trunk", story),), (), ("entry.open",), 100),),
    )


def test_the_control_says_every_property_its_bounds_and_every_story(checked: Verification) -> None:
    for sections in (list(control_in_brief(checked)), list(control_in_full(checked))):
        table = next(part for part in parts(sections, Table) if part.name == "bad states")
        assert [row[1] for row in table.rows] == ["can happen", "holds", "not shown"]
        assert checked.bounds in parts(sections, Paragraph)[0].text
        assert parts(sections, Steps)[0].sentences == ("A person walks in.", "The gate shuts.")
    full = list(control_in_full(checked))
    faults = next(part for part in parts(full, Table) if part.name == "single faults")
    assert faults.rows[0][1] == "dangerous"
    assert "The bail shuts on a trunk." in str(faults.rows[0][3])
    assert len(parts(full, Steps)) == 2


def test_relief_says_each_case_and_what_prevents_it() -> None:
    fault = Fault(FaultKind.VALVE_DEAD, "bail.open", "The valve of the bail does not drive.")
    reliefs = (Relief(fault, 2, None, "hand pump", "the bail stays shut"), Relief(None, 1, 3, "hold to run"))
    (section,) = relief_chapter(reliefs)
    words, table = section.parts
    assert isinstance(words, Paragraph)
    assert isinstance(table, Table)
    assert "in 1 of 2 cases" in words.text
    assert table.rows == (
        ("No fault", "1 step", "3 steps", "hold to run", ""),
        ("The valve of the bail does not drive.", "2 steps", "never", "hand pump", "the bail stays shut"),
    )
    assert list(relief_chapter(())) == []
    same = tuple(Relief(Fault(FaultKind.STUCK_ON, f"s{i}", f"Sensor {i}."), 1, 3, "hold to run") for i in range(9))
    (section,) = relief_chapter((Relief(None, 1, 3, "hold to run"), *same))
    (table,) = parts([section], Table)
    assert [row[0] for row in table.rows] == ["No fault and 9 single faults with the same outcome"]


def test_faults_that_were_not_checked_are_never_counted_as_none(checked: Verification) -> None:
    unchecked = replace(checked, faults=())
    for sections in (list(control_in_brief(unchecked)), list(control_in_full(unchecked))):
        assert any("not shown" in part.text for part in parts(sections, Paragraph))
        assert not [part for part in parts(sections, Table) if "faults" in part.name]


def test_wall_times_never_reach_a_document(checked: Verification) -> None:
    slower = replace(checked, findings=tuple(replace(finding, seconds=99.0) for finding in checked.findings))
    assert list(control_in_full(checked)) == list(control_in_full(slower))


def test_what_never_arrives_is_written_so() -> None:
    power = proof_of("hill").rooms.power
    stopped = replace(power, times=tuple(replace(row, burst_s=float("inf")) for row in power.times))
    table = next(part for part in parts(power_in_full(stopped), Table) if part.name == "motion times")
    assert {row[5] for row in table.rows} == {"never"}
    display = Display()
    for part in parts(power_in_full(stopped), Table):
        assert "inf" not in {word for row in part.rows for cell in row for word in display.cell(cell).split("\u00a0")}


def test_bad_states_of_one_kind_with_one_answer_are_one_row_for_the_customer(checked: Verification) -> None:
    first = checked.findings[1]
    alike = tuple(
        replace(first, property=replace(first.property, code=f"starts_by_itself.{motion}", title=f"{motion} starts."))
        for motion in ("entry.open", "entry.close", "bail.open")
    )
    many = replace(checked, findings=(*checked.findings, *alike))
    (short,) = (part for part in parts(control_in_brief(many), Table) if part.name == "bad states")
    (whole,) = (part for part in parts(control_in_full(many), Table) if part.name == "bad states")
    assert (len(short.rows), len(whole.rows)) == (4, 6)
    assert "in the same way: the entry gate closes, the head bail opens" in str(short.rows[3][0])


def test_a_brief_of_the_united_states_has_the_words_used_there() -> None:
    rooms = proof_of("hill").rooms
    assert list(words_of_the_market(rooms)) == []
    market = rooms.brief.file.market.model_copy(update={"country": "US"})
    brief = replace(rooms.brief, file=rooms.brief.file.model_copy(update={"market": market}))
    there = replace(rooms, installation=replace(rooms.installation, brief=brief))
    (table,) = parts(words_of_the_market(there), Table)
    assert {"crush", "head bail", "race", "mob"} <= {row[0] for row in table.rows}
    assert any("headgate" in str(row[1]) for row in table.rows)


def test_a_site_where_nothing_fits_is_said() -> None:
    rooms = replace(proof_of("hill").rooms, yard=None, no_yard="the ground is 4 m too short", findings=())
    for sections in (list(yard_in_brief(rooms, ())), list(yard_in_full(rooms, ()))):
        assert sections == [Section("The yard", (Paragraph("No layout fits the site: the ground is 4 m too short."),))]


def test_every_finding_of_the_yard_is_in_the_engineering_file() -> None:
    rooms = proof_of("hill").rooms
    (told,) = parts(yard_in_full(rooms, ()), Findings)
    assert len(told.items) == len(rooms.findings)


def test_a_rate_is_given_with_the_ends_of_a_day_and_what_limits_it() -> None:
    """A short run of the hill job's first programme; what matters is that its numbers reach the page unchanged."""
    installation = proof_of("hill").rooms.installation
    items = [chosen.item for chosen in installation.build]
    netlist = lower(assemble(devices_of(items, installation.catalogue)))
    machine = Machine(netlist, plant_of(items, installation.catalogue, pen_places=12, race_places=5))
    programme = installation.brief.file.programme[0]
    found = study(installation, programme, machine, seed=1, replications=24, variants=False)
    (section,) = flow_in_brief([found])
    (table,) = parts([section], Table)
    assert [cell.value for cell in table.rows[0][1:4]] == [found.mean.value, found.day.low, found.day.high]
    assert found.limits[0][0] in table.rows[0][4]
    full = list(flow_in_full([found]))
    (plot,) = parts(full, Plot)
    assert sum(plot.curves[0].y) == pytest.approx(100.0)
    crew = next(part for part in parts(full, Table) if part.name.startswith("crew"))
    assert [column.title for column in crew.columns[1:]] == list(programme.crew)
