"""One patch on its way to a proposal: ways to build its sink, what is known of it, why it is taken or dropped."""

from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from core.heat.column_1d import column_facts
from core.job import Job, Pick, pick_of
from core.part.patch import Patch
from core.propose_ledge import FinGain, Ledge, fin_gain
from core.propose_rules import Option, flat_words, gap_for, step_over_hatch, zone_for
from core.proposed import Proposed
from core.run_job import estimate_of


@dataclass(kw_only=True, eq=False)
class Case:
    """One patch on its way: the options left, the settings chosen, and what is known of it so far."""

    patch: Patch
    rise_without_k: float
    trouble: float
    ledge: Ledge
    gain: FinGain
    limits_mm: tuple[float, float]
    options: list[Option]
    pick: Pick
    words: tuple[str, ...]
    library: Path | None
    dropped: str = ""
    tried: list[str] = field(default_factory=list)
    rise_with_k: float | None = None
    volume_mm3: float = 0.0

    @property
    def stands(self) -> bool:
        return not self.dropped

    def take(self, job: Job) -> None:
        """Settle gap and zone for the first option left."""
        option = self.options[0]
        own = replace(job, sink=option.choice)
        gap, window, gap_words = gap_for(self.patch, own, self.library)
        zone, zone_words = zone_for(self.patch, replace(own, gap=gap))
        estimate = window.estimate
        self.limits_mm = estimate.fuse_limit_mm.nominal, estimate.heat_limit_mm.nominal
        self.gain = fin_gain(self.ledge, estimate_of(replace(own, gap=gap), self.patch), job)
        self.pick = replace(pick_of(self.patch.faces), gap=gap, sink=option.choice, zone=zone)
        self.words = tuple(text for text in (option.why[0], gap_words, *option.why[1:], zone_words) if text)

    def go_on(self, job: Job, why: str) -> None:
        """Take the next option, or drop the patch when there is none; why ends with a full stop."""
        kind = self.options.pop(0).choice.kind
        self.tried.append(f"Tried as {'an edge sink' if kind == 'edge' else kind} first: {why}")
        if not self.options:
            self.drop(why)
            return
        self.take(job)

    def drop(self, why: str) -> None:
        """No sink; why ends with a full stop."""
        self.dropped = f"No sink: {why.removeprefix('no sink can stand under the patch at ')}"

    def proposed(self, job: Job) -> Proposed:
        without = _rise_words(job, self.rise_without_k)
        step = "without end" if np.isinf(self.patch.overhang_step_mm) else f"{self.patch.overhang_step_mm:.2f} mm"
        ledge = (
            f"Ledge {self.ledge.length_mm:.1f} mm long, {self.ledge.thickness_mm:.1f} mm thick as it is built, against "
            f"l = {self.gain.length_scale_mm:.1f} mm: by the fin formula a sink lowers its tip by "
            f"{100 * self.gain.share:.0f} %."
        )
        trouble = (
            f"Step over powder {step}, hatch {job.laser.hatch_mm:g} mm"
            + (f"; {self.patch.lowest_edge_mm:.0f} mm of edge start on powder." if self.patch.lowest_edge_mm else ".")
        )  # fmt: skip
        if self.dropped:
            reasons: tuple[str, ...] = (
                self.dropped,
                f"Without a sink it rises by {without}.",
                trouble,
                ledge,
                *self.tried[:-1],
            )
        else:
            share = 100 * (1 - (self.rise_with_k or 0.0) / max(self.rise_without_k, 1e-9))
            headline = (
                f"A sink lowers the rise from {without} to {_rise_words(job, self.rise_with_k or 0.0)} ({share:.0f} %, "
                "quick 3-D)."
            )
            metal = f"It takes {self.volume_mm3 / 1000:.2g} cm³ of metal."
            reasons = (headline, flat_words(self.patch), trouble, ledge, *self.words, metal, *self.tried)
        return Proposed(
            patch=self.patch.id,
            taken=self.stands,
            reasons=tuple(text for text in reasons if text),
            trouble=self.trouble,
            rise_without_k=self.rise_without_k,
            rise_with_k=self.rise_with_k if self.stands else None,
            ledge_mm=self.ledge.length_mm,
            length_scale_mm=self.gain.length_scale_mm,
            fin_gain=self.gain.share,
            step_over_hatch=step_over_hatch(self.patch, job),
            fuse_limit_mm=self.limits_mm[0],
            heat_limit_mm=self.limits_mm[1],
            volume_mm3=self.volume_mm3 if self.stands else 0.0,
            pick=self.pick if self.stands else None,
        )


def _rise_words(job: Job, rise_k: float) -> str:
    """A steady rise; beyond the solidus its size means nothing."""
    highest_k = column_facts(job.metal, job.laser, job.powder, job.rise_allowed_k).highest_rise_k
    return f"{rise_k:.0f} K" if rise_k < highest_k else f"more than {highest_k:.0f} K (the solidus)"
