"""The dossier of the three invented jobs: what is in it, how it reads, that every number can be traced."""

import csv
import io
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pdfplumber
import pypdfium2  # type: ignore[import-untyped]
import pytest

from stockproof.dossier import dossier_files, engineering, write
from stockproof.dossier.chapters.assumed import rank
from stockproof.proof import QUICK, Proof, prove, read_installation
from stockproof.scene.pages import figures_printed

BRIEFS = Path(__file__).parents[2] / "examples"
JOBS = ("hill", *(pytest.param(job, marks=pytest.mark.deep) for job in ("feedlot", "dairy")))


@cache
def proof_of(job: str) -> Proof:
    return prove(read_installation(BRIEFS / job / "brief.toml"), QUICK)


@cache
def files_of(job: str) -> dict[str, bytes]:
    return dossier_files(proof_of(job))


@cache
def pages(job: str, name: str) -> list[Any]:
    return list(pdfplumber.open(io.BytesIO(files_of(job)[name])).pages)


@cache
def text_of(job: str, name: str) -> str:
    """The words of a document in the order they were set, cell by cell."""
    document = pypdfium2.PdfDocument(files_of(job)[name])
    words = " ".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return " ".join(words.replace("\u200b", "").split())


@pytest.mark.parametrize("job", JOBS)
def test_a_proposal_reads_well(job: str) -> None:
    for page in pages(job, "proposal.pdf"):
        if page.width > page.height:
            continue  # drawings are held to the same rules on their own
        assert {char["fontname"].split("+")[1].split("-")[0] for char in page.chars} <= {"Barlow", "BarlowCondensed"}
        assert min(char["height"] for char in page.chars) >= 6.0
        assert min(char["x0"] for char in page.chars) / 72 * 25.4 > 24.8
        assert (page.width - max(char["x1"] for char in page.chars if char["text"].strip())) / 72 * 25.4 > 19.8
        assert len(page.chars) > 100, f"page {page.page_number} is nearly empty"


@pytest.mark.parametrize("job", JOBS)
def test_a_proposal_says_every_promise_its_verdict_and_the_price(job: str) -> None:
    text, proof = text_of(job, "proposal.pdf"), proof_of(job)
    for verdict in proof.verdicts:
        assert " ".join(verdict.promise.split()[:4]).lower() in text.lower()
    for state in ("met", "not met", "not shown"):
        count = sum(verdict.state == state for verdict in proof.verdicts)
        assert re.search(rf"\b{count}\b", text)
    assert f"{round(proof.rooms.price.total):,}" in text
    assert "invented" in text.lower()
    assert "licensed practice" in text


@pytest.mark.parametrize("job", JOBS)
def test_no_word_the_product_never_says(job: str) -> None:
    for name in ("proposal.pdf", "engineering.pdf")[: 2 if job == "hill" else 1]:
        text = text_of(job, name).lower()
        assert "certified" not in text
        said = re.findall(r"\b(?:is|are|be|it|them|now) safe\b", text)  # titles of publications may have the word
        assert not said


def test_the_customer_does_not_read_the_firm_s_margin() -> None:
    price = proof_of("hill").rooms.price
    for amount in (price.margin_works * price.exchange, price.ex_works * price.exchange):
        assert f"{round(amount):,}" not in text_of("hill", "proposal.pdf")


def test_every_figure_a_verdict_rests_on_is_in_the_file_with_its_inputs() -> None:
    values = json.loads(files_of("hill")["figures.json"])
    names = {figure["name"] for figure in values["figures"]}
    assert all(name in names for verdict in values["verdicts"] for name in verdict["figures"])
    assert all(name in names for figure in values["figures"] for name in figure["inputs"])


def test_every_figure_of_the_ledger_is_in_the_engineering_file() -> None:
    """By its name with its source; or, where a computation gave it, in a table above."""

    def bare(text: str) -> str:  # the reader drops hyphens at line ends
        return re.sub(r"[^A-Za-z0-9_.]", "", text)

    text = bare(text_of("hill", "engineering.pdf"))
    proof = proof_of("hill")
    printed = figures_printed(engineering(proof).sections)
    missing = [
        figure.name
        for figure in proof.rooms.ledger
        if bare(figure.name) not in text and not (figure.how == "run" and figure.name in printed)
    ]
    assert not missing, missing[:5]


def test_tables_open_and_agree_with_each_other() -> None:
    files = files_of("hill")
    book: Any = openpyxl.load_workbook(io.BytesIO(files["tables.xlsx"]))
    rows = list(csv.reader(io.StringIO(files["tables/price.csv"].decode())))
    sheet = book["price"]
    assert [str(cell.value if cell.value is not None else "") for cell in sheet[5]] == rows[4]
    assert rows[4][1] == str(round(proof_of("hill").rooms.price.total))


def test_assumptions_are_ranked_by_what_they_bear_on() -> None:
    proof = proof_of("hill")
    ranked = rank(proof.rooms.ledger, proof.verdicts)
    assert {item.figure.name for item in ranked} == {figure.name for figure in proof.rooms.ledger.assumptions()}
    bearing = [bool(item.moves) for item in ranked]
    assert bearing == sorted(bearing, reverse=True)
    moves = {item.figure.name: {int(number) for number in item.moves.split(", ") if number} for item in ranked}
    kinds = {verdict.number: verdict.kind for verdict in proof.verdicts}
    assert {"rate", "days"} <= {kinds[number] for number in moves["flow.bring.time"]}
    assert "motion_time" not in {kinds[number] for number in moves["power.start_time"]}
    assert "motion_time" in {kinds[number] for number in moves["power.oil_density"]}
    assert "fits" not in {kinds[number] for number in moves["herd.cow.walking"]}


def test_writing_twice_gives_the_same_folder(tmp_path: Path) -> None:
    write(proof_of("hill"), tmp_path / "out")
    names = {path.relative_to(tmp_path / "out").as_posix() for path in (tmp_path / "out").rglob("*") if path.is_file()}
    first = files_of("hill")
    assert names == {*first, "contents.json"}
    assert [name for name in first if (tmp_path / "out" / name).read_bytes() != first[name]] == []
