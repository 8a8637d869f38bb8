"""Meshes that our libraries carry in their wheels or make: scans, isosurfaces, an aeroplane made of open sheets.

Each is loaded, turned, set down and built on: sinks that keep every promise, or one clear sentence; never a hang.
Nothing is downloaded. The files belong to pyvista (MIT) and VTK (BSD) and are read where they are installed.
"""

import time
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
from vtkmodules.vtkCommonComputationalGeometry import (
    vtkParametricBoy,
    vtkParametricFunction,
    vtkParametricKlein,
    vtkParametricMobius,
    vtkParametricSuperToroid,
)
from vtkmodules.vtkCommonDataModel import vtkImageData, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkFlyingEdges3D, vtkTriangleFilter
from vtkmodules.vtkFiltersGeometry import vtkDataSetSurfaceFilter
from vtkmodules.vtkFiltersSources import vtkParametricFunctionSource, vtkPlatonicSolidSource, vtkSuperquadricSource
from vtkmodules.vtkIOLegacy import vtkUnstructuredGridReader
from vtkmodules.vtkIOPLY import vtkPLYReader
from vtkmodules.vtkIOXML import vtkXMLImageDataReader

from core.export.write_stl import write_stl
from core.part.downskin import find_patches
from core.part.load_part import load_part
from core.part.part import Part
from core.part.place_on_plate import Pose, place_on_plate
from core.progress import GoesOn, Stopped
from core.refusal import Refusal
from core.sink.build_sink import build_sink
from core.sink.sink_choice import SinkChoice
from tests.sink.promises import broken, measured
from tests.sink.simple_parts import low_faces, shelf
from tests.sink.solid_as_read import Solid

SIZE_MM = 60.0
GAP_MM = 0.3
MOST_SECONDS = 20.0
LONGEST_SILENCE_S = 10.0
"""How long a build may go without asking whether it should go on."""


def examples() -> Path:
    spec = find_spec("pyvista")
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).parent / "examples"


def ply(name: str) -> vtkPolyData:
    reader = vtkPLYReader()
    reader.SetFileName(str(examples() / f"{name}.ply"))
    reader.Update()
    return reader.GetOutput()


def isosurface(name: str, share: float) -> vtkPolyData:
    """Closed surface at a share of the way from the lowest to the highest value of an image, one value per voxel."""
    reader = vtkXMLImageDataReader()
    reader.SetFileName(str(examples() / f"{name}.vti"))
    reader.Update()
    image = reader.GetOutput()
    data = image.GetPointData() if image.GetPointData().GetNumberOfArrays() else image.GetCellData()
    shape = np.array(image.GetDimensions()) - (data is image.GetCellData())
    values = vtk_to_numpy(data.GetArray(0)).astype(np.float64).reshape(shape[::-1])
    low, high = float(values.min()), float(values.max())
    padded = np.pad(values, 1, constant_values=low)
    whole = vtkImageData()
    whole.SetDimensions(*padded.shape[::-1])
    whole.SetSpacing(image.GetSpacing())
    whole.GetPointData().SetScalars(numpy_to_vtk(padded.ravel(), deep=True))
    edges = vtkFlyingEdges3D()
    edges.SetInputData(whole)
    edges.SetValue(0, low + share * (high - low))
    edges.ComputeNormalsOff()
    edges.Update()
    return edges.GetOutput()


def beam() -> vtkPolyData:
    reader = vtkUnstructuredGridReader()
    reader.SetFileName(str(examples() / "hexbeam.vtk"))
    surface = vtkDataSetSurfaceFilter()
    surface.SetInputConnection(reader.GetOutputPort())
    surface.Update()
    return surface.GetOutput()


def parametric(function: vtkParametricFunction) -> vtkPolyData:
    source = vtkParametricFunctionSource()
    source.SetParametricFunction(function)
    source.SetUResolution(40)
    source.SetVResolution(40)
    source.Update()
    return source.GetOutput()


def icosahedron() -> vtkPolyData:
    source = vtkPlatonicSolidSource()
    source.SetSolidTypeToIcosahedron()
    source.Update()
    return source.GetOutput()


def pillow() -> vtkPolyData:
    source = vtkSuperquadricSource()
    source.SetThetaResolution(48)
    source.SetPhiResolution(32)
    source.SetPhiRoundness(0.3)
    source.SetThetaRoundness(0.3)
    source.Update()
    return source.GetOutput()


MESHES = {
    "airplane": lambda: ply("airplane"),
    "ant": lambda: ply("ant"),
    "nut": lambda: ply("nut"),
    "sphere": lambda: ply("sphere"),
    "beam": beam,
    "frog": lambda: isosurface("frog_tissues", 0.5),
    "channels": lambda: isosurface("channels", 0.5),
    "icosahedron": icosahedron,
    "pillow": pillow,
    "Klein bottle": lambda: parametric(vtkParametricKlein()),
    "Boy's surface": lambda: parametric(vtkParametricBoy()),
    "Möbius band": lambda: parametric(vtkParametricMobius()),
    "super toroid": lambda: parametric(vtkParametricSuperToroid()),
}
HEAVY = ("frog", "channels")
HEAVY_POSES = {("pillow", "on its side"), ("super toroid", "on its side"), ("super toroid", "askew")}
POSES = {"as it is": (0.0, 0.0, 0.0), "on its side": (90.0, 0.0, 0.0), "askew": (20.0, 35.0, 50.0)}


def loaded(name: str, folder: Path) -> Part:
    """The mesh as a part of 60 mm, through a file. Raises Refusal where the file can't be a part."""
    triangles = vtkTriangleFilter()
    triangles.PassLinesOff()
    triangles.PassVertsOff()
    triangles.SetInputData(MESHES[name]())
    triangles.Update()
    surface = triangles.GetOutput()
    points = vtk_to_numpy(surface.GetPoints().GetData()).astype(np.float64)
    corners = vtk_to_numpy(surface.GetPolys().GetConnectivityArray()).reshape(-1, 3)
    points = (points - points.min(axis=0)) * (SIZE_MM / float(np.ptp(points, axis=0).max()))
    return load_part(write_stl(folder / "mesh.stl", points, corners.astype(np.int32)), "mm")


@pytest.fixture(scope="module", autouse=True)
def _compiled() -> None:
    """What is timed below doesn't wait for the compiler."""
    part = shelf()
    build_sink(part, low_faces(part), SinkChoice(), GAP_MM, name="sink")


CASES = [
    pytest.param(name, pose, marks=pytest.mark.slow if name in HEAVY or (name, pose) in HEAVY_POSES else ())
    for name in MESHES
    for pose in POSES
]


@pytest.mark.parametrize(("name", "pose"), CASES)
def test_a_mesh_from_a_package_gets_sinks_that_keep_every_promise_or_one_sentence(
    name: str, pose: str, tmp_path: Path
) -> None:
    try:
        part = place_on_plate(loaded(name, tmp_path), Pose(rotate_deg=POSES[pose], drop=True))
    except Refusal as refusal:
        assert 20 <= len(str(refusal)) <= 400
        return
    solid = Solid(vertices_mm=part.vertices_mm, triangles=part.triangles)
    patches = [patch for patch in find_patches(part, 45.0, 0.04) if patch.area_mm2 >= 1.0]
    said = []
    for patch in patches[:3]:
        start, start_cpu = time.perf_counter(), time.process_time()
        try:
            sinks = build_sink(part, patch.faces, SinkChoice(), GAP_MM, name="sink", patch_ids=(patch.id,))
        except Refusal as refusal:
            assert 20 <= len(str(refusal)) <= 400 and "\n" not in str(refusal)
            sinks = ()
        else:
            assert part.health.buildable
        assert min(time.perf_counter() - start, time.process_time() - start_cpu) < MOST_SECONDS
        found = [measured(solid, patch.faces, sink, GAP_MM, tmp_path) for sink in sinks]
        said += [f"patch {patch.id}: {text}" for text in broken(sinks, found, GAP_MM)]
    assert not said, "\n".join(said)


@pytest.mark.parametrize("name", ["airplane", "Möbius band", "Klein bottle"])
def test_a_surface_without_an_inside_gets_no_sink_but_a_sentence(name: str, tmp_path: Path) -> None:
    part = loaded(name, tmp_path)
    assert not part.health.buildable
    faces = np.flatnonzero(part.normals[:, 2] < -0.8)[:5].astype(np.int32)
    with pytest.raises(Refusal, match="No sink can be built"):
        build_sink(part, faces, SinkChoice(), GAP_MM, name="sink")


def test_a_long_build_asks_often_whether_to_go_on_and_stops_when_told(tmp_path: Path) -> None:
    part = place_on_plate(loaded("pillow", tmp_path), Pose(rotate_deg=(20.0, 35.0, 50.0), drop=True))
    patch = max(find_patches(part, 45.0, 0.04), key=lambda one: one.area_mm2)
    asked: list[float] = []
    moments = [time.perf_counter()]

    def go_on(share: float) -> bool:
        asked.append(share)
        moments.append(time.perf_counter())
        return True

    build_sink(part, patch.faces, SinkChoice(), GAP_MM, name="sink", goes_on=go_on)
    moments.append(time.perf_counter())
    assert len(asked) >= 5 and np.diff(asked).min() > -1e-9 and asked[0] >= 0 and asked[-1] <= 1
    assert np.diff(moments).max() < LONGEST_SILENCE_S
    for stop_at in (1, len(asked) // 2, len(asked)):
        with pytest.raises(Stopped):
            build_sink(part, patch.faces, SinkChoice(), GAP_MM, name="sink", goes_on=stops_at(stop_at))


def stops_at(count: int) -> GoesOn:
    """A listener that says stop when it is asked for that many times."""
    calls = iter(range(1, count + 1))
    return lambda _: next(calls) < count
