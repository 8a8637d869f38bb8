"""Weld a mesh, mend what can be mended without guessing, and say in words what is wrong with it."""

from dataclasses import dataclass

import numpy as np

from core.compiled import kernel
from core.part.bodies import find_bodies
from core.part.face_neighbours import edge_mates
from core.part.part import MeshHealth
from core.part.weld import drop_unused, near_twins, weld_exactly
from core.refusal import Refusal
from core.units import BoolArray, FloatArray, IntArray

CRACK_MM = 1e-3
"""Widest hairline crack that is closed, 1 µm; for parts below 100 mm a hundred-thousandth of their size."""


@dataclass(frozen=True, kw_only=True, eq=False)
class MendedMesh:
    """points: (n, 3) mm. triangles: (m, 3) int32. kept: (m,) which triangle of the input each one is."""

    points: FloatArray
    triangles: IntArray
    kept: IntArray
    health: MeshHealth
    open_edge_points_mm: FloatArray


@kernel
def _repeated(triangles: IntArray) -> IntArray:
    """0 for a triangle met once, 1 for a copy of an earlier one, 2 for both of a pair that face each other.

    Copies are found by their lowest corner; triangles: (n, 3) int32.
    """
    n = len(triangles)
    verdict = np.zeros(n, np.int8)
    size = 16
    while size < 2 * n:
        size *= 2
    table = np.full(size, -1, np.int32)
    for f in range(n):
        a, b, c = triangles[f]
        while a > b or a > c:  # turn until the lowest corner is first
            a, b, c = b, c, a
        low, high = min(b, c), max(b, c)
        h = (np.int64(a) * np.int64(-7046029254386353131)) ^ (np.int64(low) * np.int64(-4417276706812531889))
        h = (h + np.int64(high) * np.int64(1609587929392839161)) ^ (h >> np.int64(31))
        h = h * np.int64(-7046029254386353131)
        slot = (h ^ (h >> np.int64(32))) & (size - 1)
        while True:
            g = table[slot]
            if g < 0:
                table[slot] = f
                break
            d, e, k = triangles[g]
            while d > e or d > k:
                d, e, k = e, k, d
            if d == a and min(e, k) == low and max(e, k) == high:
                if e == b:
                    verdict[f] = 1
                elif verdict[g] == 0:
                    verdict[f] = 2
                    verdict[g] = 2
                else:
                    verdict[f] = 1
                break
            slot = (slot + 1) & (size - 1)
    return verdict


def _collapsed(triangles: IntArray) -> BoolArray:
    a, b, c = triangles.T
    return np.asarray((a == b) | (b == c) | (a == c))


@kernel
def _no_area(points: FloatArray, triangles: IntArray) -> BoolArray:
    flat = np.zeros(len(triangles), np.bool_)
    for f in range(len(triangles)):
        a, b, c = points[triangles[f, 0]], points[triangles[f, 1]], points[triangles[f, 2]]
        ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
        flat[f] = uy * vz == uz * vy and uz * vx == ux * vz and ux * vy == uy * vx
    return flat


def mend(points: FloatArray, triangles: IntArray, *, indexed: bool) -> MendedMesh:
    """Weld, drop triangles without area and copies, close hairline cracks, turn everything outward.

    points: (n, 3) mm. triangles: (m, 3) int32. indexed: the file itself says which corners are shared; then its
    own sharing is kept if it already closes the body. Self-crossings aren't looked for here.
    Raises Refusal when a coordinate isn't finite or no triangle is left.
    """
    if not np.isfinite(points).all():
        raise Refusal("The file has coordinates that are no finite number. Export the part again.")
    n_before = len(triangles)
    mended = _Mending(points, triangles)
    if not (indexed and mended.closed()):
        mended.weld()
    mended.drop_collapsed()
    mended.drop_copies()
    mended.drop_loose_slivers()
    if len(mended.triangles) == 0:
        raise Refusal("No triangle of the file has an area. Export the part again as a solid body.")
    mended.close_cracks()
    return mended.finish(n_before)


class _Mending:
    """A mesh being mended: each step changes points, triangles and the list of what was done."""

    def __init__(self, points: FloatArray, triangles: IntArray) -> None:
        self.points: FloatArray = np.ascontiguousarray(points, dtype=np.float64)
        self.triangles: IntArray = np.ascontiguousarray(triangles, dtype=np.int32)
        self.kept: IntArray = np.arange(len(triangles), dtype=np.int32)
        self.done: list[str] = []
        self.n_flat = 0
        self.n_copies = 0
        self._mates: tuple[IntArray, int, int] | None = None

    def mates(self) -> tuple[IntArray, int, int]:
        if self._mates is None:
            self._mates = edge_mates(self.triangles, len(self.points))
        return self._mates

    def closed(self) -> bool:
        _, n_open, n_branching = self.mates()
        return n_open == 0 and n_branching == 0

    def _keep(self, which: BoolArray) -> None:
        self.triangles = np.ascontiguousarray(self.triangles[which])
        self.kept = self.kept[which]
        self._mates = None

    def weld(self) -> None:
        number, self.points = weld_exactly(self.points)
        self.triangles = np.ascontiguousarray(number[self.triangles])
        self._mates = None

    def drop_collapsed(self) -> None:
        flat = _collapsed(self.triangles)
        if flat.any():
            self.n_flat += int(flat.sum())
            self._keep(~flat)

    def drop_copies(self) -> None:
        verdict = _repeated(self.triangles)
        if verdict.any():
            self.n_copies = int(np.count_nonzero(verdict))
            n_pairs = int(np.count_nonzero(verdict == 2)) // 2
            n_same = self.n_copies - 2 * n_pairs
            if n_same:
                self.done.append(f"{_count(n_same, 'triangle')} given twice dropped once.")
            if n_pairs:
                self.done.append(f"{_count(n_pairs, 'pair')} of triangles back to back removed.")
            self._keep(verdict == 0)

    def drop_loose_slivers(self) -> None:
        """Triangles on one line are dropped unless all their edges are shared: then they close the mesh."""
        flat = np.flatnonzero(_no_area(self.points, self.triangles))
        if len(flat) == 0:
            return
        mate, _, _ = self.mates()
        loose = flat[(mate.reshape(-1, 3)[flat] < 0).any(axis=1)]
        if len(loose):
            keep = np.ones(len(self.triangles), dtype=bool)
            keep[loose] = False
            self.n_flat += len(loose)
            self._keep(keep)

    def close_cracks(self) -> None:
        """Weld ends of open edges that lie within a hair, if that closes edges and makes none branch."""
        mate, n_open, n_branching = self.mates()
        if n_open == 0:
            return
        at = np.flatnonzero(mate == -1)
        ends = np.unique(np.stack([self.triangles.ravel()[at], self.triangles.ravel()[_next(at)]]))
        size = self._size()
        twin = near_twins(self.points, ends, min(CRACK_MM, 1e-5 * size))
        triangles = np.ascontiguousarray(twin[self.triangles])
        keep = ~_collapsed(triangles)
        keep[keep] = _repeated(np.ascontiguousarray(triangles[keep])) == 0
        tried = np.ascontiguousarray(triangles[keep])
        mates = edge_mates(tried, len(self.points))
        if len(tried) and mates[1] < n_open and mates[2] <= n_branching:
            self.n_flat += int((~keep).sum())
            self.triangles, self.kept, self._mates = tried, self.kept[keep], mates
            self.done.append(f"Hairline cracks along {_count(n_open - mates[1], 'open edge')} closed by welding.")

    def _size(self) -> float:
        return float(max(np.ptp(self.points[:, axis]) for axis in range(3)))

    def finish(self, n_before: int) -> MendedMesh:
        if self.n_flat:
            self.done.insert(0, f"{_count(self.n_flat, 'triangle')} without area dropped.")
        mate, n_open, n_branching = self.mates()
        bodies = find_bodies(self.points, self.triangles, mate)
        if bodies.flip.any():
            self.triangles[bodies.flip] = self.triangles[bodies.flip][:, ::-1]
        if bodies.n_turned_alone:
            self.done.append(f"{_count(bodies.n_turned_alone, 'triangle')} turned round to agree with the neighbours.")
        if bodies.n_turned_outward:
            self.done.append(f"{_count(bodies.n_turned_outward, 'body', 'bodies')} faced inward and turned outward.")
        if bodies.n_turned_inward:
            shells = _count(bodies.n_turned_inward, "shell")
            self.done.append(
                f"{shells} inside another body taken as a cavity and turned inward; check that this is meant."
            )
        at = np.flatnonzero(mate == -1)
        ends = np.stack([self.triangles.ravel()[at], self.triangles.ravel()[_next(at)]], axis=1)
        open_points = np.ascontiguousarray(self.points[ends]).reshape(-1, 2, 3)
        points, triangles = drop_unused(self.points, self.triangles)
        health = MeshHealth(
            open_edges=n_open,
            nonmanifold_edges=n_branching,
            flipped_faces=bodies.n_turned_alone,
            duplicate_faces=self.n_copies,
            degenerate_faces=self.n_flat,
            bodies=bodies.n_bodies,
            repaired=tuple(self.done),
            problems=_problems(open_points, n_branching, bodies.n_one_sided, points, triangles),
        )
        return MendedMesh(
            points=points, triangles=triangles, kept=self.kept, health=health, open_edge_points_mm=open_points
        )


def _next(edge: IntArray) -> IntArray:
    """The directed edge after each one, round its triangle."""
    return np.where(edge % 3 == 2, edge - 2, edge + 1)


@kernel
def _volume(points: FloatArray, triangles: IntArray) -> float:
    """Volume enclosed by triangles that face outward, summed as tetrahedra over the first corner."""
    o = points[triangles[0, 0]]
    six = 0.0
    for f in range(len(triangles)):
        a, b, c = points[triangles[f, 0]], points[triangles[f, 1]], points[triangles[f, 2]]
        ax, ay, az = a[0] - o[0], a[1] - o[1], a[2] - o[2]
        bx, by, bz = b[0] - o[0], b[1] - o[1], b[2] - o[2]
        cx, cy, cz = c[0] - o[0], c[1] - o[1], c[2] - o[2]
        six += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
    return six / 6.0


def _problems(
    open_points: FloatArray, n_branching: int, n_one_sided: int, points: FloatArray, triangles: IntArray
) -> tuple[str, ...]:
    problems = []
    if len(open_points):
        where = show_place(open_points[0].mean(axis=0))
        problems.append(
            f"The surface is open along {_count(len(open_points), 'edge')}, the first near {where}. "
            "Close it in the CAD program; until then no sink can be built on it."
        )
    if n_branching:
        problems.append(
            f"More than two faces meet at {_count(n_branching, 'edge')}: bodies touch along an edge or walls have no "
            "thickness. Unite or part them in the CAD program; until then no sink can be built on it."
        )
    if n_one_sided:
        problems.append("The surface has no inside: it is twisted like a one-sided band. Export the part again.")
    if not problems:
        volume = _volume(points, triangles)
        box = float(np.prod([np.ptp(points[:, axis]) for axis in range(3)]))
        if volume <= 1e-9 * box or box <= 0:
            problems.append("The part encloses no volume. Export it again as a solid body.")
    return tuple(problems)


def _count(n: int, one: str, many: str | None = None) -> str:
    return f"{n:,} {one if n == 1 else many or one + 's'}"


def show_place(point_mm: FloatArray) -> str:
    """A place as (x, y, z) in mm, for a sentence."""
    x, y, z = (float(v) + 0.0 for v in point_mm)
    return f"({x:.3g}, {y:.3g}, {z:.3g}) mm"
