"""The rules a fragment of control logic is made of, as written: kinds, targets and expressions with places."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from stockproof.errors import Place
from stockproof.netlist.expression import TRUE, And, Const, Expression, Name, Not, Or, Xor

__all__ = ["Fragment", "Go", "Rule", "RuleKind", "Sequence", "Step", "renamed"]

NOWHERE = Place()


class RuleKind(Enum):
    """What a rule does to its target."""

    PERMIT = "permit"  #: the motion is driven only while every permit of it is true
    REQUEST = "request"  #: the motion is requested while any request of it is true
    DEFINE = "define"  #: the name stands for the expression
    ALL_OF = "all_of"  #: the name is true while all its contributions are (true where there are none)
    ANY_OF = "any_of"  #: the name is true while any of its contributions is (false where there are none)
    LATCH = "latch"  #: remembered: set by `when`, reset by `reset`; reset wins; false after start
    RISING = "rising"  #: true for the one scan in which `when` has become true
    FALLING = "falling"  #: true for the one scan in which `when` has become false
    CHANGED = "changed"  #: true for the one scan in which `when` differs from the last scan (false before the first)
    ON_DELAY = "on_delay"  #: true once `when` has been true for `delay_s`
    LAMP = "lamp"  #: tells people


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of control.

    Parameters
    ----------
    kind, target
        See `RuleKind`; the target is a motion, a lamp or a name of its own.
    when, reset : Expression
        `reset` only of a latch.
    present : Expression
        Over names of signals, motions, devices and kinds: the rule exists only where it is true.
    because : str
        Why, in a sentence people can read.
    """

    kind: RuleKind
    target: str
    when: Expression
    reset: Expression | None = None
    delay_s: float = 0.0
    present: Expression = TRUE
    label: str = ""
    because: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Step:
    """A step of a sequence; the first one is where it starts and where it goes when it is not enabled."""

    name: str
    label: str


@dataclass(frozen=True, slots=True)
class Go:
    """A transition; of several true at once the first one written is taken."""

    source: str
    target: str
    when: Expression
    present: Expression = TRUE
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Sequence:
    """Steps one after another; `name.step` is true while the step is active."""

    name: str
    label: str
    enabled: Expression
    steps: tuple[Step, ...]
    goes: tuple[Go, ...]
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Fragment:
    """The rules that one kind of item brings along."""

    name: str
    rules: tuple[Rule, ...]
    sequences: tuple[Sequence, ...] = ()
    present: Expression = TRUE


def renamed(fragment: Fragment, device: str) -> Fragment:
    """Give the fragment for one device: `self` becomes the device's name."""
    return replace(
        fragment,
        rules=tuple(
            replace(
                rule,
                target=_word(rule.target, device),
                when=_renamed(rule.when, device),
                reset=None if rule.reset is None else _renamed(rule.reset, device),
                present=_renamed(rule.present, device),
            )
            for rule in fragment.rules
        ),
    )


def _word(word: str, device: str) -> str:
    """`self.open` and `self_lock.open` with the device's name; also after `any.` and `all.`."""
    group, dot, rest = word.partition(".")
    if group in ("any", "all") and dot:
        return f"{group}.{_word(rest, device)}"
    return device + word[4:] if word == "self" or word.startswith(("self.", "self_")) else word


def _renamed(expression: Expression, device: str) -> Expression:
    match expression:
        case Const():
            return expression
        case Name(name):
            return replace(expression, name=_word(name, device))
        case Not(term):
            return replace(expression, term=_renamed(term, device))
        case And(terms) | Or(terms) | Xor(terms):
            return replace(expression, terms=tuple(_renamed(term, device) for term in terms))
