"""What was proposed for one patch: a sink with its settings, or none, and why."""

from dataclasses import dataclass

from core.job import Pick


@dataclass(frozen=True, kw_only=True)
class Proposed:
    """One patch looked at. All rises are steady estimates over the plate (quick 3-D), K.

    taken: a sink is proposed, `pick` holds its settings. reasons: sentences, the most telling first.
    trouble: ranks the patches, larger is worse; only its order means something. ledge_mm: how far the patch
    reaches from where the part below carries it. length_scale_mm: l = sqrt(k t / h) across the proposed gap.
    fin_gain: share by which the fin formula lowers the ledge's tip. volume_mm3: metal of its sinks, 0 without.
    """

    patch: int
    taken: bool
    reasons: tuple[str, ...]
    trouble: float
    rise_without_k: float
    rise_with_k: float | None = None
    ledge_mm: float
    length_scale_mm: float
    fin_gain: float
    step_over_hatch: float
    fuse_limit_mm: float
    heat_limit_mm: float
    volume_mm3: float = 0.0
    pick: Pick | None = None

    @property
    def headline(self) -> str:
        """The first reason: why the sink is proposed, or why none is."""
        return self.reasons[0]
