"""What the catalogue has against a bad state changes the verdict, on each example; stories as strips; the command."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from typer.testing import CliRunner

from stockproof import proof
from stockproof.cli import app
from stockproof.dossier.strips import write_strip
from stockproof.installation import Installation, broken_rules
from stockproof.logic.findings import Answer, FaultEffect
from stockproof.logic.story import Story
from stockproof.logic.verification import verify
from stockproof.proof.machine import assemble
from stockproof.proof.mending import exchange, mending
from stockproof.scene import wrap_text

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def example(name: str) -> Installation:
    return proof.read_installation(EXAMPLES / name / "brief.toml", None)


def answer(installation: Installation, code: str) -> tuple[Answer, Story | None]:
    control = assemble(installation, None)
    (finding,) = verify(control.netlist, control.plant, faults=False, codes=[code], covers=False).findings
    return finding.answer, finding.story


@pytest.mark.parametrize(
    ("name", "code", "items"),
    [
        ("dairy", "presses_in_reach.side_reach", {"flank_gate_switched", "flank_shut_switch"}),
        ("hill", "person_among_animals.rear", {"rear_gate_locked", "entry_shut_cam"}),
        ("feedlot", "lift_up.bail", {"lift_down_cam"}),
        pytest.param("feedlot", "person_among_animals.rear", {"entry_shut_cam"}, marks=pytest.mark.deep),
    ],
)
def test_the_item_named_changes_the_verdict(name: str, code: str, items: set[str]) -> None:
    installation = example(name)
    before, _ = answer(installation, code)
    assert before is not Answer.HOLDS
    control = assemble(installation, None)
    found = verify(control.netlist, control.plant, faults=False, covers=False, stories=False)
    named = mending(installation, found.finding(code).property, found)
    assert {item.code for item in named.items} == items
    assert named.breaks == ()
    mended = exchange(installation, named.items)
    assert mended is not None
    assert not list(broken_rules(mended))
    assert answer(mended, code)[0] is Answer.HOLDS


def test_what_the_items_bring_about_elsewhere_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """A gate at the flank without a switch comes along: the rear is mended, and a body can be pressed at the side."""
    installation, code = example("hill"), "person_among_animals.rear"
    wanted = tuple(
        installation.catalogue.by_code[item] for item in ("rear_gate_locked", "entry_shut_cam", "flank_gate_plain")
    )
    monkeypatch.setattr(proof.mending, "_trials", lambda *_: iter([wanted]))
    control = assemble(installation, None)
    found = verify(control.netlist, control.plant, faults=False, covers=False, stories=False)
    named = mending(installation, found.finding(code).property, found)
    assert {item.code for item in named.items} == {item.code for item in wanted}
    assert named.breaks
    assert all("somebody at the flank" in title for title in named.breaks)


def test_a_sensor_that_is_unsure_lets_a_motion_begin_that_takes_its_word() -> None:
    """Being unsure is no change of the plant: what the control then drives moves before the next scan."""
    found, story = answer(example("feedlot"), "person_among_animals.rear")
    assert found is Answer.REACHED
    assert story is not None
    wrong = story.sentences.index("The sensor 'Entry gate is shut' shows the wrong value.")
    assert story.sentences[wrong + 2] == "The lock of the rear access gate opens."


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("stuck on side.done", "starts_by_itself.entry.open"),
        ("stuck off entry.astride", "two_as_one.crush"),
        ("intermittent bail.astride", "two_as_one.crush"),
    ],
)
def test_the_long_way_to_a_bad_state_under_a_fault_is_found(name: str, code: str) -> None:
    control = assemble(example("dairy"), None)
    found = verify(control.netlist, control.plant, codes=[code], strike=lambda f: f.name == name, covers=False)
    (struck,) = found.faults
    assert struck.effect is FaultEffect.DANGEROUS
    assert struck.fault.sentence in struck.dangerous[0][1].sentences


@pytest.mark.deep
@pytest.mark.parametrize("name", ["dairy", "hill", "feedlot"])
def test_what_every_single_fault_does_is_shown(name: str) -> None:
    control = assemble(example(name), None)
    found = verify(control.netlist, control.plant, covers=False, workers=2)
    assert [f.fault.name for f in found.faults if f.effect is FaultEffect.NOT_SHOWN] == []


@pytest.mark.deep
def test_under_a_dangerous_fault_the_item_named_makes_it_tolerated_or_detected() -> None:
    installation, code = example("hill"), "presses_in_reach.neck"
    control = assemble(installation, None)
    found = verify(
        control.netlist,
        control.plant,
        codes=[code],
        strike=lambda fault: fault.name == "stuck on neck_access.closed",
        covers=False,
    )
    (struck,) = found.faults
    assert struck.effect is FaultEffect.DANGEROUS
    assert "second switch of another kind" in struck.answer
    # the catalogue has no second switch for the neck gate: nothing is named that does not help
    assert mending(installation, found.findings[0].property, found, struck.fault).items == ()


def test_a_story_is_drawn_step_by_step(tmp_path: Path) -> None:
    installation = example("feedlot")
    _, story = answer(installation, "lift_up.bail")
    assert story is not None
    (path,) = write_strip(tmp_path, 3, story, assemble(installation, None).plant)
    text = re.sub(r"\s+", " ", " ".join(re.findall(r">([^<>]+)</text>", path.read_text("utf-8"))))
    assert path.name == "story-3.svg"
    for k in range(len(story.states) + 1):
        assert str(k) in text
    for sentence in story.sentences:
        for line in wrap_text(sentence, 20.0, 2.2):
            for word in line.split():
                assert word.replace("'", "&#x27;") in text or word in text


def test_the_command_tells_one_story_and_refuses_names_it_does_not_know(tmp_path: Path) -> None:
    brief = str(EXAMPLES / "dairy" / "brief.toml")
    told = CliRunner().invoke(app, ["logic", brief, "--story", "2", "--out", str(tmp_path)])
    assert told.exit_code == 0, told.output
    assert "1 Somebody presses" in told.output
    assert (tmp_path / "story-2.svg").exists()
    for options, words in (
        (["--out", str(tmp_path)], "say which by --story N"),
        (["--story", "1", "--mutants"], "leave out --mutants"),
    ):
        refused = CliRunner().invoke(app, ["logic", brief, *options])
        assert refused.exit_code == 2
        assert words in refused.output
    unknown = CliRunner().invoke(app, ["logic", brief, "--fault", "stuck of entry.closed"])
    assert unknown.exit_code == 2
    assert "is no single fault of this installation" in unknown.output
