"""Runs Structured Text of the emitted kind, scan by scan with a clock: our own reading of what the text means.

Types are checked before the first scan. Blocks hold their state between calls and are evaluated only when called; a
timer reads the clock once a scan, so it can never elapse within one.

References
----------
IEC 61131-3, *Programmable controllers - Part 3: Programming languages*, standard function blocks (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from stockproof.errors import Fault, InputError, Place
from stockproof.logic.export.grammar import Assign, Call, Case, Declared, Expr, If, Statement, Unit, read_units

__all__ = ["Machine"]

State = dict[str, Any]
Act = Callable[[State], None]
Value = Callable[[State], Any]
#: Start value of each elementary type.
PLAIN: dict[str, bool | int | float] = {"bool": False, "int": 0, "time": 0.0}
#: The standard's blocks: type of every input and output.
STANDARD: dict[str, tuple[dict[str, str], dict[str, str]]] = {
    "ton": ({"in": "bool", "pt": "time"}, {"q": "bool", "et": "time"}),
    "rs": ({"s": "bool", "r1": "bool"}, {"q1": "bool"}),
    "sr": ({"s1": "bool", "r": "bool"}, {"q1": "bool"}),
    "r_trig": ({"clk": "bool"}, {"q": "bool"}),
    "f_trig": ({"clk": "bool"}, {"q": "bool"}),
}


class Machine:
    """A controller that runs the last program of a text.

    Parameters
    ----------
    text : str
        The whole source.
    file : str
        Its name, for errors.

    Raises
    ------
    InputError
        The text cannot be read, names something unknown, or joins types that do not go together.
    """

    def __init__(self, text: str, file: str = "") -> None:
        self.now_s = 0.0
        self._compiler = _Compiler(self, read_units(text, file), file)
        self._run, self._state = self._compiler.program()
        self._fresh: Callable[[], State] = self._compiler.fresh
        self.inputs = self._compiler.section("var_input")
        self.outputs = self._compiler.section("var_output")

    def restart(self) -> None:
        """Put everything where it is after power returns: nothing is retained."""
        self._state = self._fresh()

    def scan(self, inputs: Mapping[str, bool], now_s: float) -> dict[str, bool]:
        """Run one scan at a moment of the clock; inputs not named keep their values. Gives every output."""
        self.now_s = now_s
        for name, value in inputs.items():
            self._state[self.inputs[name]] = bool(value)
        self._run(self._state)
        return {name: bool(self._state[key]) for name, key in self.outputs.items()}

    def value(self, *path: str) -> Any:
        """Give the value of a variable, `value("entry_block", "entry_open")` one of a block's."""
        at: Any = self._state
        for word in path:
            at = at[word.lower()]
        return at


class _Compiler:
    """Turns units into closures over a state: a dictionary by lower-case name, blocks being dictionaries within."""

    def __init__(self, machine: Machine, units: tuple[Unit, ...], file: str) -> None:
        self.machine, self.file = machine, file
        self.units = {unit.name: unit for unit in units}
        self.runs: dict[str, Act] = {}
        self.scope: dict[str, Declared] = {}
        programs = [unit for unit in units if unit.is_program]
        if not programs:
            raise InputError(Fault("holds no program to run", Place(file)))
        self.main = programs[-1]

    def program(self) -> tuple[Act, State]:
        return self._unit(self.main), self.fresh()

    def fresh(self) -> State:
        return self._state(self.main)

    def section(self, section: str) -> dict[str, str]:
        found = [v.name for v in self.main.variables if v.section == section]
        return {self.main.spelled[name]: name for name in found}

    def _state(self, unit: Unit) -> State:
        return {v.name: self._start(v) for v in unit.variables}

    def _start(self, variable: Declared) -> Any:
        if variable.type in PLAIN:
            return PLAIN[variable.type] if variable.start is None else variable.start
        if variable.type in STANDARD:
            pins = STANDARD[variable.type]
            return {name: PLAIN[kind] for pin in pins for name, kind in pin.items()} | {"was": False, "since": 0.0}
        return self._state(self.units[variable.type])

    def _unit(self, unit: Unit) -> Act:
        if unit.name in self.runs:
            return self.runs[unit.name]
        self._check_types(unit)
        outer, self.scope = self.scope, {v.name: v for v in unit.variables}
        run = self.runs[unit.name] = self._body(unit.body)
        self.scope = outer
        return run

    def _check_types(self, unit: Unit) -> None:
        seen: set[str] = set()
        order = list(self.units)
        for v in unit.variables:
            if v.name in seen:
                self._refuse(f"{v.name!r} is declared twice", v.line)
            seen.add(v.name)
            before = v.type in self.units and order.index(v.type) < order.index(unit.name)
            if v.type not in PLAIN and v.type not in STANDARD and not before:
                self._refuse(f"{v.type!r} is no type known here", v.line)

    def _body(self, statements: tuple[Statement, ...]) -> Act:
        return _in_order([self._statement(statement) for statement in statements])

    def _statement(self, statement: Statement) -> Act:
        match statement:
            case Assign():
                return self._assign(statement)
            case Call():
                return self._call(statement)
            case If():
                return self._if(statement)
            case Case():
                return self._case(statement)

    def _assign(self, statement: Assign) -> Act:
        wanted, (value, kind) = self._type(statement.target, statement.line), self._value(statement.value)
        self._agree(wanted, kind, statement.line)
        if len(statement.target) > 1:
            self._refuse("a block's variable is assigned from outside", statement.line)
        (name,) = statement.target

        def assign(state: State) -> None:
            state[name] = value(state)

        return assign

    def _call(self, statement: Call) -> Act:
        kind = self._type((statement.block,), statement.line)
        given = []
        for pin, expression in statement.given:
            value, got = self._value(expression)
            self._agree(self._pin(kind, pin, statement.line), got, statement.line)
            given.append((pin, value))
        run, block = self._block(kind, statement.line), statement.block

        def call(state: State) -> None:
            inner = state[block]
            values = [(pin, value(state)) for pin, value in given]
            inner.update(values)
            run(inner)

        return call

    def _if(self, statement: If) -> Act:
        branches = [
            (self._boolean(when), _in_order([self._statement(s) for s in body])) for when, body in statement.branches
        ]
        otherwise = _in_order([self._statement(s) for s in statement.otherwise])

        def choose(state: State) -> None:
            for when, then in branches:
                if when(state):
                    then(state)
                    return
            otherwise(state)

        return choose

    def _case(self, statement: Case) -> Act:
        selector, kind = self._value(statement.selector)
        self._agree("int", kind, statement.line)
        branches: dict[int, Act] = {}
        for labels, body in statement.branches:
            act = self._body(body)
            for label in sorted(labels):
                if label in branches:
                    self._refuse(f"two branches of CASE for {label}", statement.line)
                branches[label] = act
        otherwise = self._body(statement.otherwise)
        return lambda state: branches.get(selector(state), otherwise)(state)

    def _boolean(self, expression: Expr) -> Value:
        value, kind = self._value(expression)
        self._agree("bool", kind, expression.line)
        return value

    def _value(self, expression: Expr) -> tuple[Value, str]:
        if expression.op == "literal":
            constant = expression.value
            return lambda _: constant, {bool: "bool", int: "int", float: "time"}[type(constant)]
        if expression.op == "read":
            return self._read(expression)
        if expression.op in ("same", "other"):
            (a, left), (b, right) = (self._value(term) for term in expression.terms)
            self._agree(left, right, expression.line)
            if expression.op == "same":
                return lambda state: a(state) == b(state), "bool"
            return lambda state: a(state) != b(state), "bool"
        terms = [self._boolean(term) for term in expression.terms]
        return _OPERATORS[expression.op](terms), "bool"

    def _read(self, expression: Expr) -> tuple[Value, str]:
        kind = self._type(expression.name, expression.line)
        if kind not in PLAIN:
            self._refuse(f"{'.'.join(expression.name)!r} is a block and has no value", expression.line)
        if len(expression.name) == 1:
            (name,) = expression.name
            return lambda state: state[name], kind
        block, pin = expression.name
        return lambda state: state[block][pin], kind

    def _type(self, path: tuple[str, ...], line: int) -> str:
        if path[0] not in self.scope:
            self._refuse(f"{path[0]!r} is not declared", line)
        kind = self.scope[path[0]].type
        if len(path) == 1:
            return kind
        outputs = STANDARD[kind][1] if kind in STANDARD else self._pins(kind, "var_output")
        if path[1] not in outputs:
            self._refuse(f"{'.'.join(path)!r} is no output", line)
        return outputs[path[1]]

    def _pin(self, kind: str, pin: str, line: int) -> str:
        inputs = STANDARD[kind][0] if kind in STANDARD else self._pins(kind, "var_input")
        if pin not in inputs:
            self._refuse(f"{pin!r} is no input of {kind}", line)
        return inputs[pin]

    def _pins(self, kind: str, section: str) -> dict[str, str]:
        unit = self.units.get(kind)
        return {v.name: v.type for v in unit.variables if v.section == section} if unit else {}

    def _block(self, kind: str, line: int) -> Act:
        if kind in self.units:
            return self._unit(self.units[kind])
        acts: dict[str, Act] = {"ton": self._ton, "rs": _rs, "sr": _sr, "r_trig": _r_trig, "f_trig": _f_trig}
        if kind not in acts:
            self._refuse(f"a {kind} cannot be called", line)
        return acts[kind]

    def _ton(self, state: State) -> None:
        """Q once IN has been true for PT; ET counts up to PT; both fall with IN."""
        now = self.machine.now_s
        if state["in"] and not state["was"]:
            state["since"] = now
        elapsed = now - state["since"] if state["in"] else 0.0
        state["q"] = bool(state["in"]) and elapsed >= state["pt"]
        state["et"] = min(elapsed, state["pt"])
        state["was"] = state["in"]

    def _agree(self, wanted: str, got: str, line: int) -> None:
        if wanted != got:
            self._refuse(f"{got.upper()} stands where {wanted.upper()} is needed", line)

    def _refuse(self, what: str, line: int) -> None:
        raise InputError(Fault(what, Place(self.file, line)))


def _rs(state: State) -> None:
    """Reset wins."""
    state["q1"] = not state["r1"] and (state["s"] or state["q1"])


def _sr(state: State) -> None:
    """Set wins."""
    state["q1"] = state["s1"] or (not state["r"] and state["q1"])


def _r_trig(state: State) -> None:
    state["q"] = state["clk"] and not state["was"]
    state["was"] = state["clk"]


def _f_trig(state: State) -> None:
    """Its memory holds NOT CLK and starts false: a clock that is off at the first scan counts as an edge."""
    state["q"] = not state["clk"] and not state["was"]
    state["was"] = not state["clk"]


def _in_order(acts: list[Act]) -> Act:
    def run(state: State) -> None:
        for act in acts:
            act(state)

    return run


_OPERATORS: dict[str, Callable[[list[Value]], Value]] = {
    "not": lambda terms: lambda state: not terms[0](state),
    "and": lambda terms: lambda state: all(term(state) for term in terms),
    "or": lambda terms: lambda state: any(term(state) for term in terms),
    "xor": lambda terms: lambda state: sum(bool(term(state)) for term in terms) % 2 == 1,
}
