"""How far people walk between places of the yard: shortest ways round fences and through passes."""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from stockproof.yard.ground import PERSON_M
from stockproof.yard.model import Point, Ring
from stockproof.yard.result import Fence, Zone

__all__ = ["ROUND_M", "Walks", "open_walks", "walks"]

CELL_M = 0.5
#: People who keep clear of animals may walk so far round the outside of the yard, on its ground [m].
ROUND_M = 14.0
#: Cells a side of the blocks in which the barrier is looked for first.
BLOCK = 6
#: Eight neighbours overstate a straight way by at most 8 %; pulling the way tight afterwards mends most of it.
STEPS = ((1, 0), (0, 1), (1, 1), (1, -1))


@dataclass(frozen=True, slots=True)
class Walks:
    """A grid over the yard with the steps people cannot take."""

    origin: Point
    shape: tuple[int, int]
    open_steps: NDArray[np.bool_]
    barrier: shapely.Geometry

    def way(self, start: Point, end: Point) -> tuple[float, Ring] | None:
        """Give the length of the shortest way found [m] and the way itself, or None where there is none."""
        goal = self._cell(end)
        best, came = _search(self, self._cell(start), goal)
        if goal not in best:
            return None
        cells = [goal]
        while cells[-1] in came:
            cells.append(came[cells[-1]])
        inner = [self._point(cell) for cell in reversed(cells)]
        path = _tight([start, *inner[1:-1], end], self.barrier)
        return sum(math.dist(path[i - 1], path[i]) for i in range(1, len(path))), tuple(path)

    def lengths(self, start: Point, places: NDArray[np.float64]) -> NDArray[np.float64]:
        """Give the way from one place to each of many, along the grid; infinite where there is none [m]."""
        best = _search(self, self._cell(start), None)[0]
        return np.array([CELL_M * best.get(self._cell((x, y)), math.inf) for x, y in places])

    def _cell(self, at: Point) -> tuple[int, int]:
        i = min(self.shape[0] - 1, max(0, round((at[0] - self.origin[0]) / CELL_M)))
        j = min(self.shape[1] - 1, max(0, round((at[1] - self.origin[1]) / CELL_M)))
        return i, j

    def _point(self, cell: tuple[int, int]) -> Point:
        return (self.origin[0] + CELL_M * cell[0], self.origin[1] + CELL_M * cell[1])


@lru_cache(maxsize=4)
def walks(zones: tuple[Zone, ...], fences: tuple[Fence, ...], margin_m: float) -> Walks:
    """Make the grid, once for a yard: fences bar the way, and nobody walks through race, crush or draft unit."""
    shut = [shapely.Polygon(zone.ring) for zone in zones if zone.kind in ("race", "crush", "draft", "bypass", "ramp")]
    barrier = shapely.union_all([*(shapely.LineString(fence.path) for fence in fences), *shut])
    return _grid(barrier, shapely.union_all([shapely.Polygon(zone.ring) for zone in zones]).bounds, margin_m)


def open_walks(zones: tuple[Zone, ...], free: shapely.Geometry, margin_m: float) -> Walks:
    """Make the grid for people who keep out of every space of animals, and on the free ground."""
    animals = shapely.union_all([shapely.Polygon(zone.ring) for zone in zones])
    barrier = shapely.buffer(free.difference(animals), -PERSON_M / 2).boundary
    return _grid(barrier, animals.bounds, margin_m)


def _grid(barrier: shapely.Geometry, bounds: tuple[float, float, float, float], margin_m: float) -> Walks:
    """A grid over some ground, with the steps that cross nothing."""
    x0, y0, x1, y1 = bounds
    origin = (x0 - margin_m, y0 - margin_m)
    shape = (int((x1 - x0 + 2 * margin_m) / CELL_M) + 2, int((y1 - y0 + 2 * margin_m) / CELL_M) + 2)
    ii, jj = np.meshgrid(np.arange(shape[0]), np.arange(shape[1]), indexing="ij")
    points = np.stack([origin[0] + CELL_M * ii, origin[1] + CELL_M * jj], axis=-1)
    shapely.prepare(barrier)
    near = _near(barrier, origin, shape)
    open_steps = np.zeros((len(STEPS), *shape), bool)
    for k, (di, dj) in enumerate(STEPS):
        inside = (ii + di < shape[0]) & (jj + dj >= 0) & (jj + dj < shape[1])
        starts = points[near]
        lines = shapely.linestrings(np.stack([starts, starts + np.array([CELL_M * di, CELL_M * dj])], axis=1))
        open_steps[k] = inside
        open_steps[k][near] &= ~shapely.intersects(barrier, lines)
    return Walks(origin, shape, open_steps, barrier)


def _near(barrier: shapely.Geometry, origin: Point, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """The cells whose steps may meet the barrier: those of the blocks it comes into, or within a step of."""
    across, up = (-(-cells // BLOCK) for cells in shape)
    x0 = origin[0] + CELL_M * (BLOCK * np.arange(across)[:, None] - 1)
    y0 = origin[1] + CELL_M * (BLOCK * np.arange(up)[None, :] - 1)
    wide = CELL_M * (BLOCK + 1)
    met = shapely.intersects(barrier, shapely.box(x0, y0, x0 + wide, y0 + wide))
    return np.repeat(np.repeat(met, BLOCK, axis=0), BLOCK, axis=1)[: shape[0], : shape[1]]


_Cell = tuple[int, int]


def _search(walk: Walks, start: _Cell, end: _Cell | None) -> tuple[dict[_Cell, float], dict[_Cell, _Cell]]:
    """A* over the grid with the straight distance as its guess, or to every cell where no end is named.

    Gives how far each cell reached is, in cells, and where it was reached from.
    """
    best, done = {start: 0.0}, set()
    came: dict[_Cell, _Cell] = {}
    heap = [(0.0, start)]
    while heap:
        _, cell = heapq.heappop(heap)
        if cell == end:
            break
        if cell in done:
            continue
        done.add(cell)
        for near, cost in _neighbours(walk, cell):
            length = best[cell] + cost
            if length < best.get(near, math.inf):
                best[near], came[near] = length, cell
                heapq.heappush(heap, (length + (math.dist(near, end) if end else 0.0), near))
    return best, came


def _neighbours(walk: Walks, cell: tuple[int, int]) -> list[tuple[tuple[int, int], float]]:
    i, j = cell
    found = []
    for k, (di, dj) in enumerate(STEPS):
        cost = math.hypot(di, dj)
        if walk.open_steps[k, i, j]:
            found.append(((i + di, j + dj), cost))
        a, b = i - di, j - dj
        if a >= 0 and 0 <= b < walk.shape[1] and walk.open_steps[k, a, b]:
            found.append(((a, b), cost))
    return found


def _tight(path: list[Point], barrier: shapely.Geometry) -> list[Point]:
    """Pull a way tight: from each kept point go straight to the farthest later point that can be seen."""
    kept, at = [path[0]], 0
    while at < len(path) - 1:
        ahead = len(path) - 1
        while ahead > at + 1 and shapely.intersects(barrier, shapely.LineString((path[at], path[ahead]))):
            ahead -= 1
        kept.append(path[ahead])
        at = ahead
    return kept
