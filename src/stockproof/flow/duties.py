"""The work of the crew: the tasks on each animal, and the jobs that keep the animals coming."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stockproof.flow.asked import ENDLESS, ROUND, YARD, Asked, batch_head
from stockproof.flow.model import (
    Job,
    Task,
    constant,
    lognormal,
    seen,
)
from stockproof.plant.model import SpaceKind, ZoneKind

__all__ = ["Duties"]

#: Tasks whose tool or supply runs out and must be filled again.
RELOADED = ("ear_tag", "implant", "inject_neck", "drench", "pour_on", "skin_test")


class Duties(Asked):
    """What the people of a programme do, and what it needs."""

    def _tasks(self) -> Iterable[Task]:
        names = [task.code for task in self.tasks]
        for k, task in enumerate(self.tasks):
            needs = [seen("standing", "crush")]
            if self.hold and task.skill != "none":
                # where animals are held nobody begins on one that is not yet caught
                needs += [seen("held", "crush"), seen("closed", "bail")]
            if (
                self.hold
                and task.restraint in ("squeeze", "head", "head_raised")
                and self.plant.part_at("squeeze") >= 0
            ):
                needs.append(seen("closed", "squeeze"))
            if task.restraint == "head_raised" and self.plant.part_at("lift") >= 0:
                needs.append(seen("closed", "lift"))
            if task.skill == "none":
                needs += [seen("closed", "bail"), seen("closed", "entry")]
            law = lognormal(task.time_s, task.spread_share)
            if task.code == "weigh" and self.given.settle is not None:
                law = self.given.settle
            space = self._space(task.access)
            reload = task.code in RELOADED
            yield Task(
                task.code,
                "crush",
                self._factor(law, "task times"),
                skill="" if task.skill == "none" else task.skill,
                place="" if task.skill == "none" else task.place,
                space=space,
                needs=tuple(needs),
                not_with=tuple(n for n, other in zip(names, self.tasks, strict=True) if _clash(task, other)),
                held=self.hold and task.skill != "none",
                gate_s=self.value["flow.hand.gate"] if space else 0.0,
                reload_every=round(self.value["flow.reload.every"]) if reload else 0,
                reload=constant(self.value["flow.reload.time"]),
                priority=50 + k,
                role={"weigh": "weigh", "read_tag": "read"}.get(task.code, ""),
            )
        if self.sorting and not {"weigh", "read_tag"} & set(names):
            yield self._decide_by_eye()

    def _decide_by_eye(self) -> Task:
        law = self._factor(self._reaction(), "reaction")
        return Task(
            "decide_way", "crush", law, "controls", needs=(seen("standing", "crush"),), priority=80, role="weigh"
        )

    def _space(self, access: Sequence[str]) -> str:
        """The space of the plant through which a task reaches the animal, or none: beside the line."""
        wanted = {"rear": "rear", "neck": "neck", "flank": "side_reach"}
        names = [space.name for space in self.plant.spaces if space.kind != SpaceKind.OUTSIDE]
        return next((wanted[part] for part in access if wanted.get(part) in names), "")

    def _jobs(self) -> Iterable[Job]:
        v = self.value
        first_race = self.zone_names[1]
        race_places = sum(z.places for z in self.plant.zones if z.kind == ZoneKind.RACE)
        pen = self.zone_names[0]
        bring = self._factor(lognormal(v["flow.bring.time"], v["flow.bring.spread"]), "bringing")
        yield Job(
            "bring a batch",
            "bring",
            pen,
            bring,
            "stock",
            source=YARD,
            start_place="yard",
            end_place="forcing_pen",
            when=(seen("low", first_race),) if race_places > 1 else (),
            at_most=0,
            batch=constant(float(batch_head(self.given, self.plant))),
            per_head_s=v["flow.bring.per_head"],
            priority=30,
        )
        pushed = self._factor(lognormal(v["flow.balk.pushed"], 0.5), "balk wait")
        for zone, place in ((pen, "forcing_pen"), (self._before_crush(), "race")):
            yield Job(f"push at the {place.replace('_', ' ')}", "push", zone, pushed, "stock",
                      start_place=place, priority=25)  # fmt: skip
        yield Job("lead a refuser round", "lead_round", self._before_crush(), lognormal(v["flow.refuser.time"], 0.5),
                  "stock", source=ROUND, start_place="race", priority=20)  # fmt: skip
        if self.hold:
            yield Job("help one that is down", "attend", "crush", lognormal(v["flow.down.time"], 0.5), "controls",
                      start_place="crush_side",
                      when=(seen("open", "squeeze"),) if self.plant.part_at("squeeze") >= 0 else (),
                      priority=5)  # fmt: skip
        if len(self.ways) > 1:
            yield from self._emptying()

    def _emptying(self) -> Iterable[Job]:
        for way in self.ways:
            if self._pen_places(way) < ENDLESS:
                yield Job(
                    f"empty the pen {way}",
                    "empty",
                    way,
                    lognormal(self.value["flow.draft_pen.time"], 0.3),
                    "stock",
                    start_place="draft",
                    at_most=self._pen_places(way),
                    per_head_s=self.value["flow.draft_pen.per_head"],
                    priority=28,
                )


def _clash(task: object, other: object) -> bool:
    """Whether two tasks cannot go on at the same time: same place, or one moves the head the other works at."""
    return task is not other and getattr(task, "place") == getattr(other, "place") and "none" not in (  # noqa: B009
        getattr(task, "skill"), getattr(other, "skill"))  # noqa: B009  # fmt: skip
