"""Documents: readable, in the house type, the same bytes, and safe with any words a user may write."""

import datetime
import hashlib
import io
import json
import os
import subprocess
import sys
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.dossier.display import Display
from stockproof.dossier.document import Document, harmless, set_out
from stockproof.dossier.pdf import typeset
from stockproof.dossier.style import PALETTE, PAPER, TEXTS
from stockproof.errors import InternalError
from stockproof.figures import Ledger
from stockproof.scene.pages import Column, Figures, Paragraph, Section, Table
from tests.dossier.sample_document import sample_document, sample_ledger

HOSTILE = (
    "#panic() $x$ *b* _i_ `raw` <label> @ref // /* = + - \\u{41} \"q\" 'a' [c] {d} ~ ﷽ Ω 東 \x00\x07\u202e rtl \n\n"
    + "W" * 160
)
DAY = datetime.date(2026, 3, 2)


def pdf_of(document: Document) -> bytes:
    data, pictures = set_out(document, sample_ledger(), Display())
    return typeset("document.typ", data, pictures, document.issue_date)


@pytest.fixture(scope="module")
def plain() -> bytes:
    return pdf_of(sample_document())


@pytest.fixture(scope="module")
def hostile() -> bytes:
    return pdf_of(sample_document(HOSTILE))


@cache
def pages(pdf: bytes) -> list[Any]:
    return list(pdfplumber.open(io.BytesIO(pdf)).pages)


def type_size(char: dict[str, Any]) -> float:
    return float(char["height"] if abs(char["matrix"][1]) < 1e-3 else char["width"])


@pytest.mark.parametrize("which", ["plain", "hostile"])
def test_only_the_house_type_is_embedded_and_nothing_is_under_6_pt(which: str, request: pytest.FixtureRequest) -> None:
    chars = [char for page in pages(request.getfixturevalue(which)) for char in page.chars]
    assert {char["fontname"].split("+")[1].split("-")[0] for char in chars} == {"Barlow", "BarlowCondensed"}
    assert all("+" in char["fontname"] for char in chars)  # every font is a subset that travels with the file
    assert min(type_size(char) for char in chars) >= 6.0


@pytest.mark.parametrize("which", ["plain", "hostile"])
def test_nothing_leaves_the_margins(which: str, request: pytest.FixtureRequest) -> None:
    for page in pages(request.getfixturevalue(which)):
        left, right = (20, 10) if page.width > page.height else (25, 20)
        inside = [(char["x0"] / 72 * 25.4, (page.width - char["x1"]) / 72 * 25.4) for char in page.chars]
        assert min(x for x, _ in inside) > left - 0.2
        assert min(x for _, x in inside) > right - 0.2


def test_words_of_one_line_do_not_run_into_each_other(plain: bytes) -> None:
    for page in pages(plain):
        if page.width > page.height:
            continue
        words = page.extract_words(keep_blank_chars=False)
        for one, other in pairwise(words):
            if abs(one["bottom"] - other["bottom"]) < 1 and one["x0"] < other["x0"]:
                assert one["x1"] <= other["x0"] + 0.3, (one["text"], other["text"])


def test_every_word_given_is_on_the_pages(plain: bytes) -> None:
    text = " ".join(" ".join((page.extract_text() or "").split()) for page in pages(plain))
    for words in (
        "Hill-country yards",
        "The 5 promises of the brief",
        "asked at least 95 head/h, found 79 head/h",
        "−17 %",
        "Crush body, heavy frame, bolted",
        "45,990",
        "= pressure × area = 1.6e+07 × 0.001963",
        "290 to 600 mm²/s",
        "YARD-012",
        "An invented handbook of fluid power, 2019, chapter 3",
        "vent the store before any work",
        "7 of 7",
    ):
        assert words in text, words


def test_user_words_are_printed_and_never_run(hostile: bytes) -> None:
    text = " ".join((page.extract_text() or "") for page in pages(hostile))
    assert "#panic() $x$ *b* _i_ `raw` <label> @ref // /* = + -" in text.replace("\n", " ")


def test_a_drawing_stands_on_paper_of_its_own_size_at_true_scale(plain: bytes) -> None:
    (sheet,) = (page for page in pages(plain) if page.width > page.height)
    assert (sheet.width / 72 * 25.4, sheet.height / 72 * 25.4) == pytest.approx((420, 297), abs=0.01)
    assert any((line["x1"] - line["x0"]) / 72 * 25.4 == pytest.approx(75.0, abs=0.01) for line in sheet.lines)


def test_the_pdf_says_what_it_is_and_bears_only_the_issue_date(plain: bytes) -> None:
    reader = pypdf.PdfReader(io.BytesIO(plain))
    assert reader.metadata is not None
    assert reader.metadata.title == "Proposal: Hill-country yards: a crush that two people can run"
    assert reader.metadata.creation_date == datetime.datetime(2026, 3, 2, tzinfo=datetime.UTC)


def test_another_process_time_zone_and_hash_seed_give_the_same_bytes(plain: bytes) -> None:
    code = (
        "import hashlib; from tests.dossier.test_documents import pdf_of, sample_document;"
        "print(hashlib.sha256(pdf_of(sample_document())).hexdigest())"
    )
    root = Path(__file__).parents[2]
    environment = {**os.environ, "TZ": "Pacific/Auckland", "PYTHONHASHSEED": "2", "PYTHONPATH": str(root)}
    run = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True)
    assert run.stdout.strip() == hashlib.sha256(plain).hexdigest()


def test_us_paper_is_set_where_the_market_uses_it() -> None:
    (first, *_) = pages(pdf_of(replace(sample_document(), paper="us-letter", sections=())))
    assert (first.width, first.height) == (612, 792)


def test_a_template_that_fails_is_our_own_mistake() -> None:
    with pytest.raises(InternalError, match=r"drawings\.typ"):
        typeset("drawings.typ", {"title": "t", "sheets": [{"file": "none.svg", "width": 10, "height": 10}]}, {}, DAY)


def test_a_figure_that_no_ledger_holds_cannot_be_printed() -> None:
    document = replace(sample_document(), sections=(Section("S", (Figures(("no.such",)),)),))
    with pytest.raises(KeyError):
        set_out(document, Ledger(), Display())


def test_a_table_with_uneven_rows_is_refused() -> None:
    with pytest.raises(InternalError, match="2 columns, but a row is"):
        Table("t", "", (Column("A"), Column("B")), (("only one",),))


@given(st.text(max_size=200))
@settings(max_examples=200, deadline=None)
def test_harmless_text_is_one_line_without_control_characters(text: str) -> None:
    clean = harmless(text)
    assert not any(
        ord(c) < 32 or 0x7F <= ord(c) < 0xA0 or 0xD800 <= ord(c) < 0xE000 or 0x202A <= ord(c) <= 0x202E for c in clean
    )
    assert all(len(run) <= 22 for run in clean.replace("\u200b", " ").split())
    json.dumps(clean).encode()


@given(st.text(max_size=60))
@settings(max_examples=15, deadline=None)
def test_any_text_can_be_set(text: str) -> None:
    section = Section(text, (Paragraph(text), Table("t", text, (Column(text), Column("B")), ((text, 1),), note=text)))
    document = replace(sample_document(), title=text or "t", customer=text, sections=(section,))
    assert pdf_of(document).startswith(b"%PDF")


def test_every_text_colour_keeps_a_contrast_of_7_to_1() -> None:
    """WCAG 2.2, relative luminance and contrast ratio."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    for colour in {TEXTS[role] for role in ("ink", "steel", "rust", "faint")} | {PALETTE["label"], PALETTE["rust"]}:
        assert (luminance(PAPER) + 0.05) / (luminance(colour) + 0.05) >= 7.0, colour
