"""The compiled entry a rehearsal steps: the same beginning, events and consequences as a run, a stretch at a time.

What a rehearsal adds stands here and nowhere in the kernel: hands on the controls, power taken and given back, a
controller that starts anew, valves that let a part creep.
"""

from __future__ import annotations

import math
import zlib
from importlib.resources import files
from typing import Any

from stockproof.flow import kernel
from stockproof.flow import tables as t
from stockproof.flow.calendar import due, earliest
from stockproof.flow.compiled import cached, compiled, source_stamp
from stockproof.flow.control import _law, _oil, put_off
from stockproof.flow.settle import start_program
from stockproof.motion.kernel import advance, copy_of, pressure_pa, set_power, stored_m3

__all__ = ["BEGIN", "GO", "LOOK", "OIL_SEEN", "POWER_OFF", "POWER_ON", "RESTART", "step"]

NEVER = math.inf
#: What one call does.
BEGIN, GO, LOOK, POWER_OFF, POWER_ON, RESTART = range(6)
#: Places in the row of what is seen of the oil: gauge pressure, stored volume, whether the pump delivers.
OIL_SEEN = 3
PUMP_LOADED, PUMP_POWERED = 2, 3

_begin, _happen, _follow = kernel._begin, kernel._happen, kernel._follow


@compiled
def _creep(m: Any, w: Any, program: Any, creep_s: Any) -> None:
    """Let parts whose valve leaks creep back while nothing drives them."""
    for k in range(m.motions):
        if creep_s[k] <= 0.0:
            continue
        part = program.motion_part[k]
        state = w.part[part]
        back = 1.0 - program.motion_target[k]
        if state.moving != 0 or state.at == back or _driven(m, w, program, part):
            continue
        state.to, state.moving, state.motion, state.logged = back, 1, -1, -1
        state.since_s, state.until_s = w.now, w.now + abs(back - state.at) * creep_s[k]
        due(m, w, m.first_part_slot + part, state.until_s)
        w.dirty = 1


@compiled
def _driven(m: Any, w: Any, program: Any, part: int) -> bool:
    for k in range(m.motions):
        if program.motion_part[k] == part and w.commanded[k] != 0:
            return True
    return False


@compiled
def _settle(m: Any, w: Any, program: Any, creep_s: Any) -> None:
    """Consequences, and those of what then creeps."""
    _follow(m, w, program)
    _creep(m, w, program, creep_s)
    if w.dirty != 0:
        _follow(m, w, program)


@compiled
def _go(m: Any, w: Any, program: Any, creep_s: Any, until_s: float, most: int) -> int:
    """Let what is due happen, until a time or so many events; gives how many happened."""
    if w.dirty != 0:
        _settle(m, w, program, creep_s)
    done = 0
    while w.status == t.RUNNING_ON and done < most:
        leaf = earliest(w)
        at_s = w.leaf_s[leaf]
        if at_s > until_s or at_s == NEVER:
            w.now = max(w.now, until_s) if until_s < NEVER else w.now
            return done
        w.now = at_s
        w.events += 1
        due(m, w, leaf, NEVER)
        _happen(m, w, program, leaf)
        _settle(m, w, program, creep_s)
        done += 1
    return done


@compiled
def _start_anew(m: Any, w: Any, program: Any) -> None:
    """The controller comes up as after switching on: nothing remembered, no timer run."""
    start_program(w, program)
    for k in range(m.timers):
        due(m, w, m.first_timer_slot + k, NEVER)
    w.dirty = 1


@compiled
def _look(m: Any, w: Any, program: Any, oil_seen: Any) -> None:
    """Read the store of oil as it is now, on a copy: looking on changes nothing."""
    copy = copy_of(_oil(m, w))
    law = _law(m, program)
    advance(law, copy, w.now)
    oil_seen[0], oil_seen[1] = pressure_pa(law, copy), stored_m3(copy)
    oil_seen[2] = copy.now[PUMP_LOADED] * copy.now[PUMP_POWERED]


def _make_entry() -> Any:
    stamp = zlib.crc32(files("stockproof.flow").joinpath("live_kernel.py").read_bytes(), source_stamp())

    @cached
    def step(
        what: int,
        model: Any,
        worlds: Any,
        program: Any,
        creep_s: Any,
        oil_seen: Any,
        until_s: float,
        most: int,
    ) -> tuple[int, int]:
        """Do one thing to a rehearsal.

        Parameters
        ----------
        what : int
            One of the constants above.
        model, worlds, program : MODEL[1], WORLD[1], PROGRAM[1]
        creep_s : float64[MOTIONS]
            Time in which a part creeps back over its stroke after that motion; 0 where it does not. [s]
        oil_seen : float64[OIL_SEEN]
            Filled by `LOOK`: gauge pressure [Pa], stored oil [m3], 1 while the pump delivers.
        until_s, most
            `GO` stops at that time, or after so many events.
        """
        m, w, p = model[0], worlds[0], program[0]
        done = 0
        if what == 0:
            _begin(m, w, p)
            w.dirty = 1
            _settle(m, w, p, creep_s)
        elif what == 1:
            done = _go(m, w, p, creep_s, until_s, most)
        elif what == 2:
            _look(m, w, p, oil_seen)
        elif what == 3:
            set_power(_law(m, p), _oil(m, w), False, w.now)
            put_off(m, w, p)
        elif what == 4:
            set_power(_law(m, p), _oil(m, w), True, w.now)
            put_off(m, w, p)
        else:
            _start_anew(m, w, p)
        return done, stamp

    return step


step = _make_entry()
