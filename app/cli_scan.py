"""The command 'scan': a scanned surface compared with the part, as files, JSON or a table."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_commands import DONE, job_of, print_result
from app.cli_images import difference_lines
from app.cli_tables import table, warning_lines
from core.export.write_job import check_out_dir
from core.run_scan import run_scan, scan_values, write_scan

if TYPE_CHECKING:
    from app.cli import StopKey


def scan(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Lay a scan on the job's part, measure it and write what was found."""
    out_dir = Path(options.out)
    check_out_dir(out_dir)
    reach = {} if options.reach is None else {"reach_mm": options.reach}
    result = run_scan(
        job_of(options.part), options.mesh, stop_key.goes_on, units=options.units, pairs=options.pairs,
        with_sink=options.with_sink or (), **reach,
    )  # fmt: skip
    stop_key.at_once = False
    files = write_scan(result, out_dir)
    values = scan_values(result) | {"files": list(files)}
    print_result(values, options.json, lambda v: scan_text(v, str(out_dir)))
    return DONE


def scan_text(values: dict[str, Any], folder: str) -> str:
    """How the scan lies on the part, a line per patch, and the difference."""
    how = values["alignment"]
    pairs = "" if how["pairs_rms_mm"] is None else f", point pairs miss by {how['pairs_rms_mm']:.3f} mm"
    heads = ["patch", "sink", "mean mm", "95 % mm", "highest mm", "lowest edge mm", "measured"]
    rows = [
        [str(p["patch"]), "yes" if p["with_sink"] else "no",
         *(_mm(p[key]) for key in ("mean_mm", "p95_mm", "highest_mm", "lowest_edge_mm")), f"{p['measured']:.0%}"]
        for p in values["patches"]
    ]  # fmt: skip
    lines = [
        f"Scan of {values['scan']['triangles']} triangles laid on the part: RMS {how['rms_mm']:.4f} mm by "
        f"{how['used_share']:.0%} of the places{pairs}; turned by {how['turned_deg']:.3f}°.",
        "",
        "Deviation of the patches, outward positive (swelling, dross)",
        table(heads, rows) if rows else "No face is flatter than the limit.",
        *difference_lines(values["difference_mm"], "deviation", "mm"),
        "",
        *(f"Note: {note}" for note in values["notes"]),
        *warning_lines(values),
        "",
        f"Written to {folder}: {', '.join(values['files'])}",
    ]
    return "\n".join(lines) + "\n"


def _mm(value: float | None) -> str:
    return "-" if value is None else f"{value:+.3f}"
