"""Reads fragments of control logic: the ones shipped here by kind of item, and a catalogue's own.

A fragment belongs to a kind of item rather than to a catalogue number, because sixty gates share one behaviour; a
catalogue item may name another fragment, and may add rules of its own.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Literal

from stockproof.errors import Fault, InputError
from stockproof.logic.rules import Fragment, Go, Rule, RuleKind, Sequence, Step
from stockproof.netlist.expression import TRUE, Expression, parse
from stockproof.records import Record, attribute, load
from stockproof.tomlfile import KeyPath, TomlFile, parse_toml
from stockproof.units import Duration

__all__ = ["ALWAYS", "BY_KIND", "library", "read_fragment"]

#: Fragments every installation has.
ALWAYS = ("line", "program")
#: The fragment a kind of item brings along if its catalogue entry names no other.
BY_KIND = {
    "entry_gate": "entry_gate",
    "head_bail": "head_bail",
    "squeeze": "squeeze",
    "head_lift": "head_lift",
    "rear_access_gate": "rear_access_gate",
    "side_access_gate": "side_access_gate",
    "slide_gate": "slide_gate",
    "draft_unit": "draft_unit",
    "forcing_pen": "forcing_pen",
}


_Reader = Callable[..., Expression]


class RuleText(Record):
    kind: Literal[
        "permit", "request", "define", "all_of", "any_of", "latch", "rising", "falling", "changed", "on_delay", "lamp"
    ] = attribute("what sort of rule it is")
    target: str = attribute("the motion, lamp or name it is about", pattern=r"^[a-z][a-z0-9_]*(\.[a-z0-9_]+)*$")
    when: str = attribute("boolean expression over signal names", min_length=1)
    reset: str = attribute("for a latch: the expression that resets it (reset wins)", "")
    delay_s: Duration | None = attribute("for an on-delay: how long", None, gt=0)
    present: str = attribute("the rule exists only where this is true of the build", "")
    label: str = attribute("plain words for the target", "")
    because: str = attribute("why, in a sentence people can read", "")


class StepText(Record):
    name: str = attribute("name of the step", pattern=r"^[a-z][a-z0-9_]*$")
    label: str = attribute("plain words for the step", min_length=1)


class GoText(Record):
    leave: str = attribute("the step it leaves")
    enter: str = attribute("the step it enters")
    when: str = attribute("boolean expression over signal names", min_length=1)
    present: str = attribute("the transition exists only where this is true of the build", "")


class SequenceText(Record):
    name: str = attribute("name of the sequence", pattern=r"^[a-z][a-z0-9_]*$")
    label: str = attribute("plain words for the sequence", min_length=1)
    enabled: str = attribute("while this is false the sequence stands in its first step", min_length=1)
    step: tuple[StepText, ...] = attribute("its steps, the first one first", min_length=2)
    go: tuple[GoText, ...] = attribute("its transitions, in order of precedence", min_length=1)


class FragmentText(Record):
    present: str = attribute("the fragment exists only where this is true of the build", "")
    rule: tuple[RuleText, ...] = attribute("its rules", ())
    sequence: tuple[SequenceText, ...] = attribute("its sequences", ())


@cache
def library() -> dict[str, Fragment]:
    """Give the fragments shipped with the program, by name."""
    folder = files("stockproof.logic") / "fragments"
    found = {}
    for path in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if path.name.endswith(".toml"):
            name = path.name.removesuffix(".toml")
            found[name] = read_fragment(name, parse_toml(path.read_bytes(), f"fragments/{path.name}", Path()))
    return found


def read_fragment(name: str, toml: TomlFile) -> Fragment:
    """Read one fragment.

    Raises
    ------
    InputError
        Everything found wrong, each with file, line and key, and for expressions the character.
    """
    text = load(FragmentText, toml)
    faults: list[Fault] = []

    def expression(words: str, *path: str | int) -> Expression:
        try:
            return parse(words, toml.place(path)) if words else TRUE
        except InputError as error:
            faults.extend(error.faults)
            return TRUE

    fragment = Fragment(
        name,
        tuple(_rule(rule, toml, ("rule", k), expression, faults) for k, rule in enumerate(text.rule)),
        tuple(_sequence(seq, toml, ("sequence", k), expression, faults) for k, seq in enumerate(text.sequence)),
        expression(text.present, "present"),
    )
    if faults:
        raise InputError(faults)
    return fragment


def _rule(rule: RuleText, toml: TomlFile, path: KeyPath, expression: _Reader, faults: list[Fault]) -> Rule:
    kind = RuleKind(rule.kind)
    if (kind == RuleKind.LATCH) != bool(rule.reset):
        faults.append(Fault("reset belongs to a latch, and to that alone", toml.place((*path, "reset"))))
    if (kind == RuleKind.ON_DELAY) != (rule.delay_s is not None):
        faults.append(Fault("delay belongs to an on_delay, and to that alone", toml.place((*path, "delay"))))
    return Rule(
        kind,
        rule.target,
        expression(rule.when, *path, "when"),
        expression(rule.reset, *path, "reset") if rule.reset else None,
        rule.delay_s or 0.0,
        expression(rule.present, *path, "present"),
        rule.label,
        rule.because,
        toml.place(path),
    )


def _sequence(seq: SequenceText, toml: TomlFile, path: KeyPath, expression: _Reader, faults: list[Fault]) -> Sequence:
    known = [step.name for step in seq.step]
    goes = []
    for k, go in enumerate(seq.go):
        here = (*path, "go", k)
        for word in (go.leave, go.enter):
            if word not in known:
                faults.append(Fault(f"{word!r} is no step of {seq.name}", toml.place(here), allowed=", ".join(known)))
        when = expression(go.when, *here, "when")
        goes.append(Go(go.leave, go.enter, when, expression(go.present, *here, "present"), toml.place(here)))
    steps = tuple(Step(step.name, step.label) for step in seq.step)
    enabled = expression(seq.enabled, *path, "enabled")
    return Sequence(seq.name, seq.label, enabled, steps, tuple(goes), toml.place(path))
