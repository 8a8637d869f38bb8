"""What follows from the job: the placed part, its patches, the picked faces, the live preview and the built sinks."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.builder import Builder
from app.job_state import JobState
from app.picker import Picker
from app.placed_part import Opened, PlacedPart, opened_again, opened_from, place, placed_key, read_anew
from app.sink_settings import SinkSettings
from core.export.result import JobResult
from core.gap.gap_choice import GapChoice
from core.job import Job, faces_of
from core.job_file import save_job
from core.job_picks import picked_patches
from core.part.part import Part
from core.part.patch import Patch
from core.progress import GoesOn
from core.refusal import Refusal
from core.run_window import GapWindow, gap_windows
from core.sink.top_preview import TopPreview


class Session(QObject):
    """Follows JobState. Long work runs in the background; each answer is taken only if it still fits the job."""

    part_changed = Signal(bool)
    """The placed part is another one; True when the view is to show the whole of it."""
    patches_changed = Signal()
    picks_changed = Signal()
    preview_changed = Signal()
    """The gap under the slider moved, or its preview ended."""
    result_changed = Signal()
    """Sinks were built, or became out of date."""
    opened = Signal(str)
    """The file that was opened, for the list of recent ones."""
    brought_back = Signal(Path)
    """The copy of unsaved changes that was opened."""
    said = Signal(str, str, str)
    """Level 'ok', 'note' or 'stop', a sentence, details to unfold."""

    def __init__(self, state: JobState, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.state = state
        self.background = background
        self.placed: PlacedPart | None = None
        self.picked: tuple[Patch, ...] = ()
        self.settings = SinkSettings(state, self)
        """Of the pick whose estimate is shown."""
        self.picker = Picker(self)
        self.preview_gap_mm: float | None = None
        self._raw: Part | None = None
        self._raw_key: tuple[str, str | None] = ("", None)
        self._picks_for: tuple[object, ...] = ()
        self._part_is_new = False
        self._previews: dict[object, TopPreview] = {}
        self.builder = Builder(state, background, self)
        self.builder.changed.connect(self.result_changed)
        self.builder.ended.connect(self._build_ended)
        self.builder.refused.connect(self._refused)
        self.builder.failed.connect(self.tell_failure)
        state.changed.connect(self._job_changed)

    @property
    def job(self) -> Job:
        return self.state.job

    @property
    def part(self) -> Part | None:
        return self.placed.part if self.placed is not None else None

    @property
    def raw(self) -> Part | None:
        """The job's first part as its file has it."""
        return self._raw

    @property
    def patches(self) -> tuple[Patch, ...]:
        return self.placed.patches if self.placed is not None else ()

    @property
    def result(self) -> JobResult | None:
        """The sinks built last, whether or not they still fit the job."""
        return self.builder.result

    @property
    def result_is_current(self) -> bool:
        """True when the sinks shown belong to the job as it is."""
        return self.builder.is_current

    # Opening and saving --------------------------------------------------------------------------

    def open(self, path: Path, *, bring_back: bool = False) -> None:
        """Open a part or a job in the background; the job at hand stays until that has worked.

        bring_back: the file is the copy of unsaved changes that a crash left; it counts as not saved.
        """

        def work(goes_on: GoesOn) -> Opened:
            return opened_from(path, goes_on, bring_back=bring_back)

        self._open(self.tr("Opening {0}").format(path.name), work)

    def read_again(self) -> None:
        """Take the part's file as it is now; the job keeps its settings and picks and starts a new history."""
        job, file = self.job, self.state.file

        def work(goes_on: GoesOn) -> Opened:
            return read_anew(job, file, goes_on)

        self._open(self.tr("Reading {0} again").format(Path(job.part_file).name), work)

    def _open(self, title: str, work: Callable[[GoesOn], Opened]) -> None:
        self.background.start("open", title, work, done=self._opened, refused=self._refused, failed=self.tell_failure)

    def _opened(self, opened: Opened) -> None:
        self._raw, self._raw_key = opened.raw, (opened.job.part_file, opened.job.units)
        self.placed = opened.placed
        self._picks_for, self._previews = (), {}
        self.settings.look_at(0)
        self.preview_gap(None)
        self.builder.part = opened.placed.part
        self.builder.forget()
        self._part_is_new = True
        self.state.open(opened.job, opened.file, saved=opened.saved)
        if opened.saved:
            self.opened.emit(str(opened.file or opened.job.part_file))
        if opened.copy is not None:
            self.brought_back.emit(opened.copy)
        part = opened.placed.part
        for text in part.health.problems[:1] or part.warnings[:1]:
            self.said.emit("note", text, "\n".join((*part.health.problems, *part.warnings)))

    def save(self, path: Path) -> bool:
        """Write the job file; say why when that fails."""
        try:
            save_job(self.job, path)
        except Refusal as refusal:
            self._refused(str(refusal))
            return False
        self.state.mark_saved(path)
        return True

    # Following the job ---------------------------------------------------------------------------

    def _job_changed(self) -> None:
        job = self.job
        if self._part_is_new:
            self._part_is_new = False
            self.part_changed.emit(True)
            self.patches_changed.emit()
        tried_mm = self.preview_gap_mm
        if tried_mm is not None and not (self.builder.at_once and self.settings.job.gap.gap_mm == tried_mm):
            self.preview_gap(None)
        if self._raw is None:
            return
        if (job.part_file, job.units) != self._raw_key:
            self.background.start(
                "place",
                self.tr("Reading the part again"),
                self._load_again,
                done=self._loaded_again,
                refused=self._refused,
                failed=self.tell_failure,
            )
        elif self.placed is None or self.placed.key != placed_key(job):
            raw = self._raw

            def work(goes_on: GoesOn) -> PlacedPart:
                return place(raw, job)

            self.background.start(
                "place",
                self.tr("Finding the downskin"),
                work,
                done=self._placed,
                refused=self._refused,
                failed=self.tell_failure,
            )
        else:
            self._follow_picks()
        self.builder.follow()

    def _load_again(self, goes_on: GoesOn) -> Opened:
        return opened_again(self.job)

    def _loaded_again(self, opened: Opened) -> None:
        self._raw, self._raw_key = opened.raw, (opened.job.part_file, opened.job.units)
        self._placed(opened.placed)

    def _placed(self, placed: PlacedPart) -> None:
        if placed.key != placed_key(self.job):
            return
        moved = self.placed is None or self.placed.pose_key != placed.pose_key
        fit = not placed.looks_alike(self.placed)
        self.placed = placed
        self.builder.part = placed.part
        self._picks_for, self._previews = (), {}
        if moved:
            self.part_changed.emit(fit)
        self.patches_changed.emit()
        self._follow_picks()
        self.builder.follow()

    def _follow_picks(self) -> None:
        """Patches of the picks, anew when picks, part or layer changed."""
        wanted = ([pick.runs for pick in self.job.picks], self.placed)
        if self.part is not None and wanted != self._picks_for:
            self.picked = self._patches_of_picks(self.part) if self.job.picks else ()
            self._picks_for = wanted
            self._previews = {runs: top for runs, top in self._previews.items() if runs in wanted[0]}
            self.settings.look_at(max(0, len(self.picked) - 1))
            self.picks_changed.emit()

    def _patches_of_picks(self, part: Part) -> tuple[Patch, ...]:
        try:
            return picked_patches(self.job, part, self.patches)
        except Refusal as refusal:
            self._refused(str(refusal))
            return ()

    # Preview while the slider moves --------------------------------------------------------------

    def previews(self) -> list[tuple[TopPreview, float]]:
        """One preview of the sink's top per pick, made once and kept, each with its gap in mm."""
        settings = self.settings
        tops: list[tuple[TopPreview, float]] = []
        for pick in self.job.picks:
            if self.part is None:
                break
            if pick.runs not in self._previews:
                self._previews[pick.runs] = TopPreview.of(self.part, faces_of(pick))
            moves = pick is settings.pick if settings.own else not pick.has_own
            gap_mm = self.job.for_pick(pick).gap.gap_mm
            tops.append((self._previews[pick.runs], (self.preview_gap_mm or gap_mm) if moves else gap_mm))
        return tops

    def preview_gap(self, gap_mm: float | None) -> None:
        """The gap under the slider; None ends the preview. After release it stays until the exact sinks are built."""
        if gap_mm is not None or self.preview_gap_mm is not None:
            self.preview_gap_mm = gap_mm
            self.preview_changed.emit()

    def _build_ended(self) -> None:
        self.preview_gap(None)

    def window(self) -> GapWindow | None:
        """Gap window and 1-D estimate for the pick looked at, at the slider's gap or else its own."""
        number = self.settings.number
        if number >= len(self.picked):
            return None
        job = replace(self.settings.job, picks=())
        gap = GapChoice(gap_mm=self.preview_gap_mm or job.gap.gap_mm)
        return gap_windows(replace(job, gap=gap), (self.picked[number],))[0]

    def close(self) -> None:
        """Stop following; the window is closing."""
        self.builder.close()
        self.state.changed.disconnect(self._job_changed)

    def _refused(self, text: str) -> None:
        self.said.emit("stop", text, "")

    def tell_failure(self, details: str) -> None:
        """Say that something of ours is broken; details for the log and to unfold."""
        text = self.tr("Something went wrong inside Underfin; your job is unchanged. The details are in the log.")
        self.said.emit("stop", text, details)
