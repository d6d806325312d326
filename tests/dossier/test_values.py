"""Numbers for readers, tables for spreadsheets, figures for programs, plots for page and paper."""

import csv
import datetime
import io
import json
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from itertools import pairwise
from typing import Any

import altair
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.dossier.charts import plot_spec, plot_svg
from stockproof.dossier.display import Display, margin, number, percent
from stockproof.dossier.figures_json import figures_json
from stockproof.dossier.tables import neutral, table_csv, tables_xlsx
from stockproof.errors import InternalError
from stockproof.figures import Ledger
from stockproof.proof.model import Measure
from stockproof.scene.pages import Axis, Column, Curve, Plot, Quantity, Table
from stockproof.units import Units
from tests.dossier.sample_document import sample_ledger, sample_verdicts
from tests.dossier.sample_plots import days_plot, pressure_plot

DAY = datetime.date(2026, 3, 2)
US = Display(Units({"mass": "lb", "pressure": "psi", "length": "ft", "temperature": "degF"}))


@pytest.mark.parametrize(
    ("quantity", "metric", "us"),
    [
        (Quantity(16e6, "pressure"), "160 bar", "2,321 psi"),
        (Quantity(700.0, "mass"), "700 kg", "1,543 lb"),
        (Quantity(0.065, "length"), "65 mm", "2.56 in"),
        (Quantity(7.2, "length"), "7.2 m", "23.6 ft"),
        (Quantity(2.6, "length", unit="mm", digits=4), "2600 mm", "102.4 in"),
        (Quantity(-4.0, "temperature"), "−4 °C", "24.8 °F"),
        (Quantity(95 / 3600, "head rate"), "95 head/h", "95 head/h"),
        (Quantity(5400.0, "duration"), "1.5 h", "1.5 h"),
        (Quantity(0.0, "force"), "0 N", "0 N"),
    ],
)
def test_a_quantity_is_written_as_the_market_reads_it(quantity: Quantity, metric: str, us: str) -> None:
    assert Display().quantity(quantity).replace("\u00a0", " ") == metric
    assert US.quantity(quantity).replace("\u00a0", " ") == us


def test_an_unknown_dimension_is_our_own_mistake() -> None:
    with pytest.raises(InternalError, match="no dimension 'happiness'"):
        Display().quantity(Quantity(1.0, "happiness"))


@pytest.mark.parametrize(
    ("value", "unit", "written"),
    [
        (4.1e-4, "m**2/s", "410 mm²/s"),
        (68450.0, "NZD", "68,450 NZD"),
        (0.08, "1", "0.08"),
        (1.963e-3, "m**2", "1963 mm²"),
        (12.5, "kg/m**3", "12.5 kg/m³"),
    ],
)
def test_a_ledger_s_unit_is_written_for_people(value: float, unit: str, written: str) -> None:
    assert Display().figure(value, unit).replace("\u00a0", " ").replace("1,963", "1963") == written


def test_numbers_and_shares() -> None:
    assert (number(1234567), number(0.00312), number(-12.5)) == ("1,234,567", "0.00312", "−12.5")
    assert percent(-0.0342, signed=True) == "−3.4\u00a0%"
    assert percent(0.264, signed=True) == "+26\u00a0%"
    assert percent(-0.0, signed=True) == "0\u00a0%"
    assert percent(-0.0001, signed=True) == "0.0\u00a0%"


def test_a_margin_is_written_as_people_read_it() -> None:
    alone = Measure("people", 1.0, 1.0, "", "less", "flow.people", "people")
    assert (margin(alone), str(alone.margin_share)) == ("0\u00a0%", "0.0")
    loud = Measure("level", 75.0, 82.34, "sound level", "less", "power.noise")
    assert margin(loud) == "\u22127.3\u00a0dB"
    assert margin(Measure("loss", 0.0, 1.0, "", "less", "flow.lost")) == ""


TABLE = Table(
    "price",
    "Price",
    (Column("Item"), Column("Mass", "right"), Column("Sum, NZD", "right")),
    (("=SUM(A1)", Quantity(480.0, "mass"), 21400), ("crush", Quantity(1200.0, "mass"), -3.5), ("none", None, None)),
)


def test_csv_holds_numbers_with_the_unit_in_the_head() -> None:
    rows = list(csv.reader(io.StringIO(table_csv(TABLE, Display()).decode())))
    assert rows == [
        ["Item", "Mass (kg)", "Sum, NZD"],
        ["'=SUM(A1)", "480", "21400"],
        ["crush", "1200", "-3.5"],
        ["none", "", ""],
    ]
    assert b"(lb)" in table_csv(TABLE, US)


def test_xlsx_holds_numbers_as_numbers_and_no_formula() -> None:
    book = openpyxl.load_workbook(io.BytesIO(tables_xlsx([TABLE, TABLE], Display(), DAY)))
    assert book.sheetnames == ["price", "price 2"]
    sheet: Any = book["price"]
    assert [cell.value for cell in sheet[2]] == ["'=SUM(A1)", 480, 21400]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n"}


def test_xlsx_bytes_bear_only_the_issue_date() -> None:
    first = tables_xlsx([TABLE], Display(), DAY)
    assert first == tables_xlsx([TABLE], Display(), DAY)
    with zipfile.ZipFile(io.BytesIO(first)) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert archive.read("docProps/core.xml").count(b"2026-03-02T00:00:00Z") == 2


@given(st.text(max_size=40))
@settings(max_examples=200, deadline=None)
def test_no_text_can_begin_a_formula(text: str) -> None:
    assert not neutral(text).lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠"))


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "  =1", "＝1", "\x00=1"])
def test_what_a_spreadsheet_would_run_gets_an_apostrophe(text: str) -> None:
    assert neutral(text).startswith("'")


@given(st.lists(st.text(max_size=30), min_size=1, max_size=4))
@settings(max_examples=25, deadline=None)
def test_any_text_makes_a_workbook_that_opens(texts: list[str]) -> None:
    tables = [Table(text, text, (Column(text),), ((text,),)) for text in texts]
    book = openpyxl.load_workbook(io.BytesIO(tables_xlsx(tables, Display(), DAY)))
    assert len(book.sheetnames) == len(tables)


def test_figures_json_is_sorted_traceable_and_the_same_in_any_order() -> None:
    ledger = sample_ledger()
    backwards = Ledger(dict(reversed(ledger.figures.items())))
    text = figures_json(ledger, sample_verdicts())
    assert text == figures_json(backwards, sample_verdicts())
    values = json.loads(text)
    names = [figure["name"] for figure in values["figures"]]
    assert names == sorted(names)
    force = next(figure for figure in values["figures"] if figure["name"] == "squeeze.force")
    assert force["inputs"] == ["supply.pressure", "squeeze.piston_area"]
    assert force["value"] == pytest.approx(31408.0)
    assert force["formula"] == "pressure * area"
    known = set(names)
    assert all(name in known for figure in values["figures"] for name in figure["inputs"])
    assert all(name in known for verdict in values["verdicts"] for name in verdict["figures"])
    oil = next(figure for figure in values["figures"] if figure["name"] == "oil.coldest_viscosity")
    assert (oil["source_seen"], oil["band"]) == (False, [2.9e-4, 6.0e-4])


@pytest.mark.parametrize("plot", [pressure_plot(), days_plot()], ids=["curves", "bars"])
def test_a_plot_is_well_formed_names_its_curves_and_fits_the_page(plot: Plot) -> None:
    svg = plot_svg(plot)
    root = ET.fromstring(svg)
    texts = {element.text for element in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {marker.label for marker in plot.markers} <= texts
    if len(plot.curves) > 1:
        assert {curve.name for curve in plot.curves} <= texts
    assert float(root.get("width", "0")) / 96 * 25.4 <= 166
    assert float(root.get("height", "0")) / 96 * 25.4 <= plot.height_mm + 3
    assert b'font-family="Barlow"' in svg
    assert svg == plot_svg(plot)
    altair.LayerChart.from_dict(plot_spec(plot))  # refuses what the schema of Vega-Lite does not know


def test_page_and_paper_share_one_definition_without_any_address() -> None:
    spec = plot_spec(pressure_plot())
    assert "http" not in json.dumps(spec)
    assert len(spec["layer"]) == 1 + 2 + 2 + 3  # band, curves, marker with words, names at the ends


def test_names_at_the_ends_of_curves_keep_apart() -> None:
    x = (0.0, 1.0)
    curves = tuple(Curve(f"curve {i}", x, (0.0, 1.0 + i * 1e-6)) for i in range(4))
    root = ET.fromstring(plot_svg(Plot("p", "c", Axis("x"), Axis("y"), curves)))
    heights = sorted(
        float(element.get("transform", "").split(",")[-1].rstrip(")"))
        for element in root.iter("{http://www.w3.org/2000/svg}text")
        if (element.text or "").startswith("curve")
    )
    assert all(b - a >= 11.0 for a, b in pairwise(heights))


def test_an_empty_plot_still_draws() -> None:
    assert b"<svg" in plot_svg(Plot("p", "c", Axis("x"), Axis("y"), ()))


def test_a_long_curve_is_drawn_by_its_lowest_and_highest_points() -> None:
    x = tuple(float(k) for k in range(20_000))
    y = tuple(1e4 if k == 12_345 else float(k % 97) for k in range(20_000))
    rows = plot_spec(Plot("p", "c", Axis("x"), Axis("y"), (Curve("a", x, y),)))["data"]["values"]
    assert len(rows) <= 1600
    assert {"x": 12345.0, "y": 1e4} in rows
    assert [row["x"] for row in rows] == sorted(row["x"] for row in rows)
    assert (rows[0]["x"], rows[-1]["x"]) == (0.0, 19_999.0)


def test_a_workbook_is_written_by_the_same_library_whatever_else_is_installed() -> None:
    script = (
        "import datetime; from stockproof.dossier.display import Display; from stockproof.units import Units;"
        "from stockproof.dossier.tables import tables_xlsx;"
        "tables_xlsx((), Display(Units({})), datetime.date(2026, 3, 2));"
        "import openpyxl.xml; print(openpyxl.xml.LXML)"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"


def test_both_sides_of_a_promise_get_as_many_digits_as_tell_them_apart() -> None:
    display = Display()
    assert display.asked_and_found(1.0, 0.6745, "", "days") == ("1\u00a0day", "0.674\u00a0days")
    assert display.asked_and_found(0.9, 0.90004, "duration", "") == ("0.9\u00a0s", "0.90004\u00a0s")
    assert display.asked_and_found(115_000.0, 105_693.0, "", "NZD") == ("115,000\u00a0NZD", "105,693\u00a0NZD")
    assert display.asked_and_found(2.0, 2.0, "", "people") == ("2\u00a0people", "2\u00a0people")
