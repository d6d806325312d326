"""A kept proof: light at hand, whole when unpacked, and nothing in it that cannot be sent between processes."""

from __future__ import annotations

import pickle
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from stockproof.desk.kept import light, pack, unpack
from stockproof.desk.rooms import room_page
from stockproof.logic.findings import Answer, Finding, Verification
from stockproof.logic.properties import Property
from stockproof.logic.scope import EVERYTHING
from stockproof.logic.world import World
from stockproof.proof import Proof, prove, read_installation
from tests.desk.hand import SMALL
from tests.desk.test_work import HILL


@cache
def proof() -> Proof:
    """A proof of the hill farm with a verification that states its bad state by a function of its own."""
    made = prove(read_installation(Path(HILL / "brief.toml")), SMALL, workers=1)

    def node(_: World) -> int:
        return 0

    bad = Property("code.where", "What must not happen.", "Harm.", EVERYTHING, (), node)
    checked = Verification((Finding(bad, Answer.HOLDS, 7, 0.1),), ())
    return Proof(replace(made.rooms, checked=checked), made.verdicts)


def test_the_light_proof_is_a_tenth_and_says_the_same() -> None:
    whole, at_hand = len(pickle.dumps(light_of_nothing_lost())), len(pickle.dumps(light(proof())))
    assert at_hand < 1_500_000
    assert at_hand < whole / 5
    assert light(proof()).verdicts == proof().verdicts
    assert list(light(proof()).rooms.ledger) == list(proof().rooms.ledger)


def light_of_nothing_lost() -> Proof:
    return unpack(pack(proof()))


@pytest.mark.parametrize("room", ["flow", "logic", "money"])
def test_pages_from_a_packed_proof_are_those_of_the_proof_itself(room: str) -> None:
    assert room_page(light_of_nothing_lost(), room) == room_page(proof(), room)


def test_what_was_unpacked_states_no_bad_state_anew() -> None:
    checked = light_of_nothing_lost().rooms.checked
    assert checked is not None
    assert checked.findings[0].property.title == "What must not happen."
    with pytest.raises(TypeError, match="states no bad state anew"):
        checked.findings[0].property.node(None)  # type: ignore[arg-type]
