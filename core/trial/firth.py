"""Logistic regression with Jeffreys' prior: finite also where the trials separate cleanly (Firth 1993)."""

import numpy as np

from core.units import FloatArray

MOST_STEPS, LONGEST = 400, 3.0
TOLERANCE = 1e-11


def penalised_likelihood(rows: FloatArray, free: FloatArray, weights: FloatArray) -> float:
    """log L + 0.5 log det(X' W X) (Firth, Biometrika 80:27, 1993). rows: (n, p), free: (n,) 0 or 1, weights: (p,)."""
    eta = rows @ weights
    share = _logistic(eta)
    log_likelihood = float(np.sum(free * eta - np.logaddexp(0.0, eta)))
    sign, log_det = np.linalg.slogdet(rows.T @ (rows * (share * (1.0 - share))[:, None]))
    return log_likelihood + 0.5 * float(log_det) if sign > 0 else -np.inf


def firth_fit(
    rows: FloatArray, free: FloatArray, direction: FloatArray | None = None, start: FloatArray | None = None
) -> tuple[FloatArray, float]:
    """The weights (p,) that maximise the penalised likelihood, and its value there.

    With direction (p, q) and start (p,) only weights start + direction @ t are looked among, as a profile needs.
    Fisher scoring with halved steps; the prior is invariant, so scales of the columns don't matter to the answer.
    """
    p = rows.shape[1]
    direction = np.eye(p) if direction is None else direction
    weights = np.zeros(p) if start is None else start.astype(float)
    value = penalised_likelihood(rows, free, weights)
    for _ in range(MOST_STEPS):
        score, information = _score(rows, free, weights)
        narrow = direction.T @ information @ direction
        step = direction @ np.linalg.lstsq(narrow, direction.T @ score, rcond=None)[0]
        longest = float(np.abs(rows @ step).max())
        step *= min(1.0, LONGEST / longest) if longest > 0 else 1.0
        for _ in range(60):
            tried = penalised_likelihood(rows, free, weights + step)
            if tried >= value:
                break
            step = step / 2
        else:
            break
        weights, gained, value = weights + step, tried - value, tried
        if gained < TOLERANCE and np.abs(rows @ step).max() < 1e-8:
            break
    return weights, value


def _score(rows: FloatArray, free: FloatArray, weights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Firth's modified score X'(y - p + h (1/2 - p)) and the information X' W X; h is the hat matrix' diagonal."""
    share = _logistic(rows @ weights)
    weighted = rows * (share * (1.0 - share))[:, None]
    information = rows.T @ weighted
    hat = np.einsum("ij,ji->i", weighted, np.linalg.pinv(information) @ rows.T)
    return rows.T @ (free - share + hat * (0.5 - share)), information


def _logistic(eta: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (1.0 + np.tanh(0.5 * eta)))
