"""The template brief with one mob changed, and mobs made of it."""

from __future__ import annotations

from functools import cache
from importlib import resources
from pathlib import Path

from stockproof import herd
from stockproof.brief import Brief, check_brief
from stockproof.tomlfile import parse_toml

TEMPLATE = resources.files("stockproof.brief").joinpath("template.toml").read_text()


def brief_of(*changes: tuple[str, str], folder: Path = Path()) -> Brief:
    """The template with pieces of text exchanged; each must be there."""
    text = TEMPLATE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return check_brief(parse_toml(text.encode(), "brief.toml", folder))


@cache
def mob_of(stock_class: str, mean_kg: float, spread_share: float = 0.10) -> herd.MobSizes:
    """A mob of a class with a mean weight and a spread."""
    brief = brief_of(
        ('stock_class = "cow"', f'stock_class = "{stock_class}"'),
        ('weight_mean = "540 kg"', f'weight_mean = "{mean_kg} kg"'),
        ('weight_spread = "9 %"', f'weight_spread = "{spread_share * 100} %"'),
    )
    return herd.mob(brief, "cows")
