"""Turns our dotted names into identifiers and our sentences into comments that any reader of IEC 61131-3 takes."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from stockproof.errors import Place

__all__ = ["DRAFT", "Namer", "comment", "source_of", "wrapped"]

#: Stands at the head of every file that leaves the program.
DRAFT = (
    "DRAFT for review by a competent control engineer. It states the ordinary control only: safety functions need the "
    "parts, the architecture and the validation that their required performance level asks for. Local codes and the "
    "full standards go before it."
)
#: Words of IEC 61131-3 that no variable may be named (from memory).
RESERVED = frozenset(
    re.findall(
        r"\w+",
        """abs action and any array at begin bool by byte case configuration constant ctd ctu ctud date dint do dt dword
        else elsif end en eno exit f_edge f_trig false for from function function_block if in initial_step int interval
        jmp ld le ln lt lword max min mod move mul ne non_retain not of on or priority program q r1 r r_edge r_trig
        real reference repeat resource ret retain return rol ror rs s s1 sel sema shl shr single sint sr st step string
        struct sub task then time to tod tof ton tp transition true type udint uint ulint until usint var via while
        with word wstring xor""",
    )
)
_UNDERSCORES = re.compile("_{2,}")
_CONTROL = re.compile("[\x00-\x1f\x7f]+")
WIDTH = 100


class Namer:
    """Gives every thing one identifier, unlike every other even where case does not count."""

    def __init__(self) -> None:
        self._given: dict[str, str] = {}
        self._taken: set[str] = set(RESERVED)

    def __call__(self, name: str) -> str:
        """Give the identifier of a dotted name, always the same one."""
        if name not in self._given:
            self._given[name] = self._free(name)
        return self._given[name]

    def _free(self, name: str) -> str:
        plain = re.sub("[^A-Za-z0-9]", "_", name)
        base = _UNDERSCORES.sub("_", plain).strip("_") or "signal"
        base = base if base[0].isalpha() else f"n_{base}"
        base = f"the_{base}" if base.lower() in RESERVED else base
        word, count = base, 2
        while word.lower() in self._taken:
            word, count = f"{base}_{count}", count + 1
        self._taken.add(word.lower())
        return word


def comment(text: str) -> str:
    """Give text as one comment; nothing in it can end the comment or begin another."""
    plain = _CONTROL.sub(" ", text)
    while "(*" in plain or "*)" in plain:
        plain = plain.replace("(*", "( *").replace("*)", "* )")
    return f"(* {plain.strip().rstrip('*(')} *)"


def wrapped(text: str, indent: str = "") -> list[str]:
    """Give text as comment lines no wider than a page of code, a comment a line."""
    lines, line = [], ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > WIDTH - len(indent) - 6:
            lines.append(line)
            line = ""
        line = f"{line} {word}".strip()
    return [indent + comment(part) for part in (*lines, line) if part]


def source_of(place: Place) -> str:
    """Give file and line of a rule, without the folder a person happened to keep the file in."""
    if not place.file:
        return ""
    path = PurePosixPath(place.file)
    name = str(path) if path.parts[0] == "fragments" else path.name
    return f"[{name}, line {place.line}]" if place.line is not None else f"[{name}]"
