"""A rehearsal for a page: kept by a worker, told to the browser as a still picture and then as what has changed.

What the browser gets is drawn as it stands: places in metres, words already written, numbers with their unit.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from stockproof.desk.telling import moments
from stockproof.dossier.display import Display
from stockproof.flow.live import Act, TroubleKind
from stockproof.logic.world import MOST_PEOPLE
from stockproof.plant.model import ZoneKind
from stockproof.proof.rehearsal import Cast, Refusal, Rehearsal, Staged, View, sensors_of, stage
from stockproof.proof.rehearsal.lay import Lay, Point, Ring
from stockproof.proof.words import market_units
from stockproof.scene.pages import Quantity
from stockproof.yard.animals import HALF_OUTLINE, rounded

__all__ = ["GONE", "Begin", "order"]

#: Rehearsals a worker keeps; the one not asked for longest is dropped and played anew when it is asked for again.
MOST_KEPT = 6
#: The answer where a rehearsal is no longer kept.
GONE = "gone"
#: Ground shown beside the line. [m]
BESIDE_M, BEYOND_M, ROUND_M = 1.9, 3.4, 1.0
BEFORE_M, AFTER_M = 4.5, 1.2
#: Lamps whose rule has no label of its own.
LAMPS = {
    "settled": "the weight is steady and has been read",
    "read": "the tag has been read",
    "pressure": "the oil is under pressure",
    "rear_differs": "the two switches of the rear gate differ",
}
#: A pen's name stands so far behind the draft unit. [m]
NAME_M = 2.0
#: Between two lights of the row of sensors. [m]
DOT_STEP_M = 0.26


@dataclass(frozen=True, slots=True)
class Begin:
    """How a rehearsal begins, what has been done in it already, how far it went, and at what moment it is looked at."""

    cast: Cast
    programme: str = ""
    seed: int | None = None
    acts: tuple[Act, ...] = ()
    until_s: float = 0.0
    at_s: float = math.inf


@dataclass(slots=True)
class _Kept:
    begin: Begin
    rehearsal: Rehearsal
    display: Display


_kept: OrderedDict[str, _Kept] = OrderedDict()


def order(key: str, what: str, *arguments: Any) -> Any:
    """Do one thing to the rehearsal of a key and give what is to be shown: see `ORDERS`.

    `begin` and `open` give the still picture beside the moment, `tale` the moments of a story; every other order gives
    the moment it leads to. All but `begin` may give `GONE`.

    Raises
    ------
    InputError
        There is no such programme, control or fault, or a story is of another build.
    """
    if what == "begin":
        _begin(key, arguments[0])
    if key not in _kept:
        return GONE
    _kept.move_to_end(key)
    kept = _kept[key]
    if what in ("begin", "open"):
        shown = moment(kept.rehearsal.view(), kept.rehearsal.staged, kept.display)
        return still(kept.rehearsal.staged, kept.rehearsal, kept.begin.cast, kept.display), shown
    if what == "tale":
        return moments(kept.rehearsal, *arguments)
    ORDERS[what](kept.rehearsal, *arguments)
    return moment(kept.rehearsal.view(), kept.rehearsal.staged, kept.display)


#: What can be ordered: go on for some seconds, to the next event, act, look at a moment that has been.
ORDERS: dict[str, Callable[..., None]] = {
    "go": Rehearsal.go,
    "next": Rehearsal.next,
    "act": Rehearsal.act,
    "look": Rehearsal.look,
    "show": lambda rehearsal: None,
}


def _begin(key: str, begin: Begin) -> None:
    staged = stage(begin.cast, begin.programme, begin.seed)
    display = Display(market_units(begin.cast.installation.brief.file.market))
    rehearsal = Rehearsal(staged, begin.acts, begin.until_s)
    if begin.at_s < begin.until_s:
        rehearsal.look(begin.at_s)
    _kept[key] = _Kept(begin, rehearsal, display)
    while len(_kept) > MOST_KEPT:
        _kept.popitem(last=False)


# The still picture


def still(staged: Staged, rehearsal: Rehearsal, cast: Cast, display: Display) -> dict[str, Any]:
    """Give everything about a rehearsal that does not change while it runs."""
    lay, script, names = staged.lay, staged.script, rehearsal.live.names
    places = rehearsal.places
    dots = list(_dots(staged))
    return {
        "programme": staged.programme,
        "programmes": list(cast.installation.brief.programmes),
        "seed": script.seed,
        "hold": staged.hold,
        "sort": staged.sort,
        "plan": lay.is_plan,
        "sights": _sights(staged),
        "shapes": [{"look": shape.look.lower(), "d": _path(shape.points, shape.closed)} for shape in lay.shapes],
        "animal": _path(_outline(staged.body), True),
        "pieces": [
            {"look": p.look, "closed": _numbers(p.closed), "mid": _numbers(p.mid), "open": _numbers(p.open),
             "mark": [_cm(v) for v in p.mark], "title": rehearsal.live.teller.names.parts[p.part]}
            for p in staged.pieces
        ],
        "receiving": [_slot(slot) for pen in places.receiving for slot in pen],
        "pens": [[_slot(slot) for slot in pen] for pen in places.pens],
        "words": list(_words(staged)),
        "dots": dots,
        "row": _row_title(dots),
        "people": [*names.people, *["Somebody"] * (MOST_PEOPLE - len(names.people))],
        "panels": [
            {"name": panel.name, "title": panel.title, "rows": [
                {"title": row.title, "buttons": [
                    {"name": b.name, "caption": b.caption, "label": b.label, "terminal": b.terminal,
                     "switch": b.switch, "stop": b.name.endswith("emergency_ok"), "at": names.controls.index(b.name)}
                    for b in row.buttons]}
                for row in panel.rows]}
            for panel in staged.panels
        ],
        "gates": [{"part": gate.part, "name": gate.name, "title": gate.title} for gate in staged.gates],
        "sensors": [{"label": label, "terminal": terminal} for _, label, terminal in sensors_of(staged)],
        "lamps": [
            {"label": lamp.label or LAMPS.get(lamp.name.rpartition(".")[2], lamp.name), "terminal": lamp.terminal,
             "warns": "warning" in lamp.name or "doubted" in lamp.name or "let_go" in lamp.name}
            for lamp in script.netlist.lamps
        ],
        "gauge": _gauge(staged, display),
        "troubles": list(_troubles(staged)),
        "head": script.line.mob.head,
    }  # fmt: skip


def _sights(staged: Staged) -> dict[str, list[float]]:
    """The ground shown: the crush with the place before it, the line, and everything."""
    lay = staged.lay
    end = lay.crush_m + lay.draft_m
    sides = [(0.0, -BESIDE_M), (end, BESIDE_M), (end, -lay.draft_half_m - 0.6), (end, lay.draft_half_m + 0.6)]
    work = [at for name, at in lay.stands.items() if name.startswith(("crush", "draft"))]
    crush = [*sides, *work, (-BEFORE_M, 0.0), (end + AFTER_M, 0.0)]
    along = [lay.track.at(lay.race_m * k / 8)[:2] for k in range(9)]
    stands = [at for name, at in lay.stands.items() if name != "yard"]
    line = [*lay.forcing, *along, *sides, *stands, (end + BEYOND_M, 0.0)]
    everything = [point for shape in lay.shapes for point in shape.points]
    return {"crush": _box(crush, 0.3), "line": _box(line, 0.5), "yard": _box(everything, ROUND_M)}


def _box(points: Iterable[Point], by: float) -> list[float]:
    xs, ys = zip(*points, strict=True)
    return [_cm(v) for v in (min(xs) - by, min(ys) - by, max(xs) - min(xs) + 2 * by, max(ys) - min(ys) + 2 * by)]


def _outline(body: tuple[float, float]) -> Ring:
    left = [(x * body[0], y * body[1] / 2) for x, y in HALF_OUTLINE]
    return rounded((*left, *((x, -y) for x, y in reversed(left[1:-1]))))


def _words(staged: Staged) -> Iterator[dict[str, Any]]:
    """Names of the places, beside the line where animals do not walk over them; pens count their animals.

    A pen's name stands near the draft unit while the line is shown, in its middle where the whole yard is.
    """
    lay = staged.lay
    if lay.pack is not None:
        yield _word("Power pack", (lay.pack[0], lay.pack[1] + (0.95 if lay.near < 0 else -0.7)))
    x, y, heading = lay.track.at(lay.race_m * 0.4)
    off = -lay.near * (lay.half_m + 0.5)
    yield _word("Race", (x - math.sin(heading) * off, y + math.cos(heading) * off + 0.1))
    side = (max if lay.near < 0 else min)(y for _, y in lay.forcing)
    yield _word("Forcing pen", (_middle(lay.forcing)[0], side + (0.75 if lay.near < 0 else -0.4)))
    yield _word("Crush", (lay.crush_m / 2, -lay.near * (_row_off_m(lay) + 0.55) + 0.1))
    labels = [
        zone.label.removeprefix("the ").capitalize() for zone in staged.script.plant.zones if zone.kind == ZoneKind.WAY
    ]
    gate = (lay.crush_m + lay.draft_m, 0.0)
    for k, ((ring, _), label) in enumerate(zip(lay.pens, labels, strict=False)):
        middle = _middle(ring)
        away = NAME_M / max(NAME_M, math.dist(gate, middle))
        beside = (gate[0] + (middle[0] - gate[0]) * away, gate[1] + (middle[1] - gate[1]) * away)
        yield _word(label, beside, middle, k)


def _word(text: str, line: Point, whole: Point | None = None, pen: int = -1) -> dict[str, Any]:
    shown = [[_cm(v) for v in at] for at in (line, whole or line)]
    return {"text": text, "pen": pen, "line": shown[0], "whole": shown[1]}


def _middle(ring: Ring) -> Point:
    import shapely

    inside = shapely.Polygon(ring).representative_point()
    return inside.x, inside.y


def _dots(staged: Staged) -> Iterator[list[float] | None]:
    """A row of lights beside the line, each as near as can be to where its sensor sits, none without a place."""
    lay = staged.lay
    along = {"crush": lay.crush_m / 2, "ready": -0.9, "weigh": lay.crush_m / 2, "reader": lay.crush_m * 0.8}
    along |= {"draft": lay.crush_m + lay.draft_m / 2}
    marks = {staged.script.plant.parts[piece.part].name: piece.mark[0] for piece in staged.pieces}
    names = [name.partition(".")[0] for name, _, _ in sensors_of(staged)]
    wanted = sorted((marks.get(name, along.get(name, math.inf)), k) for k, name in enumerate(names))
    places: dict[int, float] = {}
    before = -math.inf
    for at, k in wanted:
        if math.isfinite(at):
            before = places[k] = max(at - 0.1, before + DOT_STEP_M)
    y = _cm(-lay.near * _row_off_m(lay))
    for k in range(len(names)):
        yield [_cm(places[k]), y] if k in places else None


def _row_off_m(lay: Lay) -> float:
    """How far from the line's middle the row lies: clear of the crush, and of gates that have slid open."""
    return max(lay.beside_m + 0.5, 3 * lay.half_m + 0.25)


def _row_title(dots: Iterable[list[float] | None]) -> list[float] | None:
    """Where the row of sensors has its name: before its first light."""
    placed = [dot for dot in dots if dot is not None]
    return [_cm(min(x for x, _ in placed) - 0.3), _cm(placed[0][1] + 0.1)] if placed else None


def _gauge(staged: Staged, display: Display) -> dict[str, Any] | None:
    """The store's pressure: from empty to full, and where the pump cuts in; None without a store."""
    laws = staged.script.laws
    if laws is None or laws.cut_out_m3 <= 0:
        return None
    pressures = laws.level_pressure_pa
    cut_in = float(_between(laws.level_m3, pressures, laws.cut_in_m3))
    return {
        "low": float(pressures[0]),
        "high": float(pressures[-1]),
        "cutIn": cut_in,
        "words": f"pump cuts in at {_pressure(cut_in, display)}",
    }


def _between(levels: Any, values: Any, at: float) -> Any:
    import numpy as np

    return np.interp(at, levels, values)


def _pressure(value_pa: float, display: Display) -> str:
    return display.quantity(Quantity(value_pa, "pressure", 3))


#: Faults by the kind people look for.
GROUPS = (
    ("Power", (TroubleKind.POWER_OFF, TroubleKind.PUMP_OFF)),
    ("A sensor", (TroubleKind.SHOWS_YES, TroubleKind.SHOWS_NO)),
    ("A button", (TroubleKind.REMOTE_LOST, TroubleKind.STUCK_CLOSED, TroubleKind.STUCK_OPEN)),
    ("A valve", (TroubleKind.VALVE_DRIVES, TroubleKind.VALVE_DEAD, TroubleKind.VALVE_SLOW, TroubleKind.CREEPS)),
)


def _troubles(staged: Staged) -> Iterator[dict[str, Any]]:
    for title, kinds in GROUPS:
        yield {
            "title": title,
            "items": [[f"{t.kind.name}:{t.target}", t.sentence] for t in staged.troubles if t.kind in kinds],
        }


# One moment


def moment(view: View, staged: Staged, display: Display) -> dict[str, Any]:
    """Give one moment as the browser draws it."""
    seen, drawn = view.snapshot, view.drawn
    return {
        "exact": (seen.time_s, view.latest_s),
        "t": round(seen.time_s, 3),
        "clock": _clock(seen.time_s),
        "next": round(seen.next_s - seen.time_s, 3) if math.isfinite(seen.next_s) else None,
        "past": view.past,
        "latest": round(view.latest_s, 2),
        "animals": {str(a.number): [_cm(a.x), _cm(a.y), _degrees(a.heading), a.look] for a in drawn.animals},
        "walkers": [_slot(slot) for slot in drawn.walkers],
        "crew": [[_cm(p.x), _cm(p.y), p.look, _does(s)] for p, s in zip(drawn.people, seen.people, strict=True)],
        "waiting": drawn.waiting,
        "penned": list(drawn.penned),
        "count": list(_pen_counts(view, staged)),
        "through": seen.through,
        "inside": seen.head - seen.through - seen.waiting,
        "parts": [round(part.at, 3) for part in seen.parts],
        "moving": _bits(part.moving for part in seen.parts),
        "pressed": _bits(seen.pressed),
        "sensors": _bits(seen.sensors),
        "lamps": _bits(seen.lamps),
        "oil": [round(seen.pressure_pa), _pressure(seen.pressure_pa, display), seen.pumping],
        "step": view.step,
        "powered": seen.powered,
        "crewWorks": seen.crew_works,
        "refusals": [_refusal(refusal, staged) for refusal in view.refusals],
        "told": [[_clock(event.time_s), event.kind, _sentence(event.words)] for event in view.events],
        "struck": [[f"{t.kind.name}:{t.target}", t.sentence] for t in view.troubles],
    }  # fmt: skip


def _refusal(refusal: Refusal, staged: Staged) -> dict[str, Any]:
    return {
        "motion": refusal.motion,
        "part": staged.script.plant.part_at(refusal.motion.partition(".")[0]),
        "what": refusal.what,
        "why": list(refusal.reasons),
        "hand": refusal.by_hand,
        "shown": [[shown.label, shown.terminal, "yes" if shown.yes else "no"] for shown in refusal.shown],
    }


def _pen_counts(view: View, staged: Staged) -> Iterator[int]:
    """Animals in the pen of each way, those on their way into it with them."""
    names = [zone.name for zone in staged.script.line.zones]
    for zone in staged.script.plant.zones:
        if zone.kind == ZoneKind.WAY:
            yield view.snapshot.counts[names.index(zone.name)]


def _does(person: Any) -> str:
    return f"{person.doing}: {person.act}" if person.act and person.doing != "waits" else person.doing


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _clock(time_s: float) -> str:
    whole = int(time_s)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _bits(values: Iterable[bool]) -> str:
    return "".join("1" if value else "0" for value in values)


def _slot(slot: tuple[float, float, float]) -> list[float]:
    return [_cm(slot[0]), _cm(slot[1]), _degrees(slot[2])]


def _numbers(strokes: Iterable[Iterable[float]]) -> list[list[float]]:
    return [[_cm(v) for v in stroke] for stroke in strokes]


def _path(points: Ring, closed: bool) -> str:
    return "M" + "L".join(f"{_cm(x)} {_cm(y)}" for x, y in points) + ("Z" if closed else "")


def _cm(value: float) -> float:
    return round(value, 2) + 0.0


def _degrees(heading: float) -> float:
    return round(math.degrees(heading), 1) + 0.0
