"""Which items of the catalogue would mend a limit or fill a lack, and which of its rules would then be in the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stockproof.catalogue import ItemBase
from stockproof.catalogue import items as kinds
from stockproof.fit.limits import EXISTING_RACE, Limit, Setting, item_limits
from stockproof.fit.model import Mend
from stockproof.fit.shares import share_passing
from stockproof.installation import Installation
from stockproof.netlist import expression

__all__ = ["additions", "replacements"]


def replacements(installation: Installation, setting: Setting, limit: Limit, required_share: float) -> tuple[Mend, ...]:
    """Give the items that would let the required share pass a limit in place of the item that sets it."""
    return tuple(sorted(_replacements(installation, setting, limit, required_share), key=_order))


def _replacements(installation: Installation, setting: Setting, limit: Limit, required_share: float) -> Iterator[Mend]:
    kind = kinds.RacePart if limit.item == EXISTING_RACE else type(installation.catalogue.by_code[limit.item])
    for item in installation.catalogue.items:
        if isinstance(item, kind) and item.code not in installation.codes:
            for other in item_limits(item, setting):
                if other.code == limit.code:
                    share = share_passing(setting.mob, other)
                    if share >= required_share:
                        yield _mend(installation, item, limit.item, share)


def additions(installation: Installation, wanted: Callable[[ItemBase], bool], replaces: str = "") -> tuple[Mend, ...]:
    """Give the items outside the build for which `wanted` holds, to be added or to stand in for one."""
    found = [item for item in installation.catalogue.items if item.code not in installation.codes and wanted(item)]
    return tuple(sorted((_mend(installation, item, replaces, None) for item in found), key=_order))


def _mend(installation: Installation, item: ItemBase, replaces: str, share: float | None) -> Mend:
    return Mend(item.code, item.name, replaces, share, item.price, tuple(_broken(installation, item, replaces)))


def _broken(installation: Installation, added: ItemBase, replaces: str) -> Iterator[str]:
    """The catalogue's rules that the build would break with one item put in and one taken out."""
    build = [added, *(chosen.item for chosen in installation.build if chosen.item.code != replaces)]
    present = {item.code for item in build} | {kind_of(item) for item in build}
    for item in build:
        for number, text in enumerate(item.needs):
            if not expression.evaluate(installation.catalogue.rule(item, "needs", number), present.__contains__):
                yield f"{item.name} needs: {text}"
        for number, text in enumerate(item.excludes):
            if expression.evaluate(installation.catalogue.rule(item, "excludes", number), present.__contains__):
                yield f"{item.name} cannot go with: {text}"


def kind_of(item: ItemBase) -> str:
    """The kind of an item, as the catalogue writes it."""
    return str(type(item).model_fields["kind"].annotation.__args__[0])  # type: ignore[union-attr]


def _order(mend: Mend) -> tuple[int, float, str]:
    """Those that need nothing else first, then the cheapest."""
    return len(mend.also), mend.price.value, mend.item
