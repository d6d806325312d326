"""The control pack: code, interchange, lists, charts and sheets of one installation, every file marked as a draft."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from stockproof.dossier.display import Display
from stockproof.dossier.document import Document, set_out
from stockproof.dossier.files import write_folder
from stockproof.dossier.pdf import typeset
from stockproof.dossier.svg import drawing_svg
from stockproof.dossier.tables import table_csv, tables_xlsx
from stockproof.errors import InternalError
from stockproof.figures import Ledger
from stockproof.installation import Installation
from stockproof.logic import Relief, Verification, verify
from stockproof.logic.assembly import Assembly
from stockproof.logic.export.acceptance import factory_sheet, site_sheet
from stockproof.logic.export.lists import LEVELS_NOTE, addresses, io_table, matrix_table, timer_table, why_table
from stockproof.logic.export.matrix_sheet import matrix_drawings
from stockproof.logic.export.names import DRAFT
from stockproof.logic.export.operator_card import operator_cards
from stockproof.logic.export.people import Program
from stockproof.logic.export.plcopen import plcopen_xml
from stockproof.logic.export.rules import Differs, Rulebook
from stockproof.logic.export.sequence_chart import sequence_drawings
from stockproof.logic.export.structured_text import code_of, configuration_text, structured_text
from stockproof.netlist.model import Netlist
from stockproof.proof.machine import assemble_on_site, reliefs
from stockproof.proof.words import market_units
from stockproof.scene import Drawing, TitleBlock
from stockproof.scene.pages import Column, Paragraph, Plate, Section, Table

__all__ = ["control_pack", "sequence_charts", "write_control_pack"]

MARK = "DRAFT for review by a competent control engineer"
CODE = (
    "The code is written from the same netlist that is simulated and checked: every rule of it, lowered once more, is "
    "the very operation that was checked. It uses TON, RS and R_TRIG of the standard's blocks and nothing of a maker's."
)


def write_control_pack(installation: Installation, out: Path, check: bool = True) -> tuple[Path, ...]:
    """Assemble an installation's control and write its pack into a folder, whole or not at all.

    Parameters
    ----------
    check : bool
        Check the logic first, fault-free, so that the site sheet tells what must not happen and the known stories.

    Raises
    ------
    InputError
        The items' rules contradict one another.
    OutputError
        The folder holds other files, or cannot be written.
    """
    control = assemble_on_site(installation)
    checked = verify(control.netlist, control.plant, faults=False) if check else None
    relief = reliefs(control)
    return write_folder(out, control_pack(installation, control.assembly, control.netlist, checked, relief))


def control_pack(
    installation: Installation,
    assembly: Assembly,
    netlist: Netlist,
    verification: Verification | None = None,
    relief: tuple[Relief, ...] = (),
) -> dict[str, bytes]:
    """Give every file of the control pack by its name in the folder.

    Parameters
    ----------
    assembly, netlist : the installation's rules and what they were lowered to
    verification, relief : what was found about the logic and about freeing the animal, for the site sheet

    Raises
    ------
    InternalError
        The netlist is not what the assembly's rules give.
    """
    program = _program(assembly, netlist)
    brief, firm = installation.brief.file, installation.catalogue.firm
    heading = (f"Control of the line: {brief.title}", f"Issued {brief.issue_date.isoformat()} by {firm.name}")
    display = Display(market_units(brief.market))
    drawings = _drawings(installation, program)
    sections = tuple(_sections(program, verification, relief))
    tables = [_stamped(table) for table in (*_tables(sections), matrix_table(program))]
    files = {
        "control.st": structured_text(program.code, heading).encode(),
        "configuration.st": configuration_text(program.code, addresses(program), heading).encode(),
        "control.xml": plcopen_xml(program.code, brief.title, firm.name, brief.issue_date),
        "control-sheets.pdf": _pdf(installation, sections, drawings, display),
        "control-tables.xlsx": tables_xlsx(tables, display, brief.issue_date),
    }
    files |= {f"tables/{_file_name(table.name)}.csv": table_csv(table, display) for table in tables}
    return files | {f"drawings/{drawing.name}.svg": drawing_svg(drawing).encode() for drawing in drawings}


def sequence_charts(installation: Installation, assembly: Assembly, netlist: Netlist) -> tuple[Drawing, ...]:
    """Give the charts of the control's sequences, in the job's title block."""
    return sequence_drawings(_program(assembly, netlist), _title(installation), (DRAFT,))


def _program(assembly: Assembly, netlist: Netlist) -> Program:
    try:
        book = Rulebook(netlist, assembly)
    except Differs as difference:
        raise InternalError(f"the netlist is not of these rules: {difference}") from difference
    return Program(netlist, assembly, code_of(netlist, assembly), book)


#: What a reviewer asks first of a list of buttons.
CONTACTS_NOTE = (
    "Buttons make when they are pressed; the emergency stop alone breaks. A broken wire of a button that stops the "
    "program hence looks like one that is not pressed: another stop, the hold switch or the emergency stop ends the "
    "program then. Where the assessment of risk asks for more, fit one that breaks and turn its sense at the input."
)


def _sections(program: Program, verification: Verification | None, relief: tuple[Relief, ...]) -> Iterator[Section]:
    levels = Paragraph(LEVELS_NOTE, quiet=True)
    yield Section("Inputs and outputs", (levels, Paragraph(CONTACTS_NOTE, quiet=True), io_table(program)))
    yield Section("Timers and parameters", (timer_table(program),))
    yield Section("Why won't it move?", (levels, why_table(program)))
    yield from operator_cards(program)
    yield factory_sheet(program)
    yield site_sheet(program, verification, relief)


def _tables(sections: tuple[Section, ...]) -> Iterator[Table]:
    for section in sections:
        yield from (part for part in section.parts if isinstance(part, Table))


def _stamped(table: Table) -> Table:
    """The table for a file of its own: what it is stands in its last row."""
    last = (DRAFT, *(None for _ in table.columns[1:]))
    heads = tuple(Column(column.title or "Name", column.align, column.share) for column in table.columns)
    return replace(table, columns=heads, rows=(*table.rows, last))


def _drawings(installation: Installation, program: Program) -> tuple[Drawing, ...]:
    title = _title(installation)
    return (*sequence_drawings(program, title, (DRAFT,)), *matrix_drawings(program, title, (DRAFT,)))


def _title(installation: Installation) -> TitleBlock:
    brief, firm = installation.brief.file, installation.catalogue.firm
    place = ", ".join(word for word in (brief.customer.farm, brief.customer.place) if word)
    date = f"{brief.issue_date.day} {brief.issue_date:%B %Y}"
    return TitleBlock("", MARK, place, brief.customer.name, firm.name, date=date)


def _pdf(
    installation: Installation, sections: tuple[Section, ...], drawings: tuple[Drawing, ...], display: Display
) -> bytes:
    brief, firm = installation.brief.file, installation.catalogue.firm
    notes = dict.fromkeys(note for note in (brief.note, firm.note) if note)
    facts = (
        ("Farm", ", ".join(word for word in (brief.customer.farm, brief.customer.place) if word)),
        ("Customer", brief.customer.name),
        ("Offered by", firm.name),
        ("Date of issue", f"{brief.issue_date.day} {brief.issue_date:%B %Y}"),
    )
    plates = Section("Charts and matrix", (Paragraph(CODE), *(Plate(drawing) for drawing in drawings)))
    document = Document(
        "Control pack",
        brief.title,
        brief.customer.farm,
        brief.customer.place,
        brief.customer.name,
        firm.name,
        brief.issue_date.isoformat(),
        brief.issue_date,
        (),
        (*sections, plates),
        " ".join(notes),
        DRAFT,
        facts,
        "us-letter" if brief.market.standards == "ANSI" else "a4",
        tagged=False,
    )
    data, pictures = set_out(document, Ledger(), display)
    return typeset("control.typ", {**data, "mark": MARK}, pictures, document.issue_date, document.tagged)


def _file_name(name: str) -> str:
    return "-".join("".join(c if c.isascii() and c.isalnum() else " " for c in name.lower()).split()) or "table"
