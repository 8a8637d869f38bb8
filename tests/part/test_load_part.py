"""The one door: which format it is, which unit, and files that can't be opened at all."""

import math
import os
from collections.abc import Callable
from pathlib import Path

import pytest
import trimesh

from core.part.load_part import load_part, recognise
from core.part.part import Part
from core.refusal import Refusal

Loader = Callable[..., Part]


def stl(size: float = 10.0) -> bytes:
    return bytes(trimesh.creation.box((size, size / 2, size / 4)).export(file_type="stl"))


@pytest.mark.parametrize("name", ["part.stl", "part.obj", "part", "part.step", "PART.STL"])
def test_the_content_decides_what_a_file_is(load_bytes: Loader, name: str) -> None:
    assert load_bytes(stl(), name).file_format == "stl"


def test_formats_are_told_apart_by_content() -> None:
    assert recognise(b"ply\nformat ascii 1.0\n", "x.stl") == "ply"
    assert recognise(b"PK\x03\x04....", "x.stl") == "3mf"
    assert recognise(b"/* made by */ ISO-10303-21;\n", "x") == "step"
    assert recognise(b"# hello\nv 0 0 0\nv 1 0 0\n", "x") == "obj"
    with pytest.raises(Refusal):
        recognise(b"hello", "letter.txt")
    with pytest.raises(Refusal):
        recognise(b"hello", "x.ply")


@pytest.mark.parametrize(
    ("unit", "mm"), [("mm", 1.0), ("in", 25.4), ("m", 1000.0), ("um", 1e-3), ("cm", 10.0), ("ft", 304.8)]
)
def test_a_given_unit_is_taken_without_a_word(load_bytes: Loader, unit: str, mm: float) -> None:
    # inch and foot: exact by the international yard and pound agreement of 1959
    part = load_bytes(stl(), "part.stl", unit)
    assert part.size_mm == pytest.approx([10 * mm, 5 * mm, 2.5 * mm])
    assert part.units == unit and part.warnings == ()


@pytest.mark.parametrize("unit", ["yard", "MM", "", "mm; rm -rf"])
def test_an_unknown_unit_is_refused(load_bytes: Loader, unit: str) -> None:
    with pytest.raises(Refusal, match="unit"):
        load_bytes(stl(), "part.stl", unit)


@pytest.mark.parametrize(
    ("size", "hint"), [(0.5, "With in"), (0.05, "With m "), (50_000.0, "With um"), (1.0, ""), (1500.0, "")]
)
def test_a_doubtful_size_is_said_with_the_unit_that_fits(load_bytes: Loader, size: float, hint: str) -> None:
    part = load_bytes(stl(size), "part.stl")
    assert part.units == "mm" and bool(part.warnings) == bool(hint)
    if hint:
        assert hint in part.warnings[0] and "states no unit" in part.warnings[0]


def test_a_part_far_from_the_origin_is_said(load_bytes: Loader) -> None:
    mesh = trimesh.creation.box((100, 100, 100)).apply_translation([1e6, 0, 0])
    part = load_bytes(bytes(mesh.export(file_type="stl")), "far.stl")
    assert any("from the origin" in warning for warning in part.warnings)


def test_files_that_are_not_there_or_no_files_are_refused(tmp_path: Path) -> None:
    (tmp_path / "empty.stl").touch()
    os.mkfifo(tmp_path / "pipe.stl")
    (tmp_path / "dangling.stl").symlink_to(tmp_path / "nowhere")
    for name in ("missing.stl", "empty.stl", "pipe.stl", "dangling.stl", "", "x\0y.stl", "a" * 300 + ".stl"):
        with pytest.raises(Refusal) as refusal:
            load_part(f"{tmp_path}/{name}")
        assert "\n" not in str(refusal.value) and len(str(refusal.value)) <= 400


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read every file")
def test_a_file_without_permission_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "secret.stl"
    path.write_bytes(stl())
    path.chmod(0)
    with pytest.raises(Refusal, match="may not be read"):
        load_part(path)


def test_the_name_of_the_part_is_the_name_of_the_file(load_bytes: Loader) -> None:
    assert load_bytes(stl(), "pump housing.stl").name == "pump housing"


def test_the_volume_of_a_loaded_ball_is_that_of_the_polyhedron(load_mesh: Loader) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=10)
    part = load_mesh(mesh)
    assert part.volume_mm3 == pytest.approx(mesh.volume)
    assert part.volume_mm3 == pytest.approx(4 / 3 * math.pi * 1000, rel=0.01)
