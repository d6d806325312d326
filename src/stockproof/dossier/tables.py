"""Tables as CSV and as one XLSX workbook, the same bytes for the same tables.

Quantities become plain numbers with their unit in a column head or beside them; text that a spreadsheet would run
as a formula is made text. Numbers stay numbers.
"""

from __future__ import annotations

import csv
import datetime
import io
import os
import re
import zipfile
from collections.abc import Iterable, Sequence

from stockproof.dossier.display import Display
from stockproof.scene.pages import Cell, Quantity, Said, Table
from stockproof.units import DIMENSIONS, show

__all__ = ["neutral", "table_csv", "tables_xlsx"]

#: A cell that begins so may be run as a formula or command: OWASP, CSV Injection (2024).
DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20")
#: XML 1.0 forbids these in a workbook; a newline inside a cell would break simple CSV readers.
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_SHEET_NAME = re.compile(r"[\[\]:*?/\\']")
#: The earliest moment a zip archive can hold.
ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)
LONGEST_SHEET_NAME, LONGEST_CELL, WIDEST = 31, 32_000, 60


def table_csv(table: Table, display: Display) -> bytes:
    """Give a table as CSV (RFC 4180, UTF-8): heads in the first row, one number or text a cell."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerows(_grid(table, display))
    return stream.getvalue().encode("utf-8")


def tables_xlsx(tables: Sequence[Table], display: Display, issue_date: datetime.date) -> bytes:
    """Give tables as one workbook, a sheet each, stamped with the issue date only."""
    os.environ["OPENPYXL_LXML"] = "False"  # else the bytes depend on what happens to be installed beside it
    import openpyxl
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = openpyxl.Workbook()
    del book[book.sheetnames[0]]
    for name, table in zip(_sheet_names(tables), tables, strict=True):
        sheet = book.create_sheet(name)
        for number, row in enumerate(_grid(table, display), 1):
            for column, value in enumerate(row, 1):
                cell = sheet.cell(number, column, value)
                if isinstance(value, str):
                    cell.data_type = "s"  # never a formula, whatever the text begins with
                if number == 1:
                    cell.font = Font(bold=True)
        for column, width in enumerate(_widths(_grid(table, display)), 1):
            sheet.column_dimensions[get_column_letter(column)].width = width
        sheet.freeze_panes = "A2"
    if not tables:
        book.create_sheet("Empty")
    moment = datetime.datetime.combine(issue_date, datetime.time())
    book.properties.created = book.properties.modified = moment
    book.properties.creator = "Stockproof"
    stream = io.BytesIO()
    book.save(stream)
    return _fixed_times(stream.getvalue(), moment)


def neutral(text: str) -> str:
    """Give text that a spreadsheet takes as text: an apostrophe goes before what could be a formula."""
    clean = re.sub(r"[\r\n\t]+", " ", _UNPRINTABLE.sub(" ", text))[:LONGEST_CELL]
    runs = text.startswith(DANGEROUS) or clean.lstrip(" ").startswith(DANGEROUS)
    return "'" + clean if runs else clean


def _grid(table: Table, display: Display) -> list[list[str | int | float | None]]:
    """Heads and rows; a column whose quantities share one unit carries it in its head and holds numbers."""
    units = [_common_unit([row[i] for row in table.rows], display) for i in range(len(table.columns))]
    heads = [f"{c.title} ({unit})" if unit else c.title for c, unit in zip(table.columns, units, strict=True)]
    rows = [[_value(cell, unit, display) for cell, unit in zip(row, units, strict=True)] for row in table.rows]
    return [[neutral(head) for head in heads], *rows]


def _common_unit(cells: Iterable[Cell], display: Display) -> str:
    """The unit of a column of quantities of one dimension: the one its largest value is read in."""
    quantities = [cell for cell in cells if isinstance(cell, Quantity)]
    if not quantities or not quantities[0].dimension or len({(cell.dimension, cell.unit) for cell in quantities}) != 1:
        return ""
    return display.unit(max(quantities, key=lambda cell: abs(cell.value)))


def _value(cell: Cell, unit: str, display: Display) -> str | int | float | None:
    if isinstance(cell, Quantity) and cell.unit == "1":
        return _whole(float(show(cell.value, "", DIMENSIONS["share"], max(cell.digits, _places(cell.value)))))
    if isinstance(cell, Quantity):
        return _whole(display.in_unit(cell, unit)) if unit else neutral(display.quantity(cell))
    if isinstance(cell, Said):
        return neutral(cell.text)
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return neutral(cell) if isinstance(cell, str) else cell


def _places(value: float) -> int:
    """Digits before the point: a plain number is never rounded to tens."""
    return len(f"{abs(value):.0f}")


def _whole(value: float) -> int | float:
    return int(value) if value.is_integer() else value


def _sheet_names(tables: Sequence[Table]) -> list[str]:
    names: list[str] = []
    for table in tables:
        base = _SHEET_NAME.sub(" ", _UNPRINTABLE.sub(" ", table.name)).strip()[:LONGEST_SHEET_NAME] or "Table"
        name, count = base, 2
        while name.lower() in {known.lower() for known in names}:
            name, count = f"{base[: LONGEST_SHEET_NAME - 4]} {count}", count + 1
        names.append(name)
    return names


def _widths(grid: list[list[str | int | float | None]]) -> list[float]:
    columns = zip(*grid, strict=True)
    return [min(WIDEST, max(len(str(value)) for value in column if value is not None) + 2.0) for column in columns]


def _fixed_times(archive: bytes, moment: datetime.datetime) -> bytes:
    """The library stamps the clock into the archive and into one property; both are set to what is known."""
    stream = io.BytesIO()
    stamp = f"{moment:%Y-%m-%dT%H:%M:%SZ}".encode()
    with zipfile.ZipFile(io.BytesIO(archive)) as old, zipfile.ZipFile(stream, "w") as new:
        for name in sorted(old.namelist(), key=lambda name: (name != "[Content_Types].xml", name)):
            data = old.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*", rb"\g<1>" + stamp, data)
            entry = zipfile.ZipInfo(name, ZIP_EPOCH)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
            new.writestr(entry, data, compresslevel=6)
    return stream.getvalue()
