"""The report after the build from the window: gathers what is known and fits the job, and writes it to a folder."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app import messages
from app.background import Background
from app.commands import Command
from app.folder_writer import FolderWriter
from app.heat_follower import HeatFollower
from app.images_follower import ImagesFollower
from app.scan_follower import ScanFollower
from app.session import Session
from core.kept_trials import kept_trial
from core.progress import GoesOn, part_of
from core.trial.kept_trial import KeptTrial

if TYPE_CHECKING:
    from app.workbench import Workbench


class AfterBuildReport(FolderWriter):
    """Nothing that is out of date goes in. Kept trials go in as they are in force for the job."""

    changed = Signal()
    """What would go into the report, or whether it can be written, may have changed."""

    def __init__(
        self,
        session: Session,
        background: Background,
        heat: HeatFollower,
        images: ImagesFollower,
        scan: ScanFollower,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(background, parent)
        self._session, self._heat, self._images, self._scan = session, heat, images, scan
        self.remark = ""
        """A warning above everything in the report, such as that the build was invented."""
        for signal in (session.result_changed, session.settings.looked, session.state.changed, images.changed,
                       scan.changed):  # fmt: skip
            signal.connect(self.changed)

    def _kept(self) -> KeptTrial | None:
        kept, _ = kept_trial(self._session.job)
        return kept if kept is not None and kept.trials else None

    def given(self) -> tuple[str, ...]:
        """What goes in, in words."""
        kept = self._kept()
        names = (
            self.tr("scan") if self._scan.is_current else "",
            self.tr("layer images") if self._images.is_current else "",
            self.tr("trials of {0}").format(kept.built_on) if kept is not None else "",
        )
        return tuple(name for name in names if name)

    def refusal(self) -> str:
        """Why no report can be written now; empty when one can."""
        if self._session.part is None:
            return self.tr("Open the part or job that was built first.")
        if self._session.result is None or not self._session.result_is_current:
            return self.tr("Build the sinks of the job first (F5), as the report shows them.")
        if not self.given():
            return self.tr("Compare layer images or a scan of this job first, or put kept trials in force.")
        return ""

    def write(self, folder: Path) -> None:
        """Write report.html and report.pdf in the background."""
        result = self._session.result
        if (refusal := self.refusal()) or result is None:
            self.refused.emit(refusal)
            return
        kept, remark = self._kept(), self.remark
        images = self._images.result if self._images.is_current else None
        scan = self._scan.result if self._scan.is_current else None
        heat = self._heat.comparison if self._heat.is_current else None

        def write(goes_on: GoesOn) -> tuple[str, ...]:
            from core.export.after_build import AfterBuild, images_seen, scan_seen
            from core.export.after_build_files import tried_gaps
            from core.export.write_report import write_after_report
            from core.run_images import images_values
            from core.run_scan import scan_values

            after = AfterBuild(
                trials=None if kept is None else tried_gaps(kept.log, part_of(goes_on, 0.0, 0.3)),
                images=None if images is None else images_seen(images_values(images), images.face_scores),
                scan=None if scan is None else scan_seen(scan_values(scan), scan.face_deviations_mm),
                remark=remark,
            )
            return write_after_report(result, folder, after, heat, part_of(goes_on, 0.3, 1.0))

        self.write_into(folder, "after report", write)


def ask_for_report(bench: "Workbench") -> None:
    """Ask for a folder and write the report into it; say why when there is nothing to write."""
    report = bench.findChild(AfterBuildReport)
    if not isinstance(report, AfterBuildReport):
        return
    if refusal := report.refusal():
        bench.message_bar.say("note", refusal)
        return
    title = bench.tr("Write the report after the build to a folder")
    folder = messages.ask_export_folder(bench.window, bench.settings.last_folder(), title)
    if folder is not None:
        bench.settings.set_last_folder(str(folder))
        report.write(folder)


def after_build_commands(bench: "Workbench") -> tuple[Command, ...]:
    """What the menu offers after the build."""
    return (
        Command(
            name="report_after",
            text=bench.tr("Report after the build…"),
            run=lambda _=False: ask_for_report(bench),
            tip=bench.tr("Trials, layer images and scan with a verdict for every patch, as HTML and PDF"),
        ),
    )
