"""Cuts the downskin zones of a large part in a process of its own: run as `python -m core.sink.zones_apart`.

Manifold3d keeps the interpreter to itself while it works, for seconds on a million triangles: the window would stand
still, and nothing could stop it. Arrays go in and out as one npz each, through the pipes.
"""

import io
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np

from core.part.part import Part
from core.progress import GoesOn, Stopped
from core.refusal import Refusal
from core.sink.downskin_zone import Zone, downskin_zones
from core.units import IntArray

ROOT = Path(__file__).resolve().parents[2]
ASK_S = 0.1
REFUSED = 2


def zones_apart(
    part: Part, patches: list[tuple[int, IntArray]], heights_mm: list[float], goes_on: GoesOn
) -> tuple[list[Zone], list[str]]:
    """As `downskin_zones`; told to stop, it ends the process."""
    faces = [faces for _, faces in patches]
    sent = io.BytesIO()
    np.savez(
        sent,
        vertices_mm=part.vertices_mm,
        triangles=part.triangles,
        numbers=np.array([number for number, _ in patches]),
        faces=np.concatenate(faces),
        lengths=np.array([len(some) for some in faces]),
        heights_mm=np.array(heights_mm),
    )
    path = os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH", ""))))
    child = subprocess.Popen(
        [sys.executable, "-m", "core.sink.zones_apart"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": path},
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    )
    try:
        answer, error = _answer_of(child, sent.getvalue(), goes_on)
    finally:
        child.kill()
        child.wait()
    if child.returncode == REFUSED:
        raise Refusal(error.decode().strip())
    if child.returncode != 0:
        raise RuntimeError(f"the process that cuts the zones ended with {child.returncode}: {error.decode()[-2000:]}")
    return _zones_from(answer)


def _answer_of(child: "subprocess.Popen[bytes]", sent: bytes, goes_on: GoesOn) -> tuple[bytes, bytes]:
    """What the child writes to its two pipes."""
    waiting: bytes | None = sent
    while True:
        try:
            return child.communicate(waiting, timeout=ASK_S)
        except subprocess.TimeoutExpired:
            waiting = None  # it is on its way
            if not goes_on(0.0):
                raise Stopped from None


def _zones_from(answer: bytes) -> tuple[list[Zone], list[str]]:
    with np.load(io.BytesIO(answer), allow_pickle=False) as values:
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


def main() -> int:
    """The child's side: arrays from its input, zones to its output."""
    with np.load(io.BytesIO(sys.stdin.buffer.read()), allow_pickle=False) as values:
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
    made = io.BytesIO()
    np.savez(made, figures=np.array(figures).reshape(-1, 4), said=np.array(said, dtype=np.str_), **arrays)
    sys.stdout.buffer.write(made.getvalue())
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
