"""The report with the heat of the build, beside the files of a heat comparison."""

from pathlib import Path

from core.export.report_content import job_report
from core.export.report_html import report_html
from core.export.report_pdf import report_pdf
from core.export.result import JobResult
from core.heat.compare_heat import HeatComparison
from core.write_whole import write_whole

HEAT_HTML, HEAT_PDF = "heat-report.html", "heat-report.pdf"
"""Names of their own, so that the report of a build in the same folder stays."""


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
