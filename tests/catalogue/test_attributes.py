"""Which attributes of the catalogue and the brief no room reads yet: a list that has to be kept true."""

from __future__ import annotations

import ast
from pathlib import Path

import stockproof
from stockproof.brief.model import BriefFile
from stockproof.brief.promises import PROMISES
from stockproof.catalogue.items import KINDS
from stockproof.catalogue.parts import ContactPad, Cylinder, Motion, Rule, Signal, Valve
from stockproof.records import Record

ROOT = Path(stockproof.__file__).parent
#: Code that only reads files; what it touches is not yet analysed (`line.py` lays out the plant and counts).
READERS = {"brief", "catalogue", "records.py", "tomlfile.py"}
LINE = ROOT / "catalogue" / "line.py"

#: Attributes that no analysis reads yet, and what waits for them.
UNREAD: dict[str, str] = {
    "working_day_s": "read through the programme's `day_s`, which adds the breaks",
    "division_kg": "weighing and drafting accuracy",
    "floor_area_m2": "the yard takes the forcing pen's radius and computes its floor",
    "floor_level_m": "levels in the setting-out sheet start at the ground",
    "hold_to_run": "functional safety",
    "mounting": "weighing and drafting accuracy",
    "read_range_m": "weighing and drafting accuracy",
    "read_share": "weighing and drafting accuracy",
    "scan_time_s": "response times of safety functions",
    "settle_time_s": "weighing and drafting accuracy",
    "technology": "functional safety: failure data by how a sensor senses",
    "wording": "documents are in UK trade words; docs/use.md gives the US ones",
}


def names_read() -> set[str]:
    """Every attribute name, and every field named in a text, outside the readers."""
    found: set[str] = set()
    for path in ROOT.rglob("*.py"):
        if path.relative_to(ROOT).parts[0] in READERS and path != LINE:
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Attribute):
                found.add(node.attr)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
    return found


def records() -> set[type[Record]]:
    """Every table of a catalogue or brief."""
    known: set[type[Record]] = {*KINDS, *PROMISES, BriefFile, ContactPad, Cylinder, Motion, Rule, Signal, Valve}
    queue = list(known)
    while queue:
        for info in queue.pop().model_fields.values():
            for part in [info.annotation, *_parts(info.annotation)]:
                if isinstance(part, type) and issubclass(part, Record) and part not in known:
                    known.add(part)
                    queue.append(part)
    return known


def _parts(annotation: object) -> list[object]:
    parts = list(getattr(annotation, "__args__", ()))
    return parts + [inner for part in parts for inner in _parts(part)]


def test_every_attribute_is_read_by_an_analysis_or_listed_here() -> None:
    read = names_read()
    unread = {name for record in records() for name in record.model_fields if name not in read}
    assert unread == set(UNREAD)


def test_every_attribute_says_what_it_means_and_every_sourced_default_says_whose_it_is() -> None:
    for record in records():
        for name, info in record.model_fields.items():
            assert info.description, f"{record.__name__}.{name}"
            extra = info.json_schema_extra
            quantity = isinstance(info.default, float) and not isinstance(info.default, bool)
            assert not quantity or (isinstance(extra, dict) and extra.get("source")), f"{record.__name__}.{name}"
