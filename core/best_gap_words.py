"""The best gap in plain words and as plain values: what it is, what holds it there, and what the powder does to it."""

import math
from typing import Any

from core.best_gap import SPREAD, AtConductivity, BestGap
from core.export.result_json import ESTIMATE_WORDS, band_values, number
from core.gap.gap_window import FLATTEST_DEG
from core.job import Job
from core.trial.trial_fit import SHARE_FREE
from core.version import PROGRAM, VERSION

BAND_WORDS = (
    "Without trials the ±40 % of the fuse limit are taken as the middle 90 % of a normal distribution (our choice), so "
    "its high end is the gap with a chance of 95 %."
)


def best_gap_text(best: BestGap) -> str:
    """The whole answer for one patch: gap, rise, what binds, chance, and the powder's share in it."""
    return " ".join((headline(best), *broken_words(best), sensitivity_text(best)))


def short_text(best: BestGap) -> str:
    """Two sentences for a narrow place: gap, chance, rise, what is broken, and 10 % of powder conductivity."""
    flat = not best.window.kept and best.patch.lowest_angle_deg < FLATTEST_DEG
    source = best.window.kept.words if best.window.kept else "model, estimate" + ", too good for so flat a face" * flat
    over = f", {best.short_k:.0f} K above the allowed" if best.short_k else ""
    stuck = "" if best.comes_free else "; no gap that fits reaches 95 %"
    s = best.sensitivity
    return (
        f"Patch {best.patch.id}: best gap {best.gap_mm:.3f} mm, comes free with {_share_words(best)} ({source})"
        f"{stuck}; "
        f"rise {best.rise_k.nominal:.0f} K ({best.rise_k.low:.0f} to {best.rise_k.high:.0f} K){over}. "
        f"With 10 % less or more powder conductivity {s.less.rise_k:.0f} or {s.more.rise_k:.0f} K."
    )


def headline(best: BestGap) -> str:
    """Gap with its band, what binds and where that is from, rise with its band, metal."""
    aim = "least rise" if best.goal == "rise" else "least metal"
    low, high = best.gap_band_mm
    band = f" ({low:.3f} to {_mm(high)})" if high > low else ""
    rise = best.rise_k
    metal = f"about {best.mass_g:.3g} g of metal"
    if best.goal == "mass":
        wall = f", walls {best.sink.fin_thickness_mm:g} mm every {best.sink.wall_pitch_mm:g} mm"
        metal += f" as {best.sink.kind}{wall if best.sink.wall_pitch_mm else ''}"
    return (
        f"Patch {best.patch.id}, {best.patch.lowest_angle_deg:.0f}°: best gap {best.gap_mm:.3f} mm{band} for the {aim},"
        f" held by {_binds_words(best)}. It comes free with {_chance_words(best)}; rise {rise.nominal:.0f} K "
        f"({rise.low:.0f} to {rise.high:.0f} K, estimate), {best.rise_allowed_k:.0f} K allowed; {metal}."
    )


def broken_words(best: BestGap) -> tuple[str, ...]:
    """A sentence for each limit that is broken, and by how much; none when both are kept."""
    words = []
    if best.patch.lowest_angle_deg < FLATTEST_DEG and best.window.kept is None:
        words.append(
            f"Flatter than {FLATTEST_DEG:.0f}° the model's chance is too good: at 15° the published study failed at "
            "every gap."
        )
    if not best.comes_free:
        words.append(
            f"No gap up to {best.gap_mm:.2f} mm comes free with {SHARE_FREE:.0%}: at the widest it is "
            f"{best.share_free:.0%}. Lower the laser's energy over the powder, or build more trials."
        )
    elif best.short_k:
        heat_mm = best.window.estimate.heat_limit_mm.nominal
        limit = (
            f"the heat limit of {heat_mm:.3f} mm lies {best.short_mm:.3f} mm below the gap"
            if heat_mm > 0
            else "even a closed gap is too warm"
        )
        words.append(
            f"No gap keeps both limits: the narrowest that comes free is {best.short_k:.0f} K above the allowed rise; "
            f"{limit}. Give the sink more metal, or the layer more time."
        )
    elif best.goal == "mass" and best.window.estimate.rise_without_k.nominal <= best.rise_allowed_k:
        words.append(
            f"Without any sink the rise is {best.window.estimate.rise_without_k.nominal:.0f} K: for heat alone the "
            "least metal is no sink."
        )
    return tuple(words)


def sensitivity_text(best: BestGap) -> str:
    """What the conductivity of the powder does to rise and gap."""
    s = best.sensitivity
    text = (
        f"Powder conductivity 10 % lower or higher makes the rise {s.less.rise_k:.0f} or {s.more.rise_k:.0f} K "
        f"(d rise / d ln k = {s.per_ln_k:.0f} K); the ends of its band, {s.low.k_w_mk:.2g} and {s.high.k_w_mk:.2g} W/mK"
        f", {s.low.rise_k:.0f} and {s.high.rise_k:.0f} K"
    )
    if best.binds == "heat":
        return (
            f"{text}. The best gap would be {s.less.gap_mm:.3f} or {s.more.gap_mm:.3f} mm, at the ends "
            f"{s.low.gap_mm:.3f} and {s.high.gap_mm:.3f} mm."
        )
    return f"{text}. The best gap stays, as what holds it doesn't depend on the powder's conductivity."


def _binds_words(best: BestGap) -> str:
    if best.binds == "layers":
        return "the rule of two layers"
    if best.binds == "heat":
        return "the allowed rise (model, estimate)"
    if best.binds == "range":
        return "the widest gap that can be built here"
    kept = best.window.kept
    return f"the chance to come free ({kept.words if kept else 'high end of the fuse limit, model, estimate'})"


def _chance_words(best: BestGap) -> str:
    share = _share_words(best)
    if best.share_interval is None:
        return f"{share} {'by the trials' if best.window.kept else 'by the model'}"
    low, high = best.share_interval
    return f"{share} (95 % interval {100 * low:.0f} to {100 * high:.0f} %)"


def _share_words(best: BestGap) -> str:
    return f"{100 * best.share_free:.1f} %" if best.share_free < 0.99 else "more than 99 %"


def _mm(length_mm: float) -> str:
    return "open" if math.isinf(length_mm) else f"{length_mm:.3f} mm"


def best_gap_values(job: Job, answers: list[BestGap]) -> dict[str, Any]:
    """What `best-gap --json` prints; infinite lengths are null."""
    return {
        "program": PROGRAM,
        "version": VERSION,
        "alloy": job.alloy,
        "rise_allowed_k": job.rise_allowed_k,
        "share_free_wanted": SHARE_FREE,
        "words": ESTIMATE_WORDS,
        "band_words": BAND_WORDS,
        "model_spread": number(SPREAD, 4),
        "best": [_values(best) for best in answers],
    }


def _values(best: BestGap) -> dict[str, Any]:
    s, kept, estimate = best.sensitivity, best.window.kept, best.window.estimate
    low, high = best.gap_band_mm
    return {
        "patch": best.patch.id,
        "lowest_angle_deg": number(best.patch.lowest_angle_deg, 6),
        "for": best.goal,
        "gap_mm": best.gap_mm,
        "gap_band_mm": [number(low, 6), number(high, 6)],
        "held_by": best.binds,
        "keeps_both": best.keeps_both,
        "short_k": number(best.short_k, 5),
        "short_mm": number(best.short_mm, 5),
        "share_free": number(best.share_free, 5),
        "share_interval": None if best.share_interval is None else [number(v, 4) for v in best.share_interval],
        "rise_k": band_values(best.rise_k),
        "fuse_limit_mm": band_values(estimate.fuse_limit_mm),
        "heat_limit_mm": band_values(estimate.heat_limit_mm),
        "mass_g": number(best.mass_g, 4),
        "sink": {
            "kind": best.sink.kind,
            "fin_pitch_mm": best.sink.fin_pitch_mm,
            "fin_thickness_mm": best.sink.fin_thickness_mm,
        },
        "sensitivity": {
            "rise_per_ln_k": number(s.per_ln_k, 5),
            **{name: _at_values(getattr(s, name)) for name in ("less", "more", "low", "high")},
        },
        "from_trials": None if kept is None else {"words": kept.words, "built_on": kept.built_on, "n": kept.n},
        "text": best_gap_text(best),
        "notes": list(estimate.notes),
    }


def _at_values(at: AtConductivity) -> dict[str, Any]:
    return {
        "k_w_mk": number(at.k_w_mk, 5),
        "rise_k": number(at.rise_k, 5),
        "gap_mm": at.gap_mm,
        "heat_limit_mm": number(at.heat_limit_mm, 5),
    }
