"""Factory and site acceptance sheets: what to do, what must be seen, and room for what was.

Steps come from the permits, stops and timers of the netlist, and each one was tried on the program when the sheet was
made. Where the logic was checked, the site sheet also tries what the properties forbid, and tells the known stories.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from stockproof.logic.export.lists import ON
from stockproof.logic.export.people import Program
from stockproof.logic.export.trial import Attempt, attempt, permit_attempts, stop_attempts, untried_permits
from stockproof.logic.findings import Answer, Verification
from stockproof.logic.relief import Relief
from stockproof.netlist.model import InputKind
from stockproof.scene.pages import Cautions, Cell, Column, Paragraph, Part, Section, Steps, Table

__all__ = ["Check", "factory_sheet", "site_sheet"]

AT_WORKS = "No animals. Oil pressure at its lowest setting, nobody within reach of a part that can move."
ON_FARM = (
    "First without animals, then with quiet ones and people who know them. A second person stands at an emergency stop "
    "throughout."
)
POWER = "With a button held, take the power off and give it back"
ANSWERS = {
    Answer.HOLDS: "was not reached, within the bounds below: it should not happen",
    Answer.REACHED: "can happen: read the story below, and agree what keeps people and animals from it",
    Answer.NOT_SHOWN: "not shown by the check: try with care, and judge",
}


@dataclass(frozen=True, slots=True)
class Check:
    """One step of a sheet: what the tester does and what must be seen."""

    do: str
    see: str


def factory_sheet(program: Program) -> Section:
    """Give the sheet for the works: without cattle, every wire, permit, stop and timer."""
    parts: list[Part] = [
        Cautions((AT_WORKS,)),
        _sheet("works inputs", "Inputs", _inputs(program)),
        _sheet("works outputs", "Outputs, each by its button", _outputs(program)),
        _sheet(
            "works permits",
            "Permits: each motion stops when its permit goes",
            _permits(program, permit_attempts(program)),
        ),
        _sheet("works stops", "Emergency stops and return of power", _stops(program)),
    ]
    if program.netlist.timers:
        parts.append(_sheet("works timers", "Timers", _timers(program)))
    untried = untried_permits(program)
    if untried:
        words = (
            f"No step could be made of rest, leave and buttons for: {', '.join(untried)}. The engineer devises them."
        )
        parts.append(Paragraph(words))
    return Section("Factory acceptance", tuple(parts))


def site_sheet(program: Program, verification: Verification | None = None, relief: Iterable[Relief] = ()) -> Section:
    """Give the sheet for the farm: guards, stops and release with the line complete, then what must not happen.

    Parameters
    ----------
    verification : what was found about the logic, if it was checked
    relief : whether the animal can be freed, as it was worked out
    """
    parts: list[Part] = [Cautions((ON_FARM,))]
    guards = tuple(_permits(program, _guard_attempts(program)))
    if guards:
        parts.append(_sheet("site guards", "Guards", guards))
    parts.append(_sheet("site stops", "Emergency stops and return of power", _stops(program)))
    parts.append(_sheet("site release", "Relief and release", (*_releases(program), *_freeing(relief))))
    if verification is None:
        parts.append(Paragraph("The logic was not checked with this pack; what must not happen is not listed here."))
    else:
        caption = "What must not happen: consider each, and try it only where that is safe"
        table = _sheet("site properties", caption, _properties(verification))
        parts.append(replace(table, note=f"Bounds of the check: {verification.bounds}."))
        parts += _known(verification)
    return Section("Site acceptance", tuple(parts))


def _guard_attempts(program: Program) -> tuple[Attempt, ...]:
    return tuple(one for one in permit_attempts(program) if "access" in one.changed)


def _inputs(program: Program) -> Iterator[Check]:
    words = {
        InputKind.SENSOR: "Bring about, then undo",
        InputKind.MOMENTARY: "Press, then let go",
        InputKind.MAINTAINED: "Turn on, then off",
    }
    for i in program.fields:
        terminal, variable = program.terminals[i.name][0], program.code.inputs[i.name]
        do = f"{words[i.kind]}: {i.label}"
        if i.name.endswith(".emergency_ok"):
            do = f"Press the emergency stop at {terminal}, then release it"
        yield Check(do, f"{terminal} changes between {ON} and 0 V, and {variable} with it")


def _outputs(program: Program) -> Iterator[Check]:
    for motion in program.netlist.motions:
        tried = attempt(program, motion.name)
        if tried is not None:
            see = f"{program.terminals[motion.name][0]} {ON} while held; {program.label(motion.name)}"
            yield Check(f"{_held(program, tried)}; then let go", f"{see}, and stops on letting go")
    for lamp in program.netlist.lamps:
        terminal = program.terminals[lamp.name][0]
        yield Check(f"Bring about: {program.label(lamp.name)}", f"lamp {terminal} lights, and goes out when it ends")


def _permits(program: Program, attempts: Iterable[Attempt]) -> Iterator[Check]:
    rules = {f"{m.name}.permit.{k}": rule for m in program.assembly.motions for k, rule in enumerate(m.permits, 1)}
    whys: dict[tuple[str, str], list[str]] = {}
    first: dict[tuple[str, str], Attempt] = {}
    for one in attempts:
        key = (one.motion, one.changed)
        first.setdefault(key, one)
        whys.setdefault(key, []).append(rules[one.permit].because)
    for key, one in first.items():
        then = _brought(program, one.changed, not one.now(program, one.changed))
        why = "; ".join(dict.fromkeys(filter(None, whys[key])))
        see = f"{program.label(one.motion)} stops at once" + (f" ({why})" if why else "")
        yield Check(f"{_held(program, one)}; it moves. Then: {then}", see)


def _stops(program: Program) -> Iterator[Check]:
    for one in stop_attempts(program):
        stop = _brought(program, one.changed, False)
        see = f"{program.label(one.motion)} stops at once, and does not move again until reset and a new press"
        yield Check(f"{_held(program, one)}; {stop}; release it, still holding", see)
    yield Check(POWER, "nothing moves; the ready lamp is off until reset")


def _timers(program: Program) -> Iterator[Check]:
    definitions = {d.name: d for d in program.book.definitions}
    for t in program.netlist.timers:
        lasts = program.words(definitions[t.name].terms[0].expression) if t.name in definitions else t.label
        see = f"{t.name} comes after {t.preset_s:g} s, up to one scan later, and goes at once when it ends"
        yield Check(f"Bring about and keep: {lasts}; measure with a watch", see)


def _releases(program: Program) -> Iterator[Check]:
    for motion in program.assembly.motions:
        if motion.name == "bail.open" or motion.name.endswith((".out", ".lower")):
            label = program.label(motion.name)
            tried = attempt(program, motion.name)
            if tried is not None:
                do = f"{_held(program, tried)}; alone, from the safe place, with the load of an animal on it"
                yield Check(do, f"{label}, whatever animals and timers do")
            yield Check(f"Supply off: do it by hand, as the handbook says ({label})", "it can be done; note the time")


def _freeing(relief: Iterable[Relief]) -> Iterator[Check]:
    """What one person has to be able to do against everything else, as it was worked out."""
    for one in relief:
        when = f"With this fault: {one.fault.sentence} " if one.fault else "With every other control against you: "
        do = f"{when}{one.means}"
        if one.relieve_steps is None or one.release_steps is None:
            yield Check(do, f"not met: {one.obstacle or 'the animal cannot be freed'}; agree what else frees it")
        else:
            steps = f"relieved after {one.relieve_steps} and out after {one.release_steps} short pulls of a valve"
            yield Check(do, f"the animal is {steps} at most")


def _properties(verification: Verification) -> Iterator[Check]:
    for finding in verification.findings:
        yield Check(finding.property.title, ANSWERS[finding.answer])


def _known(verification: Verification) -> Iterator[Steps]:
    """The shortest way to each bad state that can be reached: to be understood, not to be tried with animals."""
    for finding in verification.findings:
        if finding.story is not None:
            yield Steps(f"Known: {finding.property.title}", finding.story.sentences)


def _held(program: Program, tried: Attempt) -> str:
    """Which button is held, and what is brought about first."""
    first = "; ".join(_brought(program, name, value) for name, value in tried.before)
    held = f"hold '{program.label(tried.button)}' ({program.terminals[tried.button][0]})"
    return f"First: {first}. Then {held}" if first else held[0].upper() + held[1:]


def _brought(program: Program, name: str, value: bool) -> str:
    terminal, label = program.terminals[name][0], program.label(name)
    kind = next(i.kind for i in program.fields if i.name == name)
    if name.endswith(".emergency_ok"):
        return f"press the emergency stop at {terminal}"
    if kind == InputKind.MOMENTARY:
        return f"press '{label}' ({terminal}) too"
    return f"'{label}' comes true ({terminal} {ON})" if value else f"'{label}' ends ({terminal} 0 V)"


def _sheet(name: str, caption: str, checks: Iterable[Check]) -> Table:
    rows: list[tuple[Cell, ...]] = [(k, check.do, check.see, "", "") for k, check in enumerate(checks, 1)]
    columns = (
        Column("No.", align="right"),
        Column("Do", share=5),
        Column("Must be seen", share=4),
        Column("Found", share=1),
        Column("Who, when", share=1),
    )
    return Table(name, caption, columns, tuple(rows))
