"""Group differences: by hand, by counting all pairs, and against SciPy's bootstrap."""

import numpy as np
import pytest
from scipy import stats

from core.trial.compare_groups import cliff_delta, compare_groups, hedges_g


def test_hedges_g_by_hand() -> None:
    """Means 3 and 2, sums of squares 2 and 2, four degrees of freedom: s = 1, d = 1, corrected by 1 - 3 / 15."""
    assert hedges_g(np.array([2.0, 3, 4]), np.array([1.0, 2, 3])) == pytest.approx(0.8)


def test_cliff_delta_by_counting_all_pairs() -> None:
    random = np.random.default_rng(2)
    one, two = random.integers(0, 6, 30).astype(float), random.integers(1, 8, 41).astype(float)
    counted = np.mean([np.sign(a - b) for a in one for b in two])
    assert cliff_delta(one, two) == pytest.approx(counted)
    assert cliff_delta(np.ones(3), np.zeros(4)) == 1.0


def test_the_interval_agrees_with_scipy_where_values_are_independent() -> None:
    random = np.random.default_rng(4)
    one, two = random.normal(1.0, 1.0, 60), random.normal(0.0, 2.0, 80)
    ours = compare_groups([one], [two], block=1, draws=4000)
    theirs = stats.bootstrap(
        (one, two), lambda a, b, axis: a.mean(axis=axis) - b.mean(axis=axis), method="percentile", n_resamples=4000,
        rng=np.random.default_rng(1),
    ).confidence_interval  # fmt: skip
    assert ours is not None
    width = theirs.high - theirs.low
    assert abs(ours.low - theirs.low) < 0.06 * width and abs(ours.high - theirs.high) < 0.06 * width
    assert ours.mean == pytest.approx(one.mean() - two.mean())


def test_blocks_widen_the_interval_of_series_whose_neighbours_are_alike() -> None:
    """With autocorrelation r^k the mean varies (1 + r) / (1 - r) as much as that of independent values: 9 for r 0.8."""
    random = np.random.default_rng(6)
    series = np.zeros(4000)
    for k in range(1, len(series)):
        series[k] = 0.8 * series[k - 1] + random.normal()
    quiet = [np.array([0.0, 1e-9] * 50)]
    widths = []
    for block in (1, 60):
        found = compare_groups([series], quiet, block=block, draws=600)
        assert found is not None
        widths.append(found.high - found.low)
    assert widths[1] / widths[0] == pytest.approx(3.0, rel=0.15)


def test_the_same_seed_gives_the_same_interval_and_too_little_gives_none() -> None:
    one, two = np.arange(9.0), np.arange(3.0, 20.0)
    assert compare_groups([one], [two]) == compare_groups([one], [two])
    assert compare_groups([one], []) is None
    assert compare_groups([one], [np.array([1.0])]) is None
