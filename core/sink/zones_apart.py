"""Cuts the downskin zones of a large part in a process of its own: run as `python -m core.sink.zones_apart`.

Manifold3d keeps the interpreter to itself while it works, for seconds on a million triangles: the window would stand
still, and nothing could stop it. Arrays go there and back in files of a private folder.
"""

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from core.part.part import Part
from core.progress import GoesOn, report
from core.refusal import Refusal
from core.sink.downskin_zone import Zone, downskin_zones
from core.units import IntArray

ROOT = Path(__file__).resolve().parents[2]
ASK_S = 0.1
REFUSED = 2
KILLED = -9
"""By the system, when memory runs out."""
ASKED, MADE = "asked.npz", "made.npz"


def zones_apart(
    part: Part, patches: list[tuple[int, IntArray]], heights_mm: list[float], goes_on: GoesOn
) -> tuple[list[Zone], list[str]]:
    """As `downskin_zones`; told to stop, it ends the process."""
    faces = [faces for _, faces in patches]
    with tempfile.TemporaryDirectory(prefix="underfin-zones-") as name:
        folder = Path(name)
        np.savez(
            folder / ASKED,
            vertices_mm=part.vertices_mm,
            triangles=part.triangles,
            numbers=np.array([number for number, _ in patches]),
            faces=np.concatenate(faces),
            lengths=np.array([len(some) for some in faces]),
            heights_mm=np.array(heights_mm),
        )
        code, error = _run(folder, goes_on)
        if code == REFUSED:
            raise Refusal(error)
        if code == KILLED:
            raise MemoryError
        if code != 0:
            raise RuntimeError(f"the process that cuts the zones ended with {code}: {error[-2000:]}")
        return _zones_from(folder / MADE)


def _run(folder: Path, goes_on: GoesOn) -> tuple[int, str]:
    """Exit code of the process and what it said. Raises Stopped."""
    with open(folder / "said", "w+b") as said:
        child = subprocess.Popen(  # noqa: S603  our own interpreter on our own module
            [sys.executable, "-m", "core.sink.zones_apart", str(folder)],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=said,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
        try:
            while child.poll() is None:
                report(goes_on, 0.0)
                time.sleep(ASK_S)
        finally:
            child.kill()
            child.wait()
        said.seek(0)
        return child.returncode, said.read().decode(errors="replace").strip()


def _zones_from(path: Path) -> tuple[list[Zone], list[str]]:
    with np.load(path, allow_pickle=False) as values:
        zones = [
            Zone(
                patch=int(number),
                height_mm=float(height_mm),
                vertices_mm=values[f"vertices_{k}"],
                triangles=values[f"triangles_{k}"],
                volume_mm3=float(volume_mm3),
                share=float(share),
            )
            for k, (number, height_mm, volume_mm3, share) in enumerate(values["figures"])
        ]
        return zones, values["said"].tolist()


def main(folder: Path) -> int:
    """The child's side: zones of what is asked for in the folder, written beside it."""
    with np.load(folder / ASKED, allow_pickle=False) as values:
        part = Part(
            name="", file_format="", units="mm", vertices_mm=values["vertices_mm"], triangles=values["triangles"]
        )
        faces = np.split(values["faces"], np.cumsum(values["lengths"])[:-1])
        patches = list(zip(values["numbers"].tolist(), faces, strict=True))
        heights_mm = values["heights_mm"].tolist()
    try:
        zones, said = downskin_zones(part, patches, heights_mm)
    except Refusal as reason:
        sys.stderr.write(str(reason))
        return REFUSED
    figures = [(zone.patch, zone.height_mm, zone.volume_mm3, zone.share) for zone in zones]
    arrays: dict[str, Any] = {f"vertices_{k}": zone.vertices_mm for k, zone in enumerate(zones)}
    arrays |= {f"triangles_{k}": zone.triangles for k, zone in enumerate(zones)}
    np.savez(folder / MADE, figures=np.array(figures).reshape(-1, 4), said=np.array(said, dtype=np.str_), **arrays)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(Path(sys.argv[1])))
