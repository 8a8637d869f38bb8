"""How well loose powder conducts: the Zehner-Bauer-Schlünder cell model, two cross-checks, and the band we admit."""

import math
from functools import lru_cache

from core.heat.estimate import Band
from core.heat.gas import gas
from core.heat.materials import Alloy
from core.heat.powder_choice import PowderChoice
from core.heat.sourced import Sourced

STEFAN_BOLTZMANN_W_M2K4 = 5.670374e-8
EMISSIVITY = Sourced(value=0.4, source="particle surface, oxidised metal; starting value from memory")
FLATTENING = Sourced(value=0.0013, source="VDI Heat Atlas D6.3, steel; from memory")
SPHERES = 1.25
"""Shape factor C_f of spheres, VDI Heat Atlas D6.3 (from memory)."""
LOW_SHARE = Sourced(
    value=0.75,
    source="a gap is a few particles thick and packs looser at walls: continuum values hold to 20-30 %; judgement",
)
HIGH_SHARE = Sourced(
    value=7.0,
    source="laser flash 1.01 W/mK for IN625 powder at 500 °C is 6.8 times the model without metallic contact "
    "(Zhang, Lane, Whiting, Chou, J. Manuf. Sci. Eng. 140:111008, 2018), rounded up",
    flag="read",
)
HIGH_SHARE_LEAST = Sourced(value=1.5, source="high is at least this times nominal; judgement")
CALIBRATED_SHARE = Sourced(value=0.15, source="spread to be expected of a coupon fit; judgement")


def zbs_conductivity_w_mk(
    *,
    solid_w_mk: float,
    gas_w_mk: float,
    porosity: float,
    diameter_m: float,
    temperature_k: float,
    jump_length_m: float,
    emissivity: float = EMISSIVITY.value,
    flattening: float = FLATTENING.value,
    shape: float = SPHERES,
) -> float:
    """Conductivity of a bed by Zehner, Bauer and Schlünder with rarefied gas, VDI Heat Atlas 2013, D6.3.

    jump_length_m: modified mean free path; 0 leaves rarefaction out. emissivity 0 leaves radiation out.
    flattening: share of the cross-section in metallic contact (phi); 0 is a lower bound.
    """
    k_p = solid_w_mk / gas_w_mk
    k_g = 1.0 / (1.0 + jump_length_m / diameter_m)
    k_rad = _radiation_w_mk(temperature_k, diameter_m, emissivity) / gas_w_mk
    b = shape * ((1.0 - porosity) / porosity) ** (10.0 / 9.0)
    k_c = _core(k_p, k_g, k_rad, b)
    root = math.sqrt(1.0 - porosity)
    fluid_path = (1.0 - root) * porosity * (1.0 / (porosity - 1.0 + 1.0 / k_g) + k_rad)
    return gas_w_mk * (fluid_path + root * (flattening * k_p + (1.0 - flattening) * k_c))


def zbs_inner_values(
    solid_w_mk: float,
    gas_w_mk: float,
    porosity: float,
    diameter_m: float,
    temperature_k: float,
    jump_length_m: float,
    emissivity: float = EMISSIVITY.value,
) -> dict[str, float]:
    """The steps of zbs_conductivity_w_mk (k_g, k_rad, b, n, k_c; all without unit) for who wants to redo it by hand."""
    k_p = solid_w_mk / gas_w_mk
    k_g = 1.0 / (1.0 + jump_length_m / diameter_m)
    k_rad = _radiation_w_mk(temperature_k, diameter_m, emissivity) / gas_w_mk
    b = SPHERES * ((1.0 - porosity) / porosity) ** (10.0 / 9.0)
    return {"k_g": k_g, "k_rad": k_rad, "b": b, "n": _n(k_p, k_g, k_rad, b), "k_c": _core(k_p, k_g, k_rad, b)}


def _radiation_w_mk(temperature_k: float, diameter_m: float, emissivity: float) -> float:
    if emissivity <= 0.0:
        return 0.0
    return 4.0 * STEFAN_BOLTZMANN_W_M2K4 * temperature_k**3 * diameter_m / (2.0 / emissivity - 1.0)


def _n(k_p: float, k_g: float, k_rad: float, b: float) -> float:
    return (1.0 + (k_rad - b * k_g) / k_p) / k_g - b * (1.0 / k_g - 1.0) * (1.0 + k_rad / k_p)


def _core(k_p: float, k_g: float, k_rad: float, b: float) -> float:
    """k_c of the unit cell. The formula is 0/0 where N = 0 (solid hardly better than gas): averaged across it."""
    if abs(_n(k_p, k_g, k_rad, b)) < 2e-3:
        return 0.5 * (_core_away(k_p * 0.99, k_g, k_rad, b) + _core_away(k_p * 1.01, k_g, k_rad, b))
    return _core_away(k_p, k_g, k_rad, b)


def _core_away(k_p: float, k_g: float, k_rad: float, b: float) -> float:
    n = _n(k_p, k_g, k_rad, b)
    hot = k_p + k_rad
    log_term = b * (hot - 1.0) / (n**2 * k_g * k_p) * math.log(hot / (b * (k_g + (1.0 - k_g) * hot)))
    middle = (b + 1.0) / (2.0 * b) * (k_rad / k_g - b * (1.0 + (1.0 - k_g) / k_g * k_rad))
    return 2.0 / n * (log_term + middle - (b - 1.0) / (n * k_g))


def sih_barlow_conductivity_w_mk(
    *, solid_w_mk: float, gas_w_mk: float, porosity: float, diameter_m: float, temperature_k: float, b: float = 1.0
) -> float:
    """Sih and Barlow (1995, 2004), loose powder, view factor 1/3: a cross-check without rarefaction.

    b = 1, or 1.25 ((1-porosity)/porosity)^(10/9). Too high for 15-45 µm powder when hot.
    """
    ratio = gas_w_mk / solid_w_mk
    k_rad = 4.0 / 3.0 * STEFAN_BOLTZMANN_W_M2K4 * temperature_k**3 * diameter_m / gas_w_mk
    rest = 1.0 - b * ratio
    log_term = b / rest**2 * (1.0 - ratio) * math.log(1.0 / (b * ratio))
    core = 2.0 / rest * (log_term - (b + 1.0) / 2.0 - (b - 1.0) / rest)
    root = math.sqrt(1.0 - porosity)
    return gas_w_mk * ((1.0 - root) * (1.0 + porosity * k_rad) + root * (core + k_rad))


def contact_network_conductivity_w_mk(
    *, gas_w_mk: float, porosity: float, diameter_m: float, jump_length_m: float, neighbours: float = 6.5
) -> float:
    """Random contacts bridged by rarefied gas: k = (p n / 2) kg ln(1 + R/l); needs no alloy data.

    Form of Gusarov et al., Int. J. Heat Mass Transfer 46:1103 (2003); derived here, the paper was not read.
    """
    return (1.0 - porosity) * neighbours / 2.0 * gas_w_mk * math.log(1.0 + diameter_m / 2.0 / jump_length_m)


def bed_emissivity(porosity: float, surface_emissivity: float) -> float:
    """Emissivity of a powder surface with its holes, Sih and Barlow (1995); formula from memory."""
    holes_share = 0.908 * porosity**2 / (1.908 * porosity**2 - 2.0 * porosity + 1.0)
    z = 3.082 * ((1.0 - porosity) / porosity) ** 2
    hole = surface_emissivity * (2.0 + z) / (surface_emissivity * (1.0 + z) + 1.0)
    return holes_share * hole + (1.0 - holes_share) * surface_emissivity


@lru_cache(maxsize=256)
def powder_band(powder: PowderChoice, of_alloy: Alloy, temperature_k: float) -> Band:
    """Powder conductivity in W/mK at that temperature: low, nominal, high.

    Nominal is the cell model in the chosen gas. Low takes no metallic contact (oxide films) and a quarter off.
    High is 7 times the model without contact: the model meets what was measured at room temperature (0.13 W/mK,
    Ti-6Al-4V, Front. Mech. Eng. 8:830104, 2022) while laser-flash values of powder held in a built capsule lie six
    times above it (1.01 W/mK, IN625, 500 °C), and nobody knows which one a gap beside a melt pool is nearer to.
    A value from a coupon replaces all three, ±15 %.
    """
    if powder.conductivity_w_mk is not None:
        k, spread = powder.conductivity_w_mk, CALIBRATED_SHARE.value
        return Band(low=k * (1.0 - spread), nominal=k, high=k * (1.0 + spread))
    around = gas(powder.gas)

    def model_w_mk(flattening: float) -> float:
        return zbs_conductivity_w_mk(
            solid_w_mk=of_alloy.conductivity_w_mk(temperature_k),
            gas_w_mk=around.conductivity_w_mk(temperature_k),
            porosity=powder.porosity,
            diameter_m=powder.diameter_um * 1e-6,
            temperature_k=temperature_k,
            jump_length_m=around.jump_length_m(temperature_k),
            flattening=flattening,
        )

    bare, nominal = model_w_mk(0.0), model_w_mk(FLATTENING.value)
    high = max(HIGH_SHARE.value * bare, HIGH_SHARE_LEAST.value * nominal)
    return Band(low=LOW_SHARE.value * bare, nominal=nominal, high=high)
