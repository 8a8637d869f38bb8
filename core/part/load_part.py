"""The one door for part files: recognise, read, convert to mm, mend, and say what was done."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np

from core.part.mesh_health import MendedMesh, mend, show_place
from core.part.part import MeshHealth, Part
from core.part.raw_mesh import RawMesh
from core.part.read_3mf import read_3mf
from core.part.read_obj import read_obj
from core.part.read_ply import read_ply
from core.part.read_stl import fits_binary_stl, looks_like_text_stl, read_stl
from core.part.self_crossing import MOST_CHECKED, crossings_in_words, find_crossings
from core.part.step_child import read_step_in_child
from core.part.touching import first_touch
from core.refusal import Refusal
from core.units import MM_PER_UNIT, FloatArray

# STEP needs a foreign C++ library that crashes on damaged files, so it is read in a child process with limits. The
# other readers are our own, bounded by counts, and as quick in this process as a child takes to start.
READERS = {"stl": read_stl, "obj": read_obj, "ply": read_ply, "3mf": read_3mf, "step": read_step_in_child}
SUFFIXES = {".stl": "stl", ".obj": "obj", ".ply": "ply", ".3mf": "3mf", ".step": "step", ".stp": "step", ".p21": "step"}
"""File names we know; the content decides when it speaks plainly."""
MOST_BYTES = 2 << 30
SMALLEST_USUAL_MM = 1.0
LARGEST_USUAL_MM = 1500.0
_LARGEST_MM = 1e6
_OBJ_LINE = re.compile(rb"(?m)^[ \t]*v[ \t]+[-+.\d]")


def load_part(path: Path | str, units: str | None = None) -> Part:
    """Read a part from STL, OBJ, PLY, 3MF or STEP.

    units: 'mm', 'in', 'm', 'um', 'cm' or 'ft' when the file has none (STL, OBJ, PLY) or states a wrong one; None
    takes the file's own unit, else mm. The order of the triangles is the file's, without those dropped.
    Returns the part in mm with its health; what was guessed, merged, repaired or is wrong stands in its warnings.
    Raises Refusal, one sentence or two, for a file no part can be made of.
    """
    path = Path(path)
    if units is not None and units not in MM_PER_UNIT:
        raise Refusal(f"'{str(units)[:20]}' is no unit known here; give one of {', '.join(MM_PER_UNIT)}.")
    data = _bytes_of(path)
    file_format = recognise(data, path.name)
    try:
        with np.errstate(over="ignore", invalid="ignore"):  # numbers that aren't finite are refused by name
            raw = READERS[file_format](data)
    except MemoryError:
        raise Refusal("The file needs more memory than there is. Export the part with a coarser tolerance.") from None
    return _part_of(raw, path.stem, units)


def _bytes_of(path: Path) -> bytes:
    name = _short(path.name)
    try:
        if path.is_dir():
            raise Refusal(f"'{name}' is a folder. Give a part file: STL, OBJ, PLY, 3MF or STEP.")
        if not path.exists():
            raise Refusal(f"There is no file '{name}'. Check the name and the folder.")
        if not path.is_file():
            raise Refusal(f"'{name}' is no ordinary file. Give a part file: STL, OBJ, PLY, 3MF or STEP.")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise Refusal(f"'{name}' has {size / 2**30:.1f} GiB; at most 2 GiB can be read. Export it coarser.")
        data = path.read_bytes()
    except Refusal:
        raise
    except PermissionError:
        raise Refusal(f"'{name}' may not be read. Ask for permission or copy it to a folder of yours.") from None
    except MemoryError:
        raise Refusal(f"'{name}' is larger than the memory there is. Export it coarser.") from None
    except (OSError, ValueError) as fault:
        reason = (getattr(fault, "strerror", None) or "its name can't be used").lower()
        raise Refusal(f"'{name}' can't be read: {reason}. Check the file and the disk.") from None
    if not data:
        raise Refusal(f"'{name}' is empty. Copy or export it again.")
    return data


def _short(name: str) -> str:
    clean = "".join(c if c.isprintable() else "?" for c in name)
    return clean if len(clean) <= 80 else clean[:60] + "…" + clean[-16:]


def recognise(data: bytes, name: str) -> str:
    """The format of a file, by its content where that is plain, else by its name; Refusal when neither tells."""
    if fits_binary_stl(data):  # first, as its 80 bytes of header may hold anything
        return "stl"
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "3mf"
    if data.startswith((b"ply\n", b"ply\r")):
        return "ply"
    if _starts_like_step(data[:4096]):
        return "step"
    if looks_like_text_stl(data):
        return "stl"
    by_name = SUFFIXES.get(Path(name).suffix.lower())
    if by_name is None and b"\0" not in data[:65536] and _OBJ_LINE.search(data[:65536]):
        return "obj"
    if by_name is None:
        raise Refusal(f"'{_short(name)}' is no part file known here. Give STL, OBJ, PLY, 3MF or STEP.")
    if by_name in ("ply", "3mf", "step"):
        raise Refusal(
            f"'{_short(name)}' doesn't start like a {by_name.upper()} file: damaged or misnamed. Export it again."
        )
    return by_name


def _starts_like_step(head: bytes) -> bool:
    """True when ISO-10303-21 follows after blanks and comments only."""
    rest = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    while rest.startswith(b"/*"):
        rest = rest[2:].partition(b"*/")[2].lstrip()
    return rest.startswith(b"ISO-10303-21")


def _part_of(raw: RawMesh, name: str, units: str | None) -> Part:
    """Convert, mend and check what a reader handed over."""
    taken = units or raw.unit or "mm"
    warnings = list(raw.warnings)
    with np.errstate(over="ignore", invalid="ignore"):
        points = raw.points * MM_PER_UNIT[taken]
    if not np.isfinite(points).all():
        raise Refusal("The file has coordinates that are no finite number. Export the part again.")
    warnings += _unit_warnings(points[raw.triangles.ravel()] if len(points) < 64 else points, raw, units, taken)
    mesh = mend(points, raw.triangles, indexed=raw.indexed)
    health, crossing_warnings = _with_crossings(mesh)
    if health.bodies > 1 and not any("read as one part" in text for text in warnings):
        warnings.append(f"The file holds {health.bodies:,} separate bodies; they were read as one part.")
    warnings += [f"Repaired: {text}" for text in health.repaired]
    warnings += [*health.problems, *crossing_warnings]
    brep_face = None if raw.brep_face is None else np.ascontiguousarray(raw.brep_face[mesh.kept])
    return Part(
        name=name,
        file_format=raw.file_format,
        units=taken,
        vertices_mm=mesh.points,
        triangles=mesh.triangles,
        brep_face=brep_face,
        health=health,
        open_edge_points_mm=mesh.open_edge_points_mm,
        warnings=tuple(warnings),
    )


def _with_crossings(mesh: MendedMesh) -> tuple[MeshHealth, list[str]]:
    """Health with self-crossings counted, and a warning when there are too many triangles to look."""
    if len(mesh.triangles) > MOST_CHECKED:
        return mesh.health, [
            f"With over {MOST_CHECKED:,} triangles the part was not checked for faces that cross each other."
        ]
    found = find_crossings(mesh.points, mesh.triangles)
    if found.count == 0:
        unseen = "So many triangles lie over each other that not all were checked for faces that cross each other."
        return mesh.health, [*_touching(mesh), *([] if found.complete else [unseen])]
    problem = crossings_in_words(found, mesh.points, mesh.triangles)
    return replace(mesh.health, self_crossings=found.count, problems=(*mesh.health.problems, problem)), []


def _touching(mesh: MendedMesh) -> list[str]:
    if mesh.health.problems or mesh.health.bodies < 2:
        return []
    at = first_touch(mesh.points, mesh.triangles)
    if at is None:
        return []
    return [
        f"Bodies touch near {show_place(at)} without sharing an edge; faces between them count as outer ones, downskin "
        "too. Unite them in the CAD program."
    ]


def _unit_warnings(points: FloatArray, raw: RawMesh, given: str | None, taken: str) -> list[str]:
    """What should be said about units and place; Refusal for a size no length unit explains."""
    low, high = (np.array([edge(points[:, axis]) for axis in range(3)]) for edge in (np.min, np.max))
    size = float((high - low).max())
    if size > _LARGEST_MM:
        raise Refusal(
            f"The part would be {size:.3g} mm large: coordinates are damaged or the unit is wrong. Export it again."
        )
    found = []
    if given is not None and raw.unit is not None and given != raw.unit:
        found.append(f"The file says its unit is {raw.unit}, but {given} was asked for and taken.")
    if given is None and raw.unit is None and not SMALLEST_USUAL_MM <= size <= LARGEST_USUAL_MM:
        fits = _likely_unit(size)
        hint = f" With {fits} it would be {size * MM_PER_UNIT[fits]:.4g} mm." if fits else ""
        found.append(
            f"The file states no unit; mm was taken, which makes the part {size:.3g} mm large.{hint} Check the unit."
        )
    if given is None and raw.unit is not None and not SMALLEST_USUAL_MM <= size <= LARGEST_USUAL_MM:
        found.append(f"By the file's own unit, {raw.unit}, the part is {size:.3g} mm large. Check the unit.")
    farthest = float(max(np.abs(low).max(), np.abs(high).max()))
    if raw.unit is None and farthest * 2**-23 > 2e-3:
        found.append(
            f"The part lies {farthest / 1000:.0f} m from the origin, where single precision resolves only "
            f"{farthest * 2**-23 * 1000:.0f} µm. Export it near the origin."
        )
    return found


def _likely_unit(size: float) -> str | None:
    """The unit that brings a size taken as mm into the usual range."""
    for unit in ("in", "m", "um") if size < SMALLEST_USUAL_MM else ("um",):
        if 5.0 <= size * MM_PER_UNIT[unit] <= LARGEST_USUAL_MM:
            return unit
    return None
