"""The sink's own resistance, layer by layer, redone by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.heat.sink_resistance import leg_share, sink_resistance_m2k_w
from core.sink.sink_choice import SinkChoice

FINS = SinkChoice(kind="fins", fin_thickness_mm=1.0, fin_pitch_mm=4.0, skin_mm=1.0, roof_deg=50.0)
NO_POWDER_W_MK = 1e-12


def gather_by_steps(half_bay_m: float, metal_w_mk: float) -> float:
    """Sideways flux q x through a thickness of 1 mm + x tan 50° from 0 to half a bay, summed in small steps."""
    x_m = (np.arange(100000) + 0.5) * half_bay_m / 100000
    return float(np.sum(x_m / (metal_w_mk * (1e-3 + x_m * math.tan(math.radians(50.0))))) * half_bay_m / 100000)


def test_a_block_resists_like_its_metal() -> None:
    assert sink_resistance_m2k_w(replace(FINS, kind="block"), 0.03, 15.0, 0.15) == pytest.approx(0.002)
    assert sink_resistance_m2k_w(FINS, 0.0, 15.0, 0.15) == 0.0


def test_legs_are_walls_and_a_plate_has_half_as_many() -> None:
    assert leg_share(FINS) == 0.25
    assert leg_share(replace(FINS, kind="plate")) == 1.0 / 8.0
    assert leg_share(replace(FINS, kind="block")) == 1.0


def test_fins_can_be_redone_by_hand() -> None:
    # bays 3 mm wide: roofs 1.5 mm tan 50° = 1.788 mm high, whose metal share grows from 1/4 to 1: ln(4)/(3/4)
    roof_m = 1.5e-3 * math.tan(math.radians(50.0))
    roofs = roof_m / 15.0 * math.log(4.0) / 0.75
    legs = (30e-3 - 1e-3 - roof_m) / (15.0 / 4.0)
    by_hand = 1e-3 / 15.0 + roofs + legs + gather_by_steps(1.5e-3, 15.0)
    assert sink_resistance_m2k_w(FINS, 0.03, 15.0, NO_POWDER_W_MK) == pytest.approx(by_hand, rel=1e-3)


def test_a_plate_on_ribs_can_be_redone_by_hand() -> None:
    # bays 7 mm wide every 8 mm; in the roofs the metal share grows from 1/8 to 1: ln(8)/(7/8)
    roof_m = 3.5e-3 * math.tan(math.radians(50.0))
    legs = (30e-3 - 1e-3 - roof_m) / (15.0 / 8.0)
    by_hand = 1e-3 / 15.0 + roof_m / 15.0 * math.log(8.0) / 0.875 + legs + gather_by_steps(3.5e-3, 15.0)
    plate = replace(FINS, kind="plate")
    assert sink_resistance_m2k_w(plate, 0.03, 15.0, NO_POWDER_W_MK) == pytest.approx(by_hand, rel=2e-3)


def test_a_sink_too_low_for_bays_is_solid() -> None:
    # skin 1 mm, roofs 1.79 mm, door at least 0.8 mm: below 3.59 mm nothing is cut
    assert sink_resistance_m2k_w(FINS, 3.5e-3, 15.0, 0.15) == pytest.approx(3.5e-3 / 15.0)
    assert sink_resistance_m2k_w(FINS, 3.7e-3, 15.0, 0.15) > 3.7e-3 / 15.0


@given(
    height_m=st.floats(1e-3, 0.2),
    metal_w_mk=st.floats(5.0, 400.0),
    kind=st.sampled_from(("fins", "plate", "block")),
    pitch_mm=st.floats(2.0, 30.0),
)
def test_no_sink_beats_solid_metal(height_m: float, metal_w_mk: float, kind: str, pitch_mm: float) -> None:
    sink = replace(FINS, kind=kind, fin_pitch_mm=pitch_mm)
    assert sink_resistance_m2k_w(sink, height_m, metal_w_mk, 0.15) >= height_m / metal_w_mk * (1.0 - 1e-12)
