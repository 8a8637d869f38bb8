"""What the window says: a bar over the view for sentences, dialogs only for files and what can't be undone."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QCoreApplication, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QFileDialog,
    QFrame,
    QGridLayout,
    QLabel,
    QMessageBox,
    QPlainTextEdit,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from app.appearance import icon, level_colour

NOTE_STAYS_MS = 9000
PART_FILES = "*.stl *.3mf *.obj *.ply *.step *.stp"


class MessageBar(QFrame):
    """One sentence with its level, details to unfold and copy, and a button to close it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        self.setAccessibleName(self.tr("Message"))
        self._picture, self.text = QLabel(self), QLabel(self)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.text.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._details = QPlainTextEdit(self)
        self._details.setReadOnly(True)
        self._details.setTabStopDistance(self.fontMetrics().horizontalAdvance("Ctrl+Shift+W") + 14)
        self._details.setMaximumHeight(220)
        self._action: Callable[[], None] | None = None
        self._do = QPushButton(self)
        self._do.clicked.connect(self._act)
        self._unfold = QPushButton(self.tr("Details"), self)
        self._unfold.setCheckable(True)
        self._unfold.toggled.connect(self._details.setVisible)
        self._copy = QPushButton(self.tr("Copy"), self)
        self._copy.clicked.connect(self._copy_all)
        self._close = QToolButton(self)
        self._close.setAutoRaise(True)
        self._close.setToolTip(self.tr("Close this message"))
        self._close.setAccessibleName(self.tr("Close this message"))
        self._details.setAccessibleName(self.tr("Details"))
        self._do.setAccessibleName(self.tr("Do what the message offers"))
        self._close.clicked.connect(self.hide)
        grid = QGridLayout(self)
        grid.setContentsMargins(8, 5, 6, 5)
        for column, widget in enumerate((self._picture, self.text, self._do, self._unfold, self._copy, self._close)):
            grid.addWidget(widget, 0, column, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(self._details, 1, 0, 1, 6)
        grid.setColumnStretch(1, 1)
        self._timer = QTimer(self, interval=NOTE_STAYS_MS, singleShot=True)
        self._timer.timeout.connect(self.hide)
        self.hide()

    def offer(self, text: str, button: str, action: Callable[[], None]) -> None:
        """Show a sentence with a button that does something about it."""
        self.say("note", text)
        self._timer.stop()
        self._action = action
        self._do.setText(button)
        self._do.setAccessibleName(button)
        self._do.show()

    def _act(self) -> None:
        self.hide()
        if self._action is not None:
            self._action()

    def say(self, level: str, text: str, details: str = "") -> None:
        """Show a sentence; 'stop' stays until closed, others leave by themselves."""
        self._do.hide()
        self._picture.setPixmap(icon(level, level_colour(level, self.palette())).pixmap(20, 20))
        self._close.setIcon(icon("close"))
        self.text.setText(text)
        self._details.setPlainText(details)
        self._unfold.setChecked(False)
        self._details.hide()
        for widget in (self._unfold, self._copy):
            widget.setVisible(bool(details))
        self.show()
        if level == "stop" or details:
            self._timer.stop()
        else:
            self._timer.start()

    def unfold(self) -> None:
        """Show the details at once."""
        self._unfold.setChecked(True)

    def _copy_all(self) -> None:
        QGuiApplication.clipboard().setText(f"{self.text.text()}\n\n{self._details.toPlainText()}")


def _tr(text: str) -> str:
    return QCoreApplication.translate("messages", text)


def ask_part_file(parent: QWidget, folder: str) -> Path | None:
    """Ask for a part or a job to open."""
    everything = f"{_tr('Parts and jobs')} ({PART_FILES} *.underfin)"
    kinds = f"{everything};;{_tr('Parts')} ({PART_FILES});;{_tr('Underfin jobs')} (*.underfin)"
    name, _ = QFileDialog.getOpenFileName(parent, _tr("Open a part or a job"), folder, kinds)
    return Path(name) if name else None


def ask_more_parts(parent: QWidget, folder: str) -> list[Path]:
    """Ask for parts to put beside those of the job; empty when none is wanted."""
    kinds = f"{_tr('Parts')} ({PART_FILES})"
    names, _ = QFileDialog.getOpenFileNames(parent, _tr("Add parts to the plate"), folder, kinds)
    return [Path(name) for name in names]


def ask_job_file(parent: QWidget, proposed: str) -> Path | None:
    """Ask where to save the job."""
    name, _ = QFileDialog.getSaveFileName(parent, _tr("Save the job"), proposed, f"{_tr('Underfin jobs')} (*.underfin)")
    if not name:
        return None
    return Path(name) if name.endswith(".underfin") else Path(name + ".underfin")


def ask_export_folder(parent: QWidget, folder: str, title: str = "") -> Path | None:
    """Ask for the folder to export to. title: of the dialog, where it isn't the sinks that are exported."""
    title = title or _tr("Export sinks, 3MF and report to a folder")
    name = QFileDialog.getExistingDirectory(parent, title, folder)
    return Path(name) if name else None


def ask_picture_file(parent: QWidget, folder: str) -> Path | None:
    """Ask where to save a picture of the view."""
    name, _ = QFileDialog.getSaveFileName(
        parent, _tr("Save a picture of the view"), folder, f"{_tr('Pictures')} (*.png)"
    )
    if not name:
        return None
    return Path(name) if name.endswith(".png") else Path(name + ".png")


def ask_before_discard(parent: QWidget, name: str) -> str:
    """'save', 'discard' or 'cancel' for a job with changes that are not saved."""
    box = QMessageBox(parent)
    box.setIcon(QMessageBox.Icon.Question)
    box.setWindowTitle(_tr("Unsaved changes"))
    box.setText(_tr("The job “{0}” has changes that are not saved.").format(name))
    save = box.addButton(_tr("Save"), QMessageBox.ButtonRole.AcceptRole)
    discard = box.addButton(_tr("Discard changes"), QMessageBox.ButtonRole.DestructiveRole)
    box.addButton(_tr("Cancel"), QMessageBox.ButtonRole.RejectRole)
    box.setDefaultButton(save)
    box.exec()
    if box.clickedButton() is save:
        return "save"
    return "discard" if box.clickedButton() is discard else "cancel"
