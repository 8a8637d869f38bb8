"""The best gap of a patch: least rise, or least metal, among the gaps that come free with a chance of at least 95 %."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import NormalDist
from typing import Literal

from core.best_gap_mass import sink_mass_g, sinks_to_try
from core.gap.gap_choice import GapChoice
from core.gap.gap_window import LEAST_LAYERS, MELT_SPREAD, vertical_gap_mm
from core.heat.estimate import Band
from core.heat.materials import alloy
from core.heat.melt_depth import ROOM_K, powder_melt_depth_band_m
from core.job import Job, Pick
from core.part.patch import Patch
from core.refusal import Refusal
from core.run_job import estimate_of
from core.run_window import GapWindow, gap_windows
from core.sink.sink_choice import SinkChoice
from core.trial.free_profile import FreeProfile
from core.trial.kept_trial import KeptTrial
from core.trial.trial_fit import SHARE_FREE, share_of_logit

Goal = Literal["rise", "mass"]
Binds = Literal["free", "layers", "heat", "range"]
WIDEST_UM = 5000
"""The widest gap that a job takes."""
SPREAD = MELT_SPREAD / NormalDist().inv_cdf(SHARE_FREE)
"""Standard deviation of true over computed melt depth. Our choice, no source: the ±40 % count as the middle 90 % of a
normal, so that the high end of the fuse limit has a chance of 95 %. Conduction models miss published depths by 37 % on
average, which is wider; but the depth is an energy bound without losses and errs to the deep side."""
K_STEP = 0.1
LN_STEP = 1e-3


@dataclass(frozen=True, kw_only=True)
class AtConductivity:
    """What another powder conductivity makes of the answer, all else as estimated.

    rise_k: at the best gap. gap_mm: that would be best then. heat_limit_mm may be 0 or infinite.
    """

    k_w_mk: float
    rise_k: float
    gap_mm: float
    heat_limit_mm: float


@dataclass(frozen=True, kw_only=True)
class Sensitivity:
    """per_ln_k: d rise / d ln k in K at the best gap. less, more: k 10 % lower, higher. low, high: ends of its band."""

    per_ln_k: float
    less: AtConductivity
    more: AtConductivity
    low: AtConductivity
    high: AtConductivity


@dataclass(frozen=True, kw_only=True, eq=False)
class BestGap:
    """The answer for one patch. window: the gap window at the best gap, with the rise and its band.

    sink: the job's own, or another for the least mass. binds: which limit holds the gap where it is.
    short_k, short_mm: by how much the rise at this gap is above the allowed one and the heat limit below the gap;
    0 where both limits are kept.
    share_free: chance to come free, share_interval its 95 % interval where the trials' cells are known.
    """

    patch: Patch
    goal: Goal
    window: GapWindow
    sink: SinkChoice
    binds: Binds
    share_free: float
    share_interval: tuple[float, float] | None
    mass_g: float
    rise_allowed_k: float
    sensitivity: Sensitivity

    @property
    def gap_mm(self) -> float:
        return self.window.gap_mm

    @property
    def gap_band_mm(self) -> tuple[float, float]:
        """Low and high of the limit that binds: from trials, or the model's; of two layers or 5 mm there is no band."""
        if self.binds in ("layers", "range"):
            return self.gap_mm, self.gap_mm
        estimate = self.window.estimate
        limit = estimate.fuse_limit_mm if self.binds == "free" else estimate.heat_limit_mm
        return min(limit.low, self.gap_mm), max(limit.high, self.gap_mm)

    @property
    def rise_k(self) -> Band:
        return self.window.estimate.rise_with_k

    @property
    def comes_free(self) -> bool:
        return self.share_free >= SHARE_FREE - 1e-9

    @property
    def short_k(self) -> float:
        return max(self.rise_k.nominal - self.rise_allowed_k, 0.0)

    @property
    def short_mm(self) -> float:
        """A closed gap that is still too warm counts as a heat limit of 0."""
        return max(self.gap_mm - self.window.estimate.heat_limit_mm.nominal, 0.0) if self.short_k else 0.0

    @property
    def keeps_both(self) -> bool:
        """True when the gap comes free with 95 % and the rise stays below the allowed one."""
        return self.comes_free and not self.short_k


def chance_of(job: Job, patch: Patch, kept: KeptTrial | None) -> Callable[[float], float]:
    """Chance of coming free over the gap in mm, normal to the face; it grows with the gap.

    By trials their own fit, at angles beyond those tried that of the nearest one. By the model the chance that the
    melt reaches no farther than the gap, true over computed depth normal about 1 (see SPREAD), and none where the
    rule of four layers and one for slicing is broken.
    """
    angle_deg = patch.lowest_angle_deg
    if kept is not None:
        a, b, c = kept.weights
        tried = [limit.angle_deg for limit in kept.limits]
        at = min(max(angle_deg, tried[0]), tried[-1])
        return lambda gap_mm: share_of_logit(a + b * gap_mm + c * at)
    melt_mm = powder_melt_depth_band_m(job.downskin_laser, alloy(job.metal), job.powder.porosity).nominal * 1e3
    least_mm = (LEAST_LAYERS + 1.0) * job.laser.layer_mm
    true_over_computed = NormalDist(1.0, SPREAD)

    def chance(gap_mm: float) -> float:
        upright_mm = vertical_gap_mm(gap_mm, angle_deg)
        return true_over_computed.cdf(upright_mm / melt_mm) if upright_mm >= least_mm - 1e-9 else 0.0

    return chance


def first_um(holds: Callable[[int], bool], low: int, high: int) -> int | None:
    """Least whole number from low to high for which something holds that holds from there on; None for none."""
    if not holds(high):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle + 1, high)
    return high


def best_gap(job: Job, patch: Patch, goal: Goal = "rise", library: Path | None = None) -> BestGap:
    """Search for one patch, to 1 µm. job: as it holds for the patch (`Job.for_pick`); library: folder of kept trials.

    The rise grows with the gap and so does the chance, so the least rise lies at the narrowest gap that comes free.
    Least mass: among the job's sink and a few others (fins, plate, wider pitch, thinner wall, block), each at the
    widest gap that keeps the rise allowed. Where nothing keeps both limits the narrowest free gap stands, and the
    answer says what is broken. Raises Refusal where no sink fits below the patch.
    """
    job = replace(job, picks=())
    chance = chance_of(job, patch, gap_windows(job, (patch,), library)[0].kept)
    widest = _widest_um(job, patch)
    least = max(20, math.ceil(2000 * job.laser.layer_mm - 1e-6))
    if widest < least:
        raise Refusal(
            f"No sink fits below patch {patch.id}: its middle lies {patch.centre_mm[2]:.2f} mm above the plate; "
            "raise the part or leave this patch without a sink."
        )
    free = first_um(lambda um: chance(um / 1e3) >= SHARE_FREE - 1e-9, least, widest)
    start = widest if free is None else free
    binds: Binds = "range" if free is None else "layers" if free == least else "free"
    own = _with_gap(job, start)
    if goal == "mass" and free is not None:
        own, binds = _lightest(job, patch, free, widest) or (own, binds)
    return _answer(own, patch, goal, binds, chance, (start, widest), library)


def best_gaps(job: Job, patches: tuple[Patch, ...], goal: Goal = "rise", library: Path | None = None) -> list[BestGap]:
    """One answer per patch: those of the job's picks, in order. Raises Refusal as `best_gap` does."""
    return [best_gap(job.for_pick(pick), patch, goal, library) for pick, patch in zip(job.picks, patches, strict=True)]


def with_best(pick: Pick, best: BestGap) -> Pick:
    """The pick with the best gap, and the sink it was found for, as its own."""
    return replace(pick, gap=GapChoice(gap_mm=best.gap_mm), sink=best.sink)


def _answer(
    job: Job, patch: Patch, goal: Goal, binds: Binds, chance: Callable[[float], float], range_um: tuple[int, int],
    library: Path | None,
) -> BestGap:  # fmt: skip
    """The answer for a job that has the best gap and sink already. range_um: of the gaps that come free."""
    window = gap_windows(job, (patch,), library)[0]
    gap_mm, kept = window.gap_mm, window.kept
    k = window.estimate.powder_conductivity_w_mk

    def at(k_w_mk: float) -> AtConductivity:
        other = replace(job, powder=replace(job.powder, conductivity_w_mk=k_w_mk))
        estimate = estimate_of(other, patch)
        best_um = _widest_cool_um(other, patch, *range_um) or range_um[0] if binds == "heat" else round(1e3 * gap_mm)
        return AtConductivity(
            k_w_mk=k_w_mk,
            rise_k=estimate.rise_with_k.nominal,
            gap_mm=best_um / 1e3,
            heat_limit_mm=estimate.heat_limit_mm.nominal,
        )

    below, above = (at(k.nominal * math.exp(step)).rise_k for step in (-LN_STEP, LN_STEP))
    interval = None
    if kept is not None and any(trial.gap_mm is not None for trial in kept.trials):
        tried = [limit.angle_deg for limit in kept.limits]
        angle_deg = min(max(patch.lowest_angle_deg, tried[0]), tried[-1])
        interval = FreeProfile.of(kept.log.judged).shares_at(gap_mm, angle_deg)[1:]
    return BestGap(
        patch=patch,
        goal=goal,
        window=window,
        sink=job.sink,
        binds=binds,
        share_free=chance(gap_mm),
        share_interval=interval,
        mass_g=sink_mass_g(job.sink, patch, gap_mm, alloy(job.metal).density_kg_m3(ROOM_K)),
        rise_allowed_k=job.rise_allowed_k,
        sensitivity=Sensitivity(
            per_ln_k=(above - below) / (2 * LN_STEP),
            less=at(k.nominal * (1 - K_STEP)),
            more=at(k.nominal * (1 + K_STEP)),
            low=at(k.low),
            high=at(k.high),
        ),
    )


def _lightest(job: Job, patch: Patch, free: int, widest: int) -> tuple[Job, Binds] | None:
    """The lightest sink at its widest gap that keeps the rise allowed; None when none does."""
    density = alloy(job.metal).density_kg_m3(ROOM_K)
    found: list[tuple[float, Job, Binds]] = []
    for sink in sinks_to_try(job.sink, patch, free / 1e3):
        own = replace(job, sink=sink)
        um = _widest_cool_um(own, patch, free, widest)
        if um is not None:
            mass_g = sink_mass_g(sink, patch, um / 1e3, density)
            found.append((mass_g, _with_gap(own, um), "range" if um == widest else "free" if um == free else "heat"))
    return min(found, key=lambda one: one[0])[1:] if found else None


def _widest_cool_um(job: Job, patch: Patch, low: int, high: int) -> int | None:
    """The widest gap in µm that keeps the rise allowed; None when even the narrowest doesn't."""

    def too_warm(um: int) -> bool:
        return estimate_of(_with_gap(job, um), patch).rise_with_k.nominal > job.rise_allowed_k

    first = first_um(too_warm, low, high)
    return high if first is None else first - 1 if first > low else None


def _with_gap(job: Job, um: int) -> Job:
    return replace(job, gap=GapChoice(gap_mm=um / 1e3))


def _widest_um(job: Job, patch: Patch) -> int:
    """The widest gap that leaves the closed top its height, at most 5 mm."""
    room_mm = max(patch.centre_mm[2] - job.sink.skin_mm, 0.0)
    return min(WIDEST_UM, math.floor(1e3 * room_mm * math.cos(math.radians(min(patch.mean_angle_deg, 80.0))) + 1e-6))
