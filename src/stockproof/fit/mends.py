"""Which items of the catalogue would mend a limit or fill a lack, and which of its rules would then be in the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache

from stockproof.catalogue import ItemBase
from stockproof.catalogue import items as kinds
from stockproof.fit.limits import EXISTING_RACE, Animals, Limit, build_limits
from stockproof.fit.model import Mend
from stockproof.fit.shares import share_passing, share_passing_all
from stockproof.installation import Installation
from stockproof.netlist import expression

__all__ = ["additions", "replacements"]


def replacements(installation: Installation, animals: Animals, limit: Limit, required_share: float) -> tuple[Mend, ...]:
    """Give the items that mend a limit in place of the item that sets it.

    Notes
    -----
    An item mends where the required share of the mob passes the limit with it, and more of the mob than now passes
    everywhere: a wider bail that no longer holds the calves is no mend.
    """
    return tuple(sorted(_replacements(installation, animals, limit, required_share), key=_order))


def _replacements(installation: Installation, animals: Animals, limit: Limit, required: float) -> Iterator[Mend]:
    kind = kinds.RacePart if limit.item == EXISTING_RACE else type(installation.catalogue.by_code[limit.item])
    race = installation.brief.file.site.existing_race
    now = share_passing_all(animals.mob, build_limits(_items(installation), race, animals))
    for item in installation.catalogue.items:
        if isinstance(item, kind) and item.code not in installation.codes:
            build = [item, *_items(installation, limit.item)]
            limits = build_limits(build, None if limit.item == EXISTING_RACE else race, animals)
            ours = [share_passing(animals.mob, other) for other in limits if _same(other, limit, item)]
            everywhere = share_passing_all(animals.mob, limits)
            if ours and min(ours) >= required and everywhere > now:
                yield _mend(installation, item, limit.item, min(ours), everywhere)


def _items(installation: Installation, without: str = "") -> list[ItemBase]:
    return [chosen.item for chosen in installation.build if chosen.item.code != without]


def _same(other: Limit, limit: Limit, item: ItemBase) -> bool:
    return other.code == limit.code and other.item == item.code


def additions(installation: Installation, wanted: Callable[[ItemBase], bool], replaces: str = "") -> tuple[Mend, ...]:
    """Give the items outside the build for which `wanted` holds, to be added or to stand in for one."""
    found = [item for item in installation.catalogue.items if item.code not in installation.codes and wanted(item)]
    return tuple(sorted((_mend(installation, item, replaces) for item in found), key=_order))


def _mend(
    installation: Installation,
    item: ItemBase,
    replaces: str,
    share: float | None = None,
    share_everywhere: float | None = None,
) -> Mend:
    also = tuple(_broken(installation, item, replaces))
    return Mend(item.code, item.name, replaces, share, share_everywhere, item.price, also)


def _broken(installation: Installation, added: ItemBase, replaces: str) -> Iterator[str]:
    """The catalogue's rules that the build would break with one item put in and one taken out."""
    build = [added, *_items(installation, replaces)]
    present = {item.code for item in build} | {kind_of(item) for item in build}
    for item in build:
        for text in item.needs:
            if not expression.evaluate(_rule(text), present.__contains__):
                yield f"{item.name} needs: {text}"
        for text in item.excludes:
            if expression.evaluate(_rule(text), present.__contains__):
                yield f"{item.name} cannot go with: {text}"


@cache
def _rule(text: str) -> expression.Expression:
    """A rule as an expression; the catalogue was checked when it was read, so its place is not needed again."""
    return expression.parse(text)


def kind_of(item: ItemBase) -> str:
    """The kind of an item, as the catalogue writes it."""
    return str(type(item).model_fields["kind"].annotation.__args__[0])  # type: ignore[union-attr]


def _order(mend: Mend) -> tuple[int, float, str]:
    """Those that need nothing else changed first, then the cheapest."""
    return len(mend.also), mend.price.value, mend.item
