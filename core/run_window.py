"""The gap window of a job's patches, or of a plain ledge when there is no part yet."""

import math
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from core.export.result_json import ESTIMATE_WORDS, estimate_values, number
from core.gap.gap_window import GapClass, Limit, classify_gap, proposed_gap_mm, window_text
from core.heat.column_1d import estimate_patch
from core.heat.estimate import Band, Estimate
from core.heat.materials import alloy
from core.heat.melt_depth import powder_melt_depth_band_m
from core.job import Job
from core.kept_trials import kept_trial, settings_of
from core.part.patch import Patch
from core.refusal import Refusal
from core.trial.kept_trial import KeptTrial
from core.trial.trial_library import differing
from core.version import PROGRAM, VERSION


@dataclass(frozen=True, kw_only=True, eq=False)
class GapWindow:
    """The window of one patch; all of it an estimate, to be calibrated with the coupon.

    kept: trials in the user's library from which fuse limit, verdict and first try come; None takes the model's.
    verdict: what to expect of the job's gap. proposed_gap_mm: a first gap to try. gap normal to the face.
    """

    patch: Patch
    gap_mm: float
    estimate: Estimate
    verdict: GapClass
    proposed_gap_mm: float
    text: str
    kept: KeptTrial | None = None


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


def gap_windows(job: Job, patches: tuple[Patch, ...], library: Path | None = None) -> tuple[GapWindow, ...]:
    """One window per patch. patches: those of the job's picks, in order, or any when nothing is picked.

    library: folder of kept trials in place of the user's.
    """
    jobs = [job.for_pick(pick) for pick in job.picks] or [job] * len(patches)
    return tuple(_window(own, patch, *kept_trial(own, library)) for own, patch in zip(jobs, patches, strict=True))


def _window(job: Job, patch: Patch, kept: KeptTrial | None, problem: str) -> GapWindow:
    estimate = estimate_patch(
        patch,
        gap_mm=job.gap.gap_mm,
        sink=job.sink,
        alloy=job.metal,
        laser=job.laser,
        powder=job.powder,
        rise_allowed_k=job.rise_allowed_k,
        downskin=job.downskin_laser,
    )
    if problem:
        estimate = replace(estimate, notes=(problem, *estimate.notes))
    measured = kept.limit_at(patch.lowest_angle_deg) if kept is not None else None
    if kept is not None and measured is not None and measured.gap_mm is not None:
        return _window_of_trials(job, patch, estimate, kept)
    melt = powder_melt_depth_band_m(job.downskin_laser, alloy(job.metal), job.powder.porosity)
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


def _window_of_trials(job: Job, patch: Patch, estimate: Estimate, kept: KeptTrial) -> GapWindow:
    """The window with the fuse limit that trials gave, in place of the model's."""
    angle_deg = patch.lowest_angle_deg
    measured = kept.limit_at(angle_deg)
    nominal_mm = max(measured.gap_mm or 0.0, 0.0)
    band = Band(low=measured.low_mm, nominal=nominal_mm, high=measured.high_mm)
    model = estimate.fuse_limit_mm
    upper = "without an upper end" if math.isinf(band.high) else f"to {band.high:.2f} mm"
    said = (
        f"Fuse limit {kept.words}: {band.nominal:.2f} mm comes free with 95 % probability (95 % interval from "
        f"{band.low:.2f} mm {upper}); the model alone says {model.nominal:.2f} mm."
    )
    notes = [said]
    other = differing(kept, settings_of(job))
    if other:
        names = ", ".join(name.rsplit("_", 1)[0] if "_" in name else name for name in other).replace("_", " ")
        notes.append(f"The trials were built with other laser settings ({names}); build a coupon with the job's.")
    angles = [limit.angle_deg for limit in kept.limits]
    if not angles[0] - 1e-6 <= angle_deg <= angles[-1] + 1e-6:
        notes.append(f"No trial was built at {angle_deg:.0f}°; the nearest angle tried stands for it.")
    replaced = replace(estimate, fuse_limit_mm=band, notes=(*notes, *_without_limit_notes(estimate)))
    heat = _limit(estimate.heat_limit_mm)
    return GapWindow(
        patch=patch,
        gap_mm=job.gap.gap_mm,
        estimate=replaced,
        verdict=kept.verdict(job.gap.gap_mm, angle_deg),
        proposed_gap_mm=max(math.ceil(nominal_mm * 100.0 - 1e-9) / 100.0, 2 * job.laser.layer_mm),
        text=f"{said} {_heat_words(heat)}",
        kept=kept,
    )


def _without_limit_notes(estimate: Estimate) -> tuple[str, ...]:
    """The estimate's notes without the one that judges the gap by the model's fuse limit."""
    return tuple(note for note in estimate.notes if "below the estimated fuse limit" not in note)


def _heat_words(heat: Limit) -> str:
    """The heat limit stays an estimate."""
    if math.isinf(heat.nominal_mm):
        return "There is no heat limit."
    if heat.nominal_mm <= 0:
        return "The heat limit can't be reached."
    return f"The heat limit is estimated at {heat.nominal_mm:.2f} mm."


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
                "from_trials": None if w.kept is None else _kept_values(w.kept),
            }
            | estimate_values(w.estimate)
            for w in windows
        ],
    }


def _kept_values(kept: KeptTrial) -> dict[str, Any]:
    return {
        "words": kept.words,
        "built_on": kept.built_on,
        "n": kept.n,
        "n_free": kept.n_free,
        "source": kept.source,
        "sha256": kept.sha256,
        "settings": kept.settings,
    }
