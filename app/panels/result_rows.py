"""Rows of the job tree for what was built: sinks, zones and findings, grey when out of date."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QBrush
from PySide6.QtWidgets import QTreeWidgetItem

from app.appearance import icon, level_colour
from app.session import Session
from core.checks.finding import LEVELS, Finding
from core.export.result import JobResult
from core.job import Pick

if TYPE_CHECKING:
    from app.panels.job_tree import JobTree

KIND, NUMBER = (Qt.ItemDataRole.UserRole + i for i in range(2))


class ResultRows:
    """Fills three groups of the tree; remembers which sinks and zones of a result are hidden in the view."""

    def __init__(self, tree: "JobTree", session: Session) -> None:
        self._tree, self._session = tree, session
        self._shown: JobResult | None = None
        self._hidden: set[tuple[str, int]] = set()
        self._zones_on = True
        session.part_changed.connect(self._forget)

    def _forget(self) -> None:
        """Another part, or another pose: the view shows all again."""
        self._shown = None

    def show(self) -> None:
        """Anew from the session's result; another result is seen whole."""
        result = self._session.result if self._session.job.picks else None
        if result is not self._shown:
            self._shown = result
            self._hidden.clear()
            if result is not None and not self._zones_on:
                self._hidden |= {("zone", number) for number in range(len(result.zones))}
        tree, tr = self._tree, self._tree.tr
        groups = (tree.sink_row, tree.zone_row, tree.finding_row)
        with QSignalBlocker(tree):
            for group in groups:
                group.takeChildren()
            tree.zone_row.setHidden(result is None or not result.zones)
            if result is None:
                tree.sink_row.setText(0, tr("Sinks: none yet"))
                tree.finding_row.setText(0, tr("Findings: none yet"))
                return
            date = "" if self._session.result_is_current else tr(" (out of date)")
            tree.sink_row.setText(0, tr("Sinks: {0}").format(len(result.sinks)) + date)
            tree.zone_row.setText(0, tr("Downskin zones: {0}").format(len(result.zones)) + date)
            count = {level: sum(f.level == level for f in result.findings) for level in LEVELS}
            tree.finding_row.setText(0, tr("Findings: {0} stop, {1} note").format(count["stop"], count["note"]) + date)
            self._add_sinks(result)
            self._add_zones(result)
            for number, finding in enumerate(result.findings):
                if finding.level != "ok":
                    self._add_finding(number, finding)
            for group in groups:
                group.setExpanded(True)

    def _add_sinks(self, result: JobResult) -> None:
        tr = self._tree.tr
        for number, sink in enumerate(result.sinks):
            pick = self._pick(sink.patches)
            own = tr(", own settings") if pick is not None and pick.has_own else ""
            patches = ", ".join(str(i) for i in sink.patches)
            words = tr("{0} under patch {1}").format(sink.name, patches) + own
            row = self._add_body("sink", number, words, tr("Untick to hide this sink in the view."))
            row.setSelected(self._pick_number(sink.patches) in self._session.settings.chosen)

    def _add_zones(self, result: JobResult) -> None:
        tr = self._tree.tr
        for number, (body, figures) in enumerate(zip(result.zones, result.zone_figures, strict=True)):
            pick = self._pick((figures.patch,))
            own = tr(", its own") if pick is not None and pick.zone is not None else ""
            words = tr("{0} above patch {1}, {2} layers").format(body.name, figures.patch, figures.layers) + own
            self._add_body("zone", number, words, tr("Untick to hide this zone in the view."))

    def _add_body(self, kind: str, number: int, words: str, tip: str) -> QTreeWidgetItem:
        row = self._add(self._tree.sink_row if kind == "sink" else self._tree.zone_row, kind, number, words)
        hidden = (kind, number) in self._hidden
        row.setCheckState(0, Qt.CheckState.Unchecked if hidden else Qt.CheckState.Checked)
        row.setToolTip(0, f"{words}. {tip}" if kind == "zone" else tip)
        return row

    def _add_finding(self, number: int, finding: Finding) -> None:
        row = self._add(self._tree.finding_row, "finding", number, finding.text)
        row.setIcon(0, icon(finding.level, level_colour(finding.level, self._tree.palette())))
        row.setToolTip(0, finding.text)

    def _add(self, group: QTreeWidgetItem, kind: str, number: int, words: str) -> QTreeWidgetItem:
        row = QTreeWidgetItem(group, [words])
        row.setFirstColumnSpanned(True)
        row.setData(0, KIND, kind)
        row.setData(0, NUMBER, number)
        row.setForeground(0, QBrush() if self._session.result_is_current else self._tree.palette().placeholderText())
        return row

    # Eyes ----------------------------------------------------------------------------------------

    def eye_changed(self, row: QTreeWidgetItem) -> bool:
        """Remember the tick of a sink or zone; True when it is to be seen."""
        on = row.checkState(0) == Qt.CheckState.Checked
        key = (row.data(0, KIND), row.data(0, NUMBER))
        self._hidden.discard(key) if on else self._hidden.add(key)
        return on

    def show_zones(self, on: bool) -> None:
        """Tick or untick all zones, and those that come later."""
        self._zones_on = on
        for number in range(self._tree.zone_row.childCount()):
            row = self._tree.zone_row.child(number)
            if row is not None:
                row.setCheckState(0, Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)

    def hidden_zones(self) -> tuple[int, ...]:
        """Numbers of the zones that are not to be seen."""
        return tuple(sorted(number for kind, number in self._hidden if kind == "zone"))

    # Picks ---------------------------------------------------------------------------------------

    def pick_of(self, row: QTreeWidgetItem) -> int | None:
        """Number of the pick that a row's sink or zone belongs to; None for a finding."""
        result, number = self._session.result, row.data(0, NUMBER)
        if result is None or row.data(0, KIND) == "finding":
            return None
        sink = row.data(0, KIND) == "sink"
        return self._pick_number(result.sinks[number].patches if sink else (result.zone_figures[number].patch,))

    def _pick_number(self, patches: tuple[int, ...]) -> int | None:
        return next((k for k, patch in enumerate(self._session.picked) if patch.id in patches), None)

    def _pick(self, patches: tuple[int, ...]) -> Pick | None:
        number, picks = self._pick_number(patches), self._session.job.picks
        return picks[number] if number is not None and number < len(picks) else None
