"""A rehearsal on its stage: the line as it is proved, stepped live, looked back on, with every refusal explained."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockproof import flow, herd
from stockproof.errors import Fault, InputError
from stockproof.flow.live import Live, Script, Snapshot, Trouble, troubles_of
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

    def line(holding: bool | None) -> flow.Line:
        return flow.prepare(
            cast.installation,
            chosen,
            control.netlist,
            control.plant,
            cast.given,
            hold=holding,
            sort=sort,
            motion_s=machine.motion_s(),
        )

    holds = chosen.hold if hold is None else hold
    ready = line(hold) if holds else _able_to_catch(line(hold), line(True))
    lay = lay_of(cast.yard, control.plant)
    sizes = herd.mob(cast.installation.brief, chosen.mob)
    script = Script(
        ready,
        control.netlist,
        control.plant,
        machine.laws,
        cast.installation.brief.file.seed if seed is None else seed,
        holds=holds,
    )
    return Staged(
        programme=chosen.name,
        hold=holds,
        sort=chosen.sort if sort is None else sort,
        script=script,
        lay=lay,
        body=(sizes.mean("nose_to_tail"), sizes.mean("belly_width")),
        pieces=pieces_of(control.plant, lay),
        panels=panels(control.netlist),
        gates=hand_gates(control.plant),
        troubles=tuple(troubles_of(control.netlist, control.plant)),
        conditions=permits_of(control.assembly, control.netlist),
    )


def _able_to_catch(line: flow.Line, holding: flow.Line) -> flow.Line:
    """A line whose bail catches once the hold switch is turned on."""
    catch = {zone.name: zone.catch for zone in holding.zones}
    return replace(line, zones=tuple(replace(zone, catch=catch[zone.name]) for zone in line.zones))


class Rehearsal:
    """One rehearsal going on. Looking back shows what was; acting or going on from there drops what came after."""

    def __init__(self, staged: Staged) -> None:
        self.staged = staged
        self.live = Live(staged.script)
        self.shown = self.live
        self.places = Places(staged.script.plant, self.live.names.zones, staged.lay, staged.body)
        self.latest_s = 0.0
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
