"""The colour scales of angles, gaps and temperatures: perceptually uniform, readable without full colour vision."""

from dataclasses import dataclass, field

import numpy as np
from PySide6.QtGui import QColor
from vtkmodules.vtkCommonCore import vtkLookupTable

from app.appearance import PART
from core.units import FloatArray

Map = tuple[tuple[float, float, float], ...]
"""33 colours evenly along a colour map: red, green, blue, 0 to 1. Written out, as a plotting library loads slowly."""


def _map(words: str) -> Map:
    return tuple((int(w[:2], 16) / 255, int(w[2:4], 16) / 255, int(w[4:], 16) / 255) for w in words.split())


ANGLES = _map(
    "fee838 f8df3c efd748 e6d051 ddc958 d4c15f ccba64 c3b469 bbad6c b3a670 aba072 "
    "a39a75 9b9376 938d78 8b8778 848179 7c7b78 757676 6f7073 686a71 61656f 5a5f6e "
    "52596d 4b546c 434e6c 3b496c 32436d 273e6e 1a386f 043371 002e6a 00285b 00224e"
)
"""Cividis (Nuñez, Anderton, Renslow, PLoS ONE 13(7) e0199239, 2018; public domain), turned round: a flat ceiling is
bright, the limit dark."""
HEAT = ANGLES[::-1]
"""Cividis: dark is cold, bright is hot."""
GAPS = _map(
    "440154 470d60 48186a 482374 472d7b 453781 424086 3e4989 3b528b 375b8d 33638d "
    "2f6b8e 2c728e 297a8e 26828e 23898e 21918c 1f988b 1fa088 22a785 28ae80 32b67a "
    "3fbc73 4ec36b 5ec962 70cf57 84d44b 98d83e addc30 c2df23 d8e219 ece51b fde725"
)
"""Viridis (Smith, van der Walt, Firing, 2015; CC0): unlike cividis it has no grey, which here means that no sink is
near. Dark is narrow, bright is wide."""
SCORES = _map(
    "0d0887 220690 310597 3f049c 4c02a1 5901a5 6600a7 7201a8 7e03a8 8a09a5 9511a1 "
    "a01a9c aa2395 b32c8e bc3587 c43e7f cc4778 d35171 da5a6a e06363 e66c5c eb7655 "
    "f0804e f58b47 f89540 fba139 fdac33 feb82c fdc527 fcd225 f8df25 f4ed27 f0f921"
)
"""Plasma (Smith, van der Walt, Firing, 2015; CC0): no grey either, and told from the other two at a glance. Dark blue
is darker in the images than usual, yellow brighter."""
DEVIATIONS = _map(
    "172971 1a3189 1c3aa1 1f44b9 284ecf 3b59dd 5164e6 6571ed 767cf3 8789f9 9896fc "
    "a8a4fc b8b3fa c6c1f8 d4d0f5 e2ddf1 eee2e7 f5dad5 fac9be fcb6a8 fca491 fb907c "
    "f87d67 f16b55 e85a46 de4936 d43527 c81e19 b8060f a4000b 8f0309 7a0506 660702"
)
"""CET-D1A (Kovesi, Good colour maps: how to design them, arXiv 1509.03700, 2015; CC BY 4.0): nearly white at 0, blue
below and red above, evenly darker to both sides. Blue and red stay apart without full colour vision."""


@dataclass(frozen=True, kw_only=True)
class ValueScale:
    """A scale of values; what lies beyond its ends has the colour of the end."""

    title: str
    unit: str
    low: float
    high: float
    map: Map = HEAT
    marks: dict[float, str] = field(default_factory=dict)
    """Words at values; empty for round numbers and both ends."""
    grey: str = ""
    """What faces without a value are."""
    foot: str = ""
    """A remark below, where there is no grey."""


def rgb_along(colours: Map, share: FloatArray) -> FloatArray:
    """(n, 3) red, green, blue, 0 to 1, at shares (n,), 0 to 1, of the way along a map."""
    along = np.linspace(0.0, 1.0, len(colours))
    return np.column_stack([np.interp(share, along, [colour[i] for colour in colours]) for i in range(3)])


def angle_table(max_angle_deg: float) -> vtkLookupTable:
    """Lookup table from 0 to the low-angle limit."""
    return _table(ANGLES, 0.0, max_angle_deg)


def value_table(scale: ValueScale) -> vtkLookupTable:
    """Lookup table of gaps or temperatures; NaN has the part's own colour."""
    table = _table(scale.map, scale.low, scale.high)
    plain = QColor(PART)
    table.SetNanColor(plain.redF(), plain.greenF(), plain.blueF(), 1.0)
    return table


def _table(colours: Map, low: float, high: float) -> vtkLookupTable:
    rgb = rgb_along(colours, np.linspace(0.0, 1.0, 256))
    table = vtkLookupTable()
    table.SetNumberOfTableValues(len(rgb))
    for i, (red, green, blue) in enumerate(rgb.tolist()):
        table.SetTableValue(i, red, green, blue, 1.0)
    table.SetTableRange(low, high)
    return table


def colour_at(colours: Map, share: float) -> QColor:
    """Colour at a share, 0 to 1, of the way along a map."""
    red, green, blue = rgb_along(colours, np.array([share]))[0].tolist()
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
