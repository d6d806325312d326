"""The demo briefs as they are rehearsed, each made once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from stockproof import flow, power, yard
from stockproof.brief import read_brief
from stockproof.catalogue.reader import read_catalogue
from stockproof.installation import install
from stockproof.proof.alternatives import flow_machine
from stockproof.proof.machine import assemble, circuit_on, draft_pen_places, walking_distances
from stockproof.proof.rehearsal import Cast

__all__ = ["BRIEFS", "cast_on"]

BRIEFS = ("hill", "dairy", "feedlot")


@cache
def cast_on(name: str) -> Cast:
    """Give a demo brief's installation as it is proved."""
    brief = read_brief(Path(f"examples/{name}/brief.toml"))
    installation = install(brief, read_catalogue(Path("examples/firm/catalogue.toml")))
    layout = yard.lay_out(yard.ask(installation))
    numbers = yard.quantities(layout)
    control = assemble(installation, numbers)
    laws = power.laws(power.prepare(circuit_on(installation, numbers)))
    given = flow.Given(walking_distances(numbers), draft_pen_places(numbers, control.plant), numbers.batch_head)
    return Cast(installation, control, layout, flow_machine(control, laws), given)
