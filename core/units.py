"""Array types and the length units a file may come in; inside, lengths are mm and angles degrees."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.floating[Any]]
IntArray = NDArray[np.integer[Any]]
BoolArray = NDArray[np.bool_]

MM_PER_UNIT = {"mm": 1.0, "um": 1e-3, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""Length of one file unit in mm; inch and foot are exact by definition (international yard, 1959)."""


def m_from_mm(length_mm: float) -> float:
    """Metres from millimetres, for crossing into core.heat."""
    return length_mm * 1e-3


def kelvin_from_celsius(temperature_c: float) -> float:
    """Kelvin from degrees Celsius."""
    return temperature_c + 273.15
