"""Weights as people paste them: a column, with or without a head, or one column of a table; out comes a CSV file.

Nothing is converted silently: a number must be kilograms, and what is no number is refused with its line.
"""

from __future__ import annotations

import csv
import io
import re

from stockproof.errors import Fault, InputError, Place

__all__ = ["columns", "weights_csv"]

HEAD = "weight_kg"
_DELIMITERS = ",;\t"


def columns(text: str) -> tuple[str, ...]:
    """Give the heads of a pasted table's columns; empty for a bare column of numbers."""
    rows = _rows(text)
    if not rows or all(_is_number(cell) for cell in rows[0]):
        return ()
    return tuple(cell.strip() for cell in rows[0])


def weights_csv(text: str, column: str = "") -> bytes:
    """Give a CSV file with one column `weight_kg` from pasted text.

    Parameters
    ----------
    text : str
        A column of numbers, or a table with heads.
    column : str
        Which column holds the weights, where the table has several and none is called `weight_kg`.

    Raises
    ------
    InputError
        There is no such column, or a cell is no number.
    """
    rows, heads = _rows(text), columns(text)
    body = [(number, row) for number, row in enumerate(rows, 1) if any(cell.strip() for cell in row)]
    if heads:
        body = body[1:]
    at = _column(heads, column)
    faults = [
        Fault("is no number of kilograms", Place("pasted text", number), repr(_cell(row, at)))
        for number, row in body
        if not _is_number(_cell(row, at))
    ]
    if not body:
        faults.append(
            Fault("has no weights in it", Place("pasted text"), mend="paste a column of weights in kilograms")
        )
    if faults:
        raise InputError(faults[:8])
    lines = [HEAD, *(_cell(row, at).strip() for _, row in body)]
    return ("\n".join(lines) + "\n").encode()


def _rows(text: str) -> list[list[str]]:
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(_DELIMITERS, key=first.count)
    plain = "\n".join(text.splitlines())  # whatever ends a line there
    try:
        return [row for row in csv.reader(io.StringIO(plain), delimiter=delimiter) if row]
    except csv.Error as error:
        raise InputError(Fault(f"is no table: {error}", Place("pasted text"))) from None


def _column(heads: tuple[str, ...], column: str) -> int:
    wanted = column or (HEAD if HEAD in heads else (heads[0] if len(heads) == 1 else ""))
    if not heads:
        return 0
    if wanted not in heads:
        raise InputError(
            Fault("has several columns", Place("pasted text"), ", ".join(heads), mend="say which one holds the weights")
        )
    return heads.index(wanted)


def _cell(row: list[str], at: int) -> str:
    return row[at] if at < len(row) else ""


def _is_number(cell: str) -> bool:
    return re.fullmatch(r"\s*\d+(\.\d+)?\s*", cell) is not None
