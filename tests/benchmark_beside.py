"""Our speed beside general-purpose libraries on the same input: manifold3d, trimesh, VTK."""

import sys

import numpy as np
from benchmark_figures import Figure, beside, seconds, seconds_warm
from benchmark_parts import ROOT, cambered_plate, plate_stl

N_POINTS = 20_000


def measure_beside_minkowski() -> list[Figure]:
    """A sink with its exact check beside the part grown by a ball of one gap, which is only the surface to cut with."""
    import manifold3d as m3d

    from core.part.downskin import find_patches
    from core.sink.build_sink import build_sink
    from core.sink.sink_choice import SinkChoice

    part = cambered_plate(600)
    solid = m3d.Manifold(m3d.Mesh64(part.vertices_mm, part.triangles.astype(np.uint64)))
    ball = m3d.Manifold.sphere(0.3, 32)
    faces = find_patches(part, 45.0, 0.04)[0].faces
    own = seconds(lambda: build_sink(part, faces, SinkChoice(), 0.3, name="s"))
    other = seconds_warm(lambda: solid.minkowski_sum(ball).num_tri())
    return beside(f"sink, {part.n_faces} triangles", "manifold3d Minkowski sum", own, other)


def measure_beside_slicing() -> list[Figure]:
    """The pieces of outline of the layers of 1M triangles."""
    sys.path.insert(0, str(ROOT / "tests" / "part"))
    from measure_layers import measure_slicing

    found = measure_slicing()
    own_ms = found["trimesh segments per layer ms"] / found["trimesh over own, segments per layer"]
    return beside(
        f"outline pieces of a layer, {found['triangles'] / 1e6:.0f}M triangles", "trimesh",
        own_ms / 1e3, found["trimesh segments per layer ms"] / 1e3, per="ms",
    )  # fmt: skip


def measure_beside_voxels() -> list[Figure]:
    """A body of 50k triangles filled with cells, and how far each volume is off."""
    import trimesh

    from core.checks.voxels import Grid, filled

    part = cambered_plate(50_000)
    cell = 0.5
    low, high = part.low_mm - cell, part.high_mm + cell
    x, y, z = (int(n) for n in np.ceil((high - low) / cell))
    grid = Grid(low_mm=low, cell_mm=cell, shape=(x, y, z))
    mesh = trimesh.Trimesh(part.vertices_mm, part.triangles, process=False)

    def other() -> "trimesh.voxel.VoxelGrid":
        return mesh.voxelized(cell).fill()

    own_cells = int(filled(part.vertices_mm, part.triangles, grid).sum())
    figures = beside(
        f"fill with {x * y * z / 1e6:.1f}M cells", "trimesh",
        seconds(lambda: filled(part.vertices_mm, part.triangles, grid)), seconds(other),
    )  # fmt: skip
    for name, cells in (("ours", own_cells), ("trimesh", int(other().filled_count))):
        off = abs(cells * cell**3 / float(mesh.volume) - 1) * 100
        target = 1.0 if name == "ours" else None
        figures.append(Figure(what=f"volume of the filled cells off by: {name}", value=off, unit="%", target=target))
    return figures


def measure_beside_load() -> list[Figure]:
    """Read a binary STL of 1M triangles and give equal corners one number; no checks of the mesh on either side."""
    from vtkmodules.vtkFiltersCore import vtkCleanPolyData
    from vtkmodules.vtkIOGeometry import vtkSTLReader

    from core.part.read_stl import read_stl
    from core.part.weld import weld_exactly

    file = plate_stl(1_000_000)

    def other() -> int:
        reader = vtkSTLReader()
        reader.SetFileName(str(file))
        reader.MergingOff()
        clean = vtkCleanPolyData()
        clean.SetInputConnection(reader.GetOutputPort())
        clean.Update()
        return int(clean.GetOutput().GetNumberOfPoints())

    def own() -> int:
        raw = read_stl(file.read_bytes())
        number, points = weld_exactly(raw.points)
        return len(points) if len(number[raw.triangles]) else 0

    if other() != own():
        raise RuntimeError("The two readers disagree on the number of points.")
    return beside("read and weld a 1M-triangle STL", "VTK reader and cleaner", seconds(own), seconds(other))


def measure_beside_nearest() -> list[Figure]:
    """Nearest point of a 200k-triangle part, for points around it; both trees are built before."""
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
    from vtkmodules.vtkCommonCore import vtkDoubleArray, vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
    from vtkmodules.vtkFiltersCore import vtkImplicitPolyDataDistance

    from core.part.triangle_tree import TriangleTree

    part = cambered_plate(200_000)
    rng = np.random.default_rng(1)
    points = rng.uniform(part.low_mm - 3.0, part.high_mm + 3.0, (N_POINTS, 3))
    body = vtkPolyData()
    corners, faces = vtkPoints(), vtkCellArray()
    corners.SetData(numpy_to_vtk(part.vertices_mm, deep=True))
    offsets = np.arange(0, 3 * part.n_faces + 1, 3, dtype=np.int64)
    faces.SetData(numpy_to_vtkIdTypeArray(offsets, deep=True),
                  numpy_to_vtkIdTypeArray(part.triangles.astype(np.int64).ravel(), deep=True))  # fmt: skip
    body.SetPoints(corners)
    body.SetPolys(faces)
    distance = vtkImplicitPolyDataDistance()
    distance.SetInput(body)
    asked, answer = numpy_to_vtk(points, deep=True), vtkDoubleArray()

    def other() -> object:
        distance.EvaluateFunction(asked, answer)
        return answer

    tree = TriangleTree.of(part.corners_mm)
    other()
    apart = np.abs(np.abs(vtk_to_numpy(answer)) - tree.nearest(points)[0]).max()
    if apart > 1e-4:
        raise RuntimeError(f"The two distances differ by {apart:.2g} mm.")
    own = seconds(lambda: tree.nearest(points))
    return beside("nearest point of 200k triangles, each", "VTK distance", own / N_POINTS,
                  seconds(other) / N_POINTS, per="us")  # fmt: skip
