"""Weights of a mob from a pasted column or a CSV file, on the brief's page."""

from __future__ import annotations

import re

from stockproof.desk.bench import Bench
from stockproof.desk.elements import Bring, Entry, button, el
from stockproof.desk.text import remove, set_value
from stockproof.desk.weights import columns, weights_csv
from stockproof.errors import InputError
from stockproof.tomlfile import KeyPath

__all__ = ["weights_part"]


def weights_part(bench: Bench, mob: int) -> None:
    """Build the fields that take weights for one mob."""
    written = {"text": "", "column": ""}
    with el("details"):
        el("summary", "Put in weights from the scales")
        el("p", "Paste a column of weights in kilograms, or a table with a head; or choose a CSV file.", "quiet")
        Entry("lines", "", lambda text: written.update(text=text), rows=6, label="Weights to put in")
        with el("div", classes="row"):
            column = Entry("text", "", lambda text: written.update(column=text), example="weight_kg", label="Column")
            column.style("max-width: 12rem")
            button("Use these weights", lambda: use(written["text"]))
            Bring("A CSV file of weights", ".csv,.txt", lambda _, text: use(text), lambda words: say(words))  # noqa: PLW0108
        told = el("p", "", "rust", role="alert").style("white-space: pre-line")

    def say(words: str) -> None:
        told._text = words
        told.update()

    def use(text: str) -> None:
        try:
            data = weights_csv(text, written["column"])
        except InputError as error:
            say(f"{error}\ncolumns: {', '.join(columns(text))}" if columns(text) else str(error))
            return
        take_weights(bench, mob, data)


def take_weights(bench: Bench, mob: int, data: bytes) -> None:
    """Put a file of weights beside the brief and let the mob read it instead of mean and spread."""
    path: KeyPath = ("mob", mob)
    name = f"{re.sub(r'[^a-z0-9]+', '_', str(bench.value((*path, 'name'))).lower()).strip('_') or 'mob'}_weights.csv"
    text = bench.papers.text
    for key in ("weight_mean", "weight_spread"):
        text = remove(text, (*path, key))
    bench.change(set_value(text, (*path, "weights_csv"), name), {name: data})
