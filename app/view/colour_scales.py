"""The colour scale of downskin angles: perceptually uniform, readable without full colour vision."""

import pyvista as pv
from matplotlib import colormaps
from PySide6.QtGui import QColor

from app.appearance import PART

_MAP = colormaps["cividis_r"]
"""Cividis (Nuñez, Anderton, Renslow 2018), turned round: a flat ceiling is bright, the limit dark."""


def angle_table(max_angle_deg: float) -> pv.LookupTable:
    """Lookup table from 0 to the low-angle limit; above it the part's grey."""
    table = pv.LookupTable(cmap="cividis_r", n_values=256, scalar_range=(0.0, max_angle_deg))
    table.above_range_color = PART
    return table


def angle_colour(share: float) -> QColor:
    """Colour at a share, 0 to 1, of the way from 0 degrees to the limit."""
    red, green, blue, _ = _MAP(min(max(share, 0.0), 1.0))
    return QColor.fromRgbF(float(red), float(green), float(blue))
