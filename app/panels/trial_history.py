"""Kept trials of the job's alloy and layer: which there are, which is in force, use another, remove, put back."""

from collections.abc import Callable

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from app.panels.fields import Section, plain_text
from app.session import Session
from core.kept_trials import TrialHistory, settings_of, trial_history, use_kept
from core.refusal import Refusal
from core.trial.kept_trial import KeptTrial
from core.trial.trial_library import Removed, differing, put_back, remove_trial

ROWS = 5
"""Rows that are seen without scrolling."""


class KeptTrials(Section):
    """The first row stands for no trials; a row that is clicked is shown as a plot, `Use` puts it in force."""

    said = Signal(str, str, str)
    """Level, sentence, details."""
    looked_at = Signal(object)
    """The KeptTrial of the row that was clicked."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Kept trials"), parent)
        self._session = session
        self._history: TrialHistory | None = None
        self._removed: Removed | None = None
        self.words = plain_text(parent=self)
        self.list = QTreeWidget(self)
        self.list.setAccessibleName(self.tr("Kept trials"))
        self.list.setRootIsDecorated(False)
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.list.setHeaderLabels([self.tr("Built on"), "n", self.tr("Angles"), self.tr("95 % free, mm")])
        header = self.list.header()
        header.setAccessibleName(self.tr("Columns of the kept trials"))
        header.setStretchLastSection(True)
        for column in range(3):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        self.list.setFixedHeight(header.sizeHint().height() + ROWS * (self.fontMetrics().height() + 6))
        self.list.itemSelectionChanged.connect(self._selected)
        self.list.itemActivated.connect(lambda: self.use())
        self.use_button, self.remove_button = QPushButton(self.tr("Use"), self), QPushButton(self.tr("Remove"), self)
        self.back_button = QPushButton(self.tr("Put back"), self)
        self.use_button.setToolTip(
            self.tr("The gap window takes its fuse limit from these; they stay in force whatever is kept later.")
        )
        self.remove_button.setToolTip(self.tr("Takes these trials out of your library; they can be put back."))
        self.back_button.setToolTip(self.tr("Puts the trials that were removed last back into your library."))
        self.use_button.clicked.connect(self.use)
        self.remove_button.clicked.connect(self.remove)
        self.back_button.clicked.connect(self.put_back)
        row = QHBoxLayout()
        for button in (self.use_button, self.remove_button, self.back_button):
            row.addWidget(button, 1)
        self.body.addWidget(self.words)
        self.body.addWidget(self.list)
        self.body.addLayout(row)
        session.state.changed.connect(self.refresh)
        session.settings.looked.connect(self.refresh)
        self.refresh()

    @property
    def chosen(self) -> KeptTrial | None:
        """The trials of the selected row; None where the row of no trials is, or none is."""
        item = self.list.currentItem()
        return None if item is None else item.data(0, Qt.ItemDataRole.UserRole)

    def refresh(self) -> None:
        """Show the library as it is now for the job looked at."""
        job = self._session.settings.job
        history = trial_history(job)
        self.back_button.setVisible(self._removed is not None)
        if history == self._history:
            return
        kept_row = self.chosen
        self._history = history
        with QSignalBlocker(self.list):
            self.list.clear()
            self._add(None, self.tr("none: the model's estimate"), history.used is None).setFirstColumnSpanned(True)
            for kept in history.entries:
                other = differing(kept, settings_of(job))
                item = self._add(kept, kept.built_on + (" *" if other else ""), history.used == kept, other)
                if kept == kept_row:
                    self.list.setCurrentItem(item)
        what = f"{job.alloy}, {job.laser.layer_mm:g} mm"
        if history.problem:
            self.words.setText(history.problem)
        elif not history.entries:
            self.words.setText(self.tr("None yet for {0}; the gap window is the model's estimate.").format(what))
        elif history.used is None:
            self.words.setText(self.tr("For {0}. In force: none, the model's estimate.").format(what))
        else:
            self.words.setText(self.tr("For {0}. In force: {1}.").format(what, history.used.words))
        for widget in (self.list, self.use_button, self.remove_button):
            widget.setVisible(bool(history.entries))
        self._enable()

    def _add(self, kept: KeptTrial | None, name: str, used: bool, other: tuple[str, ...] = ()) -> QTreeWidgetItem:
        texts = [f"{'✓ ' if used else '   '}{name}"]
        tip = self.tr("In force.") if used else ""
        if kept is not None:
            found = [(limit.angle_deg, limit.gap_mm) for limit in kept.limits]
            gaps = sorted(f"{gap_mm:.2f}" for _, gap_mm in found if gap_mm is not None)
            texts += [str(kept.n), f"{_ends([f'{angle:g}' for angle, _ in found])}°", _ends(gaps)]
            each = ", ".join(f"{angle:g}°: " + ("–" if gap is None else f"{gap:.2f} mm") for angle, gap in found)
            lines = (
                tip,
                self.tr("Sheet {0}, kept on {1}.").format(kept.source, kept.kept_on),
                self.tr("Comes free with 95 % probability: {0}.").format(each),
            )
            tip = "\n".join(line for line in lines if line)
        if other:
            names = ", ".join(name.removesuffix("_w").removesuffix("_mm_s").removesuffix("_mm") for name in other)
            tip += "\n" + self.tr("* Built with other laser settings: {0}.").format(names)
        item = QTreeWidgetItem(texts)
        item.setData(0, Qt.ItemDataRole.UserRole, kept)
        for column in range(4):
            item.setToolTip(column, tip)
            font = item.font(column)
            font.setBold(used)
            item.setFont(column, font)
        self.list.addTopLevelItem(item)
        return item

    def _selected(self) -> None:
        self._enable()
        if self.chosen is not None:
            self.looked_at.emit(self.chosen)

    def _enable(self) -> None:
        used = None if self._history is None else self._history.used
        chosen, any_row = self.chosen, self.list.currentItem() is not None
        self.use_button.setEnabled(any_row and chosen != used and (chosen is None or chosen.bounds()))
        self.remove_button.setEnabled(chosen is not None)

    # Changing the library ------------------------------------------------------------------------

    def use(self) -> None:
        """Put the selected trials in force, or none."""
        if not self.use_button.isEnabled():
            return
        chosen = self.chosen
        if self._try(lambda: use_kept(self._session.settings.job, chosen)):
            if chosen is None:
                self.said.emit("ok", self.tr("The gap window is the model's estimate again; the trials stay kept."), "")
            else:
                self.said.emit("ok", self.tr("The gap window is now {0}.").format(chosen.words), "")

    def remove(self) -> None:
        """Take the selected trials out of the library."""
        chosen = self.chosen
        if chosen is None:
            return

        def change() -> None:
            self._removed = remove_trial(chosen.sha256)

        if self._try(change):
            text = self.tr("The trials of {0} are removed; “Put back” brings them back.").format(chosen.built_on)
            self.said.emit("ok", text + " " + self.words.text(), "")

    def put_back(self) -> None:
        """Undo the last removal."""
        removed = self._removed

        def change() -> None:
            if removed is not None:
                put_back(removed)
            self._removed = None

        if self._try(change):
            self.said.emit("ok", self.tr("The trials are back. {0}").format(self.words.text()), "")

    def _try(self, change: Callable[[], None]) -> bool:
        try:
            change()
        except Refusal as refusal:
            self.said.emit("stop", str(refusal), "")
            return False
        self._session.settings.looked.emit()  # the gap window follows, and this list
        self.refresh()
        return True


def _ends(texts: list[str]) -> str:
    """The first and the last of ascending values."""
    return "–".join(dict.fromkeys((texts[0], texts[-1]))) if texts else "–"
