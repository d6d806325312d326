"""How a mob parts at the draft unit: the share of its animals that leaves each way.

Flow draws each animal's way from these shares and the yard sizes its draft pens by them. Where a programme sorts by
weight they follow from its cut weights and the mob's weights: an animal's place in the mob, a uniform number, is its
weight, and the same number is its way. Ways are counted from the left, as the animals walk; the lightest leave by
the first.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stockproof.brief import Brief, Programme
from stockproof.errors import Fault, InputError
from stockproof.figures import Source
from stockproof.herd.assumption import Assumption
from stockproof.herd.sizes import mob
from stockproof.herd.weights import Weights

__all__ = ["Parting", "parting", "shares_by_weight"]

#: Stated shares may differ from the whole by so much.
ROUNDING_SHARE = 0.005
EQUAL = Source("default of this program: nothing is known of how many go where, so no way is favoured")


@dataclass(frozen=True, slots=True)
class Parting:
    """How the animals of one programme part: a share for each way, from the left; where the shares come from.

    `assumption` is set where nobody stated the shares and they were taken as equal.
    """

    shares: tuple[float, ...]
    how: str
    assumption: Assumption | None = None


def parting(brief: Brief, programme: Programme, ways: int, stated: Sequence[float] = ()) -> Parting:
    """Give how a programme's animals part over the ways of a draft unit.

    Parameters
    ----------
    brief, programme : Brief, Programme
        Mobs with their weights; what the sorting goes by.
    ways : int
        Ways of the draft unit.
    stated : sequence of float
        Share for each way from the left, as the brief's `[yard]` table states it for what no weight decides. [1]

    Raises
    ------
    InputError
        The stated shares are not one for each way, or do not make the whole mob.
    """
    if programme.cuts_kg:
        shares = shares_by_weight(mob(brief, programme.mob).weights, programme.cuts_kg, ways)
        return Parting(shares, f"share of {programme.mob} between the cut weights, the lightest to the left")
    if stated:
        return Parting(_checked(brief, stated, ways), "shares stated in the brief's yard table")
    name = f"herd.parting.{programme.name}"
    label = f"share of the animals of {programme.name} for each way of the draft unit"
    share = 1.0 / ways
    return Parting((share,) * ways, "equal shares", Assumption(name, share, "1", label, EQUAL, (0.0, 1.0)))


def shares_by_weight(weights: Weights, cuts_kg: Sequence[float], ways: int) -> tuple[float, ...]:
    """Give the share of a mob in each group between cut weights, light to heavy.

    With fewer groups than ways the last ways stay empty; with more, the last way takes the heaviest groups together.
    An animal exactly at a cut weight belongs to the lighter group.

    Parameters
    ----------
    weights : Weights
        Distribution of live weight.
    cuts_kg : sequence of float
        Cut weights, ascending.
    ways : int
        Ways of the draft unit.
    """
    below = [weights.share_at_most(cut) for cut in cuts_kg[: ways - 1]]
    ends = [0.0, *below, 1.0]
    groups = [high - low for low, high in pairwise(ends)]
    return tuple(groups + [0.0] * (ways - len(groups)))


def _checked(brief: Brief, stated: Sequence[float], ways: int) -> tuple[float, ...]:
    place = brief.toml.place(("yard", "draft_shares"))
    if len(stated) != ways:
        fault = Fault(
            "draft shares do not match the draft unit", place, f"{len(stated)} shares", f"{ways} shares, from the left"
        )
        raise InputError(fault)
    total = math.fsum(stated)
    if abs(total - 1.0) > ROUNDING_SHARE:
        raise InputError(Fault("draft shares do not make the whole mob", place, f"{total:.1%} together", "100 %"))
    return tuple(share / total for share in stated)
