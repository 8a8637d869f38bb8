"""Speed of the real window: its own measurement, run in a process and on a screen of its own."""

import os
import subprocess
import sys

from benchmark_figures import Figure
from benchmark_parts import ROOT
from run_tests import own_screen


def lines_of(script: str) -> list[list[str]]:
    """Words of the lines that a script of tests/window prints, parted by tabs or spaces."""
    settings = dict(os.environ)
    server = None
    if sys.platform.startswith("linux") and not settings.get("DISPLAY"):
        server, display = own_screen()
        settings |= {"DISPLAY": display, "QT_QPA_PLATFORM": "xcb", "LIBGL_ALWAYS_SOFTWARE": "1"}
    try:
        done = subprocess.run(
            [sys.executable, str(ROOT / "tests" / "window" / script)],
            cwd=ROOT, env=settings, capture_output=True, text=True, check=False,
        )  # fmt: skip
    finally:
        if server is not None:
            server.terminate()
            server.wait()
    if done.returncode:
        raise RuntimeError(f"The window's measurement failed: {done.stderr.strip().splitlines()[-1:]}")
    return [line.split("\t") if "\t" in line else line.split() for line in done.stdout.splitlines()]


def measure_window() -> list[Figure]:
    """Start, picking and slider of the real window, in a process of its own, on a screen of its own where needed."""
    targets = {"pick_median_ms": 1.0, "slider_follow_median_ms": 16.0}
    figures = []
    for section, name, value in lines_of("measure_window.py"):
        unit = name.rsplit("_", 1)[-1]
        words = name.removesuffix(f"_{unit}").replace("_", " ")
        what = f"window, {section}: {words}"
        unit = unit if unit in ("s", "ms") else ""
        figures.append(Figure(what=what, value=float(value), unit=unit, target=targets.get(name)))
    return figures


def measure_waits() -> list[Figure]:
    """The longest time for which the window doesn't answer, at every step of the main job; warm loops are asked for."""
    return [
        Figure(what=f"longest wait, {part}: {step}", value=float(value), unit="ms", target=100.0)
        for part, step, value in lines_of("measure_waits.py")
    ]
