"""Fourth page of the inspector: findings with remedy, what was measured on each sink, and the export."""

from itertools import pairwise

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.appearance import icon
from app.panels.fields import Section, plain_text
from app.panels.finding_buttons import FindingButtons
from app.panels.finding_item import LEFT, PAD, FindingDelegate
from app.remedies import Remedies
from app.session import Session
from core.checks.finding import LEVELS, Finding
from core.sink.sink import Sink


class CheckPanel(QWidget):
    """Findings worst first; a click goes to the place, a button does what helps. No export while a stop is open."""

    finding_wanted = Signal(object)
    """The Finding to be shown in the view."""
    export_wanted = Signal()
    build_wanted = Signal()

    def __init__(self, session: Session, remedies: Remedies, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session, self._remedies = session, remedies
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 6)
        findings = Section(self.tr("Findings"), self)
        self.summary = plain_text(parent=self)
        self.list = QListWidget(self)
        self.list.setItemDelegate(FindingDelegate(self.list))
        self.list.setAccessibleName(self.tr("Findings, worst first"))
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.setWordWrap(True)  # so that rows are measured again when the list gets wider or narrower
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.list.setMinimumHeight(150)
        self.list.itemClicked.connect(self._go)
        self.list.itemActivated.connect(self._go)
        findings.body.addWidget(self.summary)
        findings.body.addWidget(self.list, 1)
        self.closer = QCheckBox(self.tr("Look closer for powder"), self)
        self.closer.setToolTip(
            self.tr("Searches finer cells and behind necks for powder that stays inside; takes some seconds more.")
        )
        self.closer.toggled.connect(session.builder.set_thorough)
        findings.body.addWidget(self.closer)
        column.addWidget(findings, 1)
        measured = Section(self.tr("Measured on the sinks"), self)
        self.measured = plain_text(parent=self)
        measured.body.addWidget(self.measured)
        column.addWidget(measured)
        row = QHBoxLayout()
        self.build_button = QPushButton(self.tr("Build sinks"), self)
        self.build_button.clicked.connect(self.build_wanted)
        self.export_button = QPushButton(self.tr("Export…"), self)
        self.export_button.clicked.connect(self.export_wanted)
        row.addWidget(self.build_button)
        row.addWidget(self.export_button)
        self.reason = plain_text(parent=self)
        column.addLayout(row)
        column.addWidget(self.reason)
        session.result_changed.connect(self._show)
        session.picks_changed.connect(self._show)
        self._show()

    def export_refusal(self) -> str:
        """Why the export can't be done now; empty when it can."""
        result = self._session.result
        if self._session.part is None:
            return self.tr("Open a part first.")
        if not self._session.job.picks:
            return self.tr("Pick a face first; then its sink is built and can be exported.")
        if result is None or not self._session.result_is_current:
            return self.tr("The sinks are not built for the job as it is.")
        if result.stopped:
            stops = [finding.text for finding in result.findings if finding.level == "stop"]
            return self.tr("Export is not allowed: {0}").format(" ".join(stops))
        return ""

    def _show(self) -> None:
        result, current = self._session.result, self._session.result_is_current
        self.list.clear()
        if result is None or not self._session.job.picks:
            self.summary.setText(self.tr("No sinks are built yet."))
            self.measured.setText("–")
        else:
            findings = sorted(result.findings, key=lambda finding: LEVELS.index(finding.level))
            count = {level: sum(f.level == level for f in findings) for level in LEVELS}
            text = self.tr("{0} stop, {1} note, {2} ok").format(count["stop"], count["note"], count["ok"])
            self.summary.setText(text if current else self.tr("Out of date: {0}").format(text))
            for finding in findings:
                self._add(finding)
            self.measured.setText("\n".join(_measured(sink, self) for sink in result.sinks) or "–")
        self._order_keys()
        self.list.setEnabled(current)
        self.measured.setEnabled(current)
        refusal = self.export_refusal()
        self.export_button.setEnabled(not refusal)
        self.export_button.setIcon(icon("export"))
        self.build_button.setIcon(icon("build"))
        self.build_button.setEnabled(self._session.part is not None and bool(self._session.job.picks) and not current)
        self.reason.setText(refusal)

    def _add(self, finding: Finding) -> None:
        item = QListWidgetItem(finding.text)
        item.setData(Qt.ItemDataRole.UserRole, finding)
        item.setToolTip("\n".join(text for text in (finding.text, finding.remedy) if text))
        self.list.addItem(item)
        if finding.changes:
            buttons = FindingButtons(finding, self._remedies.words, LEFT, PAD)
            buttons.wanted.connect(self._remedies.take)
            self.list.setItemWidget(item, buttons)

    def _order_keys(self) -> None:
        """The tab key goes from the list to the buttons in it, then on."""
        rows = (self.list.itemWidget(self.list.item(i)) for i in range(self.list.count()))
        buttons = [button for row in rows if isinstance(row, FindingButtons) for button in row.buttons]
        for before, after in pairwise((self.list, *buttons, self.closer)):
            QWidget.setTabOrder(before, after)

    def _go(self, item: QListWidgetItem) -> None:
        self.finding_wanted.emit(item.data(Qt.ItemDataRole.UserRole))


def _measured(sink: Sink, panel: QWidget) -> str:
    covered = 100 * sink.covered_area_mm2 / sink.patch_area_mm2 if sink.patch_area_mm2 > 0 else 0.0
    return panel.tr("{0}: nearest {1} mm, gap error {2} µm (99 of 100), covers {3} %, {4} mm³").format(
        sink.name,
        f"{sink.min_clearance_mm:.4f}",
        f"{sink.gap_error_p99_um:.1f}",
        f"{covered:.0f}",
        f"{sink.volume_mm3:.1f}",
    )
