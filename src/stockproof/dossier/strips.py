"""Writes a story as a strip of small plans."""

from __future__ import annotations

from pathlib import Path

from stockproof.dossier.files import write_files
from stockproof.dossier.svg import view_svg
from stockproof.logic.export.story_strip import story_strip
from stockproof.logic.story import Story
from stockproof.plant.model import Plant

__all__ = ["write_strip"]


def write_strip(folder: Path, number: int, story: Story, plant: Plant) -> tuple[Path, ...]:
    """Write the story of a number into a folder as an SVG picture.

    Raises
    ------
    OutputError
        The folder cannot be written to.
    """
    name = f"story-{number}"
    return write_files(folder, {f"{name}.svg": view_svg(name, story_strip(story, plant)).encode()})
