"""What is written reads back the same in readers that aren't ours: trimesh for STL, lib3mf and ElementTree for 3MF."""

import xml.etree.ElementTree as ElementTree
import zipfile
from collections.abc import Callable
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from core.export.body import Body
from core.export.read_back import check_3mf, check_solid, check_stl, enclosed_volume_mm3, read_stl
from core.export.result import JobResult
from core.export.write_3mf import write_3mf
from core.export.write_stl import joined, write_stl
from core.refusal import Refusal

Make = Callable[..., JobResult]
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


def test_an_independent_reader_finds_the_same_triangles_in_the_stl(make_result: Make, tmp_path: Path) -> None:
    sink = make_result().sinks[0]
    path = write_stl(tmp_path / "a.stl", sink.vertices_mm, sink.triangles)
    read = trimesh.load(path)
    assert np.array_equal(np.asarray(read.triangles), sink.vertices_mm[sink.triangles])
    assert read.is_watertight and read.volume == pytest.approx(sink.volume_mm3, rel=1e-9)


def test_the_stl_has_the_size_and_header_of_the_format(make_result: Make, tmp_path: Path) -> None:
    """80 byte header, count, 50 bytes a facet: StereoLithography Interface Specification 1989 (from memory)."""
    sink = make_result().sinks[0]
    data = write_stl(tmp_path / "a.stl", sink.vertices_mm, sink.triangles).read_bytes()
    assert len(data) == 84 + 50 * 12
    assert not data.lower().startswith(b"solid") and b"Underfin" in data[:80]


def test_the_same_sink_gives_the_same_bytes(make_result: Make, tmp_path: Path) -> None:
    sink = make_result().sinks[0]
    files = [write_stl(tmp_path / name, sink.vertices_mm, sink.triangles) for name in ("a.stl", "b.stl")]
    assert files[0].read_bytes() == files[1].read_bytes()
    body = Body(name="a", vertices_mm=sink.vertices_mm, triangles=sink.triangles)
    packages = [write_3mf(tmp_path / name, [body]) for name in ("a.3mf", "b.3mf")]
    assert packages[0].read_bytes() == packages[1].read_bytes()


def test_a_sink_that_does_not_hold_float32_values_is_refused(make_result: Make, tmp_path: Path) -> None:
    sink = make_result().sinks[0]
    moved = sink.vertices_mm + 1e-9
    path = write_stl(tmp_path / "a.stl", moved, sink.triangles)
    with pytest.raises(Refusal, match="corners moved"):
        check_stl(path, moved, sink.triangles)


def test_every_flipped_byte_of_the_coordinates_is_noticed(make_result: Make, tmp_path: Path) -> None:
    sink = make_result().sinks[0]
    path = write_stl(tmp_path / "a.stl", sink.vertices_mm, sink.triangles)
    good = path.read_bytes()
    for place in range(84 + 12, 84 + 48):
        path.write_bytes(good[:place] + bytes([good[place] ^ 0x41]) + good[place + 1 :])
        with pytest.raises(Refusal):
            check_stl(path, sink.vertices_mm, sink.triangles)


def test_a_cut_off_stl_is_refused(make_result: Make, tmp_path: Path) -> None:
    sink = make_result().sinks[0]
    path = write_stl(tmp_path / "a.stl", sink.vertices_mm, sink.triangles)
    good = path.read_bytes()
    for length in (0, 40, 80, 83, 84, 85, len(good) - 1):
        path.write_bytes(good[:length])
        with pytest.raises(Refusal, match="written whole"):
            read_stl(path)


def test_a_box_is_a_solid_and_its_volume_is_length_times_width_times_height(make_result: Make) -> None:
    sink = make_result().sinks[0]
    corners = sink.vertices_mm[sink.triangles]
    assert enclosed_volume_mm3(corners + 1000.0) == pytest.approx(10 * 20 * 9.7, rel=1e-6)
    check_solid("box", corners, 10 * 20 * float(np.float32(9.7)))


def test_what_is_not_a_solid_is_refused_with_the_reason(make_result: Make) -> None:
    sink = make_result().sinks[0]
    corners = sink.vertices_mm[sink.triangles]
    with pytest.raises(Refusal, match="3 of its edges are open"):
        check_solid("open box", corners[1:])
    with pytest.raises(Refusal, match="inside out"):
        check_solid("inverted box", corners[:, ::-1])
    with pytest.raises(Refusal, match="encloses"):
        check_solid("other volume", corners, 2000.0)
    with pytest.raises(Refusal, match="used twice"):
        check_solid("two boxes that share an edge", np.concatenate([corners, corners + [10.0, 20.0, 0.0]]))
    with pytest.raises(Refusal, match="used twice"):
        check_solid("the same box twice", np.concatenate([corners, corners]))


def strictly_read(path: Path) -> lib3mf.Model:
    """The model as lib3mf's strict reader sees it, without a warning."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    return model


def test_a_strict_3mf_reader_accepts_the_build_and_finds_every_body(make_result: Make, tmp_path: Path) -> None:
    sinks = make_result().sinks
    names = ['Ventil & <Deckel> "ü"', "sink-01"]
    bodies = [
        Body(name=names[0], vertices_mm=sinks[0].vertices_mm, triangles=sinks[0].triangles, object_type="model"),
        Body(name=names[1], vertices_mm=sinks[1].vertices_mm, triangles=sinks[1].triangles),
    ]
    path = write_3mf(tmp_path / "build.3mf", bodies, "abc")
    model = strictly_read(path)
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    assert model.GetBuildItems().Count() == 2
    objects, seen = model.GetMeshObjects(), []
    while objects.MoveNext():
        mesh = objects.GetCurrentMeshObject()
        assert mesh.IsManifoldAndOriented()
        seen.append((mesh.GetName(), mesh.GetType()))
    assert seen == [(names[0], lib3mf.ObjectType.Model), (names[1], lib3mf.ObjectType.SolidSupport)]
    check_3mf(path, bodies)


def test_the_3mf_text_has_unit_types_and_items_as_the_core_specification_asks(
    make_result: Make, tmp_path: Path
) -> None:
    """3MF Core Specification 1.3, sections 3.4 and 4.1 (from memory)."""
    sink = make_result().sinks[0]
    body = Body(name="sink-01", vertices_mm=sink.vertices_mm, triangles=sink.triangles)
    with zipfile.ZipFile(write_3mf(tmp_path / "a.3mf", [body])) as package:
        root = ElementTree.fromstring(package.read("3D/3dmodel.model"))  # noqa: S314  our own file
    assert root.get("unit") == "millimeter"
    assert [o.get("type") for o in root.iter(f"{CORE}object")] == ["solidsupport"]
    assert [i.get("objectid") for i in root.iter(f"{CORE}item")] == ["1"]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-1e5, 1e5, width=32), min_size=12, max_size=12))
def test_coordinates_come_back_from_the_3mf_to_the_last_bit(
    tmp_path_factory: pytest.TempPathFactory, values: list[float]
) -> None:
    points = np.array(values).reshape(4, 3)
    triangles = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]], dtype=np.int32)
    body = Body(name="tetrahedron", vertices_mm=points, triangles=triangles)
    path = write_3mf(tmp_path_factory.mktemp("exact") / "a.3mf", [body])
    check_3mf(path, [body])
    mesh = strictly_read(path).GetMeshObjects()
    mesh.MoveNext()
    read = np.array([v.Coordinates[:] for v in mesh.GetCurrentMeshObject().GetVertices()])
    assert np.array_equal(read, points)


def test_another_body_name_type_or_corner_in_the_3mf_is_noticed(make_result: Make, tmp_path: Path) -> None:
    sink = make_result().sinks[0]
    body = Body(name="sink-01", vertices_mm=sink.vertices_mm, triangles=sink.triangles)
    path = write_3mf(tmp_path / "a.3mf", [body])
    for other in (
        Body(name="sink-02", vertices_mm=sink.vertices_mm, triangles=sink.triangles),
        Body(name="sink-01", vertices_mm=sink.vertices_mm, triangles=sink.triangles, object_type="model"),
        Body(name="sink-01", vertices_mm=sink.vertices_mm + 0.001, triangles=sink.triangles),
        Body(name="sink-01", vertices_mm=sink.vertices_mm, triangles=sink.triangles[::-1]),
    ):
        with pytest.raises(Refusal):
            check_3mf(path, [other])
    with pytest.raises(Refusal, match="1 bodies instead of 2"):
        check_3mf(path, [body, body])


def test_joined_sinks_keep_their_order(make_result: Make) -> None:
    first, second = make_result().sinks
    vertices, triangles = joined([(first.vertices_mm, first.triangles), (second.vertices_mm, second.triangles)])
    assert np.array_equal(vertices[triangles][12:], second.vertices_mm[second.triangles])
