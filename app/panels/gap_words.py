"""How a gap is written: in µm, or in mm where the engineer prefers it."""

UNITS = ("µm", "mm")


def gap_factor(unit: str) -> float:
    """How many of the unit make one mm."""
    return 1000.0 if unit == "µm" else 1.0


def gap_number(gap_mm: float, unit: str) -> str:
    """The number alone: whole µm, or mm with as many digits."""
    return f"{1000 * gap_mm:.0f}" if unit == "µm" else f"{gap_mm:.3f}"


def gap_words(gap_mm: float, unit: str) -> str:
    """Number and unit."""
    return f"{gap_number(gap_mm, unit)} {unit}"
