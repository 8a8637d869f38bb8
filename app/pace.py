"""How long work will still take, guessed from how its share grew; silent while nothing sensible can be said."""

TOO_SOON_S = 2.0
LEAST_MARKS = 4
LEAST_STEP = 0.001
AGREE = 2.0
"""The pace so far and the pace of late may differ by this factor; else the share says too little about time."""


class Pace:
    """Remembers when which share was done."""

    def __init__(self) -> None:
        self._marks: list[tuple[float, float]] = []

    def note(self, share: float, at_s: float) -> None:
        """share: done, 0 to 1; at_s: seconds since the work began. Shares that hardly grow are left out."""
        if share >= (self._marks[-1][0] if self._marks else 0.0) + LEAST_STEP:
            self._marks.append((share, at_s))

    def left_s(self, at_s: float) -> float | None:
        """Seconds left, or None when that can't be said: too soon, too few reports, or a pace that changes a lot."""
        if at_s < TOO_SOON_S or len(self._marks) < LEAST_MARKS:
            return None
        share = self._marks[-1][0]
        if share >= 1.0:
            return None
        before, before_s = next((mark for mark in reversed(self._marks) if mark[1] <= at_s / 2), (0.0, 0.0))
        so_far = at_s * (1.0 - share) / share
        if share <= before:
            return None
        of_late = (at_s - before_s) * (1.0 - share) / (share - before)
        return (so_far + of_late) / 2 if max(so_far, of_late) <= AGREE * min(so_far, of_late) else None


def rough_time(seconds: float) -> str:
    """A time as exact as a guess may be."""
    if seconds < 90:
        return f"{max(5.0, 5 * round(seconds / 5)):.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"


def elapsed_time(seconds: float) -> str:
    """Time gone, in whole seconds, with minutes from 100 s on."""
    whole = int(seconds)
    return f"{whole} s" if whole < 100 else f"{whole // 60} min {whole % 60:02d} s"
