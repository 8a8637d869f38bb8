"""How fast slicing is, beside trimesh; called by tests/benchmark_beside.py."""

import time
from collections.abc import Callable
from statistics import median

import numpy as np
import trimesh

from core.part.layer_table import layer_table_of
from core.part.layers import Layers, slice_layers
from core.units import FloatArray, IntArray

LAYER_MM = 0.04
TRIMESH_LAYERS = 10
RINGS = 16
"""How many layers have their outlines joined."""


def bumpy_ring(around: int, across: int) -> tuple[FloatArray, IntArray]:
    """A torus of 2 * around * across triangles, 24 mm high, with ripples; lying on z = 0."""
    u, v = np.meshgrid(np.arange(around) / around, np.arange(across) / across, indexing="ij")
    u, v = 2 * np.pi * u.ravel(), 2 * np.pi * v.ravel()
    radius = 12.0 - 0.5 + 0.5 * np.cos(9 * u) * np.cos(3 * v)
    ring = 40.0 + radius * np.cos(v)
    points = np.column_stack([ring * np.cos(u), ring * np.sin(u), radius * np.sin(v)])
    points[:, 2] -= points[:, 2].min()
    i, j = (k.ravel() for k in np.meshgrid(np.arange(around), np.arange(across), indexing="ij"))
    a, b = i * across + j, (i + 1) % around * across + j
    c, d = (i + 1) % around * across + (j + 1) % across, i * across + (j + 1) % across
    triangles = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return points, triangles.astype(np.int32)


def _seconds_per_outline(layers: Layers, which: list[int]) -> float:
    start = time.perf_counter()
    for i in which:
        layers.loops(i)
    return (time.perf_counter() - start) / len(which)


def _median_s(work: Callable[[], object], runs: int = 5) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


def measure_slicing() -> dict[str, float]:
    """Seconds for all layers of 1M triangles at 40 µm, and the same per layer beside trimesh's section."""
    points, triangles = bumpy_ring(1000, 500)
    small = bumpy_ring(40, 20)
    warm = slice_layers(*small, LAYER_MM)
    warm.loops(len(warm) // 2)
    layer_table_of(warm, 45.0, z_range_mm=(0.0, 0.2))

    layers = slice_layers(points, triangles, LAYER_MM)
    pieces = sum(len(layers.segments(i)) for i in range(len(layers)))
    areas_s = _median_s(lambda: slice_layers(points, triangles, LAYER_MM))
    segments_s = _median_s(lambda: [layers.segments(i) for i in range(len(layers))])
    loops_s = _seconds_per_outline(layers, np.linspace(10, len(layers) - 10, RINGS).astype(int).tolist())

    mesh = trimesh.Trimesh(points, triangles, process=False)
    heights = layers.z_mm[np.linspace(10, len(layers) - 10, TRIMESH_LAYERS).astype(int)]
    trimesh.intersections.mesh_multiplane(mesh, [0, 0, 0], [0, 0, 1], heights[:1])
    all_heights_s = _median_s(lambda: trimesh.intersections.mesh_multiplane(mesh, [0, 0, 0], [0, 0, 1], heights))
    trimesh_s = all_heights_s / len(heights)
    own_s = (areas_s + segments_s) / len(layers)
    return {
        "triangles": float(len(triangles)),
        "layers": float(len(layers)),
        "pieces": float(pieces),
        "areas of all layers s": areas_s,
        "segments of all layers s": segments_s,
        "loops per layer ms": loops_s * 1e3,
        "trimesh segments per layer ms": trimesh_s * 1e3,
        "trimesh over own, segments per layer": trimesh_s / own_s,
    }


if __name__ == "__main__":
    for name, value in measure_slicing().items():
        print(f"{name:40} {value:.4g}")
