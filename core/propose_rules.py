"""The rules by which a sink is proposed for one patch: kind, room between its fins, gap, zone; each with its reason."""

import math
from dataclasses import dataclass, replace
from pathlib import Path

from core.checks.powder_escape import JAM_GRAINS
from core.gap.gap_choice import GapChoice
from core.gap.gap_window import FLATTEST_DEG, vertical_gap_mm
from core.heat.melt_zone import ZoneChoice, melt_of
from core.job import Job
from core.part.patch import Patch
from core.refusal import Refusal
from core.run_job import estimate_of
from core.run_window import GapWindow, gap_windows
from core.sink.sink_choice import SinkChoice

LEAST_DOOR_MM = 0.8
"""Lower bays aren't cut, as in core.sink.bays."""
LEAST_BAY_MM = 1.0
"""Narrower bays are a block in all but name (our choice)."""
SMALL_PITCHES = 2.0
"""A patch smaller than the square of so many pitches has room for one bay at most (our choice)."""
ZONE_BELOW_DEG = 30.0
"""Flatter faces get a zone: the one published gap study measured 25° and 30°, and failed at 15°."""
SOLID_LAYERS = 1.5
"""A zone still melts so many layers deep into solid metal (common practice, no source)."""
MELT_MORE = 1.4
"""Melt depths are known to ±40 %."""
MOST_ZONE_LAYERS = 10
WITH_WALLS = ("fins", "plate", "block")
LEAST_METAL = ("plate", "fins", "block")


@dataclass(frozen=True, kw_only=True)
class ProposeLimits:
    """What a proposal keeps to. A sink is dropped when it takes off less than the share of the rise, or the kelvin.

    The sinks together weigh at most most_mass_share times what the part does, as the metal has to be paid for.
    All three are our choice.
    """

    least_gain_share: float = 0.05
    least_gain_k: float = 10.0
    most_mass_share: float = 1.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.least_gain_share <= 1.0 or not 0.0 <= self.least_gain_k <= 2000.0:
            raise Refusal("The least gain must be a share of 0 to 1, and 0 to 2000 K.")
        if not 0.0 < self.most_mass_share <= 100.0:
            raise Refusal(f"Sinks of {self.most_mass_share:g} times the part's mass are out of range; set up to 100.")


@dataclass(frozen=True, kw_only=True)
class Option:
    """One way to build the sink of a patch; why: the sentence on its kind, then that on its bays."""

    choice: SinkChoice
    why: tuple[str, ...]


def trouble_of(patch: Patch, job: Job, rise_without_k: float) -> float:
    """Rise over the allowed one, plus half the step over the hatch (at most two hatches), plus 0.5 for an island.

    An ordering of our own (no source): heat first, then whole tracks on powder, then a start in mid-air.
    """
    step = min(step_over_hatch(patch, job), 2.0)
    return rise_without_k / job.rise_allowed_k + 0.5 * step + 0.5 * patch.is_island


def step_over_hatch(patch: Patch, job: Job) -> float:
    """How many hatches of each layer lie on powder; infinite for a flat ceiling."""
    return patch.overhang_step_mm / job.laser.hatch_mm


def options_for(patch: Patch, job: Job, rise_without_k: float, limits: ProposeLimits) -> tuple[Option, ...]:
    """Ways to build the sink, the best first; the others stand in where it can't be built, taken off or paid for."""
    sink, bays = _with_room(patch, job)
    by_kind = {kind: replace(sink, kind=kind, direction_deg=None) for kind in ("fins", "plate", "block", "edge")}
    order: tuple[str, ...]
    small = patch.plan_area_mm2 < (SMALL_PITCHES * sink.fin_pitch_mm) ** 2
    if patch.lowest_edge_mm > 0 and rise_without_k <= job.rise_allowed_k and step_over_hatch(patch, job) <= 1:
        first = (
            f"Edge sink: only the lowest edge ({patch.lowest_edge_mm:.0f} mm on powder) is in trouble, as the rise "
            f"stays below the allowed {job.rise_allowed_k:.0f} K and no step is wider than a hatch."
        )
        order = ("edge", "block") if small or not bays else ("edge", *WITH_WALLS)
    elif not bays:
        first, order = f"Block: {patch.z_min_mm:.1f} mm of height leave no room for bays.", ("block",)
    elif small:
        first = (
            f"Block: {patch.plan_area_mm2:.0f} mm² in plan are less than {SMALL_PITCHES:g} × {SMALL_PITCHES:g} "
            f"pitches of {sink.fin_pitch_mm:g} mm, so hardly a bay finds room."
        )
        order = ("block", "fins")
    else:
        first, order = _plate_or_fins(patch, job, by_kind["plate"], by_kind["fins"], limits)
    whys = (first, *(f"{kind.capitalize()} instead." for kind in order[1:]))
    return tuple(
        Option(choice=by_kind[kind], why=(why, *_bay_words(kind, bays))) for kind, why in zip(order, whys, strict=True)
    )


def gap_for(patch: Patch, job: Job, library: Path | None = None) -> tuple[GapChoice, GapWindow, str]:
    """Inside the gap window where there is one, else at its fuse limit; the sentence says which and why.

    The job holds the sink that is meant. Kept trials of its alloy and laser give the fuse limit where there are any.
    library: folder of kept trials in place of the user's. Rounded up to 0.01 mm, and at least two layers.
    Raises Refusal for a gap no job takes.
    """
    window = gap_windows(replace(job, picks=()), (patch,), library)[0]
    fuse_mm, heat_mm = window.estimate.fuse_limit_mm.nominal, window.estimate.heat_limit_mm.nominal
    least_mm = max(fuse_mm, 2 * job.laser.layer_mm)
    wanted_mm = window.proposed_gap_mm
    if window.kept is None:
        wanted_mm = max(wanted_mm, _up(JAM_GRAINS * job.powder.d90_um * 1e-3))  # so that powder leaves the gap
    if least_mm <= heat_mm < wanted_mm:
        gap_mm = max(math.floor(heat_mm * 100.0 + 1e-9) / 100.0, _up(least_mm))
        why = f"just below the heat limit of {heat_mm:.2f} mm"
    else:
        gap_mm = _up(max(least_mm, wanted_mm if heat_mm >= least_mm else 0.0))
        why = _window_words(window, least_mm)
    source = f" ({window.kept.words})" if window.kept is not None else ""
    sentence = f"Gap {gap_mm:.2f} mm: {why}; fuse limit {fuse_mm:.2f} mm{source}."
    return GapChoice(gap_mm=round(gap_mm, 2)), window, sentence


def zone_for(patch: Patch, job: Job) -> tuple[ZoneChoice | None, str]:
    """A downskin zone and why, or None and an empty sentence. The job holds the gap that is meant.

    The power is lowered until even 40 % more than the computed melt depth over powder ends within the gap, as the
    depth goes with power over speed and hatch; never so far that less than 1.5 layers of solid metal melt.
    """
    wide, flat = step_over_hatch(patch, job) > 1, patch.lowest_angle_deg < ZONE_BELOW_DEG - 0.05
    if not (wide or flat):
        return None, ""
    laser = job.laser
    gap_mm = vertical_gap_mm(job.gap.gap_mm, min(patch.lowest_angle_deg, 80.0))
    melt = melt_of(laser, job.metal, job.powder.porosity)
    share = min(1.0, (gap_mm + laser.layer_mm) / (MELT_MORE * melt.powder_depth_m.nominal * 1e3))
    power_w = float(math.floor(share * laser.power_w))
    least_mm = SOLID_LAYERS * laser.layer_mm
    bound = ""
    while power_w < laser.power_w and _solid_mm(job, power_w) < least_mm:
        power_w = min(power_w + max(1.0, 0.01 * laser.power_w), laser.power_w)
        bound = f" With less, under {SOLID_LAYERS:g} layers of solid metal would melt."
    above_mm = melt.solid_depth_m.nominal * 1e3
    layers = max(2, min(math.ceil(above_mm / laser.layer_mm), MOST_ZONE_LAYERS))
    zone = ZoneChoice(layers=layers, power_w=round(power_w) if power_w < laser.power_w else None)
    depth_mm = melt.powder_depth_m.nominal * 1e3 * power_w / laser.power_w
    cause = "each layer's step over powder is wider than the hatch" if wide else (
        f"the face is as flat as {patch.lowest_angle_deg:.0f}°"
    )  # fmt: skip
    settings = f"{power_w:.0f} W instead of {laser.power_w:.0f} W" if zone.power_w else "the job's own settings"
    return zone, (
        f"Zone of {layers} layers with {settings}: {cause}. About {depth_mm:.2f} mm of powder melt then (±40 %), "
        f"against {gap_mm:.2f} mm of gap straight down and the layer itself.{bound}"
    )


def flat_words(patch: Patch) -> str:
    """What is to be said of a face that is too flat for a sink to save it; empty for others."""
    if patch.lowest_angle_deg >= FLATTEST_DEG:
        return ""
    return (
        f"The face is as flat as {patch.lowest_angle_deg:.0f}°: expect trouble even with a sink; the one published gap "
        "study failed at 15°."
    )


def _plate_or_fins(
    patch: Patch, job: Job, plate: SinkChoice, fins: SinkChoice, limits: ProposeLimits
) -> tuple[str, tuple[str, ...]]:
    """The plate has about half the metal; fins are worth theirs where they lower a rise above the allowed one."""
    rise_k = {c.kind: estimate_of(replace(job, sink=c), patch).rise_with_k.nominal for c in (plate, fins)}
    gain_k = rise_k["plate"] - rise_k["fins"]
    numbers = f"1-D: {rise_k['plate']:.0f} K with a plate on wide ribs, {rise_k['fins']:.0f} K with fins"
    if rise_k["plate"] <= job.rise_allowed_k:
        why = f"Plate: it keeps the rise below the allowed {job.rise_allowed_k:.0f} K with the least metal ({numbers})."
        return why, LEAST_METAL
    if gain_k < max(limits.least_gain_share * rise_k["plate"], limits.least_gain_k):
        return f"Plate: fins would take twice the ribs and hardly lower the rise ({numbers}).", LEAST_METAL
    return f"Fins: a plate's wide ribs would leave more rise ({numbers}).", WITH_WALLS


def _with_room(patch: Patch, job: Job) -> tuple[SinkChoice, bool]:
    """The job's sink with bays that fit the height and let powder out; False where no bay does."""
    sink = job.sink
    height_mm = patch.centre_mm[2] - vertical_gap_mm(job.gap.gap_mm, min(patch.mean_angle_deg, 80.0))
    fits_mm = 2 * (height_mm - sink.skin_mm - LEAST_DOOR_MM) / math.tan(math.radians(sink.roof_deg))
    least_mm = max(LEAST_BAY_MM, JAM_GRAINS * job.powder.d90_um * 1e-3)
    bay_mm = math.floor(10 * min(max(sink.fin_pitch_mm - sink.fin_thickness_mm, least_mm), fits_mm)) / 10
    if bay_mm < least_mm:
        return sink, False
    return replace(sink, fin_pitch_mm=round(sink.fin_thickness_mm + bay_mm, 2)), True


def _bay_words(kind: str, bays: bool) -> tuple[str, ...]:
    """Direction and bays of kinds that have walls."""
    if kind not in ("fins", "plate") or not bays:
        return ()
    return ("Walls run across the lowest edge and off the recoater blade; their bays are wide enough to drain.",)


def _window_words(window: GapWindow, least_mm: float) -> str:
    heat_mm = window.estimate.heat_limit_mm.nominal
    if math.isinf(heat_mm):
        return "the first gap to try; there is no heat limit"
    if heat_mm <= 0.0:
        return "the least that should come free, as even a closed gap leaves more than the allowed rise in 1-D"
    if heat_mm < least_mm:
        return f"the least that should come free, as the heat limit in 1-D is only {heat_mm:.2f} mm"
    return f"inside its window, whose heat limit is {heat_mm:.2f} mm"


def _solid_mm(job: Job, power_w: float) -> float:
    """Melt depth on solid metal at another power."""
    laser = replace(job.laser, power_w=power_w)
    return melt_of(laser, job.metal, job.powder.porosity).solid_depth_m.nominal * 1e3


def _up(length_mm: float) -> float:
    """Rounded up to 0.01 mm."""
    return math.ceil(length_mm * 100.0 - 1e-9) / 100.0
