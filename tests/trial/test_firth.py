"""The logistic regression against a closed form, scikit-learn and brute force."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize
from sklearn.linear_model import LogisticRegression

from core.trial.firth import firth_fit, penalised_likelihood


def plain_fit(rows: np.ndarray, free: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Unpenalised weighted logistic regression by scikit-learn."""
    model = LogisticRegression(C=np.inf, fit_intercept=False, tol=1e-12, max_iter=10_000, solver="newton-cholesky")
    return model.fit(rows, free, sample_weight=weight).coef_[0]


def drawn(n: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """n cells with a true logit -6 + 25 gap + 0.02 angle."""
    rng = np.random.default_rng(seed)
    rows = np.column_stack([np.ones(n), rng.choice([0.1, 0.2, 0.3, 0.4], n), rng.choice([20.0, 30.0, 45.0], n)])
    return rows, (rng.random(n) < 1 / (1 + np.exp(-(rows @ [-6.0, 25.0, 0.02])))).astype(float)


@pytest.mark.parametrize(("free_low", "free_high", "n"), [(0, 5, 5), (1, 4, 6), (2, 9, 9), (0, 3, 8)])
def test_two_gaps_are_the_table_with_half_added_to_every_cell(free_low: int, free_high: int, n: int) -> None:
    """For a saturated model Jeffreys' prior adds 1/2 to each count (Firth 1993; Haldane's and Anscombe's log odds)."""
    gap = np.repeat([0.1, 0.3], n)
    free = np.concatenate([np.arange(n) < free_low, np.arange(n) < free_high]).astype(float)
    weights, _ = firth_fit(np.column_stack([np.ones(2 * n), gap]), free)
    low = math.log((free_low + 0.5) / (n - free_low + 0.5))
    high = math.log((free_high + 0.5) / (n - free_high + 0.5))
    assert weights[0] + 0.1 * weights[1] == pytest.approx(low, abs=1e-6)
    assert weights[0] + 0.3 * weights[1] == pytest.approx(high, abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_the_fit_is_scikit_learns_on_the_augmented_trials(seed: int) -> None:
    """Each trial counted as itself plus h/2 free and h/2 stuck gives the same weights (Heinze and Schemper 2002)."""
    rows, free = drawn(24, seed)
    weights, _ = firth_fit(rows, free)
    share = 1 / (1 + np.exp(-(rows @ weights)))
    q, _ = np.linalg.qr(rows * np.sqrt(share * (1 - share))[:, None])
    leverage = (q**2).sum(axis=1)
    both = np.concatenate([np.ones(24), np.zeros(24)])
    again = plain_fit(np.vstack([rows, rows]), both, np.concatenate([free + leverage / 2, 1 - free + leverage / 2]))
    assert rows @ again == pytest.approx(rows @ weights, abs=2e-4)


def test_with_many_trials_the_prior_fades_and_scikit_learn_agrees() -> None:
    rows, free = drawn(20_000, 1)
    assert firth_fit(rows, free)[0] == pytest.approx(plain_fit(rows, free, np.ones(20_000)), rel=5e-3)


def test_trials_that_separate_cleanly_give_a_finite_slope() -> None:
    """Ordinary logistic regression has no answer here: its slope grows without end."""
    gap = np.array([0.1, 0.125, 0.15, 0.25, 0.3])
    rows = np.column_stack([np.ones(5), gap])
    free = (gap > 0.2).astype(float)
    weights, value = firth_fit(rows, free)
    assert 10 < weights[1] < 200
    best = minimize(lambda w: -penalised_likelihood(rows, free, w), [0.0, 0.0], method="Nelder-Mead",
                    options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 5000})  # fmt: skip
    assert value == pytest.approx(-best.fun, abs=1e-8)
    assert weights == pytest.approx(best.x, rel=1e-3)


def test_the_unit_of_the_gap_does_not_matter() -> None:
    rows, free = drawn(30, 7)
    micro = rows * [1.0, 1000.0, 1.0]
    assert firth_fit(micro, free)[0] * [1.0, 1000.0, 1.0] == pytest.approx(firth_fit(rows, free)[0], rel=1e-5)
