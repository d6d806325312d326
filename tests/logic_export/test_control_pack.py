"""The control pack as files: complete, marked as a draft, readable, and the same bytes every time."""

from __future__ import annotations

import csv
import io
import json
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pdfplumber
import pypdf
import pytest
from typer.testing import CliRunner

from stockproof.cli import app
from stockproof.dossier.control_pack import control_pack
from stockproof.errors import InternalError
from stockproof.logic import lower
from stockproof.logic.export.evaluator import Machine
from stockproof.logic.export.names import DRAFT
from tests.outside.test_structured_text import complaints

from .builds import EXAMPLES, build, installation

MARK = "DRAFT for review by a competent control engineer"


@cache
def pack(name: str = "dairy") -> dict[str, bytes]:
    return control_pack(installation(name), build(name), lower(build(name)))


@cache
def pages() -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pack()["control-sheets.pdf"])).pages]


def test_the_pack_holds_every_file() -> None:
    names = set(pack())
    assert {"control.st", "configuration.st", "control.xml", "control-sheets.pdf", "control-tables.xlsx"} <= names
    assert "drawings/sequence-program.svg" in names
    assert any(name.startswith("drawings/cause-and-effect") for name in names)
    tables = {name.removeprefix("tables/") for name in names if name.startswith("tables/")}
    assert {"inputs-and-outputs.csv", "cause-and-effect.csv", "why-won-t-it-move.csv", "works-permits.csv"} <= tables


@pytest.mark.parametrize("name", sorted(pack()))
def test_every_file_says_that_it_is_a_draft(name: str) -> None:
    data = pack()[name]
    if name.endswith(".pdf"):
        assert all(MARK in page for page in pages())
        return
    if name.endswith(".xlsx"):
        book = openpyxl.load_workbook(io.BytesIO(data))
        assert all(sheet.cell(sheet.max_row, 1).value == DRAFT for sheet in book)
        return
    text = data.decode()
    if name.endswith(".csv"):
        *_, last = csv.reader(io.StringIO(text))
        assert last[0] == DRAFT
    else:
        assert MARK in text


def test_the_sources_run_and_an_independent_parser_accepts_them() -> None:
    for name in ("control.st", "configuration.st"):
        assert complaints(pack()[name].decode()) == []
    machine = Machine(pack()["control.st"].decode(), "control.st")
    assert not any(machine.scan({}, 0.0).values())
    assert ElementTree.fromstring(pack()["control.xml"]).tag.endswith("project")


def test_the_pack_is_the_same_bytes_every_time() -> None:
    pack.cache_clear()
    build.cache_clear()
    first = pack("dairy")
    pack.cache_clear()
    build.cache_clear()
    assert pack("dairy") == first


def test_the_sheets_hold_what_they_promise_in_the_house_type() -> None:
    words = "\n".join(pages())
    for title in ("Inputs and outputs", "Why won't it move?", "Operator cards", "Factory acceptance", "Charts"):
        assert title in words
    assert "Hold on, sort off" in words
    with pdfplumber.open(io.BytesIO(pack()["control-sheets.pdf"]), pages=[1, 2, 6, 10, 14]) as pdf:
        chars = [char for page in pdf.pages for char in page.chars]
        over = [
            char for page in pdf.pages for char in page.chars if not 15 <= char["x0"] <= char["x1"] <= page.width - 15
        ]
    assert {char["fontname"].partition("+")[2].partition("-")[0] for char in chars} <= {"Barlow", "BarlowCondensed"}
    assert min(char["size"] for char in chars) >= 7.0
    assert over == []


def test_a_netlist_of_other_rules_is_refused() -> None:
    with pytest.raises(InternalError, match=r"^the netlist is not of these rules"):
        control_pack(installation("dairy"), build("dairy"), lower(build("hill")))


def test_the_command_writes_the_pack(tmp_path: Path) -> None:
    out = tmp_path / "pack"
    brief = EXAMPLES / "dairy" / "brief.toml"
    result = CliRunner().invoke(app, ["code", str(brief), "--out", str(out), "--quick"])
    assert result.exit_code == 0, result.output
    listed = json.loads((out / "contents.json").read_text())["files"]
    assert set(listed) == {p.relative_to(out).as_posix() for p in out.rglob("*.*")} - {"contents.json"}
    assert "control.st" in result.stdout


def test_the_command_says_what_is_wrong_without_a_traceback(tmp_path: Path) -> None:
    (tmp_path / "brief.toml").write_text("format = 1\n")
    result = CliRunner().invoke(app, ["code", str(tmp_path / "brief.toml"), "--out", str(tmp_path / "pack")])
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert not (tmp_path / "pack").exists()


def test_charts_and_matrix_lie_whole_on_their_sheets() -> None:
    pages = pypdf.PdfReader(io.BytesIO(pack()["control-sheets.pdf"])).pages
    sheets = [page for page in pages if float(page.mediabox.width) > 900 or float(page.mediabox.height) > 900]
    assert len(sheets) >= 2
    assert all(page.mediabox.width > page.mediabox.height for page in sheets)
    assert all("Scale" in page.extract_text() and "Drawn" in page.extract_text() for page in sheets)
