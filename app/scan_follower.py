"""Lays a scan on the job's part in the background, and keeps what came of it while it fits the job."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.after_build_follower import AfterBuildFollower
from core.job import Job
from core.part.part import Part
from core.progress import GoesOn

if TYPE_CHECKING:
    from core.run_scan import ScanResult


@dataclass(frozen=True, kw_only=True)
class ScanAsked:
    """Which mesh to lay on the part and how. units: None takes the file's, else mm. pairs: None finds it by itself."""

    mesh: Path
    units: str | None
    pairs: Path | None
    reach_mm: float


class ScanFollower(AfterBuildFollower[ScanAsked, "ScanResult"]):
    """Holds the scan compared last."""

    kind = "scan"

    def run(self, asked: ScanAsked) -> None:
        """Read the scan, lay it on the part and measure it, off the window's thread."""

        def made(job: Job, part: Part, goes_on: GoesOn) -> "ScanResult":
            from core.run_scan import run_scan  # loads what the picture doesn't need

            return run_scan(
                job, asked.mesh, goes_on, units=asked.units, pairs=asked.pairs, reach_mm=asked.reach_mm, part=part
            )

        self.compare(self.tr("Comparing the scan"), asked, made)

    def export(self, folder: Path) -> None:
        """Write values, tables and the deviations of all faces into a folder in the background."""
        result = self.result
        if result is None or not self.is_current:
            self.refused.emit(self.tr("The scan was not compared for the job as it is; compare it, then export."))
            return

        def write(goes_on: GoesOn) -> tuple[str, ...]:
            from core.run_scan import write_scan

            return write_scan(result, folder)

        self.write_into(folder, "export scan", write)
