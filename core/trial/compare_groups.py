"""Do two groups of patches differ: difference, effect size and a seeded bootstrap interval."""

from dataclasses import dataclass

import numpy as np

from core.units import FloatArray

DRAWS = 2000
SEED = 20260101
SHARE = 0.95


@dataclass(frozen=True, kw_only=True)
class Difference:
    """First group less second. effect: Hedges' g; cliff: share of pairs where the first is higher, less the rest.

    low, high: 95 % interval of the difference; effect_low, effect_high: of the effect size. n: values of each group.
    """

    mean: float
    low: float
    high: float
    effect: float
    effect_low: float
    effect_high: float
    cliff: float
    n: tuple[int, int]
    patches: tuple[int, int]


def compare_groups(first: list[FloatArray], second: list[FloatArray], *, draws: int = DRAWS, seed: int = SEED,
                   block: int | None = None) -> Difference | None:  # fmt: skip
    """Compare groups; each holds one series (n,) per patch, in the order of height. None without two values a group.

    Neighbours in a series are alike, so blocks of them are drawn, the end joined to the start (Politis and Romano, A
    circular block-resampling procedure, 1992), about n^(1/3) long unless `block` says so; each patch by itself.
    """
    sets = [[series for series in group if len(series)] for group in (first, second)]
    values = [np.concatenate(group) if group else np.zeros(0) for group in sets]
    if min(len(v) for v in values) < 2:
        return None
    random = np.random.default_rng(seed)
    drawn = np.empty((draws, 2))
    for k in range(draws):
        one, two = (np.concatenate([_drawn(series, random, block) for series in group]) for group in sets)
        drawn[k] = one.mean() - two.mean(), hedges_g(one, two)
    tail = (1 - SHARE) / 2
    (low, effect_low), (high, effect_high) = np.nanquantile(drawn, [tail, 1 - tail], axis=0)
    return Difference(
        mean=float(values[0].mean() - values[1].mean()),
        low=float(low),
        high=float(high),
        effect=hedges_g(*values),
        effect_low=float(effect_low),
        effect_high=float(effect_high),
        cliff=cliff_delta(*values),
        n=(len(values[0]), len(values[1])),
        patches=(len(sets[0]), len(sets[1])),
    )


def _drawn(series: FloatArray, random: np.random.Generator, block: int | None) -> FloatArray:
    """As many values again, in blocks that start anywhere; the end joins the start."""
    n = len(series)
    length = block or max(1, round(n ** (1 / 3)))
    starts = random.integers(0, n, size=-(-n // length))
    return series[(starts[:, None] + np.arange(length)).ravel()[:n] % n]


def hedges_g(one: FloatArray, two: FloatArray) -> float:
    """Difference of the means over the pooled standard deviation, times 1 - 3 / (4 (n1 + n2) - 9).

    Hedges, Distribution theory for Glass's estimator of effect size, 1981. NaN where nothing varies.
    """
    n = len(one) + len(two)
    if n < 3:
        return float("nan")
    spread = (((one - one.mean()) ** 2).sum() + ((two - two.mean()) ** 2).sum()) / (n - 2)
    if spread <= 0:
        return float("nan")
    return float((one.mean() - two.mean()) / np.sqrt(spread) * (1 - 3 / (4 * n - 9)))


def cliff_delta(one: FloatArray, two: FloatArray) -> float:
    """Share of pairs (a of one, b of two) with a > b, less the share with a < b (Cliff, 1993)."""
    ordered = np.sort(two)
    above = np.searchsorted(ordered, one, side="left").sum()
    below = (len(two) - np.searchsorted(ordered, one, side="right")).sum()
    return float((above - below) / (len(one) * len(two)))
