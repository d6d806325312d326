"""The ledger as JSON beside the documents, so that any number can be traced without the program."""

from __future__ import annotations

import json
from typing import Any

from stockproof.figures import Figure, Ledger
from stockproof.proof.model import Measure, Verdict

__all__ = ["figure_values", "figures_json", "verdict_values"]

FORMAT = 1


def figures_json(ledger: Ledger, verdicts: tuple[Verdict, ...] = ()) -> bytes:
    """Give every figure with its provenance, sorted by name, and the verdicts with the figures they rest on."""
    values = {
        "format": FORMAT,
        "verdicts": [verdict_values(verdict) for verdict in verdicts],
        "figures": [figure_values(figure) for figure in sorted(ledger, key=lambda figure: figure.name)],
    }
    return (json.dumps(values, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8", "replace")


def figure_values(figure: Figure) -> dict[str, Any]:
    """Give a figure as JSON values in SI; what does not apply is left out."""
    values: dict[str, Any] = {
        "name": figure.name,
        "value": figure.value,
        "unit": figure.unit,
        "label": figure.label,
        "how": figure.how,
        "inputs": list(figure.inputs),
        "source": figure.source,
        "source_seen": figure.seen,
    }
    extras = {
        "formula": figure.text,
        "substituted": figure.substituted,
        "band": list(figure.band) if figure.band else None,
    }
    return {**values, **{name: value for name, value in extras.items() if value}}


def verdict_values(verdict: Verdict) -> dict[str, Any]:
    """Give a verdict as JSON values, its measures in SI."""
    return {
        "number": verdict.number,
        "kind": verdict.kind,
        "promise": verdict.promise,
        "state": verdict.state,
        "margin_share": verdict.margin_share,
        "measures": [_measure(measure) for measure in verdict.measures],
        "because": verdict.because,
        "mend": verdict.mend,
        "bounds": verdict.bounds,
        "figures": list(verdict.evidence),
    }


def _measure(measure: Measure) -> dict[str, Any]:
    return {
        "label": measure.label,
        "asked": measure.asked,
        "found": measure.found,
        "better": measure.better,
        "dimension": measure.dimension,
        "unit": measure.unit,
        "figure": measure.figure,
    }
