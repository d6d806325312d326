"""The control programs the export is tried on: the demonstration builds, and rigs small and large."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from stockproof.logic import assemble
from stockproof.logic.assembly import Assembly
from stockproof.logic.installed import devices_of as devices_of_items
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of
from stockproof.proof import read_installation

EXAMPLES = Path(__file__).parents[2] / "examples"
BRIEFS = ("dairy", "feedlot", "hill")
RIGS = {
    "small": SMALL,
    "maximal": MAXIMAL,
    "by hand": Rig(hold=False),
    "five ways": Rig(parts=(*MAXIMAL.parts,), ways=5, sort=True),
}
BUILDS = (*BRIEFS, *RIGS)


@cache
def build(name: str) -> Assembly:
    if name in RIGS:
        return assemble(devices_of(RIGS[name]))
    installation = read_installation(EXAMPLES / name / "brief.toml")
    return assemble(devices_of_items([chosen.item for chosen in installation.build], installation.catalogue))
