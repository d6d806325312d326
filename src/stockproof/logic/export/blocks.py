"""Sorts definitions into function blocks, one for each part where the order of evaluation allows it.

Within a scan every signal is evaluated before it is read. A part whose rules read what reads the part itself is
split: its second block is called later in the same scan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stockproof.errors import InternalError
from stockproof.logic.export.rules import Definition

__all__ = ["Block", "into_blocks"]


@dataclass(frozen=True, slots=True)
class Block:
    """Definitions of one part, in the order in which they are evaluated."""

    name: str
    definitions: tuple[Definition, ...]

    @property
    def gives(self) -> tuple[str, ...]:
        return tuple(definition.name for definition in self.definitions)

    @property
    def reads(self) -> tuple[str, ...]:
        """What it reads from outside, in reading order."""
        own = set(self.gives)
        found = (word for definition in self.definitions for word in definition.reads)
        return tuple(dict.fromkeys(word for word in found if word not in own))


def into_blocks(definitions: Sequence[Definition], given: Iterable[str]) -> tuple[Block, ...]:
    """Give the blocks in the order in which they are called.

    Parameters
    ----------
    definitions : the definitions, in any order
    given : signals that are known before the first block is called

    Raises
    ------
    InternalError
        Definitions read each other in a circle.
    """
    left, known, blocks = list(definitions), set(given), list[Block]()
    while left:
        groups = dict.fromkeys(definition.group for definition in left)
        offers = [_offer(group, left, known) for group in groups]
        best = max(offers, key=lambda offer: (len(offer) == _count(offer, left), len(offer)))
        if not best:
            raise InternalError(f"definitions in a circle: {', '.join(d.name for d in left)}")
        count = sum(block.name.partition(" ")[0] == best[0].group for block in blocks)
        blocks.append(Block(best[0].group + (f" {count + 1}" if count else ""), tuple(best)))
        known |= {definition.name for definition in best}
        left = [definition for definition in left if definition.name not in known]
    return tuple(blocks)


def _offer(group: str, left: Iterable[Definition], known: set[str]) -> list[Definition]:
    """What of a group can be evaluated now, in order."""
    mine, done, found = [d for d in left if d.group == group], set(known), list[Definition]()
    while True:
        ready = next((d for d in mine if d.name not in done and done.issuperset(d.reads)), None)
        if ready is None:
            return found
        found.append(ready)
        done.add(ready.name)


def _count(offer: list[Definition], left: Iterable[Definition]) -> int:
    return sum(d.group == offer[0].group for d in left) if offer else -1
