"""The way of the animals: zones, the catch at the bail, and the passages between them with their balking."""

from __future__ import annotations

from collections.abc import Iterable

from stockproof.catalogue.items import CrushBody
from stockproof.flow.asked import ENDLESS, ROUND, YARD, Asked, full_pen_head
from stockproof.flow.catching import Catching, best_sensor_m
from stockproof.flow.model import (
    Balk,
    Catch,
    Law,
    Passage,
    Zone,
    constant,
    lognormal,
)
from stockproof.plant.model import ZoneKind

__all__ = ["Way"]


class Way(Asked):
    """Where the animals of a programme go, and how long it takes them."""

    def _zones(self) -> Iterable[Zone]:
        yield Zone(YARD, ENDLESS)
        for zone in self.plant.zones:
            if zone.kind == ZoneKind.PEN:
                yield self._pen(zone.name, zone.places)
            elif zone.kind == ZoneKind.RACE:
                length_m = zone.places * self.value["flow.race.place"]
                keep = round(self.value["flow.race.refill_at"] * zone.places)
                yield Zone(zone.name, zone.places, transit=self._walk(length_m), headway=self._headway(), nominal=keep)
            elif zone.kind == ZoneKind.CRUSH:
                yield self._crush(zone.name)
            elif zone.kind == ZoneKind.DRAFT:
                yield Zone(zone.name, zone.places, transit=self._walk(1.0, self.value["flow.exit.pace"]))
            else:
                yield Zone(zone.name, self._pen_places(zone.name))
        yield Zone(ROUND, ENDLESS)

    def _walk(self, length_m: float, pace: float = 1.0) -> Law:
        """Time over a length at the mob's walking pace; the animal's own pace comes in its own factor."""
        return self._factor(constant(length_m / (self.mob.walking_m_per_s * pace)), "animal pace")

    def _headway(self) -> Law:
        return self._factor(constant(self.value["flow.headway"]), "animal pace")

    def _pen(self, name: str, places: int) -> Zone:
        return Zone(
            name,
            full_pen_head(self.given, self.plant),
            headway=self._headway(),
            nominal=places,
            crowding=self.value["flow.pen.crowding"],
            stragglers=1,
            straggling=self.value["flow.pen.straggling"],
        )

    def _crush(self, name: str) -> Zone:
        catches = self.hold or (self.by_hand and self.programme.hold)
        squeeze = "squeeze" if self.plant.part_at("squeeze") >= 0 else ""
        return Zone(
            name, 1, waits_for_work=False, catch=self._catch() if catches else None, squeeze=squeeze, work_zone=True
        )

    def _catch(self) -> Catch:
        """Lengths past the bail are stretched: a head goes through the gap slower than the body walks."""
        body_m = self.mob.mean("nose_to_tail")
        slower = 1 / self.value["flow.catch.pace"]
        catching = Catching(
            head_m=self.mob.mean("head_length") * slower,
            neck_m=self.mob.mean("neck_length") * slower,
            head_at=self.value["flow.catch.head_at"],
            neck_at=self.value["flow.catch.neck_at"],
            shut_s=self.motion_s.get("bail.close", self.value["flow.hand.part"]),
            delay_s=0.0 if self._catches_by_itself() else self.value["flow.catch.reaction"],
            pace_m_per_s=self.mob.walking_m_per_s * self.value["flow.crush.pace"],
            spread_share=self.value["flow.animal.spread"],
        )
        lead_s = catching.delay_s + catching.shut_s * (1 - catching.neck_at)
        return Catch(
            "bail",
            max(body_m, self._crush_length_m()),
            -best_sensor_m(catching),
            catching.head_m,
            catching.neck_m,
            body_m,
            catching.head_at,
            catching.neck_at,
            0.0 if self._catches_by_itself() else lead_s,
        )

    def _catches_by_itself(self) -> bool:
        sensors = {entry.name for entry in self.netlist.inputs}
        return "bail.neck" in sensors and not self.by_hand

    def _crush_length_m(self) -> float:
        body = self.installation.one(CrushBody)
        return body.inside_length_m if body else 0.0

    def _passages(self) -> Iterable[Passage]:
        for boundary in self.plant.boundaries:
            source, target = self.zone_names[boundary.source], self.zone_names[boundary.target]
            kinds = (self.plant.zones[boundary.source].kind, self.plant.zones[boundary.target].kind)
            yield self._passage(source, target, kinds)

    def _passage(self, source: str, target: str, kinds: tuple[ZoneKind, ZoneKind]) -> Passage:
        pace = 1.0
        balk = None
        if kinds[1] == ZoneKind.CRUSH:
            pace, balk = self.value["flow.crush.pace"], self._balk(1.0, self.value["flow.balk.refuse_after"])
        elif kinds[0] == ZoneKind.PEN:
            balk = self._balk(self.value["flow.balk.mouth"], 0)
        elif kinds[0] in (ZoneKind.CRUSH, ZoneKind.DRAFT):
            pace = self.value["flow.exit.pace"]
        way = self.ways.index(target) + 1 if target in self.ways and len(self.ways) > 1 else 0
        length_m = self.mob.mean("nose_to_tail")
        return Passage(
            source,
            target,
            crossing=self._walk(length_m, pace),
            way=way,
            balk=balk,
            follow_s=self.value["flow.follow.within"] if balk else 0.0,
            following=self.value["flow.follow.quicker"] if balk else 1.0,
            paced=True,
        )

    def _balk(self, times: float, refuse_after: float) -> Balk:
        wait = lognormal(self.value["flow.balk.wait"], self.value["flow.balk.wait_spread"])
        return Balk(
            min(0.95, self.mob.balk_share * times),
            self._factor(wait, "balk wait"),
            self.value["flow.balk.following"],
            round(refuse_after),
        )
