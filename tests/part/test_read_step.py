"""STEP files written by Open CASCADE: size, unit, volume, faces; and files that hold no solid."""

import math
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from core.part import read_step, step_child
from core.part.downskin import find_patches, grow_faces
from core.part.load_part import READERS, load_part
from core.part.part import Part
from core.refusal import Refusal

pytest.importorskip("OCP.STEPControl")
Loader = Callable[..., Part]


@pytest.fixture(autouse=True)
def in_this_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Starting a child for every file would take most of the time; the tests of the child undo this."""
    monkeypatch.setitem(READERS, "step", read_step.read_step)


def write(shapes: list[Any], path: Path, unit: str = "MM") -> Path:
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.Message import Message, Message_Gravity
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", unit)
    for shape in shapes:
        assert writer.Transfer(shape, STEPControl_AsIs) == IFSelect_RetDone
    assert writer.Write(str(path)) == IFSelect_RetDone
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    return path


def cylinder(radius: float = 5.0, height: float = 10.0) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

    return BRepPrimAPI_MakeCylinder(radius, height).Solid()


def moved(shape: Any, x: float, y: float, z: float, turn_deg: float = 0.0) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec

    turn, move = gp_Trsf(), gp_Trsf()
    turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)), math.radians(turn_deg))
    move.SetTranslation(gp_Vec(x, y, z))
    return BRepBuilderAPI_Transform(shape, move.Multiplied(turn), True).Shape()


@pytest.mark.parametrize(("unit", "name"), [("MM", "mm"), ("INCH", "in"), ("M", "m")])
def test_a_cylinder_arrives_in_mm_whatever_the_unit_of_the_file(tmp_path: Path, unit: str, name: str) -> None:
    part = load_part(write([cylinder()], tmp_path / "c.step", unit))
    assert part.size_mm == pytest.approx([10, 10, 10], abs=2e-3)
    assert part.volume_mm3 == pytest.approx(math.pi * 250, rel=1e-3)
    assert part.units == name and part.file_format == "step"
    assert part.health.buildable and part.health.repaired == ()
    assert set(part.brep_face.tolist()) == {0, 1, 2}


def test_spheres_tori_cones_and_holes_are_watertight(tmp_path: Path) -> None:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import (
        BRepPrimAPI_MakeBox,
        BRepPrimAPI_MakeCone,
        BRepPrimAPI_MakeSphere,
        BRepPrimAPI_MakeTorus,
    )

    block = BRepAlgoAPI_Cut(
        BRepPrimAPI_MakeBox(20.0, 20.0, 20.0).Solid(), moved(cylinder(3, 60), 10, 10, -5, 20)
    ).Shape()
    bodies = {
        "sphere": (BRepPrimAPI_MakeSphere(10.0).Solid(), 4 / 3 * math.pi * 1000),
        "torus": (BRepPrimAPI_MakeTorus(10.0, 3.0).Solid(), 2 * math.pi**2 * 10 * 9),
        "cone": (BRepPrimAPI_MakeCone(8.0, 0.0, 12.0).Solid(), math.pi * 64 * 12 / 3),
        "drilled": (block, 8000 - math.pi * 9 * 20 / math.cos(math.radians(20))),
    }
    for name, (shape, volume) in bodies.items():
        part = load_part(write([shape], tmp_path / f"{name}.step"))
        assert part.health.buildable, (name, part.health)
        assert part.health.repaired == (), name
        assert part.volume_mm3 == pytest.approx(volume, rel=5e-3), name


def test_triangles_lie_within_the_stated_distance_of_the_cylinder(tmp_path: Path) -> None:
    part = load_part(write([cylinder(50, 20)], tmp_path / "c.step"))
    a, b, c = (part.corners_mm[:, i, :2] for i in range(3))
    wall = np.abs(part.normals[:, 2]) < 0.5
    middles = np.concatenate([(a + b) / 2, (b + c) / 2, (a + c) / 2])[np.tile(wall, 3)]
    assert (50 - np.hypot(*middles.T)).max() <= read_step.LINEAR_MM * 1.01


def test_a_child_process_reads_the_same_as_this_one(tmp_path: Path) -> None:
    data = write([cylinder()], tmp_path / "c.step", "INCH").read_bytes()
    here, there = read_step.read_step(data), step_child.read_step_in_child(data)
    assert np.array_equal(here.points, there.points) and np.array_equal(here.triangles, there.triangles)
    assert np.array_equal(here.brep_face, there.brep_face)
    assert (here.unit, here.warnings, here.file_format) == (there.unit, there.warnings, there.file_format)


def test_a_click_takes_the_whole_low_angle_part_of_a_face(tmp_path: Path) -> None:
    lying = moved(cylinder(), 0, 0, 20, 90)
    part = load_part(write([lying], tmp_path / "c.step"))
    (patch,) = find_patches(part, 45.0, 0.04)
    assert np.array_equal(grow_faces(part, int(patch.faces[0]), 45.0, 0.0), patch.faces)


def test_several_solids_become_one_part_with_a_warning(tmp_path: Path) -> None:
    part = load_part(write([cylinder(), moved(cylinder(), 30, 0, 0)], tmp_path / "two.step"))
    assert part.health.bodies == 2 and len(set(part.brep_face.tolist())) == 6
    assert any("2 solids" in warning for warning in part.warnings)


def test_a_file_without_a_solid_is_refused(tmp_path: Path) -> None:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.gp import gp_Pln

    face = BRepBuilderAPI_MakeFace(gp_Pln(), 0.0, 10.0, 0.0, 10.0).Face()
    with pytest.raises(Refusal, match="no solid"):
        load_part(write([face], tmp_path / "face.step"))


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9])
def test_damaged_files_are_refused_in_one_line(tmp_path: Path, load_bytes: Loader, share: float) -> None:
    data = write([cylinder()], tmp_path / "c.step").read_bytes()
    cut = data[: max(20, int(len(data) * share))]
    with pytest.raises(Refusal) as refusal:
        load_bytes(cut, "cut.step")
    assert "\n" not in str(refusal.value) and len(str(refusal.value)) <= 400


def test_reading_prints_nothing(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = write([cylinder()], tmp_path / "c.step")
    capfd.readouterr()
    load_part(path)
    path.write_bytes(path.read_bytes()[:2000])
    with pytest.raises(Refusal):
        load_part(path)
    assert capfd.readouterr() == ("", "")


def test_a_missing_package_is_said_with_the_command_that_installs_it(
    load_bytes: Loader, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(READERS, "step", step_child.read_step_in_child)
    monkeypatch.setattr(step_child, "step_can_be_read", lambda: False)
    with pytest.raises(Refusal, match=r'pip install "underfin\[step\]"'):
        load_bytes(b"ISO-10303-21;\nHEADER;\n", "part.step")


def test_a_reader_that_crashes_or_hangs_becomes_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    def crash(*command: Any, **options: Any) -> subprocess.CompletedProcess[bytes]:
        return subprocess.CompletedProcess(command, -11)

    def hang(*command: Any, **options: Any) -> subprocess.CompletedProcess[bytes]:
        raise subprocess.TimeoutExpired("reader", 1)

    for fault, sentence in ((crash, "broke off"), (hang, "minutes")):
        monkeypatch.setattr(step_child.subprocess, "run", fault)
        with pytest.raises(Refusal, match=sentence):
            step_child.read_step_in_child(b"ISO-10303-21;")


def test_random_damage_never_ends_the_program(
    tmp_path: Path, load_bytes: Loader, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(READERS, "step", step_child.read_step_in_child)
    # the library itself crashes on some files damaged like this (seen with OCP 8.0.1); only the child may end
    data = write([cylinder()], tmp_path / "c.step").read_bytes()
    rng = np.random.default_rng(1)
    for _ in range(2):
        damaged = bytearray(data)
        for at in rng.integers(len(data) // 3, len(data), 6):
            damaged[at] = rng.choice(list(b"0123456789#.,()'-*$"))
        try:
            assert load_bytes(bytes(damaged), "damaged.step").n_faces > 0
        except Refusal as refusal:
            assert "\n" not in str(refusal) and len(str(refusal)) <= 400
