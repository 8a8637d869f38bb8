"""The colour scale of downskin angles: perceptually uniform, readable without full colour vision."""

import numpy as np
from PySide6.QtGui import QColor
from vtkmodules.vtkCommonCore import vtkLookupTable

from core.units import FloatArray

_CIVIDIS_REVERSED = (
    "fee838 f8df3c efd748 e6d051 ddc958 d4c15f ccba64 c3b469 bbad6c b3a670 aba072 "
    "a39a75 9b9376 938d78 8b8778 848179 7c7b78 757676 6f7073 686a71 61656f 5a5f6e "
    "52596d 4b546c 434e6c 3b496c 32436d 273e6e 1a386f 043371 002e6a 00285b 00224e"
)
"""33 colours along cividis (Nuñez, Anderton, Renslow, PLoS ONE 13(7) e0199239, 2018; public domain), turned round: a
flat ceiling is bright, the limit dark. Written out because importing a plotting library takes half a second."""
_COLOURS = np.array([[int(word[i : i + 2], 16) / 255 for i in (0, 2, 4)] for word in _CIVIDIS_REVERSED.split()])


def angle_rgb(share: FloatArray) -> FloatArray:
    """(n, 3) red, green, blue, 0 to 1, at shares (n,), 0 to 1, of the way from 0 degrees to the limit."""
    along = np.linspace(0.0, 1.0, len(_COLOURS))
    return np.column_stack([np.interp(share, along, _COLOURS[:, i]) for i in range(3)])


def angle_table(max_angle_deg: float) -> vtkLookupTable:
    """Lookup table from 0 to the low-angle limit."""
    table = vtkLookupTable()
    table.SetNumberOfTableValues(256)
    for i, (red, green, blue) in enumerate(angle_rgb(np.linspace(0.0, 1.0, 256)).tolist()):
        table.SetTableValue(i, red, green, blue, 1.0)
    table.SetTableRange(0.0, max_angle_deg)
    return table


def angle_colour(share: float) -> QColor:
    """Colour at a share, 0 to 1, of the way from 0 degrees to the limit."""
    red, green, blue = angle_rgb(np.array([share]))[0].tolist()
    return QColor.fromRgbF(red, green, blue)
