"""Reads what 'images' and 'scan' wrote for a job, and a trial sheet, for the report after the build."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from core.export.after_build import ImagesSeen, ScanSeen, TriedGaps, images_seen, scan_seen
from core.progress import GoesOn, never_stop
from core.refusal import Refusal
from core.trial.fit_trial import fit_trials
from core.trial.layer_pages import damage_named
from core.trial.trial_curves import free_curves
from core.trial.trial_log import TrialLog
from core.units import FloatArray

MOST_BYTES = 50_000_000
Seen = TypeVar("Seen", ImagesSeen, ScanSeen)


def read_images_seen(folder: Path, job_sha256: str, n_faces: int) -> ImagesSeen:
    """What 'images' wrote into a folder. Raises Refusal unless it is whole and of this job."""
    return _read(folder, "images", "image-faces.npz", "score", images_seen, job_sha256, n_faces)


def read_scan_seen(folder: Path, job_sha256: str, n_faces: int) -> ScanSeen:
    """What 'scan' wrote into a folder. Raises Refusal unless it is whole and of this job."""
    return _read(folder, "scan", "scan-faces.npz", "deviation_mm", scan_seen, job_sha256, n_faces)


def tried_gaps(log: TrialLog, goes_on: GoesOn = never_stop) -> TriedGaps:
    """Fit a sheet and trace its curves. Raises Refusal when there are too few cells, Stopped when told to stop."""
    return TriedGaps(log=log, fit=fit_trials(log), curves=free_curves(log, goes_on))


def _read(folder: Path, name: str, faces_name: str, key: str, seen: Callable[[dict[str, Any], FloatArray], Seen],
          job_sha256: str, n_faces: int) -> Seen:  # fmt: skip
    """name: of the command and its JSON file. key: of the array (n_faces,) in the file faces_name."""
    path, faces = folder / f"{name}.json", folder / faces_name
    for file in (path, faces):
        if not file.is_file():
            raise Refusal(f"'{folder}' has no {file.name}; give the folder that '{name}' wrote for this job.")
        if file.stat().st_size > MOST_BYTES:
            raise Refusal(f"'{file}' is larger than '{name}' writes; run '{name}' again.")
    damaged = f"'{path}' isn't what '{name}' writes; run '{name}' for this job again."
    try:
        values = json.loads(path.read_text(encoding="utf-8"))
        whose = str(values["job_sha256"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        raise Refusal(damaged) from None
    if whose != job_sha256:
        raise Refusal(f"'{path}' belongs to another job, or to an earlier state of this one; run '{name}' again.")
    with damage_named(f"'{faces}'"), np.load(faces, allow_pickle=False) as arrays:
        by_face = np.asarray(arrays[key], dtype=np.float64)
    if by_face.shape != (n_faces,):
        raise Refusal(f"'{faces}' has {by_face.size} faces, but the part has {n_faces}; run '{name}' again.")
    try:
        return seen(values, by_face)
    except (KeyError, TypeError, ValueError, AttributeError):
        raise Refusal(damaged) from None
