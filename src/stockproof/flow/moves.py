"""Animals on the move: coming, standing, balking, crossing from zone to zone."""

from __future__ import annotations

import math
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.bails import cue_time
from stockproof.flow.calendar import due
from stockproof.flow.compiled import compiled
from stockproof.flow.draws import ZERO, normal_from, take, uniform
from stockproof.flow.facts import all_so, parts_stand, space_occupied, zone_done
from stockproof.flow.memory import animal_of, stamp
from stockproof.flow.notes import note
from stockproof.flow.people import stop_tasks_of
from stockproof.flow.touched import touch_zone

__all__ = ["arrive", "cross_event", "front_event", "move_all", "put_in", "take_out", "watch_front"]

NEVER = math.inf


@compiled
def arrive(m: Any, w: Any) -> None:
    """The next animal of the mob comes to the first zone."""
    a = w.arrived
    w.arrived += 1
    put_in(m, w, a, ZERO)
    if w.arrived < m.head:
        due(m, w, m.arrival_slot, w.now + take(m, w, m.arrivals, w.arrived, ZERO))


@compiled
def put_in(m: Any, w: Any, a: int, z: int) -> None:
    """An animal now stands wholly in a zone, at its back."""
    state = w.zone[z]
    animal = animal_of(w, a)
    animal.zone, animal.next, animal.prev = z, -1, state.back
    if state.back >= 0:
        animal_of(w, state.back).next = a
    else:
        state.front = a
    state.back = a
    state.count += 1
    state.most = max(state.most, state.count)
    animal.entered_s = w.now
    stamp(m, w, a, z, t.IN)
    touch_zone(w, z)
    if m.zone[z].is_end:
        animal.doing = t.GONE
        animal.ready_s = NEVER
        w.finished += 1
        w.last_penned_s = w.now
        note(w, notes.LEAVES_END, a, z)
        return
    note(w, notes.COMES_IN, a, z)
    animal.doing = t.WALKING
    animal.ready_s = w.now + take(m, w, m.zone[z].transit, a, animal.returns)
    if m.zone[z].single_file and state.front == a:
        animal.ready_s = max(animal.ready_s, state.free_s)
    watch_front(m, w, z)


@compiled
def take_out(w: Any, a: int) -> None:
    """Unlink an animal from the zone it is in."""
    animal = animal_of(w, a)
    state = w.zone[animal.zone]
    if animal.prev >= 0:
        animal_of(w, animal.prev).next = animal.next
    else:
        state.front = animal.next
    if animal.next >= 0:
        animal_of(w, animal.next).prev = animal.prev
    else:
        state.back = animal.prev
    state.count -= 1
    touch_zone(w, animal.zone)


@compiled
def watch_front(m: Any, w: Any, z: int) -> None:
    """Make the zone's leaf due when the next of its animals that may act is ready; those ready now stand."""
    next_s = NEVER
    a = w.zone[z].front
    while a >= 0:
        animal = animal_of(w, a)
        if animal.doing in (t.WALKING, t.BALKING):
            if animal.ready_s <= w.now:
                _stand(m, w, z, a)
            else:
                next_s = min(next_s, animal.ready_s)
        if m.zone[z].single_file:
            break
        a = animal.next
    due(m, w, 3 * z, next_s)


@compiled
def _stand(m: Any, w: Any, z: int, a: int) -> None:
    if animal_of(w, a).doing == t.WALKING:
        note(w, notes.STANDS, a, z)
        if zone_done(m, w, z, a):
            stamp(m, w, a, z, t.DONE_IN)
    animal_of(w, a).doing = t.STANDING_STILL
    touch_zone(w, z)


@compiled
def front_event(m: Any, w: Any, z: int) -> None:
    """An animal has reached the front of its zone, or has balked long enough."""
    watch_front(m, w, z)


@compiled
def move_all(m: Any, w: Any) -> None:
    """Let every animal set out that can, from the last zone back to the first."""
    touched = w.unmoved
    w.unmoved = 0
    for k in range(m.zones):
        z = m.zones - 1 - k
        # what has been touched in this very round counts at once for the zones still to come
        if w.zone[z].count > 0 and (m.zone_watch[z] & (touched | w.unmoved)) != 0:
            _move_out(m, w, z)


@compiled
def _move_out(m: Any, w: Any, z: int) -> None:
    """Let every animal leave a zone that can."""
    a = w.zone[z].front
    while a >= 0:
        after = animal_of(w, a).next
        if animal_of(w, a).doing == t.STANDING_STILL:
            _try(m, w, z, a)
        if m.zone[z].single_file:
            break
        a = after


@compiled
def _try(m: Any, w: Any, z: int, a: int) -> None:
    p = _way_out(m, w, z, a)
    if p < 0 or not _may_leave(m, w, z, a) or not _may_enter(m, w, p):
        return
    passage = m.passage[p]
    if passage.balk_share > 0.0 and not (animal_of(w, a).tried >> p) & 1 and _balks(m, w, p, a):
        watch_front(m, w, z)
        return
    _set_out(m, w, p, a)


@compiled
def _way_out(m: Any, w: Any, z: int, a: int) -> int:
    """The passage an animal takes: its own way, but where the draft gates stand for another it goes that way."""
    p = m.zone[z].out[animal_of(w, a).way]
    if m.ways == 0 or (p >= 0 and parts_stand(m, w, p)):
        return int(p)
    for way in range(1, m.ways + 1):
        other = m.zone[z].out[way]
        if other >= 0 and other != p and parts_stand(m, w, other):
            return int(other)
    return int(p)


@compiled
def _may_leave(m: Any, w: Any, z: int, a: int) -> bool:
    """Nothing keeps this animal: no work, bail, squeeze, fall or person inside."""
    zone = m.zone[z]
    if zone.waits_for_work and not zone_done(m, w, z, a):
        return False
    state = w.zone[z]
    if zone.bail >= 0 and state.phase in (t.COMING, t.AT_SENSOR, t.IN_NECK, t.NECK_HELD):
        return False
    if zone.squeeze >= 0 and (w.part[zone.squeeze].at < 1.0 or w.part[zone.squeeze].moving != 0):
        return False
    return state.down == 0 and not space_occupied(m, w, z)


@compiled
def _may_enter(m: Any, w: Any, p: int) -> bool:
    """The way is open and there is a place at its end."""
    passage = m.passage[p]
    d = passage.target
    ahead = w.zone[d]
    if ahead.coming >= 0 or ahead.count >= m.zone[d].places:
        return False
    if w.break_due != 0 and m.zone[d].work_zone:
        return False
    if space_occupied(m, w, d):
        return False
    return parts_stand(m, w, p) and all_so(m, w, t.OF_PASSAGES + p)


@compiled
def _balks(m: Any, w: Any, p: int, a: int) -> bool:
    """Whether an animal balks here, by its own temper, the day's, and whether it can follow another."""
    passage, animal = m.passage[p], animal_of(w, a)
    animal.tried |= 1 << p
    share = passage.balk_share
    if w.now - w.last_passage_s[p] <= passage.follow_s:
        share *= passage.balk_follow
    here = normal_from(uniform(w.seed, w.replication, a + 1, passage.temper, animal.balks * 256))
    own = m.balk_animal
    temper = math.sqrt(own) * animal.temper + math.sqrt(1.0 - own) * here + w.day_temper
    # the day's spread is added to a unit normal: scale so that the mean share over days stays what was stated
    if temper >= normal_from(share) * math.sqrt(1.0 + m.balk_day * m.balk_day):
        return False
    animal.balks += 1
    w.balks += 1
    note(w, notes.BALKS, a, animal.zone)
    animal.doing = t.BALKING
    animal.ready_s = w.now + take(m, w, passage.balk_wait, a, animal.balks)
    if passage.refuse_after > 0:
        animal.tried &= ~(1 << p)
        if animal.balks >= passage.refuse_after:
            animal.doing = t.REFUSING
            animal.refused += 1
            w.refusals += 1
            note(w, notes.REFUSES, a, animal.zone)
    touch_zone(w, animal.zone)
    return True


@compiled
def _set_out(m: Any, w: Any, p: int, a: int) -> None:
    """An animal starts across; it stands in both zones until its tail is through."""
    passage, animal = m.passage[p], animal_of(w, a)
    z, d = passage.source, passage.target
    took_s = _crossing_time(m, w, p, a)
    stop_tasks_of(m, w, a)
    if m.ways > 0 and m.zone[z].out[animal.way] != p:
        animal.strayed = 1
        w.strayed += 1
    w.zone[z].leaving = 1
    animal.doing = t.CROSSING
    animal.crossings += 1
    w.last_passage_s[p] = w.now
    ahead = w.zone[d]
    ahead.coming, ahead.comer, ahead.began_s, ahead.took_s = p, a, w.now, took_s
    stamp(m, w, a, d, t.BEGAN_IN)
    if w.first_in_s < 0.0:
        w.first_in_s = w.now
    note(w, notes.SETS_OUT, a, d)
    touch_zone(w, z)
    touch_zone(w, d)
    if m.zone[d].bail >= 0:
        ahead.phase = t.COMING
        due(m, w, 3 * d + 2, w.now + cue_time(m, w, d))
    if took_s <= 0.0:
        _cross(m, w, d)
    else:
        due(m, w, 3 * d + 1, w.now + took_s)


@compiled
def _crossing_time(m: Any, w: Any, p: int, a: int) -> float:
    passage, animal = m.passage[p], animal_of(w, a)
    took_s = take(m, w, passage.crossing, a, animal.crossings)
    if took_s <= 0.0:
        return 0.0
    if passage.paced:
        took_s *= animal.pace
    if w.now - w.last_passage_s[p] <= passage.follow_s:
        took_s *= passage.following
    zone, state = m.zone[passage.source], w.zone[passage.source]
    if zone.nominal > 0 and state.count > zone.nominal:
        took_s *= 1.0 + zone.crowding * (state.count / zone.nominal - 1.0)
    if zone.stragglers > 0 and state.batch > zone.stragglers >= state.count:
        took_s *= zone.straggling
    return took_s


@compiled
def cross_event(m: Any, w: Any, d: int) -> None:
    """The tail of the animal coming into a zone is through."""
    _cross(m, w, d)


@compiled
def _cross(m: Any, w: Any, d: int) -> None:
    ahead = w.zone[d]
    a = ahead.comer
    z = animal_of(w, a).zone
    ahead.coming, ahead.comer, ahead.last_in_s = -1, -1, w.now
    touch_zone(w, d)
    take_out(w, a)
    behind = w.zone[z]
    behind.leaving = 0
    stamp(m, w, a, z, t.LEFT)
    if m.zone[z].bail >= 0:
        behind.phase = t.NO_HEAD
        due(m, w, 3 * z + 2, NEVER)
    if m.zone[z].main:
        w.last_free_s = w.now
    if not m.zone[z].is_end:
        behind.free_s = w.now + take(m, w, m.zone[z].headway, a, animal_of(w, a).returns)
        if m.zone[z].single_file and behind.front >= 0 and animal_of(w, behind.front).doing == t.WALKING:
            animal_of(w, behind.front).ready_s = max(animal_of(w, behind.front).ready_s, behind.free_s)
        watch_front(m, w, z)
    put_in(m, w, a, d)
