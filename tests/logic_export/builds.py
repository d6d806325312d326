"""The control programs the export is tried on: the demonstration builds, and rigs small and large."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from stockproof.brief import check_brief
from stockproof.catalogue import read_catalogue
from stockproof.installation import Installation, install
from stockproof.logic import assemble, lower
from stockproof.logic.assembly import Assembly
from stockproof.logic.export.people import Program
from stockproof.logic.export.rules import Rulebook
from stockproof.logic.export.structured_text import code_of
from stockproof.logic.installed import devices_of as devices_of_items
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of
from stockproof.tomlfile import read_toml

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
    installed = installation(name)
    return assemble(devices_of_items([chosen.item for chosen in installed.build], installed.catalogue))


@cache
def program(name: str) -> Program:
    assembly = build(name)
    netlist = lower(assembly)
    return Program(netlist, assembly, code_of(netlist, assembly), Rulebook(netlist, assembly))


@cache
def installation(name: str) -> Installation:
    brief = check_brief(read_toml(EXAMPLES / name / "brief.toml", "brief.toml"))
    return install(brief, read_catalogue(EXAMPLES / name / brief.file.catalogue, "catalogue.toml"))
