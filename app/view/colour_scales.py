"""The colour scales of angles, gaps and temperatures: perceptually uniform, readable without full colour vision."""

from dataclasses import dataclass, field

import numpy as np
from PySide6.QtGui import QColor
from vtkmodules.vtkCommonCore import vtkLookupTable

from app.appearance import PART
from core.units import FloatArray

_CIVIDIS_REVERSED = (
    "fee838 f8df3c efd748 e6d051 ddc958 d4c15f ccba64 c3b469 bbad6c b3a670 aba072 "
    "a39a75 9b9376 938d78 8b8778 848179 7c7b78 757676 6f7073 686a71 61656f 5a5f6e "
    "52596d 4b546c 434e6c 3b496c 32436d 273e6e 1a386f 043371 002e6a 00285b 00224e"
)
"""33 colours along cividis (Nuñez, Anderton, Renslow, PLoS ONE 13(7) e0199239, 2018; public domain), turned round: a
flat ceiling is bright, the limit dark. Written out because importing a plotting library takes half a second."""
_COLOURS = np.array([[int(word[i : i + 2], 16) / 255 for i in (0, 2, 4)] for word in _CIVIDIS_REVERSED.split()])


@dataclass(frozen=True, kw_only=True)
class ValueScale:
    """A scale of values, dark for low and bright for high; what lies beyond its ends has the colour of the end."""

    title: str
    unit: str
    low: float
    high: float
    marks: dict[float, str] = field(default_factory=dict)
    """Words at values; empty for round numbers and both ends."""
    grey: str = ""
    """What faces without a value are."""
    foot: str = ""
    """A remark below, where there is no grey."""


def angle_rgb(share: FloatArray) -> FloatArray:
    """(n, 3) red, green, blue, 0 to 1, at shares (n,), 0 to 1, of the way from 0 degrees to the limit."""
    along = np.linspace(0.0, 1.0, len(_COLOURS))
    return np.column_stack([np.interp(share, along, _COLOURS[:, i]) for i in range(3)])


def angle_table(max_angle_deg: float) -> vtkLookupTable:
    """Lookup table from 0 to the low-angle limit."""
    return _table(angle_rgb(np.linspace(0.0, 1.0, 256)), 0.0, max_angle_deg)


def value_table(low: float, high: float) -> vtkLookupTable:
    """Lookup table of gaps or temperatures: dark is low, bright is high, NaN has the part's own colour."""
    table = _table(angle_rgb(np.linspace(1.0, 0.0, 256)), low, high)
    table.SetNanColor(*QColor(PART).getRgbF())
    return table


def _table(rgb: FloatArray, low: float, high: float) -> vtkLookupTable:
    table = vtkLookupTable()
    table.SetNumberOfTableValues(len(rgb))
    for i, (red, green, blue) in enumerate(rgb.tolist()):
        table.SetTableValue(i, red, green, blue, 1.0)
    table.SetTableRange(low, high)
    return table


def angle_colour(share: float) -> QColor:
    """Colour at a share, 0 to 1, of the way from 0 degrees to the limit."""
    red, green, blue = angle_rgb(np.array([share]))[0].tolist()
    return QColor.fromRgbF(red, green, blue)


def round_step(span: float, most: int = 5) -> float:
    """A step of 1, 2 or 5 times a power of ten, so that at most so many of them fit into a span."""
    least = max(span, 1e-9) / most
    power = 10.0 ** np.floor(np.log10(least))
    return float(next(n * power for n in (1, 2, 5, 10) if n * power >= least * (1 - 1e-9)))


def round_range(low: float, high: float) -> tuple[float, float]:
    """The least range with round ends that holds two values; it is never empty."""
    step = round_step(max(high - low, 1.0), 8)
    low, high = step * float(np.floor(low / step)), step * float(np.ceil(high / step))
    return low, max(high, low + step)
