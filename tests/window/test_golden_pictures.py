"""Every page looks as it did when its picture was last renewed and looked at, light and dark."""

from typing import Any

import numpy as np
from PySide6.QtGui import QImage

from tests.window.golden_pictures import GOLDEN, levels, open_and_build, pictures

MEAN_LEVELS = 5.0
"""Fonts and their edges differ from machine to machine."""
FAR_LEVELS, FAR_SHARE = 60.0, 0.02


def test_every_page_looks_as_it_was_last_looked_at(bench: Any) -> None:
    open_and_build(bench)
    seen, faults = set(), []
    for name, picture in pictures(bench):
        seen.add(f"{name}.png")
        kept = QImage(str(GOLDEN / f"{name}.png"))
        assert not kept.isNull(), f"{name} has no picture; renew them with tests/window/golden_pictures.py"
        off = np.abs(levels(picture) - levels(kept)).max(axis=2)
        if off.mean() > MEAN_LEVELS or (off > FAR_LEVELS).mean() > FAR_SHARE:
            faults.append(f"{name}: {off.mean():.1f} levels on average, {(off > FAR_LEVELS).mean():.1%} far off")
    assert not faults, "; ".join(faults)
    assert seen == {path.name for path in GOLDEN.glob("*.png")}


def test_another_page_would_be_noticed() -> None:
    """What is compared can tell: two pages of one look are farther apart than what is allowed."""
    one, other = (levels(QImage(str(GOLDEN / f"{name}-light.png"))) for name in ("place", "check"))
    off = np.abs(one - other).max(axis=2)
    assert off.mean() > MEAN_LEVELS or (off > FAR_LEVELS).mean() > FAR_SHARE
