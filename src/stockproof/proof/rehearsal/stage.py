"""A rehearsal on its stage: the line as it is proved, stepped live, looked back on, with every refusal explained."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from stockproof import flow, herd
from stockproof.brief import Programme
from stockproof.errors import Fault, InputError
from stockproof.flow.live import Act, Live, Script, Setting, Snapshot, Trouble, troubles_of
from stockproof.flow.model import Press, seen
from stockproof.flow.trace import Event
from stockproof.installation import Installation
from stockproof.netlist.model import Chart, InputKind
from stockproof.proof.machine import Control
from stockproof.proof.rehearsal.lay import Lay, lay_of
from stockproof.proof.rehearsal.panel import HandGate, Panel, hand_gates, panels
from stockproof.proof.rehearsal.pieces import Piece, pieces_of
from stockproof.proof.rehearsal.places import Drawn, Places
from stockproof.proof.rehearsal.refusal import Conditions, Refusal, permits_of, refusals
from stockproof.proof.rooms import Rooms
from stockproof.yard import Yard

__all__ = ["Cast", "Rehearsal", "Staged", "View", "cast_of", "stage"]

#: Events told with a view at most.
LAST = 14
#: A rehearsal ends here: longer than any working day. [s]
LONGEST_S = 24 * 3600.0


@dataclass(frozen=True, slots=True)
class Cast:
    """What a rehearsal needs of a proof, small enough to be handed to another process."""

    installation: Installation
    control: Control
    yard: Yard | None
    machine: flow.Machine
    given: flow.Given


@dataclass(frozen=True, slots=True, eq=False)
class Staged:
    """A rehearsal ready to begin.

    Parameters
    ----------
    hold, sort : bool
        How the two switches stand at the start.
    body : (length, width)
        Of a middle animal of the mob. [m]
    """

    programme: str
    hold: bool
    sort: bool
    script: Script
    lay: Lay
    body: tuple[float, float]
    pieces: tuple[Piece, ...]
    panels: tuple[Panel, ...]
    gates: tuple[HandGate, ...]
    troubles: tuple[Trouble, ...]
    conditions: tuple[Conditions, ...]


@dataclass(frozen=True, slots=True)
class View:
    """What is shown of one moment.

    `events` are those told since the last view, newest last; `past` says that this is looked back on and `latest_s`
    to what time there is something to look back on.
    """

    snapshot: Snapshot
    drawn: Drawn
    step: str
    refusals: tuple[Refusal, ...]
    events: tuple[Event, ...]
    troubles: tuple[Trouble, ...]
    past: bool
    latest_s: float


def cast_of(rooms: Rooms) -> Cast:
    """Give what a rehearsal needs of a proof's rooms."""
    return Cast(rooms.installation, rooms.control, rooms.yard, rooms.flows.machine, rooms.flows.given)


def stage(
    cast: Cast, programme: str = "", seed: int | None = None, hold: bool | None = None, sort: bool | None = None
) -> Staged:
    """Set a programme up to be rehearsed.

    Parameters
    ----------
    programme : str
        Empty: the brief's first.
    seed : int or None
        None: the brief's own, so that the first day of the proof is rehearsed.
    hold, sort : bool or None
        The two switches at the start; None as the programme has them.

    Raises
    ------
    InputError
        The brief has no such programme, or it cannot be done with this crew and build.
    """
    known = cast.installation.brief.programmes
    if programme and programme not in known:
        raise InputError(Fault(f"{programme!r} is no programme of this brief", allowed=", ".join(known)))
    chosen = known[programme or next(iter(known))]
    control, machine = cast.control, cast.machine

    setting = Setting(chosen.hold if hold is None else hold, chosen.sort if sort is None else sort)
    lines = {each: _line(cast, chosen, each) for each in (setting, *_others(setting, control))}
    lay = lay_of(cast.yard, control.plant)
    sizes = herd.mob(cast.installation.brief, chosen.mob)
    script = Script(
        lines.pop(setting),
        control.netlist,
        control.plant,
        machine.laws,
        cast.installation.brief.file.seed if seed is None else seed,
        setting=setting,
        others=lines,
    )
    return Staged(
        programme=chosen.name,
        hold=setting.hold,
        sort=setting.sort,
        script=script,
        lay=lay,
        body=(sizes.mean("nose_to_tail"), sizes.mean("belly_width")),
        pieces=pieces_of(control.plant, lay),
        panels=panels(control.netlist),
        gates=hand_gates(control.plant),
        troubles=tuple(troubles_of(control.netlist, control.plant)),
        conditions=permits_of(control.assembly, control.netlist),
    )


def _others(setting: Setting, control: Control) -> Iterator[Setting]:
    """The other ways the two switches can stand, and each worked by hand, where there is a switch to turn."""
    names = [entry.name for entry in control.netlist.inputs if entry.kind == InputKind.MAINTAINED]
    holds = (True, False) if any(name.endswith(".hold") for name in names) else (setting.hold,)
    sorts = (True, False) if any(name.endswith(".sort") for name in names) else (setting.sort,)
    stands = [Setting(hold, sort) for hold in holds for sort in sorts]
    if len(stands) > 1:
        yield from (stand for stand in stands if stand != setting)
        yield from (replace(stand, by_hand=True) for stand in stands)


def _line(cast: Cast, programme: Programme, setting: Setting) -> flow.Line:
    """A programme's line with the switches so; with both off no program runs, and its work is done by hand.

    Where a programme holds its animals and the hold switch is turned off, nobody works on one that stands free.
    """
    by_hand = not (setting.hold or setting.sort)
    line = flow.prepare(
        cast.installation,
        programme,
        cast.control.netlist,
        cast.control.plant,
        cast.given,
        hold=None if by_hand else setting.hold,
        sort=None if by_hand else setting.sort,
        by_hand=by_hand or setting.by_hand,
        motion_s=cast.machine.motion_s(),
    )
    if setting.by_hand:
        line = replace(line, presses=(*_shutting(line), *line.presses))
    if by_hand or setting.hold or not programme.hold:
        return line
    return replace(line, tasks=tuple(task for task in line.tasks if not task.held and (task.role or not task.skill)))


def _shutting(line: flow.Line) -> Iterator[Press]:
    """Shut the bail wholly on one that the program had caught when it stopped: nobody begins work before."""
    catch = next((press for press in line.presses if press.control.endswith(".bail.close")), None)
    if catch is not None:
        off = tuple(condition for condition in catch.when if condition.what == "signal")
        when = (*off, seen("held", "crush"), ~seen("closed", "bail"))
        yield replace(catch, name="shut the bail on one that is caught", when=when)


class Rehearsal:
    """One rehearsal going on, from acts already done in it up to a time.

    Looking back shows what was; acting or going on from there drops what came after.
    """

    def __init__(self, staged: Staged, acts: Iterable[Act] = (), until_s: float = 0.0) -> None:
        self.staged = staged
        self.live = Live.replayed(staged.script, acts, until_s)
        self.shown = self.live
        self.places = Places(staged.script.plant, self.live.names.zones, staged.lay, staged.body)
        self.latest_s = self.live.now_s
        self.told = 0

    def go(self, by_s: float) -> None:
        """Go on for so long, from the moment that is shown."""
        self._from_here()
        self.live.advance(min(self.live.now_s + max(0.0, by_s), LONGEST_S))
        self.latest_s = self.live.now_s

    def next(self) -> None:
        """Go on to the next thing that happens."""
        self._from_here()
        if self.live.next_s <= LONGEST_S:
            self.live.to_next()
        self.latest_s = self.live.now_s

    def act(self, verb: str, name: str, on: bool) -> None:
        """Do something at the moment that is shown; see `flow.live.Act`.

        Raises
        ------
        InputError
            There is nothing of that name to act on.
        """
        self._from_here()
        self.live.act(verb, name, on)

    def look(self, time_s: float) -> None:
        """Look at a moment that has been."""
        time_s = min(max(0.0, time_s), self.latest_s)
        if time_s >= self.live.now_s:
            self.shown = self.live
        else:
            self.shown = Live.replayed(self.staged.script, self.live.acts, time_s, self.live.tables)
        self.places.forget()
        self.told = 0

    def view(self) -> View:
        """Give what is shown now."""
        shown = self.shown
        snapshot = shown.snapshot()
        fresh = min(shown.told - self.told, LAST)
        self.told = shown.told
        return View(
            snapshot=snapshot,
            drawn=self.places.draw(snapshot),
            step=self._step(shown, snapshot),
            refusals=refusals(shown, self.staged.conditions),
            events=tuple(shown.events)[-fresh:] if fresh else (),
            troubles=shown.troubles,
            past=shown is not self.live,
            latest_s=self.latest_s,
        )

    def _from_here(self) -> None:
        if self.shown is not self.live:
            self.live = self.shown
            self.latest_s = self.live.now_s

    def _step(self, shown: Live, snapshot: Snapshot) -> str:
        """The step the program is in, in words; empty without a program or power."""
        values = shown.values()
        charts: Sequence[Chart] = shown.script.netlist.charts if snapshot.powered else ()
        return next((label for chart in charts for _, label, node in chart.steps if values[node]), "")


def sensors_of(staged: Staged) -> tuple[tuple[str, str, str], ...]:
    """Give name, label and terminal of each sensor, in a snapshot's order."""
    inputs = staged.script.netlist.inputs
    return tuple((i.name, i.label, i.terminal) for i in inputs if i.kind == InputKind.SENSOR)
