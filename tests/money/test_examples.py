"""The invented examples go through with made-up rates, and their figures hang together."""

from __future__ import annotations

from pathlib import Path

import pytest

from stockproof.brief import read_brief
from stockproof.catalogue import read_catalogue
from stockproof.figures import Ledger
from stockproof.installation import install
from stockproof.money import Rate, budget, nameplate_energy, publish

BRIEFS = sorted((Path(__file__).parents[2] / "examples").glob("*/brief.toml"))


def test_there_are_examples() -> None:
    assert BRIEFS


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.parent.name)
def test_an_example_goes_through(path: Path) -> None:
    brief = read_brief(path)
    installation = install(brief, read_catalogue(path.parent / brief.file.catalogue))
    assert brief.file.today is not None
    today = brief.file.today.rate_head_per_s
    rates = {programme.name: Rate(2 * today, 1.7 * today, 2.2 * today) for programme in brief.file.programme}
    found, ledger = budget(installation, rates, nameplate_energy(installation, rates)), Ledger()
    publish(found, installation, ledger)
    assert found.missing == ()
    assert found.net is not None
    assert found.with_unpaid is not None
    assert sum(group.price_works for group in found.price.groups) == pytest.approx(found.price.ex_works)
    assert found.net.low <= found.net.central <= found.net.high
    assert found.with_unpaid.appraisal.low.npv < found.with_unpaid.appraisal.high.npv
    assert ledger["money.with_unpaid.npv"].value == pytest.approx(found.with_unpaid.appraisal.central.npv, rel=1e-9)
