"""Speed and memory in figures, each beside its target; run as `python tests/benchmark.py [words]` to pick some."""

import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

SAMPLE = ROOT / "sample_parts" / "impeller-shroud.stl"
Row = tuple[str, float, float, str]
"""What was measured, the figure, its target (at most), the unit."""


def seconds(work: Callable[[], object], runs: int = 5) -> float:
    """Median wall time of some runs after one that compiles."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


def measure_faces() -> list[Row]:
    """Find downskin and patches on a part that is loaded."""
    from benchmark_parts import cambered_plate

    from core.part.downskin import find_patches
    from core.part.part import Part

    plate = cambered_plate(1_000_000)

    def fresh() -> Part:
        return Part(
            name="p", file_format="stl", units="mm", vertices_mm=plate.vertices_mm, triangles=plate.triangles
        )

    return [("faces and patches, 1M triangles", seconds(lambda: find_patches(fresh(), 45.0, 0.04)), 0.5, "s")]


def measure_load() -> list[Row]:
    """Read a binary STL of 1M triangles and weld it."""
    from benchmark_parts import cambered_plate

    from core.export.write_stl import write_stl
    from core.part.load_part import load_part

    plate = cambered_plate(1_000_000)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "plate.stl"
        write_stl(file, [(plate.vertices_mm, plate.triangles)])
        return [("load a 1M-triangle STL, all checks of the mesh", seconds(lambda: load_part(file), 3), 2.5, "s")]


def measure_sinks() -> list[Row]:
    """Build fins and verify them exactly."""
    from benchmark_parts import cambered_plate

    from core.part.downskin import find_patches
    from core.part.load_part import load_part
    from core.sink.build_sink import build_sink
    from core.sink.sink_choice import SinkChoice

    rows = []
    limits_s = {10_000: 1.0, 200_000: 2.5, 1_000_000: 6.0}
    parts = [(f"{n // 1000}k", cambered_plate(n), limit) for n, limit in limits_s.items()]
    for name, part, limit in [*parts, ("194k sample", load_part(SAMPLE), 5.0)]:
        faces = find_patches(part, 45.0, 0.04)[0].faces
        took = seconds(lambda part=part, faces=faces: build_sink(part, faces, SinkChoice(), 0.3, name="s"))  # type: ignore[misc]
        rows.append((f"fins with exact check, {name}", took, limit, "s"))
    return rows


def measure_preview() -> list[Row]:
    """Move the gap: preview points and estimate for one patch."""
    from benchmark_parts import cambered_plate

    from core.job import Job
    from core.part.downskin import find_patches
    from core.run_job import estimate_of
    from core.sink.top_preview import TopPreview

    rows = []
    for n in (200_000, 1_000_000):
        part = cambered_plate(n)
        patch = find_patches(part, 45.0, 0.04)[0]
        preview = TopPreview.of(part, patch.faces)
        took = seconds(lambda p=preview: p.points_mm(0.31), 20)  # type: ignore[misc]
        rows.append((f"slider: top preview, {n // 1000}k", took * 1e3, 16.0, "ms"))
        took = seconds(lambda p=patch: estimate_of(Job(), p), 20)  # type: ignore[misc]
        rows.append((f"slider: estimate, {n // 1000}k", took * 1e3, 5.0, "ms"))
    return rows


def measure_job() -> list[Row]:
    """The whole job on the 194k sample from the command line: time, and the peak memory of all its processes."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "app.cli", "build", str(SAMPLE), "--all", "--out", folder + "/out", "--json"]
        start = time.perf_counter()
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
        took = time.perf_counter() - start
        json.loads(done.stdout)
    peak_gb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024**2
    return [("whole job, 194k sample, command line", took, 20.0, "s"), ("its peak memory", peak_gb, 2.0, "GB")]


def measure_slices() -> list[Row]:
    """Slice every layer of a 1M-triangle part."""
    from benchmark_parts import cambered_plate

    from core.part.layers import slice_layers

    part = cambered_plate(1_000_000)
    took = seconds(lambda: slice_layers(part.vertices_mm, part.triangles, 0.04), 3)
    return [("all layers of 1M triangles at 40 µm", took, 1.0, "s")]


def measure_window() -> list[Row]:
    """Start-up, picking and slider of the real window, printed by their own script; needs a screen."""
    subprocess.run([sys.executable, str(ROOT / "tests" / "window" / "measure_window.py")], cwd=ROOT, check=True)
    return []


MEASURES = (
    measure_faces,
    measure_load,
    measure_sinks,
    measure_preview,
    measure_job,
    measure_slices,
    measure_window,
)


def main(words: list[str]) -> int:
    """Print every figure; 1 when one misses its target."""
    missed = 0
    for measure in MEASURES:
        if words and not any(word in measure.__name__ for word in words):
            continue
        for what, figure, target, unit in measure():
            met = figure <= target
            missed += not met
            print(f"{what:52s} {figure:9.3f} {unit:3s} target {target:g} {'met' if met else 'MISSED'}", flush=True)
    return int(missed > 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
