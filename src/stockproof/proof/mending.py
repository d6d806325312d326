"""What the catalogue has against a bad state: items are put into the build, and the check is repeated.

Items are named only where the bad state was then shown not to be reached, fault-free or under the fault in question.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from stockproof.catalogue import ItemBase
from stockproof.catalogue.items import Sensor
from stockproof.installation import Chosen, Installation, broken_rules
from stockproof.logic.faults import Fault
from stockproof.logic.findings import Answer, FaultEffect, Verification
from stockproof.logic.properties import Property
from stockproof.logic.verification import never_driven, verify
from stockproof.netlist.expression import names
from stockproof.proof.machine import Control, assemble

__all__ = ["Mending", "exchange", "mend_all", "mending"]

#: What a fault may do where an item is to count as an answer to it.
ANSWERED = (FaultEffect.TOLERATED, FaultEffect.DETECTED)
#: Kinds of item that keep people and parts apart; sensors come beside them.
GUARDS = ("rear_access_gate", "side_access_gate")


@dataclass(frozen=True, slots=True)
class Mending:
    """Items that keep a bad state from being reached (none where none was found), and what they bring about elsewhere.

    `breaks` are the titles of other bad states that cannot happen without the items and can, or may, with them.
    """

    items: tuple[ItemBase, ...] = ()
    breaks: tuple[str, ...] = ()


def mending(installation: Installation, stated: Property, before: Verification, fault: Fault | None = None) -> Mending:
    """Give the fewest items of the catalogue that mend a bad state; those that break nothing else go before others.

    One item is tried, then a guard together with one sensor; what an item needs comes with it.

    Parameters
    ----------
    before : Verification
        Of the build as it is, every property; with the fault struck where one is given.
    fault : Fault or None
        The single fault under which the bad state is reached; None where it is reached without any.
    """
    second = Mending()
    for wanted in _trials(installation, stated):
        build = exchange(installation, wanted)
        if build is None or not _mends(build, stated, fault):
            continue
        items = tuple(chosen.item for chosen in build.build if chosen.item.code not in installation.codes)
        breaks = _breaks(build, before, fault)
        if not breaks:
            return Mending(items)
        second = second if second.items else Mending(items, breaks)
    return second


def mend_all(
    installation: Installation, checked: Verification, progress: Callable[[str, float], None]
) -> dict[str, Mending]:
    """Give what mends each property that does not hold without a fault, by its code."""
    failing = [finding.property for finding in checked.findings if finding.answer is not Answer.HOLDS]
    found = {}
    for count, stated in enumerate(failing, 1):
        found[stated.code] = mending(installation, stated, checked)
        progress("control: items that would mend", count / len(failing))
    return found


def exchange(installation: Installation, wanted: tuple[ItemBase, ...]) -> Installation | None:
    """Give the build with items put in, in the place of what they cannot go with and together with what they need."""
    for item in wanted:
        rivals = set(_rivals(installation, item))
        kept = [chosen for chosen in installation.build if chosen.item.code not in rivals | {item.code}]
        installation = _in_order(installation, [*kept, Chosen(item, 1)])
    for _ in range(len(wanted) + 1):
        broken = list(broken_rules(installation))
        needed = [_needed(installation, chosen.item) for chosen, _ in broken]
        if not broken:
            return installation
        installation = _in_order(
            installation, [*installation.build, *(Chosen(item, 1) for item in dict.fromkeys(needed) if item)]
        )
    return None


def _trials(installation: Installation, stated: Property) -> Iterator[tuple[ItemBase, ...]]:
    fitting = [item for item in installation.catalogue.items if item.code not in installation.codes]
    fitting = [item for item in fitting if _concerns(item, stated)]
    yield from ((item,) for item in fitting)
    for guard in fitting:
        if str(getattr(guard, "kind")) in GUARDS:  # noqa: B009
            yield from ((guard, sensor) for sensor in fitting if isinstance(sensor, Sensor))


def _concerns(item: ItemBase, stated: Property) -> bool:
    """The item guards, moves or senses something that the property is about."""
    about = (stated.scope.parts or frozenset()) | (stated.scope.zones or frozenset())
    words = {signal.name.partition(".")[0] for signal in item.signal} | {motion.part for motion in item.motion}
    place = {"flank": "side_access", "neck": "neck_access"}.get(getattr(item, "place", ""), "")
    guard = str(getattr(item, "kind")) in GUARDS and place in about  # noqa: B009
    return guard or bool({word.removesuffix("_lock") for word in words} & about)


def _rivals(installation: Installation, item: ItemBase) -> Iterator[str]:
    """Codes of the build's items that cannot go with the new one."""
    for chosen in installation.build:
        pair = replace(installation, build=(chosen, Chosen(item, 1)))
        if any("cannot go with" in fault.what for _, fault in broken_rules(pair)):
            yield chosen.item.code


def _needed(installation: Installation, item: ItemBase) -> ItemBase | None:
    """The first item named by what another needs that is not there, other than one that cannot be there."""
    catalogue = installation.catalogue
    for number in range(len(item.needs)):
        named = [word for word in names(catalogue.rule(item, "needs", number)) if word in catalogue.by_code]
        if named and not any(word in installation.codes for word in named):
            free = [word for word in named if not list(_rivals(installation, catalogue.by_code[word]))]
            return catalogue.by_code[free[0]] if free else None
    return None


def _in_order(installation: Installation, build: list[Chosen]) -> Installation:
    places = {item.code: k for k, item in enumerate(installation.catalogue.items)}
    return replace(installation, build=tuple(sorted(build, key=lambda chosen: places[chosen.item.code])))


def _mends(build: Installation, stated: Property, fault: Fault | None) -> bool:
    control = assemble(build, None)
    found = _checked(control, fault, [stated.code])
    holds = bool(found.findings) and all(finding.answer is Answer.HOLDS for finding in found.findings)
    answered = all(struck.effect in ANSWERED for struck in found.faults)
    return holds and answered and not never_driven(control.netlist, control.plant)


def _breaks(build: Installation, before: Verification, fault: Fault | None) -> tuple[str, ...]:
    """Titles of bad states that the items bring about: without a fault, and under the one they are to answer."""
    control = assemble(build, None)
    quick = _checked(control, fault, None, stories=False)
    known = _open(before, fault)
    suspect = [f.property.code for f in quick.findings if f.property.code in _open(quick, fault) - known]
    found = _checked(control, fault, suspect) if suspect else quick
    return tuple(f.property.title for f in found.findings if f.property.code in _open(found, fault) - known)


def _open(checked: Verification, fault: Fault | None) -> set[str]:
    """Codes of what does not hold, or not under the fault."""
    struck = [f for f in checked.faults if fault is not None and f.fault.name == fault.name]
    under = {code for f in struck for code in (*(code for code, _ in f.dangerous), *f.not_shown)}
    return {f.property.code for f in checked.findings if f.answer is not Answer.HOLDS} | under


def _checked(control: Control, fault: Fault | None, codes: list[str] | None, stories: bool = True) -> Verification:
    def same(other: Fault) -> bool:
        return fault is not None and other.name == fault.name

    return verify(
        control.netlist, control.plant, fault is not None, codes=codes, strike=same, covers=False, stories=stories
    )
