"""Our own speed and memory beside the targets: faces, load, sinks, slider, slices, checks, the whole job."""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from benchmark_figures import RUNS, Figure, seconds
from benchmark_parts import ROOT, SAMPLE, cambered_plate, plate_stl


def measure_faces() -> list[Figure]:
    """Find downskin and patches on a part that is loaded."""
    from core.part.downskin import find_patches
    from core.part.part import Part

    plate = cambered_plate(1_000_000)

    def fresh() -> Part:
        return Part(name="p", file_format="stl", units="mm", vertices_mm=plate.vertices_mm, triangles=plate.triangles)

    took = seconds(lambda: find_patches(fresh(), 45.0, 0.04))
    return [Figure(what="faces and patches, 1M triangles", value=took, unit="s", target=0.5)]


def measure_load() -> list[Figure]:
    """Read a binary STL of 1M triangles, weld it and look for every fault, self-crossings included."""
    from core.part.load_part import load_part

    file = plate_stl(1_000_000)
    took = seconds(lambda: load_part(file))
    return [Figure(what="load a 1M-triangle STL, all checks of the mesh", value=took, unit="s", target=2.5)]


def measure_sinks() -> list[Figure]:
    """Build fins and verify them exactly."""
    from core.part.downskin import find_patches
    from core.part.load_part import load_part
    from core.sink.build_sink import build_sink
    from core.sink.sink_choice import SinkChoice

    figures = []
    limits_s = {10_000: 1.0, 200_000: 2.5, 1_000_000: 6.0}
    parts = [(f"{n // 1000}k", cambered_plate(n), limit) for n, limit in limits_s.items()]
    for name, part, limit in [*parts, ("194k sample", load_part(SAMPLE), 5.0)]:
        faces = find_patches(part, 45.0, 0.04)[0].faces
        took = seconds(lambda part=part, faces=faces: build_sink(part, faces, SinkChoice(), 0.3, name="s"))  # type: ignore[misc]
        figures.append(Figure(what=f"fins with exact check, {name}", value=took, unit="s", target=limit))
    return figures


def measure_preview() -> list[Figure]:
    """Move the gap: preview points and estimate for one patch."""
    from core.job import Job
    from core.part.downskin import find_patches
    from core.run_job import estimate_of
    from core.sink.top_preview import TopPreview

    figures = []
    for n in (200_000, 1_000_000):
        part = cambered_plate(n)
        patch = find_patches(part, 45.0, 0.04)[0]
        preview = TopPreview.of(part, patch.faces)
        took = seconds(lambda p=preview: p.points_mm(0.31), 20)  # type: ignore[misc]
        figures.append(Figure(what=f"slider: top preview, {n // 1000}k", value=took * 1e3, unit="ms", target=16.0))
        took = seconds(lambda p=patch: estimate_of(Job(), p), 20)  # type: ignore[misc]
        figures.append(Figure(what=f"slider: estimate, {n // 1000}k", value=took * 1e3, unit="ms", target=5.0))
    return figures


def measure_slices() -> list[Figure]:
    """Area, outline length and box of every layer of a 1M-triangle part."""
    from core.part.layers import slice_layers

    part = cambered_plate(1_000_000)
    took = seconds(lambda: slice_layers(part.vertices_mm, part.triangles, 0.04))
    return [Figure(what="all layers of 1M triangles at 40 µm", value=took, unit="s", target=1.0)]


def measure_checks() -> list[Figure]:
    """Every check of the finished sink of the 194k sample, quick and thorough."""
    from core.checks.all_checks import all_checks
    from core.part.downskin import find_patches
    from core.part.load_part import load_part
    from core.part.place_on_plate import Plate
    from core.sink.build_sink import build_sink
    from core.sink.sink_choice import SinkChoice

    part = load_part(SAMPLE)
    patch = find_patches(part, 45.0, 0.04)[0]
    sinks = build_sink(part, patch.faces, SinkChoice(), 0.3, name="s", patch_ids=(patch.id,))

    def check(thorough: bool) -> object:
        return all_checks(
            part, sinks, plate=Plate(), layer_mm=0.04, patches=(patch,), thorough=thorough
        )

    return [
        Figure(what="all checks of one sink, 194k sample", value=seconds(lambda: check(False)), unit="s", target=5.0),
        Figure(what="the same, thorough", value=seconds(lambda: check(True)), unit="s", target=15.0),
    ]


def measure_job() -> list[Figure]:
    """The whole job on the 194k sample from the command line: time, and the peak memory of all its processes."""
    times, peaks = [], []
    for run in range(RUNS + 1):
        with tempfile.TemporaryDirectory() as folder:
            words = ["build", str(SAMPLE), "--all", "--out", folder + "/out", "--json"]
            command = [sys.executable, "-m", "app.cli", *words]
            start = time.perf_counter()
            with open(folder + "/answer.json", "w+b") as answer:
                child = subprocess.Popen(command, cwd=ROOT, stdout=answer)
                _, status, usage = os.wait4(child.pid, 0)
            took = time.perf_counter() - start
            child.returncode = os.waitstatus_to_exitcode(status)
            sinks = json.loads(Path(folder, "answer.json").read_bytes())["sinks"]
        if child.returncode or not sinks:
            raise RuntimeError(f"The job ended with exit code {child.returncode} and {len(sinks)} sinks.")
        if run:  # the first one compiles
            times.append(took)
        peaks.append(usage.ru_maxrss / 1024**2)
    return [
        Figure(what="whole job, 194k sample, command line", value=median(times), unit="s", target=20.0),
        Figure(what="its peak memory, the first run that compiles included", value=max(peaks), unit="GB", target=2.0),
    ]
