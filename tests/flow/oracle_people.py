"""People of the SimPy yard: each is a process that is called to an act, walks there, does it and is free again."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.flow.model import Job, Press, Task
from tests.flow.oracle_animals import Animals
from tests.flow.oracle_control import Part
from tests.flow.oracle_draws import NOBODY
from tests.flow.oracle_things import Act, Animal, Habit, Pen, Person, Process, Signal

__all__ = ["People"]


class People(Animals):
    """Who is called to what, and how it is done."""

    def call_people(self) -> Process:
        """Unmanned work begins by itself; then each act in order of priority finds its person."""
        for task in self.line.tasks:
            for animal in self.pens[task.zone].actors() if not task.skill else ():
                if self._open(task, animal):
                    self.env.process(self._work(task, animal))
                    yield self.beat()
        self._begin_break()
        for act in self.acts if not self.on_break else ():
            for person, about in self._wanting(act):
                person.act, person.animal = act, about
                self.stir()
                person.called.give()
                yield self.beat()

    def _wanting(self, act: Act) -> Iterator[tuple[Person, Animal | None]]:
        """Who is called to an act, and about which animal."""
        if isinstance(act, Task):
            for animal in list(self.pens[act.zone].animals):
                if self._open(act, animal) and not self._promised(act, animal):
                    person = self._nearest(act.skill, act.place)
                    if person is None:
                        return
                    yield person, animal
            return
        habit = self.habits[act.name]
        if habit.active or not self.so(act.when):
            return
        if isinstance(act, Press):
            person = self._nearest(act.skill, act.place) if habit.next_s <= self.now else None
            about = None
        else:
            wanted, about = self._job_wanted(act)
            person = self._nearest(act.skill, act.start_place) if wanted else None
        if person is not None:
            habit.active, habit.animal = True, about
            yield person, None

    def _promised(self, task: Task, animal: Animal) -> bool:
        """Whether somebody is at or on the way to this very work, or to one that may not go on beside it."""
        return any(
            isinstance(other.act, Task) and (other.act is task or other.act.name in task.not_with)
            for other in self.crew
            if other.animal is animal
        )

    def _nearest(self, skill: str, place: str) -> Person | None:
        able = [
            person
            for person in self.crew
            if person.act is None
            and skill in person.spec.skills
            and (not place or not person.spec.stands or place in person.spec.stands)
        ]
        return min(able, key=lambda person: self._distance_m(person, place), default=None)

    def _distance_m(self, person: Person, place: str) -> float:
        if not place:
            return 0.0
        places = self.line.places
        return self.line.distances_m[places.index(person.place)][places.index(place)]

    def live(self, person: Person) -> Process:
        """A person's day: called, does it, is free again."""
        while True:
            yield person.called
            person.called = Signal(self.env)
            act, animal = person.act, person.animal
            if isinstance(act, Task):
                assert animal
                yield from self._go(person, act.place)
                yield from self._do_task(person, act, animal)
            elif isinstance(act, Press):
                yield from self._go(person, act.place)
                yield from self._do_press(person, act)
            elif isinstance(act, Job):
                yield from self._go(person, act.start_place)
                yield from self._do_job(person, act)
            person.act = person.animal = None
            self.stir()

    def _go(self, person: Person, place: str) -> Process:
        way_m = self._distance_m(person, place)
        if way_m > 0:
            person.place = place
            self.note("PERSON_GOES", person.number, self.line.places.index(place))
            yield self.env.timeout(way_m / self.line.walking_m_per_s)

    def _do_task(self, person: Person, task: Task, animal: Animal) -> Process:
        """In through the gate, the work and whatever else there is to do in that space, out and shut."""
        if not self._open(task, animal):
            return
        if task.space:
            self._swing(task, 1.0)
            yield self.env.timeout(task.gate_s)
            self._step(person, task.space, "PERSON_IN")
        work: Task | None = task if self._open(task, animal, inside=bool(task.space)) else None
        while work is not None:
            finished = yield from self._work(work, animal)
            if not finished:
                break
            if work.reload_every and self.done[work.name] % work.reload_every == 0:
                yield from self._reload(person, work)
                return
            work = self._next_in_space(person, work, animal) if person.space else None
        if person.space:
            self._step(person, "", "PERSON_OUT")
            yield self.env.timeout(task.gate_s)
            self._swing(task, 0.0)

    def _next_in_space(self, person: Person, done: Task, animal: Animal) -> Task | None:
        person.act = None  # what is done promises nothing any more
        for other in self.acts:
            if not isinstance(other, Task) or other.space != done.space or other.skill not in person.spec.skills:
                continue
            if self._open(other, animal, inside=True) and not self._promised(other, animal):
                person.act = other
                return other
        person.act = done
        return None

    def _swing(self, task: Task, to: float) -> None:
        gate = self._gate(task)
        if gate >= 0 and self.control:
            self.control.gate_by_hand(gate, to)

    def _step(self, person: Person, space: str, what: str) -> None:
        """Into a space, or out of the one they are in."""
        assert self.plant
        where = space or person.space
        names = [s.name for s in self.plant.spaces]
        self.note(what, person.number, names.index(where))
        self.in_space[where] += 1 if space else -1
        person.space = space
        self.stir()

    def _reload(self, person: Person, task: Task) -> Process:
        self.reloading.add(task.name)
        if person.space:
            self.in_space[person.space] -= 1
            person.space = ""
            self._swing(task, 0.0)
        self.note("RELOADS", person.number, self.line.tasks.index(task))
        yield self.env.timeout(self.take(task.reload, f"reload: {task.name}", NOBODY, self.done[task.name]))
        self.reloading.discard(task.name)

    # Work on animals

    def _open(self, task: Task, animal: Animal, *, inside: bool = False) -> bool:
        """Whether work on this animal is wanted and may begin now; a lock matters to those outside alone."""
        pen = self.pens[task.zone]
        if animal.pen is not pen or animal.doing != "standing" or pen.down or task.name in self.reloading:
            return False
        if task.name not in animal.todo or task.name in animal.running:
            return False
        if animal.running.keys() & set(task.not_with) or animal.todo & set(task.after):
            return False
        lock = None if inside else self._lock(task)
        return (lock is None or lock.stands(1.0)) and self.so(task.needs)

    def _gate(self, task: Task) -> int:
        """The access gate into the space a task is done from, -1 where there is none."""
        if self.plant is None or not task.space:
            return -1
        return next(space.through for space in self.plant.spaces if space.name == task.space)

    def _lock(self, task: Task) -> Part | None:
        gate = self._gate(task)
        if self.plant is None or self.control is None or gate < 0:
            return None
        name = self.plant.parts[gate].name
        for lock in (f"{name}_lock", name.replace("access", "lock")):
            if lock != name and self.plant.part_at(lock) >= 0:
                return self.control.parts[self.plant.part_at(lock)]
        return None

    def _work(self, task: Task, animal: Animal) -> Process:
        """One piece of work; gives whether it was finished."""
        end = animal.running[task.name] = Signal(self.env)
        self.after(self.take(task.law, f"task: {task.name}", animal.number), end.give, True)
        self.note("TASK_BEGINS", animal.number, self.line.tasks.index(task))
        self.stir()
        finished = yield end
        self.stir()
        if finished:
            del animal.running[task.name]
            animal.todo.discard(task.name)
            self.done[task.name] += 1
            self.note("TASK_ENDS", animal.number, self.line.tasks.index(task))
        return finished

    # Controls

    def _do_press(self, person: Person, press: Press) -> Process:
        """React, press, let go when the end is seen or the time is up."""
        habit, number = self.habits[press.name], self.line.presses.index(press)
        if self.so(press.when):
            yield self.env.timeout(self._reaction_s(press, habit))
        else:
            habit.active = False
            return
        if not self.so(press.when):
            habit.active = False
            return
        self.note("PRESSES", person.number, number)
        let_go = Signal(self.env)
        self.after(press.longest_s if press.until else press.press_s, let_go.give)
        if press.control:
            assert self.control
            self.control.pressed[press.control] += 1
        elif self.control:
            self.control.by_hand(press.part, press.to, press.press_s)
        if press.until:
            person.watches = (press.until, let_go)
        self.stir()
        yield let_go
        person.watches = None
        if press.control and self.control:
            self.control.pressed[press.control] -= 1
        habit.active = False
        habit.next_s = self.now + press.again_s
        habit.count += 1
        self.after(press.again_s, self.stir)
        self.note("LETS_GO", person.number, number)

    def _reaction_s(self, press: Press, habit: Habit) -> float:
        """The delay belongs to the animal at the main work zone and to how often this was done for it."""
        animal = (self.main.comer or self.main.front) if self.main else None
        number = animal.number if animal else NOBODY
        habit.of_count = habit.of_count + 1 if habit.of == number else 1
        habit.of = number
        return self.take(press.reaction, f"press: {press.name}", number, habit.of_count)

    def hands_off(self) -> Process:
        """Let go every held control whose end is seen."""
        for person in self.crew:
            if person.watches is not None and self.so(person.watches[0]):
                person.watches[1].give()
                yield self.beat()

    # Jobs

    def _job_wanted(self, job: Job) -> tuple[bool, Animal | None]:
        pen = self.pens[job.zone]
        if job.kind == "bring":
            fill = len(pen.animals) <= job.at_most and pen.comer is None
            return fill and bool(self.pens[job.source].animals) and not self.break_due, None
        if job.kind == "empty":
            return len(pen.animals) >= max(1, job.at_most), None
        state = {"push": "balking", "attend": "lying", "lead_round": "refusing"}[job.kind]
        found = next((animal for animal in pen.actors() if animal.doing == state), None)
        return found is not None, found

    def _do_job(self, person: Person, job: Job) -> Process:
        habit, number = self.habits[job.name], self.line.jobs.index(job)
        habit.count += 1
        pen = self.pens[job.zone]
        took_s = self.take(job.law, f"job: {job.name}", habit.animal.number if habit.animal else NOBODY, habit.count)
        size = 0
        if job.kind == "bring":
            wanted = math.floor(self.take(job.batch, f"batch: {job.name}", NOBODY, habit.count) + 0.5)
            room = pen.spec.places - len(pen.animals)
            size = max(1, min(wanted, room, len(self.pens[job.source].animals)))
            took_s += size * job.per_head_s
        elif job.kind == "empty":
            took_s += len(pen.animals) * job.per_head_s
        self.note("JOB_BEGINS", person.number, number)
        yield self.env.timeout(took_s)
        self._job_done(job, pen, size, habit.animal)
        self.note("JOB_ENDS", person.number, number)
        self.stir()
        habit.active = False
        person.place = job.end_place or person.place

    def _job_done(self, job: Job, pen: Pen, size: int, animal: Animal | None) -> None:
        if job.kind == "bring":
            for brought in self.pens[job.source].animals[:size]:
                self.move(brought, pen)
            pen.batch = len(pen.animals)
        elif job.kind == "empty":
            pen.animals.clear()
        elif animal is None:
            return
        elif job.kind == "push" and animal.doing == "balking" and animal.pushed:
            animal.pushed.give()
        elif job.kind == "attend":
            animal.doing = "standing"
            animal.todo -= pen.tasks
            pen.down = False
            self.note("GETS_UP", animal.number, pen.index)
        elif job.kind == "lead_round" and animal.doing == "refusing":
            self.move(animal, self.pens[job.source])

    # Breaks

    def breaks(self) -> Process:
        for k, pause in enumerate(self.line.breaks):
            if pause.start_s > self.now:
                yield self.env.timeout(pause.start_s - self.now)
            self.break_due = True
            self.stir()
            begins = self.back_to_work = Signal(self.env)
            yield begins
            self.note("BREAK_BEGINS", k, 0)
            yield self.env.timeout(pause.length_s)
            self.break_due = self.on_break = False
            self.note("BREAK_ENDS", k, 0)
            self.stir()

    def _begin_break(self) -> None:
        """A break begins when those who are held have been let go and everybody is free."""
        if not self.break_due or self.on_break or any(person.act is not None for person in self.crew):
            return
        if any(pen.spec.work_zone and pen.fill > 0 for pen in self.order):
            return
        self.on_break = True
        self.back_to_work.give()
        self.stir()
