"""Reports that are written by themselves: with the heat of the build, and with what is known after it."""

from pathlib import Path

from core.export.after_build import AfterBuild
from core.export.report_content import job_report
from core.export.report_html import report_html
from core.export.report_pdf import report_pdf
from core.export.result import JobResult
from core.heat.compare_heat import HeatComparison
from core.progress import GoesOn, never_stop
from core.progress import report as progress
from core.write_whole import could_not_write, write_together, write_whole

HEAT_HTML, HEAT_PDF = "heat-report.html", "heat-report.pdf"
"""Names of their own, so that the report of a build in the same folder stays."""
AFTER_HTML, AFTER_PDF = "report.html", "report.pdf"


def write_heat_report(
    comparison: HeatComparison, result: JobResult, folder: Path, files: tuple[str, ...]
) -> tuple[str, ...]:
    """Write page and PDF into a folder that is there and return their names. files: what else lies there.

    Raises Refusal when the folder can't be written to.
    """
    report = job_report(result, (*files, HEAT_HTML, HEAT_PDF), comparison)
    write_whole(folder / HEAT_HTML, report_html(report).encode())
    write_whole(folder / HEAT_PDF, report_pdf(report))
    return HEAT_HTML, HEAT_PDF


def write_after_report(
    result: JobResult,
    folder: Path,
    after: AfterBuild,
    heat: HeatComparison | None = None,
    goes_on: GoesOn = never_stop,
) -> tuple[str, ...]:
    """Write report.html and report.pdf with the pages after the build and return their names; makes the folder.

    The report of a build in the same folder gives way, as this one holds all of it. Raises Refusal when the folder
    can't be written to, Stopped when told to stop.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise could_not_write(folder, problem) from problem
    report = job_report(result, (AFTER_HTML, AFTER_PDF), heat, after)
    progress(goes_on, 0.5)
    files = {AFTER_HTML: report_html(report).encode(), AFTER_PDF: report_pdf(report)}
    progress(goes_on, 0.9)
    write_together(folder, files)
    return AFTER_HTML, AFTER_PDF
