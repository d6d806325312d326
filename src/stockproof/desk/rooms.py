"""The rooms that have a page: which sections each shows, and which figures of the ledger are its own.

A room is on the desk when it answers. Runs in a worker; what a page needs comes back as HTML or as images.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import chain

from stockproof.desk.parts import sections_html
from stockproof.dossier import engineering, proposal
from stockproof.dossier.chapters.fitting import fit_in_full
from stockproof.dossier.chapters.offered import offered
from stockproof.dossier.chapters.payback import payback
from stockproof.dossier.document import set_out
from stockproof.dossier.pdf import render
from stockproof.dossier.write import display_of
from stockproof.figures import Figure
from stockproof.proof import Proof, Rooms
from stockproof.scene.pages import Figures, Part, Plate, Plot, Section

__all__ = ["ROOMS", "Room", "answering", "page_images", "room_figures", "room_html"]


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
    answers : callable
        Whether the room answered in this proof.
    """

    name: str
    title: str
    sections: Callable[[Rooms], Iterable[Section]]
    figures: tuple[str, ...]
    answers: Callable[[Rooms], bool] = lambda _: True


def _money(rooms: Rooms) -> Iterable[Section]:
    return chain(payback(rooms), (section for section in offered(rooms) if section.title != "What is offered"))


ROOMS: tuple[Room, ...] = (
    Room("fit", "Fit", fit_in_full, ("fit", "herd")),
    Room("money", "Money", _money, ("money",)),
)
DOCUMENTS = {"proposal": proposal, "engineering": engineering}


def answering(proof: Proof | None) -> tuple[Room, ...]:
    """Give the rooms that answered in a proof."""
    return tuple(room for room in ROOMS if proof is not None and room.answers(proof.rooms))


def room_html(proof: Proof, name: str) -> str:
    """Give a room's page: its pictures first, then words and tables, then its figures with their provenance."""
    room = next(room for room in ROOMS if room.name == name)
    sections = tuple(room.sections(proof.rooms))
    pictures = tuple(part for section in sections for part in section.parts if _is_picture(part))
    rest = tuple(
        Section(section.title, tuple(part for part in section.parts if not _is_picture(part)), section.level)
        for section in sections
    )
    figures = Section("Figures", (Figures(tuple(figure.name for figure in room_figures(proof, room))),))
    shown = ((Section("Pictures", pictures),) if pictures else ()) + rest + (figures,)
    return sections_html(shown, proof.rooms.ledger, display_of(proof))


def room_figures(proof: Proof, room: Room) -> tuple[Figure, ...]:
    """Give the ledger's figures that are a room's own."""
    return tuple(figure for figure in proof.rooms.ledger if figure.name.split(".")[0] in room.figures)


def page_images(proof: Proof, document: str) -> list[bytes]:
    """Give the pages of a document as they will be printed, as PNG."""
    whole = DOCUMENTS[document](proof)
    data, pictures = set_out(whole, proof.rooms.ledger, display_of(proof))
    pages = render("document.typ", data, pictures, whole.issue_date, "png", whole.tagged)
    return list(pages) if isinstance(pages, list) else [pages]


def _is_picture(part: Part) -> bool:
    return isinstance(part, Plot | Plate)
