"""Random parts with random sink settings, the same for the same seed: solids that try to be awkward for a sink."""

from collections.abc import Callable
from dataclasses import dataclass

import manifold3d as m3d
import numpy as np

from core.sink.sink_choice import SinkChoice
from core.units import FloatArray, IntArray

KINDS = ("fins", "plate", "block")
GAPS_MM = (0.1, 0.2, 0.3, 0.5, 1.0)
MARGINS_MM = (-0.5, 0.0, 1.0)
SMALLEST_MM, LARGEST_MM = 1.0, 500.0
MOST_TRIANGLES = 60_000


@dataclass(frozen=True, kw_only=True, eq=False)
class RandomCase:
    """A part in build position, mm, and the sink that is asked for. vertices_mm: (n, 3); triangles: (m, 3)."""

    seed: int
    family: str
    vertices_mm: FloatArray
    triangles: IntArray
    choice: SinkChoice
    gap_mm: float
    layer_mm: float


def random_case(seed: int) -> RandomCase:
    """The case of a seed; its family of shapes follows from the seed too, so that neighbours differ in kind."""
    rng = np.random.default_rng([seed, 20])
    family = list(FAMILIES)[seed % len(FAMILIES)]
    for _ in range(20):
        size_mm = float(np.exp(rng.uniform(np.log(SMALLEST_MM), np.log(LARGEST_MM))))
        solid = _posed(rng, FAMILIES[family](rng, size_mm), size_mm, turned=family not in UPRIGHT)
        if not solid.is_empty() and solid.num_tri() <= MOST_TRIANGLES:
            break
    mesh = solid.to_mesh64()
    gap_mm = float(rng.choice(GAPS_MM))
    fin_mm = float(rng.choice([0.5, 1.0, 1.5, 2.5]))
    extra = np.random.default_rng([seed, 21])
    choice = SinkChoice(
        kind=str(rng.choice(KINDS)),
        margin_mm=float(rng.choice(MARGINS_MM)),
        fin_thickness_mm=fin_mm,
        fin_pitch_mm=fin_mm + float(rng.uniform(0.6, 5.0)),
        direction_deg=None if rng.random() < 0.7 else float(rng.uniform(0, 180)),
        skin_mm=float(rng.choice([0.5, 1.0, 2.0])),
        roof_deg=float(rng.choice([45.0, 50.0, 60.0])),
        foot_mm=float(extra.choice([0.0, 0.0, 0.0, 0.5, 2.0])),
        neck_mm=float(extra.choice([0.0, 0.0, 0.0, 0.4])),
        drain_pitch_mm=float(extra.choice([0.0, 0.0, 0.0, 6.0, 15.0])),
    )
    return RandomCase(
        seed=seed,
        family=family,
        vertices_mm=np.asarray(mesh.vert_properties)[:, :3].copy(),
        triangles=np.asarray(mesh.tri_verts).astype(np.int32),
        choice=choice,
        gap_mm=gap_mm,
        layer_mm=float(rng.choice([0.02, 0.03, 0.04, 0.05, 0.06])),
    )


def _posed(rng: np.random.Generator, solid: m3d.Manifold, size_mm: float, *, turned: bool) -> m3d.Manifold:
    """Turned about a random axis, or only about z, and set on the plate or above it."""
    if turned and rng.random() < 0.5:
        solid = solid.rotate(rng.uniform(0, 360, 3).tolist())
    elif rng.random() < 0.4:
        solid = solid.rotate([*rng.uniform(-8, 8, 2).tolist(), 0.0])
    solid = solid.rotate([0.0, 0.0, float(rng.choice([0.0, 90.0, rng.uniform(0, 360)]))])
    lift = float(rng.choice([0.0, 0.0, rng.uniform(0, 1), rng.uniform(0, 0.5 * size_mm)]))
    low = solid.bounding_box()[:3] if not solid.is_empty() else (0.0, 0.0, 0.0)
    return solid.translate([float(rng.uniform(-50, 50)), float(rng.uniform(-50, 50)), lift - low[2]])


def _segments(rng: np.random.Generator) -> int:
    """Coarse or fine tessellation of round shapes."""
    return int(rng.choice([5, 8, 16, 48, 160]))


def _prism(profile_xz: list[tuple[float, float]], depth: float) -> m3d.Manifold:
    """A profile in x and z, pushed out along y."""
    section = m3d.CrossSection([np.array(profile_xz)], m3d.FillRule.NonZero)
    return section.extrude(depth).rotate([90.0, 0.0, 0.0]).translate([0.0, depth, 0.0])


def ledge(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """A wall with an arm whose underside rises at 0° to 44°."""
    angle = np.radians(rng.choice([0.0, rng.uniform(0, 44), 20.0, 44.9]))
    foot, reach, thick = s * rng.uniform(0.1, 0.4), s * rng.uniform(0.3, 1), s * rng.uniform(0.02, 0.3)
    high = s * rng.uniform(0.05, 0.8)
    rise = reach * np.tan(angle)
    profile = [
        (0, 0), (foot, 0), (foot, high), (foot + reach, high + rise),
        (foot + reach, high + rise + thick), (0, high + rise + thick),
    ]  # fmt: skip
    return _prism(profile, s * rng.uniform(0.1, 1))


def shelves(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """Two or three shelves on a wall, so that one stands in the way of the next; sometimes a rib below."""
    wall = m3d.Manifold.cube([s * 0.1, s, s])
    body = wall
    for k in range(int(rng.integers(2, 4))):
        reach, thick = s * rng.uniform(0.1, 0.7), s * rng.uniform(0.01, 0.1)
        width = s * rng.uniform(0.2, 1)
        start = (s - width) * rng.choice([0.0, 1.0, rng.uniform(0, 1)])
        body += m3d.Manifold.cube([reach + s * 0.1, width, thick]).translate([0, start, s * (0.25 + 0.3 * k)])
    if rng.random() < 0.5:
        rib = m3d.Manifold.cube([s * 0.4, max(0.2, s * 0.02), s * rng.uniform(0.1, 0.5)])
        body += rib.translate([s * 0.05, s * rng.uniform(0, 0.9), s * 0.3])
    return body


def bore(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """A block with a horizontal bore, round or with a flat, that may come near its underside or side."""
    block = m3d.Manifold.cube([s, s * rng.uniform(0.2, 1), s])
    radius = s * rng.uniform(0.1, 0.45)
    hole = m3d.Manifold.cylinder(3 * s, radius, -1.0, _segments(rng), True).rotate([90.0, float(rng.uniform(0, 90)), 0])
    return block - hole.translate([s * rng.uniform(0.4, 0.6), 0.0, s * rng.uniform(0.3, 0.7)])


def tilted_sheet(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """A thin plate at a low angle, flat or arched."""
    thin = float(rng.choice([0.2, 0.5, 1.0, 0.03 * s]))
    sheet = m3d.Manifold.cube([s, s * rng.uniform(0.2, 1), thin], True)
    if rng.random() < 0.4:
        bend, n = s * rng.uniform(-0.15, 0.15), int(rng.integers(6, 24))

        def arched(points: FloatArray) -> FloatArray:
            out = np.array(points)
            out[:, 2] += bend * np.cos(np.pi * out[:, 0] / s)
            return out

        sheet = sheet.refine(n).warp_batch(arched)
    return sheet.rotate([float(rng.uniform(-30, 30)), float(rng.choice([0.0, rng.uniform(3, 44)])), 0.0])


def primitives(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """Two to six boxes, cylinders, cones, balls, in random poses, joined or cut away."""
    body = _one(rng, s)
    for _ in range(int(rng.integers(1, 6))):
        other = _one(rng, s * rng.uniform(0.2, 0.9)).rotate(rng.choice([0.0, 90.0, 33.3, 45.0], 3).tolist())
        other = other.translate((s * rng.uniform(-0.5, 0.5, 3)).tolist())
        body = body + other if rng.random() < 0.65 else body - other
    return body


def _one(rng: np.random.Generator, s: float) -> m3d.Manifold:
    which, n = int(rng.integers(0, 4)), _segments(rng)
    if which == 0:
        return m3d.Manifold.cube((s * rng.uniform(0.05, 1, 3)).tolist(), True)
    if which == 1:
        return m3d.Manifold.cylinder(s * rng.uniform(0.1, 1), s * rng.uniform(0.05, 0.5), -1.0, n, True)
    if which == 2:
        return m3d.Manifold.cylinder(s * rng.uniform(0.1, 1), s * 0.5, s * rng.uniform(0, 0.5), n, True)
    return m3d.Manifold.sphere(s * rng.uniform(0.1, 0.5), min(n, 64))


def near_tangent(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """Faces that just meet, just miss or just cross: a bar laid under, into or beside a slab."""
    off = float(rng.choice([1e-6, 1e-5, 1e-4, 1e-3, 1e-2])) * float(rng.choice([-1.0, 1.0]))
    slab = m3d.Manifold.cube([s, s * rng.uniform(0.3, 1), s * 0.1]).translate([0, 0, s * 0.5])
    radius = s * rng.uniform(0.05, 0.2)
    bar = m3d.Manifold.cylinder(2 * s, radius, -1.0, _segments(rng), True).rotate([90.0, 0.0, 0.0])
    if rng.random() < 0.5:
        bar = m3d.Manifold.cube([2 * radius, 2 * s, 2 * radius], True).rotate([0.0, float(rng.uniform(-3, 3)), 0.0])
    at = [s * rng.uniform(0.2, 0.8), s * 0.5, s * 0.5 - radius + off]
    leg = m3d.Manifold.cube([s * 0.1, s * 0.1, s * 0.5 + 0.01 * s])
    return slab + bar.translate(at) + leg if rng.random() < 0.6 else (slab + leg) - bar.translate(at)


def rough(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """A table whose faces were refined and shaken, as a scan or a coarse lattice would be."""
    top = m3d.Manifold.cube([s, s * rng.uniform(0.3, 1), s * 0.15]).translate([0, 0, s * 0.5])
    table = top + m3d.Manifold.cube([s * 0.15, s * 0.2, s * 0.55]).translate([s * 0.2, s * 0.05, 0])
    n = int(rng.integers(3, 20))
    finest = 0.15 * s / n  # shaken by less than a fifth of that, faces don't cross
    shake = min(float(rng.choice([0.002, 0.01, 0.05])) * min(s, 20.0), 0.2 * finest)
    noise = np.random.default_rng(int(rng.integers(1 << 31)))

    def shaken(points: FloatArray) -> FloatArray:
        return np.asarray(points) + noise.normal(0, shake / 3, np.shape(points)).clip(-shake, shake)

    return table.refine(n).warp_batch(shaken)


def turned_body(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """A mushroom, ring or bell: a profile turned about z."""
    n = max(_segments(rng), 6)
    which = int(rng.integers(0, 3))
    if which == 0:
        ring = m3d.CrossSection.circle(s * rng.uniform(0.05, 0.2), max(_segments(rng) // 2, 6))
        return ring.translate([s * 0.35, 0.0]).revolve(n)
    if which == 1:
        points = [(0, 0), (0.1, 0), (0.1, 0.4), (0.5, 0.4 + rng.uniform(0, 0.38)), (0.5, 0.9), (0, 0.9)]
        return m3d.CrossSection([np.array(points) * s], m3d.FillRule.NonZero).revolve(n)
    t = np.linspace(0, np.pi / 2, 12)
    arc = np.column_stack([0.5 * np.cos(t), 0.5 * np.sin(t)])
    bell = np.concatenate([arc, (1 - rng.uniform(0.05, 0.3)) * arc[::-1]])
    return m3d.CrossSection([bell * s], m3d.FillRule.NonZero).revolve(n)


def stairs(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """An underside in steps, from a few hundredths of a mm to some mm each."""
    n = int(rng.integers(2, 14))
    step = float(rng.choice([0.02, 0.1, 0.4, s * 0.03]))
    run = s * 0.8 / n
    profile = [(0.0, 0.0), (0.2 * s, 0.0)]
    x, z = 0.2 * s, s * rng.uniform(0.1, 0.4)
    for _ in range(n):
        profile += [(x, z), (x + run, z)]
        x, z = x + run, z + step * float(rng.uniform(0.3, 1))
    profile += [(x, z + 0.1 * s), (0.0, z + 0.1 * s)]
    return _prism(profile, s * rng.uniform(0.2, 1))


def pocket(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """A block hollowed from below or from the side, or closed all round: ceilings between walls."""
    block = m3d.Manifold.cube([s, s, s * 0.6])
    wide, deep = s * rng.uniform(0.3, 0.9), s * rng.uniform(0.1, 0.5)
    base = float(rng.choice([-1.0, -1.0, 0.05 * s]))
    hollow = m3d.Manifold.cube([wide, wide, deep - base]).translate([0.5 * (s - wide), 0.5 * (s - wide), base])
    if rng.random() < 0.4:
        hollow = m3d.Manifold.cylinder(deep + 1.0, wide / 2, wide * rng.uniform(0.1, 0.5), _segments(rng))
        hollow = hollow.translate([0.5 * s, 0.5 * s, -1.0])
    if rng.random() < 0.4:
        hollow = hollow.translate([0.5 * s, 0.0, 0.0])
    post = m3d.Manifold.cylinder(s * 0.3, max(0.2, 0.04 * s), -1.0, _segments(rng)).translate([s * 0.5, s * 0.4, 0])
    return block - hollow + post if rng.random() < 0.4 else block - hollow


def comb(rng: np.random.Generator, s: float) -> m3d.Manifold:
    """A roof over thin walls and pins, with little room between them."""
    roof = m3d.Manifold.cube([s, s * 0.5, s * 0.1]).translate([0, 0, s * 0.4])
    body = roof
    for k in range(int(rng.integers(1, 7))):
        thin = float(rng.choice([0.15, 0.4, 0.02 * s]))
        if rng.random() < 0.5:
            tooth = m3d.Manifold.cube([thin, s * rng.uniform(0.05, 0.5), s * 0.42])
        else:
            tooth = m3d.Manifold.cylinder(s * 0.42, thin, -1.0, _segments(rng))
        up = s * float(rng.choice([0.0, 0.0, 0.2]))
        body += tooth.translate([s * (0.05 + 0.14 * k), s * rng.uniform(0, 0.4), up])
    return body


Family = Callable[[np.random.Generator, float], m3d.Manifold]
FAMILIES: dict[str, Family] = {
    shape.__name__: shape
    for shape in (
        ledge, shelves, bore, tilted_sheet, primitives, near_tangent, rough, turned_body, stairs, pocket, comb,
    )
}  # fmt: skip
UPRIGHT = {"ledge", "shelves", "stairs", "tilted_sheet", "comb"}
"""Families that already stand the way that asks for a sink."""
