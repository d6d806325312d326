"""The dossier of a proof: which documents it holds, what stands in them, and the folder they are written to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from stockproof.dossier.chapters.annex import every_figure
from stockproof.dossier.chapters.asked import asked
from stockproof.dossier.chapters.assumed import assumed
from stockproof.dossier.chapters.beside import found_beside
from stockproof.dossier.chapters.cautions import cautions, cautions_beside
from stockproof.dossier.chapters.controlling import control_in_brief, control_in_full, relief_chapter
from stockproof.dossier.chapters.days import days_in_full
from stockproof.dossier.chapters.fitting import fit_in_brief, fit_in_full
from stockproof.dossier.chapters.flowing import flow_in_brief, flow_in_full
from stockproof.dossier.chapters.offered import offered
from stockproof.dossier.chapters.payback import payback
from stockproof.dossier.chapters.powering import power_in_brief, power_in_full
from stockproof.dossier.chapters.pumping import hardest_day
from stockproof.dossier.chapters.words import words_of_the_market
from stockproof.dossier.chapters.yarding import sheets_of_the_yard, title_of, yard_in_brief, yard_in_full
from stockproof.dossier.display import Display
from stockproof.dossier.document import Document, Verdicts, set_out
from stockproof.dossier.figures_json import figures_json
from stockproof.dossier.files import write_folder
from stockproof.dossier.pdf import drawings_pdf, typeset
from stockproof.dossier.svg import drawing_svg
from stockproof.dossier.tables import table_csv, tables_xlsx
from stockproof.errors import Fault, InputError
from stockproof.power.diagram import diagram
from stockproof.proof import Proof, Rooms
from stockproof.scene import Drawing
from stockproof.scene.pages import Plate, Section, Table, figures_printed

__all__ = ["as_draft", "display_of", "dossier_files", "drawing_files", "engineering", "proposal", "write"]

#: Assumptions shown to a customer; the engineering file holds them all.
MOST_ASSUMPTIONS = 12
NOTICE = (
    "This document states what was computed from the brief and the catalogue named above. It is no certificate and no "
    "permit. Local codes, the full standards and licensed practice go before it."
)
FIRMS_OWN = "For the firm's own use: it holds prices ex works and the firm's margin. " + NOTICE


def write(proof: Proof, out: Path) -> tuple[Path, ...]:
    """Write the dossier of a proof into a folder as a draft, whole or not at all, and give the paths.

    Nobody has stood for the assumptions here; at the desk somebody can.

    Raises
    ------
    OutputError
        The folder holds other files, or cannot be written.
    """
    return write_folder(out, dossier_files(proof))


def as_draft(document: Document) -> Document:
    """Give a document that says on its cover and at the head of its pages that it is a draft."""
    return replace(document, kind=f"Draft: {document.kind.lower()}")


def dossier_files(proof: Proof, draft: bool = True) -> dict[str, bytes]:
    """Give every file of the dossier by its name in the folder.

    Parameters
    ----------
    draft : bool
        Whether an assumption is still confirmed by nobody; the documents then say that they are drafts.
    """
    display, date = display_of(proof), proof.rooms.brief.file.issue_date
    sheets = sheets_of_the_yard(proof.rooms)
    documents = {"proposal.pdf": proposal(proof, sheets), "engineering.pdf": engineering(proof, sheets)}
    files = {
        name: _typeset(as_draft(document) if draft else document, proof, display)
        for name, document in documents.items()
    }
    files["figures.json"] = figures_json(proof.rooms.ledger, proof.verdicts)
    tables = tuple(_tables(documents["engineering.pdf"]))
    files["tables.xlsx"] = tables_xlsx(tables, display, date)
    for table in tables:
        files[f"tables/{_file_name(table.name)}.csv"] = table_csv(table, display)
    for drawing in _drawings(documents["engineering.pdf"]):
        files[f"drawings/{drawing.name}.svg"] = drawing_svg(drawing).encode()
        files[f"drawings/{drawing.name}.dxf"] = _dxf(drawing)
    return files


def drawing_files(proof: Proof) -> dict[str, bytes]:
    """Give the yard's sheets as SVG and DXF, and as one PDF at true scale.

    Raises
    ------
    InputError
        No layout fits the site, so there is nothing to draw.
    """
    rooms = proof.rooms
    if rooms.yard is None:
        raise InputError(Fault(rooms.no_yard, mend="see the verdict on the site"))
    sheets = sheets_of_the_yard(rooms)
    files = {f"{sheet.name}.svg": drawing_svg(sheet).encode() for sheet in sheets}
    files |= {f"{sheet.name}.dxf": _dxf(sheet) for sheet in sheets}
    brief = rooms.brief.file
    files["yard.pdf"] = drawings_pdf(sheets, brief.issue_date, brief.title)
    return files


def _dxf(drawing: Drawing) -> bytes:
    from stockproof.dossier.dxf import drawing_dxf  # half a second of imports, for nothing where none is drawn

    return drawing_dxf(drawing).encode()


def display_of(proof: Proof) -> Display:
    """Give the units and currencies the proof's readers know."""
    rooms = proof.rooms
    return Display(rooms.units, rooms.price.currency, rooms.price.works_currency)


def proposal(proof: Proof, sheets: tuple[Drawing, ...] | None = None) -> Document:
    """Give the proposal: the answers first, then what was asked, offered and assumed; sheets are drawn if not given."""
    rooms = proof.rooms
    sheets = sheets_of_the_yard(rooms) if sheets is None else sheets
    sections = (
        Section("The answers", (Verdicts(proof.verdicts), *cautions_beside(rooms), *found_beside(rooms.power))),
        *words_of_the_market(rooms),
        *asked(rooms),
        *offered(rooms),
        *fit_in_brief(rooms),
        *flow_in_brief(rooms.flows.own_crews),
        *power_in_brief(rooms.power),
        *(control_in_brief(rooms.checked) if rooms.checked else ()),
        *yard_in_brief(rooms, sheets),
        *payback(rooms),
        *assumed(proof, MOST_ASSUMPTIONS),
        *cautions(rooms),
    )
    return _document(proof, "Proposal", sections, NOTICE)


def engineering(proof: Proof, sheets: tuple[Drawing, ...] | None = None) -> Document:
    """Give the engineering file: verdicts with their evidence, every room's tables, every figure with its source."""
    rooms = proof.rooms
    sheets = sheets_of_the_yard(rooms) if sheets is None else sheets
    sections = (
        Section(
            "The answers and what they rest on", (Verdicts(proof.verdicts, detailed=True), *cautions_beside(rooms))
        ),
        *words_of_the_market(rooms),
        *asked(rooms),
        *offered(rooms),
        *fit_in_full(rooms),
        *flow_in_full(rooms.flows.own_crews),
        *days_in_full(rooms),
        *power_in_full(rooms.power),
        *hardest_day(rooms),
        _circuit(rooms),
        *(control_in_full(rooms.checked) if rooms.checked else ()),
        *relief_chapter(rooms.reliefs),
        *yard_in_full(rooms, sheets),
        *payback(rooms),
        *assumed(proof),
        *cautions(rooms),
    )
    sections += tuple(every_figure(rooms.ledger, figures_printed(sections)))
    return replace(_document(proof, "Engineering file", sections, FIRMS_OWN), tagged=False)


def _circuit(rooms: Rooms) -> Section:
    unit = rooms.units.unit("pressure")
    drawing = diagram(rooms.power.prepared.circuit, title_of(rooms, "Hydraulic circuit", "H"), pressure_unit=unit)
    return Section("Circuit", (Plate(drawing),), level=2)


def _document(proof: Proof, kind: str, sections: tuple[Section, ...], notice: str) -> Document:
    brief, firm = proof.rooms.brief.file, proof.rooms.installation.catalogue.file.firm
    notes = dict.fromkeys(note for note in (brief.note, firm.note) if note)
    facts = (
        ("Customer", brief.customer.name),
        ("Date of issue", f"{brief.issue_date.day} {brief.issue_date:%B %Y}"),
        ("Brief", proof.rooms.brief.toml.name.rsplit("/", 1)[-1]),
        ("Offered by", firm.name),
        ("Standards referred to", brief.market.standards),
        ("Units", f"{brief.market.mass}, {brief.market.pressure}, {brief.market.currency}"),
    )
    return Document(
        kind,
        brief.title,
        brief.customer.farm,
        brief.customer.place,
        brief.customer.name,
        firm.name,
        brief.issue_date.isoformat(),
        brief.issue_date,
        proof.verdicts,
        sections,
        " ".join(notes),
        notice,
        facts,
        "us-letter" if brief.market.standards == "ANSI" else "a4",
    )


def _typeset(document: Document, proof: Proof, display: Display) -> bytes:
    data, pictures = set_out(document, proof.rooms.ledger, display)
    return typeset("document.typ", data, pictures, document.issue_date, document.tagged)


def _tables(document: Document) -> Iterator[Table]:
    for section in document.sections:
        yield from (part for part in section.parts if isinstance(part, Table))


def _drawings(document: Document) -> Iterator[Drawing]:
    for section in document.sections:
        yield from (part.drawing for part in section.parts if isinstance(part, Plate))


def _file_name(name: str) -> str:
    """A table's name as a file name: plain letters, digits and hyphens."""
    return "-".join("".join(c if c.isascii() and c.isalnum() else " " for c in name.lower()).split()) or "table"
