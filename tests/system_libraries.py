"""Which system libraries the window needs on Debian and Ubuntu, which are missing, and how to get them."""

import ctypes
import os
import shutil
import subprocess
from pathlib import Path

LIBRARY_OF_PACKAGE = {
    "libgl1": "libGL.so.1",
    "libegl1": "libEGL.so.1",
    "libglx-mesa0": "libGLX_mesa.so.0",
    "libegl-mesa0": "libEGL_mesa.so.0",
    "libx11-xcb1": "libX11-xcb.so.1",
    "libxcb-cursor0": "libxcb-cursor.so.0",
    "libxcb-icccm4": "libxcb-icccm.so.4",
    "libxcb-image0": "libxcb-image.so.0",
    "libxcb-keysyms1": "libxcb-keysyms.so.1",
    "libxcb-randr0": "libxcb-randr.so.0",
    "libxcb-render-util0": "libxcb-render-util.so.0",
    "libxcb-shape0": "libxcb-shape.so.0",
    "libxcb-shm0": "libxcb-shm.so.0",
    "libxcb-sync1": "libxcb-sync.so.1",
    "libxcb-xfixes0": "libxcb-xfixes.so.0",
    "libxcb-xkb1": "libxcb-xkb.so.1",
    "libxkbcommon0": "libxkbcommon.so.0",
    "libxkbcommon-x11-0": "libxkbcommon-x11.so.0",
    "libfontconfig1": "libfontconfig.so.1",
    "libdbus-1-3": "libdbus-1.so.3",
    "libglib2.0-0": "libglib-2.0.so.0",
    "libxrender1": "libXrender.so.1",
    "libxcursor1": "libXcursor.so.1",
    "libgomp1": "libgomp.so.1",
}
"""Debian package: the library to look for. On a bare Debian 12: ldd of Qt's xcb plugin, and what VTK asked for."""


def has_library(name: str) -> bool:
    """True when the dynamic loader finds the library."""
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def missing_packages() -> list[str]:
    """Debian packages whose files are not there."""
    missing = [package for package, library in LIBRARY_OF_PACKAGE.items() if not has_library(library)]
    drivers = ("*/dri/swrast_dri.so", "*/dri/libdril_dri.so", "*/libgallium-*.so")
    if not any(any(Path("/usr/lib").glob(driver)) for driver in drivers):
        missing.append("libgl1-mesa-dri")
    if not any(Path("/usr/share/fonts").rglob("*.ttf")):
        missing.append("fonts-dejavu-core")
    if shutil.which("Xvfb") is None:
        missing.append("xvfb")
    if shutil.which("xkbcomp") is None:
        missing.append("x11-xkb-utils")
    return missing


def provide(packages: list[str]) -> str | None:
    """Install the packages when that is allowed; else the sentence to show."""
    line = f"apt-get install -y --no-install-recommends {' '.join(packages)}"
    if os.geteuid() != 0 or shutil.which("apt-get") is None:
        return f"System libraries for the window are missing. Type: sudo apt-get update && sudo {line}"
    settings = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    for command in ("apt-get update", line):
        done = subprocess.run(command.split(), env=settings, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            return f"`{command}` failed: {done.stderr.strip()[-400:]}"
    left = missing_packages()
    return f"Still missing after the installation: {' '.join(left)}" if left else None
