"""Which plain conditions a line's sensors and people look at: one bit for each, and whose touch may change it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from stockproof.errors import Fault
from stockproof.flow import tables as t
from stockproof.netlist.build import cone
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["Watch", "truths_shown", "words"]

#: A fact: its kind (`tables.FACT_KINDS`) and what it is said of.
Fact = tuple[int, int]


def truths_shown(netlist: Netlist, plant: Plant) -> list[int]:
    """Give the positions of the plant's truths that some sensor of a control program shows."""
    names = {entry.name for entry in netlist.inputs}
    shown = [int(node) for sensor, node in zip(plant.sensors, plant.sensor_sure, strict=True) if sensor.name in names]
    seen = cone(plant.truth, shown)
    return [k for k, node in enumerate(plant.truth_node) if int(node) in seen]


def words(bits: int) -> int:
    """Give how many words of 64 bits hold so many."""
    return -(-bits // 64)


class Watch:
    """The facts of one line: those the sensors show first, then those people look for, and the program's signals."""

    def __init__(self, shown: Sequence[Fact]) -> None:
        self.truths = len(shown)
        gap = 64 * words(len(shown)) - len(shown)
        self.facts: list[Fact] = [*shown, *[(t.NEVER, 0)] * gap]
        self.bits: dict[Fact, int] = {}
        for bit, fact in enumerate(shown):
            self.bits.setdefault(fact, bit)
        self.signals: list[int] = []
        self.needs: list[tuple[int, Fact, bool]] = []

    def need(self, conditions_of: int, fact: Fact, so: bool) -> None:
        """Add to a list of conditions (`tables.LISTS`) that a fact is so, or that it is not."""
        self.needs.append((conditions_of, fact, so))
        if fact[0] == t.SIGNAL:
            if fact[1] not in self.signals:
                self.signals.append(fact[1])
        elif fact not in self.bits:
            self.bits[fact] = len(self.facts)
            self.facts.append(fact)

    def faults(self) -> Iterable[Fault]:
        """More than the kernel's tables hold."""
        sizes = {
            "conditions": len(self.facts),
            "signals looked for": len(self.signals),
            "conditions in its lists": len(self.needs),
        }
        for kind, size in sizes.items():
            if size > t.LIMITS[kind]:
                yield Fault(f"the line has {size} {kind}", allowed=f"at most {t.LIMITS[kind]}")

    def put(self, m: Any, memories: int) -> None:
        """Write the facts into a model whose zones, passages and tasks are there already."""
        m["facts"], m["truths"], m["signals"] = len(self.facts), self.truths, len(self.signals)
        m["signal_node"][: len(self.signals)] = self.signals
        m["fact_kind"][: len(self.facts)] = [kind for kind, _ in self.facts]
        m["fact_of"][: len(self.facts)] = [of for _, of in self.facts]
        self._put_owners(m)
        self._put_lists(m)
        for z in range(int(m["zones"])):
            m["zone_watch"][z] = sum(1 << owner for owner in self._waits_for(m, z))
        m["truth_words"], m["control_words"] = words(self.truths), words(int(m["controls"]))
        m["memory_words"], m["signal_words"] = words(memories), words(len(self.signals))
        m["key_words"] = m["truth_words"] + m["control_words"] + 1 + m["memory_words"]
        m["row_words"] = 1 + m["key_words"] + t.OUTCOME + m["memory_words"] + m["signal_words"]

    def _put_owners(self, m: Any) -> None:
        lists: list[list[int]] = [[] for _ in range(t.OWNERS)]
        for bit, fact in enumerate(self.facts):
            for owner in _owners(m, fact):
                lists[owner].append(bit)
        m["owner_first"], flat = _joined(lists)
        m["owner_fact"][: len(flat)] = flat

    def _put_lists(self, m: Any) -> None:
        """Which lists each fact counts in, and how many conditions of each are unmet while nothing is so."""
        lists: list[list[int]] = [[] for _ in range(t.FACTS)]
        for conditions_of, fact, so in self.needs:
            lists[self._bit(fact)].append(conditions_of + 1 if so else -conditions_of - 1)
            m["unmet"][conditions_of] += so
        m["fact_first"], flat = _joined(lists)
        m["fact_list"][: len(flat)] = flat

    def _bit(self, fact: Fact) -> int:
        if fact[0] == t.SIGNAL:
            return 64 * t.FIRST_SIGNAL_WORD + self.signals.index(fact[1])
        return self.bits[fact]

    def _waits_for(self, m: Any, z: int) -> set[int]:
        """Whose touch may let an animal leave a zone."""
        found = {z, t.OF_SPACES, t.OF_BREAKS}
        if m["zone"][z]["squeeze"] >= 0:
            found.add(t.FIRST_PART + int(m["zone"][z]["squeeze"]))
        for p, passage in enumerate(m["passage"][: int(m["passages"])]):
            if passage["source"] == z:
                found |= {int(passage["target"]), *(t.FIRST_PART + int(part) for part in passage["part"] if part >= 0)}
                for conditions_of, fact, _ in self.needs:
                    found |= set(_owners(m, fact)) if conditions_of == t.OF_PASSAGES + p else set()
        return found


def _joined(lists: Sequence[Sequence[int]]) -> tuple[list[int], list[int]]:
    """Lists one after the other, and where each begins."""
    return [0, *np.cumsum([len(each) for each in lists])], [entry for each in lists for entry in each]


def _owners(m: Any, fact: Fact) -> list[int]:
    """Give whose touch may change a fact."""
    kind, of = fact
    single: Mapping[int, int] = {t.PERSON: t.OF_SPACES, t.BREAK_DUE: t.OF_BREAKS, t.SIGNAL: t.OF_SIGNALS}
    if kind in single:
        return [single[kind]]
    if kind in (t.DECIDED, t.WAY):
        return [int(m["decide_zone"])] if m["decide_zone"] >= 0 else []
    if kind < t.FIRST_OF_PARTS:
        return [of]
    if kind == t.PRESSED_ON:
        return [t.FIRST_PART + of, int(m["grip_zone"][of])]
    if kind < t.FIRST_OF_OTHERS:
        return [t.FIRST_PART + of]
    if kind in (t.WANTED, t.WAITING):
        return [int(m["task"][of]["zone"])]
    if kind == t.JOB_WANTED:
        zones = (int(m["job"][of]["zone"]), int(m["job"][of]["source"]))
        return [t.OF_BREAKS, *(zone for zone in dict.fromkeys(zones) if zone >= 0)]
    if kind == t.ASTRIDE:
        return [int(m["passage"][of]["source"]), int(m["passage"][of]["target"])]
    return []
