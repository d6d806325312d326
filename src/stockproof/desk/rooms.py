"""The rooms that have a page: which sections each shows, and which figures of the ledger are its own.

A room is on the desk when it answers. Runs in a worker; what a page needs comes back as HTML or as images.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fnmatch import fnmatchcase
from itertools import chain

from stockproof.desk.bars import bars_html, motion_times, tightest
from stockproof.desk.parts import sections_html
from stockproof.dossier import dossier_files, engineering, proposal
from stockproof.dossier.chapters.cautions import cautions_beside
from stockproof.dossier.chapters.controlling import control_in_full, relief_chapter
from stockproof.dossier.chapters.days import days_in_full
from stockproof.dossier.chapters.fitting import fit_in_full
from stockproof.dossier.chapters.flowing import flow_in_full
from stockproof.dossier.chapters.offered import offered
from stockproof.dossier.chapters.payback import payback
from stockproof.dossier.chapters.powering import power_in_full
from stockproof.dossier.chapters.pumping import hardest_day
from stockproof.dossier.chapters.yarding import sheets_of_the_yard, yard_in_full
from stockproof.dossier.control_pack import sequence_charts
from stockproof.dossier.display import Display
from stockproof.dossier.document import Document, set_out
from stockproof.dossier.pdf import render, typeset
from stockproof.dossier.write import as_draft, display_of
from stockproof.figures import Figure
from stockproof.proof import Proof, Rooms, Verdict
from stockproof.scene.pages import Figures, Paragraph, Part, Plate, Plot, Section, figures_printed

__all__ = [
    "ROOMS",
    "Room",
    "RoomPage",
    "chief_figures",
    "document_pdf",
    "files_of",
    "page_images",
    "promises_of",
    "room_figures",
    "room_of",
    "room_page",
]

#: So many chief figures stand beside a room's picture.
MOST_CHIEF = 10
#: Promises about the control rest on it even where nothing could be shown.
LATER = (
    "Every state that people, animals and the control can reach is looked at in the full run, which goes on in the "
    "background; what it finds shows here."
)


@dataclass(frozen=True, slots=True)
class Room:
    """A page made of a room's sections.

    Parameters
    ----------
    name, title : str
        In the address, and on the page.
    sections : callable
        Gives the sections from the rooms' results.
    figures : tuple of str
        First words of the ledger's names that are this room's.
    chief : tuple of str
        Patterns of the names of the figures that stand beside its picture.
    kinds : tuple of str
        Kinds of promise that rest on it even where nothing was found.
    answers : callable
        Whether the room answered in this proof.
    picture : callable
        Gives the picture of a room whose sections have none, as markup.
    """

    name: str
    title: str
    sections: Callable[[Rooms], Iterable[Section]]
    figures: tuple[str, ...]
    chief: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    answers: Callable[[Rooms], bool] = lambda _: True
    picture: Callable[[Rooms, Display], str] | None = None


@dataclass(frozen=True, slots=True)
class RoomPage:
    """A room's page as markup: its picture, and the rest."""

    picture: str
    rest: str


def _money(rooms: Rooms) -> Iterable[Section]:
    return chain(payback(rooms), (section for section in offered(rooms) if section.title != "What is offered"))


def _yard(rooms: Rooms) -> Iterable[Section]:
    return yard_in_full(rooms, sheets_of_the_yard(rooms))


def _power(rooms: Rooms) -> Iterable[Section]:
    return chain(power_in_full(rooms.power), hardest_day(rooms))


def _logic(rooms: Rooms) -> Iterable[Section]:
    """The sequence as a chart, then what its check found, once it was run."""
    charts = sequence_charts(rooms.installation, rooms.control.assembly, rooms.control.netlist)
    if charts:
        yield Section("", tuple(Plate(chart) for chart in charts))
    if rooms.checked is not None:
        yield from control_in_full(rooms.checked)
        yield from relief_chapter(rooms.reliefs)
    else:
        yield Section("The control", (Paragraph(LATER),))


def _flow(rooms: Rooms) -> Iterable[Section]:
    beside = tuple(cautions_beside(rooms))
    first = (Section("", beside),) if beside else ()
    return chain(first, flow_in_full(rooms.flows.own_crews), days_in_full(rooms))


def _fit_picture(rooms: Rooms, display: Display) -> str:
    return bars_html("What is left at the tightest limits of each mob", tightest(rooms), rooms.ledger, display)


def _power_picture(rooms: Rooms, display: Display) -> str:
    return bars_html("How long each motion takes", motion_times(rooms), rooms.ledger, display)


ROOMS: tuple[Room, ...] = (
    Room(
        "yard",
        "Yard",
        _yard,
        ("yard",),
        ("yard.receiving_head", "yard.race_places", "yard.batch_head", "yard.used_m2", "yard.ground_m2"),
        ("holds", "pen_space", "escape", "fits_site"),
    ),
    Room("fit", "Fit", fit_in_full, ("fit", "herd"), ("fit.*.share",), ("fits", "tasks"), picture=_fit_picture),
    Room(
        "power",
        "Power",
        _power,
        ("power",),
        ("power.pump.flow", "power.pump.cut_out", "power.supply.*.current", "power.supply.*.drop"),
        ("outlet", "motion_time", "holding_force", "power_loss", "cold_morning", "noise"),
        picture=_power_picture,
    ),
    Room(
        "logic",
        "Logic",
        _logic,
        ("logic",),
        (
            "logic.answer.*",
            "logic.faults.*",
            "logic.states",
            "logic.settling_scans",
            "logic.relief.forced",
            "logic.motions",
            "logic.inputs",
            "logic.memories",
            "logic.timers",
        ),
        kinds=("bad_state", "relief", "single_fault"),
    ),
    Room(
        "flow",
        "Flow",
        _flow,
        ("flow",),
        ("flow.*.rate",),
        ("rate", "days", "people"),
        answers=lambda rooms: bool(rooms.flows.own_crews),
    ),
    Room(
        "money",
        "Money",
        _money,
        ("money",),
        ("money.price.total", "money.cash.payback*", "money.delivery.*"),
        ("price", "delivery", "payback"),
    ),
)
DOCUMENTS = {"proposal": proposal, "engineering": engineering}


def room_of(name: str) -> Room:
    """Give the room of a name."""
    return next(room for room in ROOMS if room.name == name)


def room_page(proof: Proof, name: str, pictures: bool = True) -> RoomPage:
    """Give a room's page: its picture, then words, tables and further pictures, then its figures.

    Parameters
    ----------
    pictures : bool
        Leave the picture out where a page draws its own.
    """
    room, display = room_of(name), display_of(proof)
    sections = tuple(room.sections(proof.rooms))
    first = next((part for section in sections for part in section.parts if _is_picture(part)), None)
    printed = figures_printed(sections)
    names = tuple(figure.name for figure in room_figures(proof, room) if figure.name not in printed)
    figures = [Section("Further figures", (Figures(names),))] if names else []
    shown = [_without(section, first, room.title) for section in (*sections, *figures)]
    rest = sections_html((section for section in shown if section.parts), proof.rooms.ledger, display)
    if not pictures:
        return RoomPage("", rest)
    made = room.picture(proof.rooms, display) if room.picture is not None and room.answers(proof.rooms) else ""
    if made:
        drawn = [Section("", (first,))] if first is not None else []
        return RoomPage(made, sections_html(drawn, proof.rooms.ledger, display, "second") + rest)
    ahead = sections_html([Section("", (first,))], proof.rooms.ledger, display, "first") if first is not None else ""
    return RoomPage(ahead, rest)


def promises_of(proof: Proof, room: Room) -> tuple[Verdict, ...]:
    """Give the verdicts that rest on a room."""
    return tuple(
        verdict
        for verdict in proof.verdicts
        if verdict.kind in room.kinds or any(name.split(".")[0] in room.figures for name in verdict.evidence)
    )


def chief_figures(proof: Proof, room: Room) -> tuple[Figure, ...]:
    """Give the figures that stand beside a room's picture."""
    names = [figure.name for figure in room_figures(proof, room)]
    found = [name for pattern in room.chief for name in names if _matches(name, pattern)]
    return tuple(proof.rooms.ledger[name] for name in dict.fromkeys(found[:MOST_CHIEF]))


def _matches(name: str, pattern: str) -> bool:
    """A star stands for one word of a name, or for the end of one."""
    return fnmatchcase(name, pattern) and name.count(".") == pattern.count(".")


def room_figures(proof: Proof, room: Room) -> tuple[Figure, ...]:
    """Give the ledger's figures that are a room's own."""
    return tuple(figure for figure in proof.rooms.ledger if figure.name.split(".")[0] in room.figures)


def files_of(proof: Proof, draft: bool) -> dict[str, bytes]:
    """Give the dossier's files; while it is a draft its documents say so on the cover and in their names."""
    files = dossier_files(proof, draft)
    return {f"draft-{name}" if draft and name.endswith(".pdf") else name: data for name, data in files.items()}


def document_pdf(proof: Proof, name: str, draft: bool) -> bytes:
    """Give one document as PDF."""
    whole = _document(proof, name, draft)
    data, pictures = set_out(whole, proof.rooms.ledger, display_of(proof))
    return typeset("document.typ", data, pictures, whole.issue_date, whole.tagged)


def page_images(proof: Proof, document: str, draft: bool) -> list[bytes]:
    """Give the pages of a document as they will be printed, as PNG."""
    whole = _document(proof, document, draft)
    data, pictures = set_out(whole, proof.rooms.ledger, display_of(proof))
    pages = render("document.typ", data, pictures, whole.issue_date, "png", whole.tagged)
    return list(pages) if isinstance(pages, list) else [pages]


def _document(proof: Proof, name: str, draft: bool) -> Document:
    whole: Document = DOCUMENTS[name](proof)
    return as_draft(whole) if draft else whole


def _without(section: Section, picture: Part | None, title: str) -> Section:
    """A section without the picture that went ahead, and without a title that the page has already."""
    parts = tuple(part for part in section.parts if part is not picture)
    return Section("" if section.title in (title, f"The {title.lower()}") else section.title, parts, section.level)


def _is_picture(part: Part) -> bool:
    return isinstance(part, Plot | Plate)
