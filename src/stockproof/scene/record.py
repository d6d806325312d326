"""A collector for tests: everything a drawing puts on paper, asked by kind, layer or words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from stockproof.scene.furniture import furniture
from stockproof.scene.primitives import Text
from stockproof.scene.resolve import Mark, view_marks
from stockproof.scene.sheet import Drawing

__all__ = ["Recording", "record"]

M = TypeVar("M", bound=Mark)


@dataclass(frozen=True, slots=True)
class Recording:
    """The plain marks of a drawing in paper mm, views first, then frame, captions and title block."""

    marks: tuple[Mark, ...]

    def of(self, kind: type[M], layer: str = "") -> tuple[M, ...]:
        """Give the marks of a kind, on a layer if one is named."""
        return tuple(mark for mark in self.marks if isinstance(mark, kind) and layer in ("", mark.layer))

    @property
    def words(self) -> tuple[str, ...]:
        """Every text, in the order drawn."""
        return tuple(mark.text for mark in self.of(Text))


def record(drawing: Drawing) -> Recording:
    """Give everything a drawing puts on paper."""
    inside = tuple(mark for view in drawing.views for mark in view_marks(view))
    return Recording((*inside, *furniture(drawing)[1]))
