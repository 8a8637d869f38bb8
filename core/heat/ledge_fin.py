"""A thin ledge over powder as a fin: how far its own metal carries the heat back into the part."""

import math


def ledge_length_scale_m(conductivity_w_mk: float, ledge_thickness_m: float, conductance_w_m2k: float) -> float:
    """l = sqrt(k t / h): a ledge much shorter than this is cooled by the part, a much longer one by what is below."""
    return math.sqrt(conductivity_w_mk * ledge_thickness_m / conductance_w_m2k)


def ledge_tip_rise_k(flux_w_m2: float, conductance_w_m2k: float, ledge_length_m: float, length_scale_m: float) -> float:
    """Rise of the tip over root and sink under uniform flux: (q/h)(1 - 1/cosh(L/l)); fin theory, Incropera 3.6."""
    return flux_w_m2 / conductance_w_m2k * (1.0 - 1.0 / math.cosh(ledge_length_m / length_scale_m))


def fin_efficiency(length_m: float, length_scale_m: float) -> float:
    """tanh(mL)/(mL) of a straight fin with adiabatic tip, m = 1/length_scale; Incropera 3.6."""
    reach = length_m / length_scale_m
    return math.tanh(reach) / reach
