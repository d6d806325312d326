"""Lays expressions and calls out as lines of Structured Text that fit a page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from stockproof.logic.export.names import WIDTH
from stockproof.netlist.expression import And, Const, Expression, Name, Not, Or, Xor

__all__ = ["INDENT", "Scribe", "call", "duration_literal", "ended"]

INDENT = "    "


class Scribe:
    """Writes expressions over our names with the identifiers of the text."""

    def __init__(self, name: Callable[[str], str]) -> None:
        self.name = name

    def text(self, expression: Expression, inside: type | None = None) -> str:
        """Give an expression on one line, in parentheses where its surroundings bind more tightly."""
        written = str(self._renamed(expression))
        return f"({written})" if inside is And and isinstance(expression, Or | Xor) else written

    def spread(self, head: str, expression: Expression) -> list[str]:
        """Give head and expression on one line, or a term a line where that is too long."""
        line = head + self.text(expression)
        if len(line) <= WIDTH or not isinstance(expression, And | Or):
            return [line]
        word = "AND" if isinstance(expression, And) else "OR"
        margin = INDENT + " " * (len(head) - len(head.lstrip(" ")))
        parts = [self.text(term, type(expression)) for term in expression.terms]
        return [f"{head}{parts[0]}", *(f"{margin}{word} {part}" for part in parts[1:])]

    def call(self, instance: str, given: Sequence[tuple[str, Expression]], more: Sequence[str] = ()) -> list[str]:
        """Give the call of a block, `given` being its pins with what they get."""
        line = f"{instance}({', '.join([*(f'{pin} := {self.text(e)}' for pin, e in given), *more])});"
        if len(line) <= WIDTH:
            return [line]
        parts = [self.spread(f"{INDENT}{pin} := ", expression) for pin, expression in given]
        parts += [[INDENT + one] for one in more]
        return [f"{instance}(", *(row for part in parts[:-1] for row in ended(part, ",")), *parts[-1], ");"]

    def _renamed(self, expression: Expression) -> Expression:
        match expression:
            case Const():
                return expression
            case Name(word):
                return Name(self.name(word))
            case Not(term):
                return Not(self._renamed(term))
            case And(terms) | Or(terms) | Xor(terms):
                return type(expression)(tuple(self._renamed(term) for term in terms))


def call(instance: str, given: Sequence[str]) -> list[str]:
    """Give the call of a block whose arguments are written already."""
    line = f"{instance}({', '.join(given)});"
    if len(line) <= WIDTH:
        return [line]
    return [f"{instance}(", *(f"{INDENT}{part}," for part in given[:-1]), f"{INDENT}{given[-1]}", ");"]


def ended(lines: Sequence[str], end: str) -> list[str]:
    """Give the lines with an ending after the last."""
    return [*lines[:-1], lines[-1] + end]


def duration_literal(seconds: float) -> str:
    """Give a TIME literal of exactly this duration, in seconds or milliseconds."""
    exact = Decimal(repr(seconds))
    return f"T#{exact:.0f}s" if exact == exact.to_integral_value() else f"T#{(exact * 1000).normalize():f}ms"
