"""The result of a run as plain values for result.json and --json; strictly valid JSON, so no infinities."""

import json
import math
from dataclasses import asdict
from itertools import zip_longest
from pathlib import Path
from typing import Any

import numpy as np

from core.export.result import JobResult
from core.gap.face_gaps import patch_gap
from core.heat.estimate import Band, Estimate
from core.heat.melt_scaling import CONVENTION
from core.heat.melt_zone import ZoneFigures
from core.job import Job
from core.job_file import job_text
from core.part.more_parts import faces_of_parts, part_of_face, single_parts
from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.proposed import Proposed
from core.sink.sink import Sink
from core.sink.sinks_of_parts import sinks_of_parts
from core.version import PROGRAM, VERSION

ESTIMATE_WORDS = "estimate, calibrate with the coupon"
ZONE_SETTINGS = ("power_w", "speed_mm_s", "hatch_mm", "layer_mm", "spot_mm", "passes", "absorptivity")
BAND_KEYS = (
    "conductance_w_m2k",
    "powder_conductivity_w_mk",
    "resistance_with_m2k_w",
    "resistance_without_m2k_w",
    "rise_with_k",
    "rise_without_k",
    "fuse_limit_mm",
    "heat_limit_mm",
)


def number(value: float, digits: int = 9) -> float | None:
    """A rounded number (significant digits), or None for what JSON can't hold, such as an infinite step."""
    if not math.isfinite(value):
        return None
    return float(f"{value:.{digits}g}")


def part_values(part: Part, file_name: str) -> dict[str, Any]:
    """The part in build position, lengths in mm whatever the file's unit was."""
    return {
        "file": file_name,
        "format": part.file_format,
        "units": part.units,
        "triangles": part.n_faces,
        "watertight": part.health.watertight,
        "size_mm": [number(v) for v in part.size_mm.tolist()],
        "volume_mm3": number(part.volume_mm3),
        "buildable": part.health.buildable,
        "problems": list(part.health.problems),
        "repaired": list(part.health.repaired),
    }


def parts_values(
    job: Job, part: Part, patches: tuple[Patch, ...], sinks: tuple[Sink, ...] = ()
) -> list[dict[str, Any]]:
    """Each part on the plate: its file, where it stands, its faces in the whole, its patches and its sinks."""
    owner = {patch.id: int(part_of_face(part, patch.faces[:1])[0]) for patch in patches}
    own = sinks_of_parts(part, sinks, patches)
    files = [(job.part_file, job.part_sha256), *((more.part_file, more.part_sha256) for more in job.more_parts)]
    poses = [(job.pose, (0.0, 0.0)), *((more.pose, more.shift_mm) for more in job.more_parts)]
    rows = zip(single_parts(part), faces_of_parts(part), files, poses, own, strict=True)
    return [
        {
            "name": one.name,
            "file": Path(file).name,
            "sha256": sha256,
            "first_face": first,
            "triangles": one.n_faces,
            "size_mm": [number(v) for v in one.size_mm.tolist()],
            "low_mm": [number(v) for v in one.low_mm.tolist()],
            "volume_mm3": number(one.volume_mm3),
            "rotate_deg": list(pose.rotate_deg),
            "shift_mm": list(shift),
            "patches": [patch.id for patch in patches if owner[patch.id] == k],
            "sinks": [sink.name for sink in sinks_here],
        }
        for k, (one, (first, _), (file, sha256), (pose, shift), sinks_here) in enumerate(rows)
    ]


def patch_values(patch: Patch) -> dict[str, Any]:
    """overhang_step_mm is null for a flat ceiling, where it is infinite."""
    return {
        "id": patch.id,
        "faces": len(patch.faces),
        "area_mm2": number(patch.area_mm2),
        "lowest_angle_deg": number(patch.lowest_angle_deg, 6),
        "mean_angle_deg": number(patch.mean_angle_deg, 6),
        "z_min_mm": number(patch.z_min_mm),
        "z_max_mm": number(patch.z_max_mm),
        "overhang_step_mm": number(patch.overhang_step_mm, 6),
        "plan_area_mm2": number(patch.plan_area_mm2),
        "lowest_edge_mm": number(patch.lowest_edge_mm),
        "island": patch.is_island,
        "risk": number(patch.risk, 4),
        "centre_mm": [number(v) for v in patch.centre_mm],
    }


def sink_values(sink: Sink) -> dict[str, Any]:
    return {
        "name": sink.name,
        "patches": list(sink.patches),
        "kind": sink.kind,
        "triangles": len(sink.triangles),
        "watertight": sink.watertight,
        "volume_mm3": number(sink.volume_mm3),
        "gap_mm": number(sink.gap_mm),
        "min_clearance_mm": number(sink.min_clearance_mm),
        "gap_error_p99_um": number(sink.gap_error_p99_um, 4),
        "covered_area_mm2": number(sink.covered_area_mm2),
        "patch_area_mm2": number(sink.patch_area_mm2),
        "on_plate": sink.on_plate,
        "gap_error_max_um": number(sink.gap_error_max_um, 4),
        "rim_gap_max_mm": number(sink.rim_gap_max_mm, 5),
        "nearest_mm": [number(v) for v in sink.nearest_mm],
        "pieces": sink.pieces,
        "warnings": list(sink.warnings),
    }


def band_values(band: Band) -> list[float | None]:
    """[low, nominal, high]."""
    return [number(band.low, 5), number(band.nominal, 5), number(band.high, 5)]


def estimate_values(estimate: Estimate) -> dict[str, Any]:
    """The nominal values by name, and all bands under "bands"."""
    return {
        "patch": estimate.patch,
        "conductance_w_m2k": number(estimate.conductance_w_m2k.nominal, 5),
        "rise_with_k": number(estimate.rise_with_k.nominal, 5),
        "rise_without_k": number(estimate.rise_without_k.nominal, 5),
        "fuse_limit_mm": number(estimate.fuse_limit_mm.nominal, 5),
        "heat_limit_mm": number(estimate.heat_limit_mm.nominal, 5),
        "bands": {key: band_values(getattr(estimate, key)) for key in BAND_KEYS},
        "words": ESTIMATE_WORDS,
        "notes": list(estimate.notes),
    }


def gap_values(result: JobResult) -> list[dict[str, Any]]:
    """The gap under each picked patch, measured on the finished sinks; lengths are null where none lies near."""
    if not result.sinks:
        return []
    tree = TriangleTree.of(np.concatenate([sink.vertices_mm[sink.triangles] for sink in result.sinks]))
    asked = {patch: sink.gap_mm for sink in result.sinks for patch in sink.patches}
    gaps = [patch_gap(result.part, p, tree, asked.get(p.id, result.job.gap.gap_mm)) for p in result.picked]
    return [
        {
            "patch": gap.patch,
            "min_mm": number(gap.least_mm),
            "p50_mm": number(gap.median_mm, 6),
            "p99_mm": number(gap.p99_mm, 6),
            "max_mm": number(gap.widest_mm, 6),
            "covered_share": number(gap.covered_share, 4),
        }
        for gap in gaps
    ]


def zone_values(result: JobResult) -> list[dict[str, Any]]:
    """One entry per zone; what its settings do where they are known."""
    from core.export.read_back import enclosed_volume_mm3  # loads manifold3d, for which the first picture doesn't wait

    return [
        {
            "name": body.name,
            "triangles": len(body.triangles),
            "volume_mm3": number(enclosed_volume_mm3(body.vertices_mm[body.triangles])),
        }
        | ({} if figures is None else figure_values(figures))
        for body, figures in zip_longest(result.zones, result.zone_figures)
    ]


def figure_values(figures: ZoneFigures) -> dict[str, Any]:
    """One zone's settings and what they do. Depths in µm as low, nominal, high; scaled: null outside its fits."""
    melt = figures.melt
    return {
        "patch": figures.patch,
        "layers": figures.layers,
        "height_mm": number(figures.height_mm),
        "laser": {key: value for key, value in asdict(figures.laser).items() if key in ZONE_SETTINGS},
        "line_energy_j_mm": number(figures.line_energy_j_mm, 5),
        "areal_energy_j_mm2": number(figures.areal_energy_j_mm2, 5),
        "volumetric_energy_j_mm3": number(figures.volumetric_energy_j_mm3, 5),
        "melt_width_um": number(melt.width_m * 1e6, 4),
        "melt_depth_solid_um": _um_band(melt.solid_depth_m),
        "melt_depth_rosenthal_um": number(melt.rosenthal_depth_m * 1e6, 4),
        "melt_depth_scaled_um": None if melt.scaled_depth_m is None else number(melt.scaled_depth_m * 1e6, 4),
        "melt_depth_powder_um": _um_band(melt.powder_depth_m),
        "normalised_enthalpy": number(melt.enthalpy, 4),
        "normalised_enthalpy_is": CONVENTION,
        "mode": melt.mode,
        "notes": list(figures.notes),
    }


def _um_band(band: Band) -> list[float | None]:
    return [number(value * 1e6, 4) for value in (band.low, band.nominal, band.high)]


def proposal_values(proposed: Proposed) -> dict[str, Any]:
    """One patch looked at; the settings of its sink are null where none is proposed."""
    pick = proposed.pick
    gap, sink, zone = (None, None, None) if pick is None else (pick.gap, pick.sink, pick.zone)
    return {
        "patch": proposed.patch,
        "taken": proposed.taken,
        "reasons": list(proposed.reasons),
        "trouble": number(proposed.trouble, 4),
        "rise_without_k": number(proposed.rise_without_k, 5),
        "rise_with_k": None if proposed.rise_with_k is None else number(proposed.rise_with_k, 5),
        "ledge_mm": number(proposed.ledge_mm, 5),
        "length_scale_mm": number(proposed.length_scale_mm, 5),
        "fin_gain": number(proposed.fin_gain, 4),
        "step_over_hatch": number(proposed.step_over_hatch, 5),
        "fuse_limit_mm": number(proposed.fuse_limit_mm, 5),
        "heat_limit_mm": number(proposed.heat_limit_mm, 5),
        "gap_mm": None if gap is None else gap.gap_mm,
        "kind": None if sink is None else sink.kind,
        "fin_pitch_mm": None if sink is None else sink.fin_pitch_mm,
        "zone": None if zone is None else {key: value for key, value in asdict(zone).items() if value is not None},
        "volume_mm3": number(proposed.volume_mm3),
    }


def result_values(result: JobResult, files: tuple[str, ...], folder: Path) -> dict[str, Any]:
    """Everything build prints and writes. folder: where the job will lie, for the part's relative path."""
    return {
        "program": PROGRAM,
        "version": VERSION,
        "job_sha256": result.hash,
        "part": part_values(result.part, Path(result.job.part_file).name) | {"sha256": result.job.part_sha256},
        "parts": parts_values(result.job, result.part, result.patches, result.sinks),
        "patches": [patch_values(p) for p in result.patches],
        "sinks": [sink_values(s) for s in result.sinks],
        "gaps": gap_values(result),
        "zones": zone_values(result),
        "estimate": [estimate_values(e) for e in result.estimates],
        "findings": [
            {
                "check": f.check,
                "level": f.level,
                "text": f.text,
                "remedy": f.remedy,
                "changes": [{"set": dict(c.values), "patches": list(c.patches)} for c in f.changes],
                "at_mm": None if f.at_mm is None else [number(v) for v in f.at_mm],
                "way_mm": [[number(v) for v in corner] for corner in f.way_mm],
            }
            for f in result.findings
        ],
        "proposal": [proposal_values(p) for p in result.proposal],
        "files": list(files),
        "warnings": list(result.warnings),
        "settings": json.loads(job_text(result.job, folder)),
    }


def json_text(values: dict[str, Any]) -> str:
    """One JSON document, refusing NaN and infinities."""
    return json.dumps(values, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
