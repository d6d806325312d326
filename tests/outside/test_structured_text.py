"""Every exported source against a parser of Structured Text that is not ours (tree-sitter-iec61131-3-st)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import tree_sitter
import tree_sitter_iec61131_3_st as language

from stockproof.logic import lower
from stockproof.logic.export.structured_text import code_of, structured_text
from tests.logic_export.builds import BUILDS, build

PARSER = tree_sitter.Parser(tree_sitter.Language(language.language()))


def complaints(text: str) -> list[str]:
    """The parts the parser could not make sense of, with their lines."""
    return [
        f"line {node.start_point[0] + 1}: {node.type}"
        for node in nodes(PARSER.parse(text.encode()).root_node)
        if node.type == "ERROR" or node.is_missing
    ]


def nodes(node: tree_sitter.Node) -> Iterator[tree_sitter.Node]:
    yield node
    for child in node.children:
        yield from nodes(child)


@pytest.mark.parametrize("form", ["rules", "operations"])
@pytest.mark.parametrize("name", BUILDS)
def test_the_parser_accepts_every_exported_source(name: str, form: str) -> None:
    code = code_of(lower(build(name)), build(name) if form == "rules" else None)
    text = structured_text(code, ["An invented installation."])
    assert complaints(text) == []
    found = [node.type for node in nodes(PARSER.parse(text.encode()).root_node)]
    assert found.count("function_block_declaration") == len(code.pous) - 1
    assert found.count("program_declaration") == 1


@pytest.mark.parametrize(
    "broken", ["PROGRAM p q := ; END_PROGRAM", "FUNCTION_BLOCK f IF a THEN END_FUNCTION_BLOCK", "CASE n OF END"]
)
def test_the_parser_does_complain_of_what_is_broken(broken: str) -> None:
    assert complaints(broken) != []
