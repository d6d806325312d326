"""The usual cautions of this trade, chosen by what the build holds; they replace no code, standard or licence."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.catalogue.items import Accumulator, PowerPack
from stockproof.proof import Rooms
from stockproof.proof.alone import left_alone
from stockproof.scene.pages import Cautions, Section

__all__ = ["cautions", "cautions_beside"]

ALWAYS = (
    "Cattle can kill. A person who works at the line keeps a way out within reach and is never alone in a pen with "
    "cattle that can reach them.",
    "Watch the animal, not the gauge: relieve at once an animal that goes down, cannot breathe or fights for long.",
    "What is stated here was computed from the brief and the catalogue. It has to be proved on the day, with the "
    "stock, before anybody relies on it.",
    "Local codes, the full text of the standards and the advice of licensed practitioners go before this document.",
)
POWERED = (
    "Oil under pressure penetrates skin. Release the pressure and check that it is gone before any fitting is "
    "loosened; never feel for a leak by hand.",
    "Everyone who presses a control first sees the animal and every person near it, and stays until the part has "
    "stopped.",
)
STORED = (
    "The accumulator holds energy when the pump is off. Vent it before work, and leave charging and inspection to a "
    "person qualified for pressure equipment.",
)
ELECTRIC = (
    "Connection, protection and bonding are work for a licensed electrician. Bond the steelwork: a stray voltage too "
    "small for people to feel makes cattle balk.",
)
ENGINE = ("An engine gives off carbon monoxide: run it in the open air, and refuel it cold.",)


def cautions_beside(rooms: Rooms) -> Iterator[Cautions]:
    """Give what was found against these cautions, to stand beside the answers; nothing where nothing was."""
    found = tuple(left_alone(rooms))
    if found:
        yield Cautions(found)


def cautions(rooms: Rooms) -> Iterator[Section]:
    """Give the cautions that apply to the build."""
    packs = rooms.installation.items(PowerPack)
    items = [*ALWAYS]
    if packs:
        items += POWERED
    if rooms.installation.items(Accumulator):
        items += STORED
    if any(pack.drive != "petrol" for pack in packs):
        items += ELECTRIC
    if any(pack.drive == "petrol" for pack in packs):
        items += ENGINE
    yield Section("Cautions", (Cautions(tuple(items)),))
