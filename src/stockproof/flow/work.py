"""People at work: who turns to what, and the breaks of them all.

Acts stand in one list by priority. An idle person who can do an act that is wanted now goes to it; the nearest goes
first.
"""

from __future__ import annotations

from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import ZERO
from stockproof.flow.facts import all_so, refresh
from stockproof.flow.jobs import job_step, offer_job
from stockproof.flow.notes import note, spend_person
from stockproof.flow.people import rest
from stockproof.flow.presses import offer_press, press_step
from stockproof.flow.tasks import offer_task, start_unmanned, task_step
from stockproof.flow.touched import touch

__all__ = ["break_event", "dispatch", "person_event"]


@compiled
def dispatch(m: Any, w: Any) -> None:
    """Start everything that can start: unmanned work, then acts in order of priority."""
    for k in range(m.autos):
        if all_so(m, w, t.OF_TASKS + m.auto[k]):
            start_unmanned(m, w, m.auto[k])
    start_break(m, w)
    if w.on_break:
        return
    refresh(m, w)
    for k in range(m.acts):
        if w.idle == 0:
            return
        if w.unmet[m.list_of_act[k]] == 0:
            if m.act[k].kind == t.ACT_TASK:
                offer_task(m, w, k)
            elif m.act[k].kind == t.ACT_PRESS:
                offer_press(m, w, k)
            else:
                offer_job(m, w, k)
            refresh(m, w)


@compiled
def person_event(m: Any, w: Any, p: int) -> None:
    """A person has got there, has reacted, or is through with what they did."""
    person = w.person[p]
    if person.doing == t.ON_BREAK:
        end_break(m, w)
        return
    if person.doing == t.IDLE:
        touch(w, t.OF_PEOPLE)  # time to look again at a control that did not help
        return
    act = m.act[person.act]
    if act.kind == t.ACT_TASK:
        task_step(m, w, p)
    elif act.kind == t.ACT_PRESS:
        press_step(m, w, p)
    else:
        job_step(m, w, p)


@compiled
def break_event(m: Any, w: Any) -> None:
    """A break is due: nobody new is let into the work zones."""
    w.break_due = 1
    touch(w, t.OF_BREAKS)


@compiled
def start_break(m: Any, w: Any) -> None:
    """A break begins when those who are held have been let go and everybody is free."""
    if w.break_due == 0 or w.on_break or w.idle < m.people:
        return
    for z in range(m.zones):
        if m.zone[z].work_zone and (w.zone[z].count > 0 or w.zone[z].coming >= 0):
            return
    w.on_break = 1
    note(w, notes.BREAK_BEGINS, w.break_index, ZERO)
    for p in range(m.people):
        spend_person(w, p, t.ON_BREAK)
    due(m, w, m.first_person_slot, w.now + m.break_length_s[w.break_index])


@compiled
def end_break(m: Any, w: Any) -> None:
    w.break_s += m.break_length_s[w.break_index]
    w.break_index += 1
    w.on_break, w.break_due = 0, 0
    touch(w, t.OF_BREAKS)
    note(w, notes.BREAK_ENDS, w.break_index - 1, ZERO)
    for p in range(m.people):
        rest(m, w, p)
    if w.break_index < m.breaks:
        due(m, w, m.break_slot, max(w.now, m.break_start_s[w.break_index]))
