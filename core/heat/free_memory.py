"""How much memory this machine can still give: other programs and the limits of a container count too."""

import math
from pathlib import Path

UNLIMITED = 1e17
"""A control group of version 1 without a limit states a number beyond this."""


def free_bytes(root: Path = Path("/")) -> float:
    """Bytes that may still be taken before the system ends programs; infinite where it doesn't say (not on Linux).

    root: of the file system. Sources: MemAvailable of /proc/meminfo (proc_meminfo(5)); memory.max and
    memory.current of control groups (kernel.org, cgroup-v2) or their names in version 1. Cached files count as free.
    """
    free = math.inf
    for line in _text(root / "proc/meminfo").splitlines():
        if line.startswith("MemAvailable:"):
            free = float(line.split()[1]) * 1024.0
    for folder, limit, used, cached in (
        ("sys/fs/cgroup", "memory.max", "memory.current", "inactive_file"),
        ("sys/fs/cgroup/memory", "memory.limit_in_bytes", "memory.usage_in_bytes", "total_inactive_file"),
    ):
        place = root / folder
        most, taken = _number(place / limit), _number(place / used)
        if most < UNLIMITED and math.isfinite(taken):
            words = dict(line.split() for line in _text(place / "memory.stat").splitlines() if line.count(" ") == 1)
            free = min(free, most - taken + float(words.get(cached, 0)))
    return max(0.0, free)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="ascii", errors="replace")
    except OSError:
        return ""


def _number(path: Path) -> float:
    """Infinite for "max", and where there is no such file."""
    text = _text(path).strip()
    return float(text) if text.isdigit() else math.inf
