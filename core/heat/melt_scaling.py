"""Scaling laws for the melt pool on solid metal: normalised enthalpy, each with its convention, and fits to it."""

import math

KEYHOLE = 6.0
"""Normalised enthalpy (by the 1/e² radius) from which pools were seen to turn into keyholes; from memory."""
NEAR_KEYHOLE = 0.6 * KEYHOLE
"""Absorptivity and properties are known to some 40 % at best."""
CONVENTION = "A P / (π ρ cp (Tm − T0) √(D v a³)) with a the 1/e² radius, half the spot (Hann 2011, King 2014)"
FIT_B, FIT_P = (2.0, 20.0), (0.1, 3.0)
"""Range over which the fits agree with the integral they were made for, depth within 8 %."""


def normalised_enthalpy(
    *,
    absorbed_w: float,
    speed_m_s: float,
    radius_m: float,
    conductivity_w_mk: float,
    volumetric_heat_j_m3k: float,
    melting_rise_k: float,
) -> float:
    """Deposited over melting enthalpy, A P / (pi rho cp dT sqrt(D v a³)).

    radius_m: whichever radius the number shall be given for. Three are in use, and one tool's 5 is another's 15:
    KEYHOLE belongs to the 1/e² radius, spot/2 with the spot as D4sigma.
    """
    diffusivity = conductivity_w_mk / volumetric_heat_j_m3k
    melting = volumetric_heat_j_m3k * melting_rise_k
    return absorbed_w / (math.pi * melting * math.sqrt(diffusivity * speed_m_s * radius_m**3))


def scaled_pool_m(b: float, p: float, radius_m: float) -> tuple[float, float, float] | None:
    """(width, depth, length) of the pool by Rubenchik et al., J. Mater. Process. Technol. 257:234 (2018).

    b: normalised enthalpy with pi^1.5 in place of pi and p = D / (v a), both by the 1/e radius a = radius_m of
    exp(-r²/a²): spot / (2 sqrt 2) with the spot as D4sigma. None outside the range of the fits. Coefficients from
    memory; the tests hold them against the integral.
    """
    if not (FIT_B[0] <= b <= FIT_B[1] and FIT_P[0] <= p <= FIT_P[1]):
        return None
    ln_p, ln_b = math.log(p), math.log(b)
    depth = 0.008 - 0.0048 * b - 0.047 * p - 0.099 * b * p + (0.32 + 0.015 * b) * p * ln_p
    depth += ln_b * (0.0056 - 0.89 * p + 0.29 * p * ln_p)
    length = 0.0053 - 0.21 * p + 1.3 * p**2 - (0.11 + 0.17 * b) * p**2 * ln_p
    length += b * (-0.0062 + 0.23 * p + 0.75 * p**2)
    width = 0.0021 - 0.047 * p + 0.34 * p**2 - 1.9 * p**3 - 0.33 * p**4
    width += b * (0.00066 - 0.0070 * p - 0.00059 * p**2 + 2.8 * p**3 - 0.12 * p**4)
    width += b**2 * (-0.00070 + 0.015 * p - 0.12 * p**2 + 0.59 * p**3 - 0.023 * p**4)
    width += b**3 * (0.00001 - 0.00022 * p + 0.0020 * p**2 - 0.0085 * p**3 + 0.0014 * p**4)
    return radius_m * width / (b * p**3), -radius_m * depth / math.sqrt(p), radius_m * length / p**2
