"""The gap window of a job's patches, or of a plain ledge when there is no part yet."""

import math
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from core.export.result_json import ESTIMATE_WORDS, estimate_values, number
from core.gap.gap_window import GapClass, Limit, classify_gap, proposed_gap_mm, window_text
from core.heat.column_1d import column_facts, estimate_patch
from core.heat.estimate import Band, Estimate
from core.job import Job
from core.part.patch import Patch
from core.refusal import Refusal
from core.version import PROGRAM, VERSION


@dataclass(frozen=True, kw_only=True, eq=False)
class GapWindow:
    """The window of one patch; all of it an estimate, to be calibrated with the coupon.

    verdict: what to expect of the job's gap. proposed_gap_mm: a first gap to try. gap normal to the face.
    """

    patch: Patch
    gap_mm: float
    estimate: Estimate
    verdict: GapClass
    proposed_gap_mm: float
    text: str


def ledge(angle_deg: float, height_mm: float, layer_mm: float, side_mm: float = 20.0) -> Patch:
    """A square downskin of one angle whose centre lies at one height; stands in for a part.

    Raises Refusal unless 0 <= angle <= 80 and the height is positive.
    """
    if not 0.0 <= angle_deg <= 80.0:
        raise Refusal(f"An angle of {angle_deg:g}° is out of range; set 0 to 80°.")
    if not 0.0 < height_mm <= 2000.0:
        raise Refusal(f"A height of {height_mm:g} mm is out of range; set more than 0, at most 2000 mm.")
    slope = math.tan(math.radians(angle_deg))
    half_mm = min(side_mm * slope / 2, height_mm)
    return Patch(
        id=0,
        faces=np.zeros(0, dtype=np.int32),
        area_mm2=side_mm**2 / math.cos(math.radians(angle_deg)),
        plan_area_mm2=side_mm**2,
        lowest_angle_deg=angle_deg,
        mean_angle_deg=angle_deg,
        z_min_mm=height_mm - half_mm,
        z_max_mm=height_mm + half_mm,
        overhang_step_mm=layer_mm / slope if slope > 0 else math.inf,
        lowest_edge_mm=side_mm,
        is_island=False,
        risk=0.0,
        centre_mm=(0.0, 0.0, height_mm),
    )


def gap_windows(job: Job, patches: tuple[Patch, ...]) -> tuple[GapWindow, ...]:
    """One window per patch. patches: those of the job's picks, in order, or any when nothing is picked."""
    jobs = [job.for_pick(pick) for pick in job.picks] or [job] * len(patches)
    return tuple(_window(own, patch) for own, patch in zip(jobs, patches, strict=True))


def _window(job: Job, patch: Patch) -> GapWindow:
    estimate = estimate_patch(
        patch,
        gap_mm=job.gap.gap_mm,
        sink=job.sink,
        alloy=job.alloy,
        laser=job.laser,
        powder=job.powder,
        rise_allowed_k=job.rise_allowed_k,
    )
    melt = column_facts(job.alloy, job.laser, job.powder, job.rise_allowed_k).melt_depth_m
    fuse, heat = _limit(estimate.fuse_limit_mm), _limit(estimate.heat_limit_mm)
    return GapWindow(
        patch=patch,
        gap_mm=job.gap.gap_mm,
        estimate=estimate,
        verdict=classify_gap(
            job.gap.gap_mm, patch.lowest_angle_deg, melt_depth_mm=melt.nominal * 1e3, layer_mm=job.laser.layer_mm
        ),
        proposed_gap_mm=proposed_gap_mm(fuse, job.laser.layer_mm),
        text=window_text(fuse, heat),
    )


def _limit(band: Band) -> Limit:
    return Limit(low_mm=band.low, nominal_mm=band.nominal, high_mm=band.high)


def window_values(job: Job, windows: tuple[GapWindow, ...]) -> dict[str, Any]:
    """What `window --json` prints; infinite limits are null."""
    return {
        "program": PROGRAM,
        "version": VERSION,
        "alloy": job.alloy,
        "gap_mm": job.gap.gap_mm,
        "rise_allowed_k": job.rise_allowed_k,
        "laser": asdict(job.laser),
        "powder": asdict(job.powder),
        "words": ESTIMATE_WORDS,
        "windows": [
            {
                "lowest_angle_deg": number(w.patch.lowest_angle_deg, 6),
                "height_mm": number(w.patch.centre_mm[2], 6),
                "gap_mm": w.gap_mm,
                "gap_is": w.verdict,
                "proposed_gap_mm": number(w.proposed_gap_mm, 5),
                "text": w.text,
            }
            | estimate_values(w.estimate)
            for w in windows
        ],
    }
