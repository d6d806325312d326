"""The rooms' front doors list what they give, and nothing that is not there."""

from __future__ import annotations

import pytest

from stockproof import fit, herd


@pytest.mark.parametrize("room", [fit, herd])
def test_every_name_is_there_and_in_order(room: object) -> None:
    names = getattr(room, "__all__")  # noqa: B009
    assert len(set(names)) == len(names)
    assert all(hasattr(room, name) for name in names)
