"""Sharp edges by hand on a box and a wedge, and beside VTK's feature edges on the sample parts."""

from pathlib import Path

import numpy as np
import pytest
import pyvista

from core.part.face_neighbours import rim_edges
from core.part.load_part import load_part
from core.part.part import Part
from core.part.sharp_edges import SHARP_DEG, sharp_edges_mm
from tests.sink.simple_parts import box, low_faces, part_of

SAMPLES = Path(__file__).parents[2] / "sample_parts"


def length_mm(ends_mm: np.ndarray) -> float:
    return float(np.linalg.norm(ends_mm[:, 1] - ends_mm[:, 0], axis=1).sum())


def test_a_box_has_twelve_edges_and_its_diagonals_are_none() -> None:
    ends = sharp_edges_mm(part_of(box(30, 20, 10)))
    assert len(ends) == 12 and length_mm(ends) == pytest.approx(4 * (30 + 20 + 10))


def test_an_open_edge_is_drawn_too() -> None:
    vertices, triangles = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]]), np.array([[0, 1, 2]], dtype=np.int32)
    bare = Part(name="", file_format="", units="mm", vertices_mm=vertices, triangles=triangles)
    assert length_mm(sharp_edges_mm(bare)) == pytest.approx(2 + np.sqrt(2))


@pytest.mark.parametrize("name", ["sensor-bracket.stl", "sensor-fairing.stl", "valve-body.stl"])
def test_vtk_finds_the_same_edges(name: str) -> None:
    """Its feature edges through pyvista, an independent reference: the same number and the same length in all."""
    part = load_part(SAMPLES / name)
    mesh = pyvista.make_tri_mesh(part.vertices_mm, part.triangles)
    found = mesh.extract_feature_edges(SHARP_DEG, non_manifold_edges=False)
    ours = sharp_edges_mm(part)
    assert len(ours) == found.n_lines > 20
    pairs = found.lines.reshape(-1, 3)[:, 1:]
    assert length_mm(ours) == pytest.approx(length_mm(np.asarray(found.points)[pairs]), rel=1e-5)


def test_the_rim_of_a_ceiling_is_its_outline() -> None:
    part = part_of(box(5, 10, 30) + box(25, 10, 2, (0, 0, 10)))
    ends = part.vertices_mm[rim_edges(part, low_faces(part))]
    assert length_mm(ends) == pytest.approx(2 * (20 + 10))
