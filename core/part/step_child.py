"""Read STEP in a process of its own: a file that crashes the reader must not end the program."""

import importlib.util
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from core.part.raw_mesh import RawMesh
from core.part.read_step import NEEDS_PACKAGE, read_step
from core.refusal import Refusal

LONGEST_S = 600
MOST_MEMORY_BYTES = 4 << 30
_ROOT = Path(__file__).resolve().parents[2]


def step_can_be_read() -> bool:
    """True when the optional STEP package is installed."""
    return importlib.util.find_spec("OCP") is not None


def read_step_in_child(data: bytes) -> RawMesh:
    """As read_step, but in a child process with limits on time and memory; a crash becomes a Refusal."""
    if not step_can_be_read():
        raise Refusal(NEEDS_PACKAGE)
    with tempfile.TemporaryDirectory(prefix="underfin-") as folder:
        Path(folder, "part.step").write_bytes(data)
        command = [sys.executable, "-m", "core.part.step_child", folder]
        quiet = getattr(subprocess, "CREATE_NO_WINDOW", 0)
        try:
            subprocess.run(  # noqa: S603 - our own interpreter and module, no text of the file
                command,
                cwd=_ROOT,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                timeout=LONGEST_S,
                check=False,
                creationflags=quiet,
            )
        except subprocess.TimeoutExpired:
            raise Refusal(
                f"The STEP file took more than {LONGEST_S // 60} minutes to cut into triangles. "
                "Export it simpler, or as STL."
            ) from None
        refusal, mesh = Path(folder, "refusal.txt"), Path(folder, "mesh.npz")
        if refusal.exists():
            raise Refusal(refusal.read_text(encoding="utf-8"))
        if not mesh.exists():
            raise Refusal("The STEP file is damaged: reading it broke off. Copy or export it again.")
        with np.load(mesh, allow_pickle=False) as held:
            return RawMesh(
                points=held["points"],
                triangles=held["triangles"],
                brep_face=held["brep_face"],
                file_format="step",
                unit=str(held["unit"]),
                warnings=tuple(map(str, held["warnings"])),
            )


def _limit_memory() -> None:
    """Let the system refuse memory and time beyond the limits, also when nobody waits any more (not on Windows)."""
    try:
        import resource
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    limit = MOST_MEMORY_BYTES if hard == resource.RLIM_INFINITY else min(MOST_MEMORY_BYTES, hard)
    resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    soft, hard = resource.getrlimit(resource.RLIMIT_CPU)
    if soft == resource.RLIM_INFINITY:
        resource.setrlimit(resource.RLIMIT_CPU, (2 * LONGEST_S, hard))


def _main(folder: Path) -> None:
    """The child: part.step in, mesh.npz or refusal.txt out."""
    _limit_memory()
    try:
        mesh = read_step((folder / "part.step").read_bytes())
    except Refusal as refusal:
        (folder / "refusal.txt").write_text(str(refusal), encoding="utf-8")
        return
    unfinished = folder / "unfinished.npz"
    np.savez(
        unfinished,
        points=mesh.points,
        triangles=mesh.triangles,
        brep_face=np.zeros(0, np.int32) if mesh.brep_face is None else mesh.brep_face,
        unit=np.array(mesh.unit),
        warnings=np.array(mesh.warnings, dtype=np.str_),
    )
    unfinished.rename(folder / "mesh.npz")


if __name__ == "__main__":
    _main(Path(sys.argv[1]))
