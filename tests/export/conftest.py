"""A hand-made result: a 20 mm shelf part and box sinks under it, so that export is tested without the engine."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from core.checks.finding import Finding
from core.export.result import JobResult
from core.heat.estimate import Band, Estimate
from core.job import Job, pick_of
from core.part.part import Part
from core.part.patch import Patch
from core.sink.sink import Sink

BOX_TRIANGLES = np.array(
    [
        [0, 2, 1],
        [0, 3, 2],
        [4, 5, 6],
        [4, 6, 7],
        [0, 1, 5],
        [0, 5, 4],
        [1, 2, 6],
        [1, 6, 5],
        [2, 3, 7],
        [2, 7, 6],
        [3, 0, 4],
        [3, 4, 7],
    ],
    dtype=np.int32,
)


def box_corners(low: tuple[float, float, float], high: tuple[float, float, float]) -> np.ndarray:
    """(8, 3) corners of a box, with float32 values."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    corners = [
        [x0, y0, z0],
        [x1, y0, z0],
        [x1, y1, z0],
        [x0, y1, z0],
        [x0, y0, z1],
        [x1, y0, z1],
        [x1, y1, z1],
        [x0, y1, z1],
    ]
    return np.array(corners, dtype=np.float32).astype(np.float64)


def box_sink(name: str, x_mm: float, patch: int = 1) -> Sink:
    """A block of 10 by 20 by 9.7 mm, that is 1,940 mm³."""
    low, high = (x_mm, 0.0, 0.0), (x_mm + 10.0, 20.0, 9.7)
    return Sink(
        name=name,
        patches=(patch,),
        kind="block",
        vertices_mm=box_corners(low, high),
        triangles=BOX_TRIANGLES,
        gap_mm=0.3,
        min_clearance_mm=0.3,
        nearest_mm=(x_mm, 0.0, 9.7),
        gap_error_p99_um=1.0,
        gap_error_max_um=2.0,
        rim_gap_max_mm=0.4,
        covered_area_mm2=200.0,
        patch_area_mm2=400.0,
        volume_mm3=10.0 * 20.0 * float(np.float32(9.7)),
        watertight=True,
        on_plate=True,
        pieces=1,
    )


def an_estimate(patch: int = 1) -> Estimate:
    """Invented numbers with an infinite heat limit."""
    some = Band(low=1.0, nominal=2.0, high=3.0)
    return Estimate(
        patch=patch,
        conductance_w_m2k=some,
        powder_conductivity_w_mk=some,
        resistance_with_m2k_w=some,
        resistance_without_m2k_w=some,
        rise_with_k=some,
        rise_without_k=some,
        fuse_limit_mm=Band(low=0.15, nominal=0.2, high=0.3),
        heat_limit_mm=Band(low=0.8, nominal=float("inf"), high=float("inf")),
        notes=("Short <ledge>.",),
    )


@pytest.fixture
def make_result() -> Callable[..., JobResult]:
    """A maker of results; keyword arguments replace fields."""
    faces = np.array([0, 1], dtype=np.int32)
    patch = Patch(
        id=1,
        faces=faces,
        area_mm2=400.0,
        plan_area_mm2=400.0,
        lowest_angle_deg=0.0,
        mean_angle_deg=0.0,
        z_min_mm=10.0,
        z_max_mm=10.0,
        overhang_step_mm=float("inf"),
        lowest_edge_mm=80.0,
        is_island=True,
        risk=0.9,
        centre_mm=(10.0, 10.0, 10.0),
    )
    part = Part(
        name="shelf",
        file_format="stl",
        units="mm",
        vertices_mm=box_corners((0, 0, 10), (20, 20, 12)),
        triangles=BOX_TRIANGLES,
    )
    whole = JobResult(
        job=Job(part_file="/parts/shelf.stl", part_sha256="0" * 64, picks=(pick_of(faces),)),
        part=part,
        patches=(patch,),
        picked=(patch,),
        sinks=(box_sink("sink-01", 0.0), box_sink("sink-02", 10.5)),
        estimates=(an_estimate(),),
        findings=(Finding(check="clearance", level="ok", text="The sinks keep 0.3000 mm."),),
        warnings=("A made-up part.",),
    )
    return lambda **changes: replace(whole, **changes)
