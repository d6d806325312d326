"""How wide text is: advance widths of the one text family, so that drawings can be laid out and checked.

Kerning is left out: it makes real text narrower by a few parts in a hundred, so a width errs on the wide side.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

__all__ = ["CAP_HEIGHT", "FAMILY", "POINT_MM", "font_files", "font_size_mm", "text_width_mm"]

FAMILY = "Barlow"
CONDENSED_FAMILY = "Barlow Condensed"
#: Share of the type size that capitals, ascenders and descenders take: the fonts' own OS/2 and hhea tables.
CAP_HEIGHT = 0.7
DESCENT = 0.2
#: DTP point.
POINT_MM = 25.4 / 72

_CUTS = {
    (False, False): ("fontpkg_barlow", "Barlow-Regular"),
    (False, True): ("fontpkg_barlow", "Barlow-SemiBold"),
    (True, False): ("fontpkg_barlow_condensed", "BarlowCondensed-Regular"),
    (True, True): ("fontpkg_barlow_condensed", "BarlowCondensed-SemiBold"),
}
#: What is put where the family has no shape for a character.
_UNKNOWN_ADVANCE = 0.6


def font_files() -> tuple[Path, ...]:
    """Give the font files that pages, documents and drawings use: four cuts and the two italics."""
    extra = (("fontpkg_barlow", "Barlow-Italic"), ("fontpkg_barlow", "Barlow-Medium"))
    return tuple(_path(package, stem) for package, stem in (*_CUTS.values(), *extra))


def font_size_mm(height_mm: float) -> float:
    """Give the type size whose capitals are so high. [mm]"""
    return height_mm / CAP_HEIGHT


def text_width_mm(text: str, height_mm: float, condensed: bool = False, bold: bool = False) -> float:
    """Give the advance width of one line of text, without kerning. [mm]

    Parameters
    ----------
    text : str
        One line.
    height_mm : float
        Height of the capitals.
    """
    advances = _advances(condensed, bold)
    return sum(advances.get(ord(character), _UNKNOWN_ADVANCE) for character in text) * font_size_mm(height_mm)


def has_shape(character: str) -> bool:
    """Tell whether the family can draw a character."""
    return ord(character) in _advances(False, False)


@cache
def _advances(condensed: bool, bold: bool) -> dict[int, float]:
    """Advance width per code point, in shares of the type size."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(_path(*_CUTS[condensed, bold]), lazy=True) as font:
        units, metrics = font["head"].unitsPerEm, font["hmtx"]
        return {code: metrics[name][0] / units for code, name in font.getBestCmap().items()}


def _path(package: str, stem: str) -> Path:
    return Path(str(files(package).joinpath("files", f"{stem}.ttf")))
