"""Write everything a finished job gives: beside the target first, read back and compared, then moved."""

import contextlib
import json
import os
import re
import shutil
import stat
from pathlib import Path

from core.export.body import Body
from core.export.read_back import check_3mf, check_solid, check_stl, read_stl
from core.export.report_content import job_report
from core.export.report_html import report_html
from core.export.report_pdf import report_pdf
from core.export.result import JobResult
from core.export.result_json import json_text, result_values
from core.export.write_3mf import OBJECT_TYPES, write_3mf, xml_characters
from core.export.write_stl import joined, write_stl
from core.heat.compare_heat import HeatComparison
from core.job_file import job_text
from core.part.more_parts import distinct_names, single_parts
from core.progress import GoesOn, never_stop, report
from core.refusal import Refusal
from core.sink.sink import Sink
from core.sink.sinks_of_parts import sinks_of_parts
from core.units import FloatArray, IntArray
from core.write_whole import (
    TEMPORARY_ENDING,
    could_not_write,
    flush_file,
    flush_folder,
    temporary_name,
    write_and_check,
)

RESULT, HTML, PDF = "result.json", "report.html", "report.pdf"
OWN_FILES = re.compile(r"(sinks|sink-\d{2,}|zones)\.stl|build\.3mf|report\.(html|pdf)|job\.underfin|result\.json")
"""What an earlier run may have left in the folder and this run replaces or removes."""


def check_out_dir(out_dir: Path) -> None:
    """Refuse a target that can't become a folder of results, before a long run starts."""
    try:
        _check_out_dir(out_dir)
    except OSError as problem:  # above all a folder on the way that may not be looked into
        raise could_not_write(out_dir, problem) from problem


def _check_out_dir(out_dir: Path) -> None:
    if out_dir.exists() and not out_dir.is_dir():
        raise Refusal(f"'{out_dir}' is a file; give --out a folder.")
    above = out_dir.absolute()
    while not above.exists() and above != above.parent:
        above = above.parent
    if not above.is_dir():
        raise Refusal(f"'{above}' is a file, so the folder '{out_dir}' can't be made; choose another folder.")
    if not os.access(above, os.W_OK | os.X_OK):
        raise Refusal(f"The folder '{above}' can't be written to; choose another folder.")


def write_result(
    result: JobResult,
    out_dir: Path,
    *,
    sinks_as: str = "solidsupport",
    heat: HeatComparison | None = None,
    goes_on: GoesOn = never_stop,
) -> tuple[str, ...]:
    """Write the result into a folder and return the names of the files.

    With a `stop` finding only findings are written (result.json, the report, job.underfin) and solids of an
    earlier run are removed, so that none can be mistaken for this one's. sinks_as: object type of the sinks in
    build.3mf, 'solidsupport' or 'model'. heat: the same build followed in 3-D, for the report. A new folder appears
    at once and whole. In an existing one result.json goes first and comes last: a folder without it is not finished.
    Raises Refusal when anything can't be written or reads back differently, and Stopped when goes_on says so; the
    folder is then as it was.
    """
    if sinks_as not in OBJECT_TYPES:
        raise Refusal(f"Sinks go into the 3MF file as {' or '.join(OBJECT_TYPES)}, not as '{sinks_as}'.")
    check_out_dir(out_dir)
    out_dir = out_dir.resolve()
    staging = out_dir / TEMPORARY_ENDING if out_dir.exists() else temporary_name(out_dir)
    made = [p for p in (out_dir.parent, *out_dir.parent.parents) if not p.exists()]
    done = False
    try:
        out_dir.parent.mkdir(parents=True, exist_ok=True)
        if staging.exists():
            shutil.rmtree(staging)
        staging.mkdir()
        usual = stat.S_IMODE(staging.stat().st_mode)
        staging.chmod(0o700)  # nobody else's business until it is whole
        solids = () if result.stopped else _write_solids(result, staging, sinks_as, goes_on)
        files = (*solids, HTML, PDF, "job.underfin", RESULT)
        report(goes_on, 0.8)
        sheet = job_report(result, files, heat)
        write_and_check(staging / HTML, report_html(sheet).encode())
        write_and_check(staging / PDF, report_pdf(sheet))
        write_and_check(staging / "job.underfin", job_text(result.job, out_dir).encode())
        write_and_check(staging / RESULT, json_text(result_values(result, files, out_dir)).encode())
        flush_folder(staging)
        report(goes_on, 0.95)
        staging.chmod(usual)
        _move(staging, out_dir, files)
        done = True
    except OSError as problem:
        raise could_not_write(out_dir, problem) from problem
    finally:
        shutil.rmtree(staging, ignore_errors=True)
        if not done:
            for folder in made:
                with contextlib.suppress(OSError):
                    folder.rmdir()
    return files


def _write_solids(result: JobResult, folder: Path, sinks_as: str, goes_on: GoesOn) -> tuple[str, ...]:
    """Sinks as STL, part and sinks as 3MF; every file read back and compared. Returns the names."""
    if not result.sinks:
        raise Refusal("There is no sink to write.")
    for number, sink in enumerate(result.sinks):
        report(goes_on, 0.5 * number / len(result.sinks))
        path = write_stl(folder / f"{sink.name}.stl", sink.vertices_mm, sink.triangles)
        flush_file(path)
        check_stl(path, sink.vertices_mm, sink.triangles)
        check_solid(path.name, read_stl(path), sink.volume_mm3)
    report(goes_on, 0.5)
    names = [f"{sink.name}.stl" for sink in result.sinks]
    _write_together(folder / "sinks.stl", [(s.vertices_mm, s.triangles) for s in result.sinks])
    for name, own in sinks_by_file(result).items():
        _write_together(folder / name, [(s.vertices_mm, s.triangles) for s in own])
        names.append(name)
    if result.zones:
        for zone in result.zones:
            check_solid(zone.name, zone.vertices_mm[zone.triangles])
        _write_together(folder / "zones.stl", [(z.vertices_mm, z.triangles) for z in result.zones])
        names.append("zones.stl")
    report(goes_on, 0.6)
    path = write_3mf(folder / "build.3mf", _bodies(result, sinks_as), result.hash)
    flush_file(path)
    check_3mf(path, _bodies(result, sinks_as))
    return ("sinks.stl", *names, "build.3mf")


def _write_together(path: Path, bodies: list[tuple[FloatArray, IntArray]]) -> None:
    """Several bodies in one STL file, read back and compared."""
    vertices, triangles = joined(bodies)
    write_stl(path, vertices, triangles)
    flush_file(path)
    check_stl(path, vertices, triangles)


def sinks_by_file(result: JobResult) -> dict[str, tuple[Sink, ...]]:
    """Name of the STL file of each part's own sinks, where several parts have any; nothing for a part alone."""
    if not result.part.bodies:
        return {}
    own = sinks_of_parts(result.part, result.sinks, result.patches)
    names = distinct_names([re.sub(r"[^\w .()+-]", "_", body.name).strip(". ") for body in result.part.bodies])
    return {f"sinks-{name}.stl": sinks for name, sinks in zip(names, own, strict=True) if sinks}


def _bodies(result: JobResult, sinks_as: str) -> list[Body]:
    """Parts, sinks and zones as they go into build.3mf; zones as 'model', as build items may not be 'other'."""
    return [
        *(
            Body(
                name=xml_characters(part.name) or "part",
                vertices_mm=part.vertices_mm,
                triangles=part.triangles,
                object_type="model",
            )
            for part in single_parts(result.part)
        ),
        *(
            Body(name=s.name, vertices_mm=s.vertices_mm, triangles=s.triangles, object_type=sinks_as)
            for s in result.sinks
        ),
        *(
            Body(name=z.name, vertices_mm=z.vertices_mm, triangles=z.triangles, object_type="model")
            for z in result.zones
        ),
    ]


def _move(staging: Path, out_dir: Path, files: tuple[str, ...]) -> None:
    """Put the finished files in place; what another program wrote into the folder stays."""
    if not out_dir.exists():
        os.rename(staging, out_dir)
        flush_folder(out_dir.parent)
        return
    for name in files:
        if (out_dir / name).is_dir():
            raise Refusal(
                f"'{out_dir / name}' is a folder in the place of a result; remove it or choose another folder."
            )
    own = _listed_before(out_dir)
    (out_dir / RESULT).unlink(missing_ok=True)
    flush_folder(out_dir)
    for old in out_dir.iterdir():
        if (OWN_FILES.fullmatch(old.name) or old.name in own) and old.name not in files and not old.is_dir():
            old.unlink()
    for name in files:
        os.replace(staging / name, out_dir / name)
    flush_folder(out_dir)


def _listed_before(out_dir: Path) -> set[str]:
    """Sinks of single parts that an earlier run wrote, by its own list; files of such names may be anybody's."""
    try:
        names = json.loads((out_dir / RESULT).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return set()
    return {name for name in names if isinstance(name, str) and name.startswith("sinks-") and name.endswith(".stl")}
