"""Reads the part of Structured Text that this program emits, and a little more, into a tree of plain tuples.

It knows function blocks, programs and configurations; BOOL, INT, TIME and blocks; assignment, calls, IF and CASE;
NOT, =, <>, AND, XOR, OR. Names and words may be in any case.

References
----------
IEC 61131-3, *Programmable controllers - Part 3: Programming languages* (from memory).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, cast

from stockproof.errors import Fault, InputError, Place

if TYPE_CHECKING:
    from lark import Lark, Token, Tree

__all__ = ["Assign", "Call", "Case", "Declared", "Expr", "If", "Statement", "Unit", "read_units"]

GRAMMAR = r"""
    start: (block | program | configuration)*
    block: _FUNCTION_BLOCK NAME section* body _END_FUNCTION_BLOCK
    program: _PROGRAM NAME section* body _END_PROGRAM
    section: SECTION declaration* _END_VAR
    declaration: NAME [_AT ADDRESS] ":" NAME [":=" literal] ";"
    body: statement*
    ?statement: assign | call | if_ | case
    assign: target ":=" expression ";"
    call: NAME "(" [argument ("," argument)*] ")" ";"
    argument: NAME ":=" expression
    if_: _IF expression _THEN body (_ELSIF expression _THEN body)* [_ELSE body] _END_IF ";"
    case: _CASE expression _OF branch+ [_ELSE body] _END_CASE ";"
    branch: INTEGER ("," INTEGER)* ":" body
    target: NAME ("." NAME)?
    ?expression: or_
    ?or_: xor (_OR xor)*
    ?xor: and_ (_XOR and_)*
    ?and_: equal (_AND equal)*
    ?equal: single
        | single "=" single -> same
        | single "<>" single -> other
    ?single: _NOT single -> not_
        | "(" expression ")"
        | target -> read
        | literal
    literal: TRUE | FALSE | INTEGER | DURATION

    configuration: _CONFIGURATION NAME section* _RESOURCE NAME _ON NAME task run* _END_RESOURCE _END_CONFIGURATION
    task: _TASK NAME "(" _INTERVAL ":=" DURATION "," _PRIORITY ":=" INTEGER ")" ";"
    run: _PROGRAM NAME _WITH NAME ":" NAME "(" [wire ("," wire)*] ")" ";"
    wire: NAME ":=" NAME -> wire_in
        | NAME "=>" NAME -> wire_out

    SECTION.4: /VAR_INPUT\b/i | /VAR_OUTPUT\b/i | /VAR_GLOBAL\b/i | /VAR\b/i
    _FUNCTION_BLOCK.4: /FUNCTION_BLOCK\b/i
    _END_FUNCTION_BLOCK.4: /END_FUNCTION_BLOCK\b/i
    _PROGRAM.4: /PROGRAM\b/i
    _END_PROGRAM.4: /END_PROGRAM\b/i
    _CONFIGURATION.4: /CONFIGURATION\b/i
    _END_CONFIGURATION.4: /END_CONFIGURATION\b/i
    _RESOURCE.4: /RESOURCE\b/i
    _END_RESOURCE.4: /END_RESOURCE\b/i
    _END_VAR.4: /END_VAR\b/i
    _END_IF.4: /END_IF\b/i
    _END_CASE.4: /END_CASE\b/i
    _TASK.4: /TASK\b/i
    _INTERVAL.4: /INTERVAL\b/i
    _PRIORITY.4: /PRIORITY\b/i
    _WITH.4: /WITH\b/i
    _AT.4: /AT\b/i
    _ON.4: /ON\b/i
    _OF.4: /OF\b/i
    _IF.4: /IF\b/i
    _THEN.4: /THEN\b/i
    _ELSIF.4: /ELSIF\b/i
    _ELSE.4: /ELSE\b/i
    _CASE.4: /CASE\b/i
    _OR.4: /OR\b/i
    _XOR.4: /XOR\b/i
    _AND.4: /AND\b/i | "&"
    _NOT.4: /NOT\b/i
    TRUE.4: /TRUE\b/i
    FALSE.4: /FALSE\b/i
    DURATION.5: /(T|TIME)#([0-9]+(\.[0-9]+)?(ms|s|m|h|d))+/i
    ADDRESS: /%[IQM][XBW]?[0-9]+(\.[0-9]+)*/i
    INTEGER: /[0-9]+/
    NAME: /[A-Za-z_][A-Za-z0-9_]*/
    COMMENT: /\(\*(.|\n)*?\*\)/
    %import common.WS
    %ignore WS
    %ignore COMMENT
"""
#: Seconds in the units of a TIME literal.
_SECONDS = {unit: Decimal(s) for unit, s in {"d": "86400", "h": "3600", "m": "60", "s": "1", "ms": "0.001"}.items()}


@dataclass(frozen=True, slots=True)
class Expr:
    """An expression: `op` is `read`, `literal`, or an operator over `terms`."""

    op: str
    terms: tuple[Expr, ...] = ()
    name: tuple[str, ...] = ()
    value: bool | int | float = False
    line: int = 0


@dataclass(frozen=True, slots=True)
class Assign:
    target: tuple[str, ...]
    value: Expr
    line: int


@dataclass(frozen=True, slots=True)
class Call:
    block: str
    given: tuple[tuple[str, Expr], ...]
    line: int


@dataclass(frozen=True, slots=True)
class If:
    branches: tuple[tuple[Expr, tuple[Statement, ...]], ...]
    otherwise: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class Case:
    selector: Expr
    branches: tuple[tuple[frozenset[int], tuple[Statement, ...]], ...]
    otherwise: tuple[Statement, ...]
    line: int


Statement = Assign | Call | If | Case


@dataclass(frozen=True, slots=True)
class Declared:
    """A variable: its section (`var_input` ...), name, type (both lower case), start value and line."""

    section: str
    name: str
    type: str
    start: bool | int | float | None
    line: int


@dataclass(frozen=True, slots=True)
class Unit:
    """A function block or program; names are in lower case, `spelled` keeps a variable's own spelling."""

    name: str
    is_program: bool
    variables: tuple[Declared, ...]
    body: tuple[Statement, ...]
    spelled: dict[str, str]


def read_units(text: str, file: str = "") -> tuple[Unit, ...]:
    """Read every function block and program of a text, in order.

    Raises
    ------
    InputError
        The text is not of this part of the language; line and column are given.
    """
    from lark.exceptions import UnexpectedInput

    try:
        tree = _parser().parse(text)
    except UnexpectedInput as error:
        got = text.splitlines()[error.line - 1].strip() if 0 < error.line <= len(text.splitlines()) else "end"
        place = Place(file, max(error.line, 1), "", max(error.column, 1))
        raise InputError(Fault("this is not Structured Text of the emitted kind", place, got)) from None
    return tuple(_unit(child) for child in _trees(tree) if child.data in ("block", "program"))


@cache
def _parser() -> Lark:
    from lark import Lark

    return Lark(GRAMMAR, parser="lalr", propagate_positions=True, maybe_placeholders=True)


def _trees(tree: Tree[Token]) -> list[Tree[Token]]:
    from lark import Tree

    return [child for child in tree.children if isinstance(child, Tree)]


def _unit(tree: Tree[Token]) -> Unit:
    variables, spelled = [], {}
    for section in (child for child in _trees(tree) if child.data == "section"):
        for declaration in _trees(section):
            name, _, kind, start = declaration.children
            spelled[str(name).lower()] = str(name)
            value = None if start is None else _literal(cast("Tree[Token]", start))
            variables.append(
                Declared(
                    str(section.children[0]).lower(), str(name).lower(), str(kind).lower(), value, declaration.meta.line
                )
            )
    body = _statements(_trees(tree)[-1])
    return Unit(str(tree.children[0]).lower(), tree.data == "program", tuple(variables), body, spelled)


def _statements(body: Tree[Token] | None) -> tuple[Statement, ...]:
    return () if body is None else tuple(_statement(child) for child in _trees(body))


def _statement(tree: Tree[Token]) -> Statement:
    children: list[Any] = list(tree.children)
    line = tree.meta.line
    match tree.data:
        case "assign":
            return Assign(_path(children[0]), _expression(children[1]), line)
        case "call":
            given = tuple(
                (str(a.children[0]).lower(), _expression(a.children[1])) for a in children[1:] if a is not None
            )
            return Call(str(children[0]).lower(), given, line)
        case "if_":
            pairs = list(zip(children[:-1:2], children[1:-1:2], strict=True))
            return If(tuple((_expression(when), _statements(then)) for when, then in pairs), _statements(children[-1]))
        case _:
            branches = [(frozenset(map(int, b.children[:-1])), _statements(b.children[-1])) for b in children[1:-1]]
            return Case(_expression(children[0]), tuple(branches), _statements(children[-1]), line)


def _expression(tree: Tree[Token]) -> Expr:
    line = tree.meta.line
    if tree.data == "literal":
        return Expr("literal", value=_literal(tree), line=line)
    if tree.data == "read":
        return Expr("read", name=_path(_trees(tree)[0]), line=line)
    return Expr(str(tree.data).strip("_"), tuple(_expression(child) for child in _trees(tree)), line=line)


def _path(tree: Tree[Token]) -> tuple[str, ...]:
    return tuple(str(child).lower() for child in tree.children)


def _literal(tree: Tree[Token]) -> bool | int | float:
    token = cast("Token", tree.children[0])
    if token.type in ("TRUE", "FALSE"):
        return token.type == "TRUE"
    if token.type == "INTEGER":
        return int(token)
    parts = re.findall(r"([0-9.]+)(ms|[smhd])", str(token).lower().partition("#")[2])
    return float(sum(Decimal(number) * _SECONDS[unit] for number, unit in parts))
