"""What every sink promises, measured on the written file by routes that share no code with the builder.

Distances between solids: manifold3d's min_gap, and python-fcl beside it. Distances of points: VTK's cell locator in
double precision. Closedness and pieces: trimesh. Overlap: manifold3d's boolean. Nothing of core.part, core.gap or
core.sink is called, except that the sink under test is handed over.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import manifold3d as m3d
import numpy as np
import shapely
import trimesh

from core.sink.sink import Sink
from core.units import BoolArray, FloatArray, IntArray
from tests.sink.solid_as_read import Locator, Solid, fcl_distance_mm, reread, spread_points

ROUNDING_MM = 1e-9
"""Double precision at coordinates of some hundred mm leaves about 1e-13; this is far above."""
MOST_OFF_UM = 5.0
MOST_OFF_SHARE = 0.017
HANGING_MM2 = 0.01
LEAST_VOLUME_MM3 = 1.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Measured:
    """What one written sink measures; see the function of the same name for each. NaN where there is nothing."""

    clearance_mm: float
    overlap_mm3: float
    p99_um: float
    max_um: float
    worst_at_mm: tuple[float, float, float]
    interior_samples: int
    covered: BoolArray
    hanging_mm2: float
    volume_mm3: float
    triangles: int
    problems: tuple[str, ...]


def top_in_plan(solid: Solid) -> shapely.Geometry:
    """The top's outline seen from above: upward triangles flatter than 47.5°, projected and joined.

    Low-angle downskin is at most 45°, and the upper side of a leaning sink at least 50°.
    """
    corners = solid.vertices_mm[solid.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    up = (cross[:, 2] > 1e-10) & (cross[:, 2] > np.cos(np.radians(47.5)) * np.linalg.norm(cross, axis=1))
    joined = shapely.union_all(shapely.polygons(corners[up][:, :, :2]), grid_size=1e-6)
    return joined.buffer(1e-5, join_style="mitre")


def way_down(solid: Solid) -> FloatArray:
    """(3,) move per mm downwards along the sink's sides: straight down unless all sides lean the same way."""
    corners = solid.vertices_mm[solid.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(cross, axis=1)
    sides = (np.abs(cross[:, 2]) < np.cos(np.radians(47.5)) * double) & (double > 0)
    area, normals = double[sides], cross[sides] / double[sides, None]
    along = np.linalg.eigh(np.einsum("n,ni,nj->ij", area, normals, normals))[1][:, 0]
    straight = np.array([0.0, 0.0, -1.0])
    if abs(along[2]) < 0.5 or (area * np.abs(normals @ along)).sum() > 1e-3 * area.sum():
        return straight
    return np.asarray(-along / along[2])


def in_the_interior(solid: Solid, part: Solid, faces: IntArray, points: FloatArray, gap_mm: float) -> BoolArray:
    """(n,) True for patch places farther than 1.5 gaps, in plan, from the sink's outline and from the patch's own.

    The second matters where a margin carries the sink past the patch.
    """
    shadow, patch = top_in_plan(solid), shapely.polygons(part.vertices_mm[part.triangles[faces]][:, :, :2])
    patch = shapely.union_all(patch[shapely.area(patch) > 1e-12], grid_size=1e-6)
    shapely.prepare(shadow)
    plan = shapely.points(points[:, :2])
    inside = shapely.contains(shadow, plan)
    for outline in (shadow, patch):
        rim = shapely.boundary(outline)
        shapely.prepare(rim)
        inside[inside] = shapely.distance(rim, plan[inside]) > 1.5 * gap_mm
    return np.asarray(inside)


def has_full_gap_room(
    part: Locator, points: FloatArray, normals: FloatArray, gap_mm: float, down: FloatArray
) -> BoolArray:
    """True for patch places under which a ball of one gap fits that touches nothing but that place,
    and whose way down along the sink is clear and stays as far from the part for three gaps; elsewhere (creases,
    walls) the sink has to go lower.
    """
    centre = points + gap_mm * normals
    free = part.clear_below(centre, down)
    for step in np.linspace(0, 3 * gap_mm + 0.2, 8):
        here = np.flatnonzero(free & (centre[:, 2] > step))
        if here.size:
            free[here] = part.distance_mm(centre[here] + step * down) > gap_mm - 1e-6
    return free


def measured(part: Solid, faces: IntArray, sink: Sink, gap_mm: float, folder: Path) -> Measured:
    """Everything that is promised of one sink, from its file. part: placed; faces: the patch."""
    solid, mesh = reread(sink, folder)
    body, whole = solid.manifold, part.manifold
    problems = list(shape_problems(solid, mesh, sink))
    by_fcl = fcl_distance_mm(part, solid)
    clearance, overlap = by_fcl, 0.0
    if body.status() != m3d.Error.NoError:
        problems.append(f"manifold3d says {body.status().name}")
    elif whole.status() == m3d.Error.NoError:
        by_manifold = whole.min_gap(body, 3 * gap_mm)
        if by_manifold < 3 * gap_mm and abs(by_manifold - by_fcl) > 1e-6:
            problems.append(f"fcl measures {by_fcl:.9f} mm, manifold3d {by_manifold:.9f} mm")
        clearance = min(by_fcl, by_manifold) if by_manifold < 3 * gap_mm else by_fcl
        overlap = (whole ^ body).volume()
    points, normals = spread_points(part, faces)
    distance = Locator(solid.vertices_mm, solid.triangles).distance_mm(points)
    inside = in_the_interior(solid, part, faces, points, gap_mm)
    interior = np.flatnonzero(inside & (points[:, 2] > 2 * gap_mm + 0.3))
    if interior.size:
        tree = Locator(part.vertices_mm, part.triangles)
        room = has_full_gap_room(tree, points[interior], normals[interior], gap_mm, way_down(solid))
        interior = interior[room]
    off = (distance[interior] - gap_mm) * 1e3
    worst = points[interior[np.argmax(off)]] if off.size else np.full(3, np.nan)
    return Measured(
        clearance_mm=clearance,
        overlap_mm3=overlap,
        p99_um=float(np.percentile(off, 99)) if off.size else np.nan,
        max_um=float(off.max()) if off.size else np.nan,
        worst_at_mm=(float(worst[0]), float(worst[1]), float(worst[2])),
        interior_samples=int(off.size),
        covered=distance <= 1.5 * gap_mm,
        hanging_mm2=hanging_mm2(solid),
        volume_mm3=float(mesh.volume),
        triangles=len(solid.triangles),
        problems=tuple(problems),
    )


def shape_problems(solid: Solid, mesh: trimesh.Trimesh, sink: Sink) -> list[str]:
    """Why the file isn't one closed body that stands on the plate."""
    problems = []
    if len(solid.triangles) != len(sink.triangles):
        problems.append(f"{len(sink.triangles)} triangles were written, {len(solid.triangles)} read")
    if not mesh.is_watertight:
        problems.append("not watertight")
    if not mesh.is_winding_consistent:
        problems.append("triangles turned both ways")
    if mesh.volume <= 0:
        problems.append("inside out")
    if mesh.body_count != 1:
        problems.append(f"{mesh.body_count} pieces")
    lowest = float(solid.vertices_mm[:, 2].min())
    if lowest != 0.0:
        problems.append(f"lowest point at z = {lowest:.3g} mm instead of 0")
    if not (sink.watertight and sink.on_plate and sink.pieces == 1):
        problems.append(
            f"the sink says of itself: closed {sink.watertight}, on plate {sink.on_plate}, {sink.pieces} pieces"
        )
    return problems


def hanging_mm2(solid: Solid, limit_deg: float = 45.0, allowed_deg: float = 0.5) -> float:
    """Area of the sink's own faces that look down flatter than 45° and aren't on the plate."""
    corners = solid.vertices_mm[solid.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(cross, axis=1)
    angle = np.degrees(np.arctan2(np.linalg.norm(cross[:, :2], axis=1), -cross[:, 2]))
    hangs = (angle < limit_deg - allowed_deg) & (corners[:, :, 2].max(axis=1) > 1e-3)
    return float(double[hangs].sum() / 2)


def broken_promises(part: Solid, faces: IntArray, sinks: Sequence[Sink], gap_mm: float, folder: Path) -> list[str]:
    """Sentences on what the sinks of one patch don't keep; empty when all is well."""
    return broken(sinks, [measured(part, faces, sink, gap_mm, folder) for sink in sinks], gap_mm)


def broken(sinks: Sequence[Sink], found: Sequence[Measured], gap_mm: float) -> list[str]:
    """The same from what was measured already."""
    said = []
    p99_most = max(MOST_OFF_UM, 1e3 * MOST_OFF_SHARE * gap_mm)
    for sink, m in zip(sinks, found, strict=True):
        said += [f"{sink.name}: {problem}" for problem in m.problems]
        if m.clearance_mm < gap_mm - ROUNDING_MM:
            said.append(f"{sink.name}: {m.clearance_mm:.6f} mm from the part, {gap_mm:g} asked for")
        if abs(m.clearance_mm - sink.min_clearance_mm) > 1e-6:
            said.append(f"{sink.name}: says {sink.min_clearance_mm:.6f} mm, measures {m.clearance_mm:.6f} mm")
        if m.overlap_mm3 > 0:
            said.append(f"{sink.name}: {m.overlap_mm3:.3g} mm³ inside the part")
        if m.interior_samples >= 100 and m.p99_um > p99_most:
            said.append(f"{sink.name}: gap error p99 {m.p99_um:.1f} µm, at most {p99_most:g} (max {m.max_um:.1f})")
        if m.interior_samples and m.max_um > 2 * p99_most:
            at = ", ".join(f"{x:.2f}" for x in m.worst_at_mm)
            said.append(f"{sink.name}: gap error up to {m.max_um:.1f} µm at ({at}), at most {2 * p99_most:g}")
        if m.hanging_mm2 > HANGING_MM2:
            said.append(f"{sink.name}: {m.hanging_mm2:.3f} mm² hang flatter than 45°")
        if m.volume_mm3 < LEAST_VOLUME_MM3:
            said.append(f"{sink.name}: only {m.volume_mm3:.3f} mm³")
        own = float(m.covered.mean()) * sink.patch_area_mm2
        if abs(own - sink.covered_area_mm2) > 0.03 * sink.patch_area_mm2:
            said.append(f"{sink.name}: says it covers {sink.covered_area_mm2:.2f} mm², measures {own:.2f} mm²")
    return said
