"""Boolean expressions with the author's place on every node, and their text form.

The text is the boolean part of IEC 61131-3 Structured Text: `NOT`, `AND` or `&`, `XOR`, `OR` (binding in that
order, tightest first), `TRUE`, `FALSE`, parentheses, and dotted lower-case names. Control rules and the
catalogue's needs and excludes are both written in it. Nothing here knows what a name means.

References
----------
IEC 61131-3, *Programmable controllers - Part 3: Programming languages*, operators of Structured Text (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from typing import TYPE_CHECKING, cast

from stockproof.errors import Fault, InputError, Place

if TYPE_CHECKING:
    from lark import Lark, Token
    from lark.exceptions import UnexpectedInput

__all__ = [
    "FALSE",
    "TRUE",
    "And",
    "Const",
    "Expression",
    "Name",
    "Not",
    "Or",
    "Xor",
    "evaluate",
    "name_nodes",
    "names",
    "parse",
]

#: Nesting deeper than this is no rule a person wrote; it also keeps every walk inside Python's own stack.
DEEPEST = 100

GRAMMAR = r"""
    ?start: or_
    ?or_: xor (_OR xor)*
    ?xor: and_ (_XOR and_)*
    ?and_: not_ (_AND not_)*
    ?not_: _NOT not_ -> negation
        | atom
    ?atom: NAME -> name
        | TRUE -> true
        | FALSE -> false
        | "(" or_ ")"
    _OR.2: /OR(?![\w.])/i
    _XOR.2: /XOR(?![\w.])/i
    _AND.2: /AND(?![\w.])/i | "&"
    _NOT.2: /NOT(?![\w.])/i
    TRUE.2: /TRUE(?![\w.])/i
    FALSE.2: /FALSE(?![\w.])/i
    NAME: /[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)*(?![\w.])/
    %import common.WS
    %ignore WS
"""

NOWHERE = Place()
ALLOWED = "names like entry.open, NOT, AND, &, XOR, OR, TRUE, FALSE and parentheses"


class _Composable:
    """Lets expressions be composed as `a & b`, `a | b`, `a ^ b` and `~a`."""

    __slots__ = ()

    def __and__(self, other: Expression) -> And:
        return And((*self.terms, other) if isinstance(self, And) else (cast("Expression", self), other))

    def __or__(self, other: Expression) -> Or:
        return Or((*self.terms, other) if isinstance(self, Or) else (cast("Expression", self), other))

    def __xor__(self, other: Expression) -> Xor:
        return Xor((*self.terms, other) if isinstance(self, Xor) else (cast("Expression", self), other))

    def __invert__(self) -> Not:
        return Not(cast("Expression", self))


@dataclass(frozen=True, slots=True)
class Const(_Composable):
    """TRUE or FALSE."""

    value: bool
    place: Place = field(default=Place(), compare=False)

    def __str__(self) -> str:
        return "TRUE" if self.value else "FALSE"


@dataclass(frozen=True, slots=True)
class Name(_Composable):
    """A signal, or for the catalogue an item or kind, by its dotted name."""

    name: str
    place: Place = field(default=Place(), compare=False)

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Not(_Composable):
    """True where its term is false."""

    term: Expression
    place: Place = field(default=Place(), compare=False)

    def __str__(self) -> str:
        return f"NOT {_bracketed(self.term, 4)}"


@dataclass(frozen=True, slots=True)
class And(_Composable):
    """True where every one of its two or more terms is true."""

    terms: tuple[Expression, ...]
    place: Place = field(default=Place(), compare=False)

    def __str__(self) -> str:
        return " AND ".join(_bracketed(term, 4) for term in self.terms)


@dataclass(frozen=True, slots=True)
class Xor(_Composable):
    """True where an odd number of its two or more terms is true."""

    terms: tuple[Expression, ...]
    place: Place = field(default=Place(), compare=False)

    def __str__(self) -> str:
        return " XOR ".join(_bracketed(term, 3) for term in self.terms)


@dataclass(frozen=True, slots=True)
class Or(_Composable):
    """True where at least one of its two or more terms is true."""

    terms: tuple[Expression, ...]
    place: Place = field(default=Place(), compare=False)

    def __str__(self) -> str:
        return " OR ".join(_bracketed(term, 2) for term in self.terms)


Expression = Const | Name | Not | And | Xor | Or
TRUE = Const(True)
FALSE = Const(False)

_BINDING: dict[type, int] = {Or: 1, Xor: 2, And: 3, Not: 4, Name: 5, Const: 5}


def _bracketed(term: Expression, binding: int) -> str:
    """The term's text, in parentheses where it binds less tightly than its surroundings."""
    return str(term) if _BINDING[type(term)] >= binding else f"({term})"


def parse(text: str, place: Place = NOWHERE) -> Expression:
    """Read an expression; every node keeps the place given, with its own character as column.

    Parameters
    ----------
    text : str
        The expression as written.
    place : Place
        Where the text stands (file, line, key).

    Raises
    ------
    InputError
        The text is no boolean expression; the place's column points at the character (from 1).
    """
    from lark.exceptions import UnexpectedInput

    try:
        tree = _parser().parse(text)
    except UnexpectedInput as error:
        raise InputError(_complaint(text, place, error)) from None
    return _build(tree, place, 0)


def evaluate(expression: Expression, value_of: Callable[[str], bool]) -> bool:
    """Give the expression's truth value where each name has the value that `value_of` gives it."""
    match expression:
        case Const(value):
            return value
        case Name(name):
            return bool(value_of(name))
        case Not(term):
            return not evaluate(term, value_of)
        case And(terms):
            return all(evaluate(term, value_of) for term in terms)
        case Or(terms):
            return any(evaluate(term, value_of) for term in terms)
        case Xor(terms):
            return sum(evaluate(term, value_of) for term in terms) % 2 == 1


def names(expression: Expression) -> tuple[str, ...]:
    """Give every name the expression reads, once, in reading order."""
    return tuple(dict.fromkeys(node.name for node in _names(expression)))


def name_nodes(expression: Expression) -> tuple[Name, ...]:
    """Give every name node in reading order, repeats included (each has its own place)."""
    return tuple(_names(expression))


def _names(expression: Expression) -> Iterator[Name]:
    match expression:
        case Name():
            yield expression
        case Not(term):
            yield from _names(term)
        case And(terms) | Or(terms) | Xor(terms):
            for term in terms:
                yield from _names(term)


@cache
def _parser() -> Lark:
    from lark import Lark

    return Lark(GRAMMAR, parser="lalr", propagate_positions=True, maybe_placeholders=False)


def _build(node: object, place: Place, depth: int) -> Expression:
    """Turn lark's tree into our nodes."""
    from lark import Tree

    if not isinstance(node, Tree):
        raise TypeError(f"unexpected {node!r}")
    here = replace(place, column=node.meta.start_pos + 1)
    if depth > DEEPEST:
        raise InputError(Fault("is nested too deeply", here, allowed=f"at most {DEEPEST} levels"))
    if node.data == "name":
        return Name(str(cast("Token", node.children[0])), here)
    if node.data in ("true", "false"):
        return Const(node.data == "true", here)
    terms = tuple(_build(child, place, depth + 1) for child in node.children)
    if node.data == "negation":
        return Not(terms[0], here)
    if node.data == "and_":
        return And(terms, here)
    return Or(terms, here) if node.data == "or_" else Xor(terms, here)


def _complaint(text: str, place: Place, error: UnexpectedInput) -> Fault:
    """Say what is wrong at which character, with a caret below the text."""
    from lark.exceptions import UnexpectedCharacters, UnexpectedToken

    ended = isinstance(error, UnexpectedToken) and error.token.type == "$END"
    at = len(text.rstrip()) if ended or error.pos_in_stream is None else error.pos_in_stream
    here = replace(place, column=at + 1)
    if not text.strip():
        return Fault("the expression is empty", here, allowed=ALLOWED)
    if ended:
        return Fault("the expression ends too early", here, got=_pointed(text, at), allowed=ALLOWED)
    rest = text[at:].split(maxsplit=1)[0]
    mend = ""
    if isinstance(error, UnexpectedCharacters) and rest != rest.lower():
        mend = "write names in lower case"
    return Fault(f"{rest!r} cannot stand here", here, got=_pointed(text, at), allowed=ALLOWED, mend=mend)


def _pointed(text: str, at: int) -> str:
    """The text around a character with a marker before it."""
    line = f"{text[:at]}>>{text[at:]}".replace("\n", " ").strip()
    return line if len(line) <= 120 else f"...{line[max(0, at - 50) : at + 60]}..."
