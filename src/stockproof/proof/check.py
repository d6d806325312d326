"""Checks a file alone, gives both files' JSON Schemas, and starts a new brief."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

from stockproof.brief import Brief, check_brief
from stockproof.brief.model import BriefFile
from stockproof.catalogue import Catalogue, read_catalogue
from stockproof.catalogue.reader import CatalogueFile, check_catalogue
from stockproof.errors import Fault, InputError, OutputError, Place, nearest
from stockproof.herd import mobs
from stockproof.installation import Installation, install
from stockproof.proof.machine import assemble
from stockproof.records import Record
from stockproof.tomlfile import read_toml

__all__ = ["check_file", "read_installation", "schemas", "start_brief"]


def check_file(path: Path) -> str:
    """Check a catalogue alone, or a brief and what it makes with its catalogue; give what was found good in words.

    Raises
    ------
    InputError
        Everything found wrong.
    """
    toml = read_toml(path, str(path))
    if "item" in toml.values or "firm" in toml.values:
        return _praise_catalogue(path, check_catalogue(toml))
    brief = check_brief(toml)
    return _praise_brief(path, brief) + _joined(path, brief)


def _joined(path: Path, brief: Brief) -> str:
    """Look at the brief with its catalogue too, and say so; without one, say what was not looked at.

    Raises
    ------
    InputError
        Everything that is wrong with the two together.
    """
    named = path.parent / brief.file.catalogue
    if not named.is_file():
        return f"\nnot looked at: the build, since {named} is no file (the brief's key catalogue)"
    installation = install(brief, read_catalogue(named, str(named)))
    mobs(brief)
    if faults := list(_unknown_motions(installation)):
        raise InputError(faults)
    assemble(installation, None)
    items = sum(chosen.count for chosen in installation.build)
    return f"\nwith its catalogue: a build of {items} items that keeps the catalogue's rules, and a control for it"


def _unknown_motions(installation: Installation) -> Iterator[Fault]:
    """Promises about a motion that no item of the build makes."""
    known = [f"{m.part}.{m.direction}" for chosen in installation.build for m in chosen.item.motion]
    for i, promise in enumerate(installation.brief.file.promise):
        motion = getattr(promise, "motion", None)
        if motion is not None and motion not in known:
            place = installation.brief.toml.place(("promise", i, "motion"))
            yield Fault("is no motion of this build", place, repr(motion), ", ".join(known), nearest(motion, known))


def read_installation(brief: Path, catalogue: Path | None = None) -> Installation:
    """Read a brief and the catalogue it names (or the one given) and join them.

    Raises
    ------
    InputError
        Everything found wrong in brief, catalogue or build.
    """
    asked = check_brief(read_toml(brief, str(brief)))
    if catalogue is not None:
        return install(asked, read_catalogue(catalogue, str(catalogue)))
    named = brief.parent / asked.file.catalogue
    if not named.is_file():
        place = asked.toml.place(("catalogue",))
        raise InputError(Fault("is no file", place, str(named), mend="correct the path, or give --catalogue PATH"))
    return install(asked, read_catalogue(named, str(named)))


def schemas() -> dict[str, dict[str, Any]]:
    """Give the JSON Schemas of both files by file name."""
    heads: dict[str, tuple[type[Record], str]] = {
        "brief.schema.json": (BriefFile, "brief"),
        "catalogue.schema.json": (CatalogueFile, "catalogue"),
    }
    return {
        name: {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            **model.model_json_schema(),
            "title": f"Stockproof {title}, format 1",
        }
        for name, (model, title) in heads.items()
    }


def start_brief(folder: Path) -> Path:
    """Write a new brief into a folder, made if need be, and give its path.

    Raises
    ------
    InputError
        A brief stands there already.
    OutputError
        The folder or file cannot be written.
    """
    path = folder / "brief.toml"
    if path.exists():
        raise InputError(Fault("is there already", Place(str(path)), mend="name another folder; nothing was changed"))
    text = resources.files("stockproof.brief").joinpath("template.toml").read_bytes()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            file.write(text)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error
    return path


def _praise_catalogue(path: Path, catalogue: Catalogue) -> str:
    kinds = len({type(item) for item in catalogue.items})
    return f"{path}: a catalogue of {len(catalogue.items)} items of {kinds} kinds; nothing wrong found"


def _praise_brief(path: Path, brief: Brief) -> str:
    head = sum(mob.head for mob in brief.file.mob)
    return (
        f"{path}: a brief with {len(brief.file.mob)} mobs ({head:,.0f} head), {len(brief.file.programme)} programmes "
        f"and {len(brief.promises)} promises; nothing wrong found"
    )
