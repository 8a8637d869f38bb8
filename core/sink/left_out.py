"""What is left out of a sink: pieces that a low top or the bays part from its one body, and what is said of them."""

import manifold3d as m3d
import numpy as np

LEAST_MM3 = 1.0
LEAST_SHARE = 0.02
LEAST_COVERED = 0.05
"""Below this share of its patch a sink isn't worth building (common practice, no source)."""


def left_out_words(kept_mm3: float, pieces: list[m3d.Manifold]) -> tuple[str, ...]:
    """A sentence on pieces left out beside a kept volume; none where all of them are below 1 mm³ and 2 %."""
    sizes = np.array([piece.volume() for piece in pieces])
    lost = float(sizes.sum())
    if lost < LEAST_MM3 and lost <= LEAST_SHARE * (kept_mm3 + lost):
        return ()
    many = int((sizes > 0).sum())
    low_high = np.array(pieces[int(sizes.argmax())].bounding_box()).reshape(2, 3)
    x, y, z = low_high.mean(axis=0)
    what = "A piece" if many == 1 else f"{many} pieces"
    verb = "stands apart from the rest and was" if many == 1 else "in all stand apart from the rest and were"
    largest = "" if many == 1 else "the largest "
    return (
        f"{what} of {lost:.1f} mm³ ({lost / (kept_mm3 + lost):.0%} of the sink) {verb} left out, "
        f"{largest}near x {x:.1f}, y {y:.1f}, z {z:.1f} mm.",
    )
