"""Compiles core's inner loops once after installing, in a process of its own, so that the first click doesn't wait."""

import os
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, Signal

from app.readiness import ALL, PART, SINKS, Readiness
from app.settings import Settings
from core.units import FloatArray, IntArray
from core.version import VERSION

if TYPE_CHECKING:
    from core.export.result import JobResult

ROOT = Path(__file__).resolve().parents[1]


def loops_version() -> str:
    """Changes with every release, numba version and edit of core."""
    from importlib.metadata import version

    newest = max((path.stat().st_mtime_ns for path in (ROOT / "core").rglob("*.py")), default=0)
    return f"{VERSION} {version('numba')} {newest}"


def shelf() -> tuple[FloatArray, IntArray]:
    """(12, 3) points in mm and (20, 3) triangles of a shelf on a foot, whose underside hangs at 6°."""
    profile = [(0, 0), (10, 0), (10, 20), (30, 22), (30, 27), (0, 27)]
    points = np.array([(x, y, z) for y in (0.0, 12.0) for x, z in profile])
    sides = [(i, (i + 1) % 6) for i in range(6)]
    triangles = [(a, b, b + 6) for a, b in sides] + [(a, b + 6, a + 6) for a, b in sides]
    caps = [(0, 1, 2), (0, 2, 5), (2, 3, 4), (2, 4, 5)]
    triangles += caps + [(c + 6, b + 6, a + 6) for a, b, c in caps]
    return points, np.array(triangles, dtype=np.int32)


def load_clicks() -> None:
    """Load the inner loops that clicks and the gap slider run in the window's own thread; they come compiled."""
    from core.part.downskin import find_patches, grow_faces
    from core.part.part import Part
    from core.part.picked_patch import patch_of_faces
    from core.sink.top_preview import TopPreview

    points, triangles = shelf()
    part = Part(name="shelf", file_format="", units="mm", vertices_mm=points, triangles=triangles)
    faces = grow_faces(part, int(find_patches(part, 45.0, 0.04)[0].faces[0]), 45.0, 20.0)
    patch_of_faces(part, faces[:1], 1, 0.04)
    TopPreview.of(part, faces)


def warm_up() -> None:
    """Run the whole chain on a shelf of 20 triangles, follow its build, look for a way out of a bent chamber."""
    from core.export.write_stl import write_stl
    from core.heat.heat_choice import HeatChoice
    from core.job import pick_of
    from core.job_file import new_job
    from core.part.downskin import find_patches, grow_faces
    from core.run_heat import run_heat, run_quick_look
    from core.run_job import load_placed_part, run_job

    with tempfile.TemporaryDirectory() as folder:
        path = write_stl(Path(folder) / "shelf.stl", *shelf())
        job = new_job(path)
        part = load_placed_part(job)
        patch = find_patches(part, job.max_angle_deg, job.laser.layer_mm)[0]
        faces = grow_faces(part, int(patch.faces[0]), job.max_angle_deg, job.grow_angle_deg)
        load_clicks()
        tell(PART)
        result = run_job(replace(job, picks=(pick_of(faces),)), part=part)
        tell(SINKS)
        for cell_mm in (3.0, 0.6):  # the finer grid is worked on by all cores, which is compiled apart
            run_heat(result, HeatChoice(cell_mm=cell_mm))
            run_quick_look(result, HeatChoice(cell_mm=cell_mm))
        warm_up_bent_way(Path(folder) / "chamber.stl")
        warm_up_beside(result, Path(folder) / "out")


def tell(stage: str) -> None:
    """Tell the window, which reads what this process prints."""
    sys.stdout.write(f"{stage}\n")
    sys.stdout.flush()


def warm_up_beside(result: "JobResult", folder: Path) -> None:
    """What goes beside the main job: report with pictures, orientation study, layer images."""
    from core.export.orientation_pictures import thumbnail
    from core.export.write_job import write_result
    from core.run_orientations import study_orientations
    from core.trial.image_mask import faces_below, slice_mask
    from core.trial.register_images import ImagePlace

    write_result(result, folder)
    study = study_orientations(result.job, result.part, directions=50)
    thumbnail(study.part, study.now, result.job.max_angle_deg)
    none = np.zeros(0)
    place = ImagePlace(kind="similarity", to_mm=np.eye(3), error_px=none, error_mm=none, middle_px=np.zeros(2))
    window = (slice(0, 8), slice(0, 8))
    square = np.array([(1.0, 1.0), (6.0, 1.0), (6.0, 6.0), (1.0, 6.0)])
    slice_mask(np.stack([square, np.roll(square, -1, axis=0)], axis=1), place, window)
    faces_below(result.part.corners_mm, 20.0, 1.0, place, window)


def warm_up_bent_way(path: Path) -> int:
    """A plug that leaves its chamber sideways, then down a shaft; returns the legs of its way. The block goes to path.

    A closed hollow beside the chamber takes the reader through what parts of several shells need.
    """
    import manifold3d as m3d

    from core.checks.removal_path import Mesh, stepped_way
    from core.export.write_stl import write_stl
    from core.part.load_part import load_part
    from core.part.triangle_tree import TriangleTree
    from core.progress import never_stop

    def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> m3d.Manifold:
        return m3d.Manifold.cube(tuple(np.subtract(high, low))).translate(low)

    block = box((0, -5, 0), (60, 25, 60)) - box((10, 0, 20), (50, 20, 40)) - box((35, 0, -1), (50, 20, 30))
    block -= box((10, 0, 45), (20, 10, 55))
    solid, plug = block.to_mesh64(), box((10.5, 0.5, 20.5), (22, 19.5, 39.5)).to_mesh64()
    write_stl(path, np.asarray(solid.vert_properties), np.asarray(solid.tri_verts, dtype=np.int32))
    part = load_part(path)
    way = stepped_way(
        [Mesh(vertices_mm=part.vertices_mm, triangles=part.triangles)],
        [TriangleTree.of(part.corners_mm)],
        Mesh(vertices_mm=np.asarray(plug.vert_properties), triangles=np.asarray(plug.tri_verts, dtype=np.int32)),
        never_stop,
        most_cells=60_000,
    )
    return len(way.shifts_mm) - 1


class WarmUp(QObject):
    """Starts the process once per version and remembers that it ended well."""

    said = Signal(str, str)
    """Level and a sentence."""

    def __init__(self, settings: Settings, readiness: Readiness, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._settings, self._readiness = settings, readiness
        self.arguments = ["-m", "app.warm_up"]
        self._process: QProcess | None = None

    def start_if_needed(self) -> None:
        """Start it unless this version was compiled before."""
        if self._settings.warmed_up_for() == loops_version():
            return
        self._process = QProcess(self)
        environment = QProcessEnvironment.systemEnvironment()
        paths = [str(ROOT), environment.value("PYTHONPATH")]
        environment.insert("PYTHONPATH", os.pathsep.join(path for path in paths if path))
        self._process.setProcessEnvironment(environment)
        self._process.finished.connect(self._finished)
        self._process.errorOccurred.connect(self._failed)
        self._process.readyReadStandardOutput.connect(self._heard)
        self._readiness.begin()
        self.said.emit(
            "note",
            self.tr(
                "First start of this version: its inner loops are being compiled, which takes about a minute and "
                "happens once. What you ask for meanwhile waits for them."
            ),
        )
        self._process.start(sys.executable, self.arguments)

    def _heard(self) -> None:
        if self._process is not None:
            for stage in bytes(self._process.readAllStandardOutput().data()).decode().split():
                self._readiness.reach(stage)

    def _failed(self) -> None:
        """Without the process the loops are compiled where they are used."""
        self._readiness.reach(ALL)

    def _finished(self, code: int) -> None:
        self._readiness.reach(ALL)
        if code == 0:
            self._settings.set_warmed_up_for(loops_version())

    def close(self) -> None:
        """Stop the process; the window is closing."""
        if self._process is not None and self._process.state() != QProcess.ProcessState.NotRunning:
            self._process.finished.disconnect(self._finished)
            self._process.kill()
            self._process.waitForFinished(2000)


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(10)
    warm_up()
