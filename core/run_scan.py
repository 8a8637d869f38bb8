"""From a job and a scanned surface to deviations and files: window and command line both run this."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from core.export.result_json import json_text, number
from core.job import Job
from core.job_file import job_hash
from core.part.load_part import load_part
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn, never_stop, part_of, report
from core.refusal import Refusal
from core.run_images import difference_values, told_apart
from core.run_job import load_placed_part
from core.trial.register_points import read_points
from core.trial.scan_align import COLUMNS
from core.trial.scan_compare import PatchScan, ScanComparison, compare_scan
from core.units import FloatArray
from core.version import PROGRAM, VERSION
from core.write_whole import could_not_write, write_together

RESULT, FACES = "scan.json", "scan-faces.npz"
LIMITS = (
    "Deviations are distances to the nearest place of the scan, outward positive; the scanner's own error is in them.",
    "The scan was laid on the part by all faces but the patches and a millimetre round them.",
)


@dataclass(frozen=True, kw_only=True, eq=False)
class ScanResult:
    """What a scan of a job's part gave."""

    job: Job
    part: Part
    patches: tuple[Patch, ...]
    scan: Part
    comparison: ScanComparison

    @property
    def face_deviations_mm(self) -> FloatArray:
        """(n_faces,) for the view: mean deviation of each face, outward positive, NaN where the scan has a hole."""
        return self.comparison.face_mm


def run_scan(
    job: Job,
    mesh: Path | str,
    goes_on: GoesOn = never_stop,
    *,
    units: str | None = None,
    pairs: Path | str | None = None,
    with_sink: tuple[int, ...] = (),
    reach_mm: float = 3.0,
    part: Part | None = None,
) -> ScanResult:
    """Read a scan (STL, PLY, OBJ, 3MF), lay it on the job's part and measure it.

    units: of the scan. pairs: CSV file of point pairs. with_sink: patches that had a sink, else the job's picks.
    part: in build position, when it is loaded already. Raises Refusal, or Stopped when goes_on says so.
    """
    places = None if pairs is None else read_points(pairs, COLUMNS)[0]
    report(goes_on, 0.0)
    part = load_placed_part(job) if part is None else part
    patches, having = told_apart(job, part, with_sink)
    report(goes_on, 0.1)
    try:
        scan = load_part(mesh, units)
    except Refusal as fault:
        name = Path(mesh).name
        raise fault if name in str(fault) else Refusal(f"'{name}': {fault}") from None
    report(goes_on, 0.3)
    try:
        comparison = compare_scan(
            scan, part, patches, having, pairs=places, reach_mm=reach_mm, goes_on=part_of(goes_on, 0.3, 1.0)
        )
    except Refusal as fault:
        raise Refusal(f"'{Path(mesh if pairs is None else pairs).name}': {fault}") from None
    return ScanResult(job=job, part=part, patches=patches, scan=scan, comparison=comparison)


def scan_values(result: ScanResult) -> dict[str, Any]:
    """What `scan --json` prints; lengths in mm, deviations outward positive."""
    found = result.comparison
    how = found.alignment
    motion = np.vstack([np.column_stack([how.motion.turn, how.motion.shift_mm]), [0, 0, 0, 1]])
    return {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": job_hash(result.job),
        "scan": {"file": result.scan.name, "format": result.scan.file_format, "units": result.scan.units,
                 "triangles": result.scan.n_faces},
        "alignment": {
            "motion": [[number(v, 12) for v in row] for row in motion.tolist()],
            "turned_deg": number(how.motion.angle_deg, 8),
            "rms_mm": number(how.rms_mm, 5),
            "used_share": number(how.used_share, 4),
            "rounds": how.rounds,
            "pairs_rms_mm": None if how.pairs_rms_mm is None else number(how.pairs_rms_mm, 5),
        },
        "reach_mm": number(found.reach_mm, 6),
        "elsewhere_rms_mm": number(found.elsewhere_rms_mm, 5),
        "patches": [_patch_values(p) for p in found.patches],
        "difference_mm": difference_values(found.difference),
        "notes": list(LIMITS),
        "warnings": [*result.part.warnings, *found.warnings],
    }  # fmt: skip


def _patch_values(patch: PatchScan) -> dict[str, Any]:
    names = ("mean_mm", "p5_mm", "p95_mm", "highest_mm", "lowest_edge_mm", "lowest_edge_p95_mm", "measured")
    values = {name: number(getattr(patch, name), 5) for name in names}
    return {"patch": patch.patch, "with_sink": patch.with_sink, **values}


def write_scan(result: ScanResult, folder: Path) -> tuple[str, ...]:
    """Write scan.json, a CSV of the places measured on every patch, and the deviations of all faces (npz).

    Returns the names of the files; scan.json is written last. Raises Refusal when the folder can't be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise could_not_write(folder, problem) from problem
    files = {f"scan-patch-{p.patch:02d}.csv": _table(p) for p in result.comparison.patches}
    faces = io.BytesIO()
    np.savez(faces, deviation_mm=result.comparison.face_mm.astype(np.float32))
    files |= {FACES: faces.getvalue()}
    names = [*files, RESULT]
    values = scan_values(result) | {"files": names}
    write_together(folder, files | {RESULT: json_text(values).encode()})
    return tuple(names)


def _table(patch: PatchScan) -> bytes:
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(["face", "x_mm", "y_mm", "z_mm", "deviation_mm"])
    for face, (x, y, z), off in zip(patch.face.tolist(), patch.at_mm.tolist(), patch.off_mm.tolist(), strict=True):
        rows.writerow([face, f"{x:.4f}", f"{y:.4f}", f"{z:.4f}", "" if np.isnan(off) else f"{off:.5f}"])
    return text.getvalue().encode()
