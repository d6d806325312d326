"""Controls in people's hands: seen to be wanted, reacted to, pressed, held and let go."""

from __future__ import annotations

from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import NOBODY, take
from stockproof.flow.facts import all_so
from stockproof.flow.notes import note, spend_person
from stockproof.flow.people import nearest, rest, send
from stockproof.flow.touched import touch_part

__all__ = ["offer_press", "press_step", "release_presses"]


@compiled
def offer_press(m: Any, w: Any, k: int) -> None:
    q = m.act[k].index
    press, state = m.press[q], w.press[q]
    if state.active != 0 or state.next_s > w.now:
        return
    p = nearest(m, w, press.skill, press.place)
    if p < 0:
        return
    state.active = 1
    if send(m, w, p, k, NOBODY, press.place):
        press_step(m, w, p)


@compiled
def press_step(m: Any, w: Any, p: int) -> None:
    """React, press, let go."""
    person = w.person[p]
    q = m.act[person.act].index
    press, state = m.press[q], w.press[q]
    if person.doing == t.PRESSING:
        _let_go(m, w, p, q)
    elif not all_so(m, w, t.OF_PRESSES + q):
        state.active = 0
        rest(m, w, p)
    elif person.doing == t.REACTING:
        spend_person(w, p, t.PRESSING)
        note(w, notes.PRESSES, p, q)
        if press.control >= 0:
            w.pressed[press.control] += 1
            w.unscanned = 1
        else:
            _move_by_hand(m, w, press)
        due(m, w, m.first_person_slot + p, w.now + (press.longest_s if press.held else press.press_s))
    else:
        spend_person(w, p, t.REACTING)
        due(m, w, m.first_person_slot + p, w.now + _reaction(m, w, q))


@compiled
def _reaction(m: Any, w: Any, q: int) -> float:
    """The delay is the same act's on the same animal, whatever else the build has changed."""
    state = w.press[q]
    a = NOBODY
    if m.main_zone >= 0:
        zone = w.zone[m.main_zone]
        a = zone.comer if zone.comer >= 0 else zone.front
    if state.animal != a:
        state.animal, state.of_animal = a, 0
    state.of_animal += 1
    return take(m, w, m.press[q].reaction, a, state.of_animal)


@compiled
def _move_by_hand(m: Any, w: Any, press: Any) -> None:
    part = w.part[press.hand_part]
    part.to, part.moving, part.motion = press.hand_to, 1, -1
    part.since_s, part.until_s = w.now, w.now + press.press_s
    part.cycles += 1
    due(m, w, m.first_part_slot + press.hand_part, part.until_s)
    touch_part(w, press.hand_part)


@compiled
def _let_go(m: Any, w: Any, p: int, q: int) -> None:
    state, press = w.press[q], m.press[q]
    if press.control >= 0:
        w.pressed[press.control] -= 1
        w.unscanned = 1
    state.active = 0
    state.next_s = w.now + press.again_s
    state.count += 1
    note(w, notes.LETS_GO, p, q)
    rest(m, w, p)
    due(m, w, m.first_person_slot + p, state.next_s)


@compiled
def release_presses(m: Any, w: Any) -> None:
    """Let go every held control whose end is seen."""
    for p in range(m.people):
        if w.person[p].doing == t.PRESSING:
            q = m.act[w.person[p].act].index
            if m.press[q].held and all_so(m, w, t.OF_RELEASES + q):
                _let_go(m, w, p, q)
