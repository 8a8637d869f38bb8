"""The dock of materials and machines, walked through once: copy, edit with a source, revisions, apply, files, undo."""

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QSettings
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from app.appearance import use_look
from app.library_link import library_link
from app.main_window import MainWindow, prepare_graphics
from app.settings import Settings
from core.heat.machine_setting import MachineSetting
from core.heat.user_library import give_out, keep_new, listing, metal_named, setting_named
from core.job import Job

prepare_graphics()


def tip_of(widget: QWidget) -> str:
    """What a hand that rests on the widget would read."""
    QApplication.sendEvent(widget, QHelpEvent(QEvent.Type.ToolTip, QPoint(1, 1), QPoint(1, 1)))
    return widget.toolTip()


def test_the_library_in_the_window(
    qtbot: QtBot, tmp_path: Path, library: Path, own_setting: MachineSetting, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.workbench.autosave_folder", lambda: tmp_path / "unsaved")
    monkeypatch.setattr("app.messages.ask_before_discard", lambda parent, name: "discard")
    use_look("light")
    window = MainWindow(Settings(QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat)))
    qtbot.addWidget(window)
    window.show()
    bench = window.fill()
    link = library_link(bench)
    panel, follower, said = link.panel, link.follower, bench.message_bar.text
    assert bench.docks["library"].isHidden()
    link.lines["process"].linkActivated.emit("origins")
    assert bench.docks["library"].isVisible() and follower.held is None
    job_rows = [panel.table.item(row, 0).text() for row in range(panel.table.rowCount())]
    assert {"solidus", "conductivity", "laser power", "powder conductivity", "fuse limit, melt depth"} <= set(job_rows)

    follower.look_at("316L")
    assert panel.form.isHidden(), "built-in values are read-only"
    panel.name.setText("316l")
    panel.buttons["copy"].click()
    assert "built in" in said.text() and not listing().files
    panel.name.setText("Nordhaven 316L")
    panel.buttons["copy"].click()
    assert follower.name == "Nordhaven 316L" and not panel.form.isHidden()

    panel.table.setCurrentCell(3, 0)
    panel.form.value.setText("0.44")
    panel.form.change_button.click()
    assert "where the new value comes from" in panel.form.note.text() and follower.draft is None
    panel.form.source.setText("calorimeter in hall 2")
    panel.form.flag.show_choice("measured")
    panel.form.value.setText("4.4")
    panel.form.change_button.click()
    assert "absorptivity.value" in panel.form.note.text() and follower.draft is None
    panel.form.value.setText("0.44")
    panel.form.change_button.click()
    assert follower.draft is not None and not panel.buttons["apply"].isEnabled()
    follower.look_at("IN718")
    assert follower.name == "Nordhaven 316L", "changes not saved are not left behind"
    panel.buttons["save"].click()
    assert [r.held.revision for r in listing().files[0].revisions] == [2, 1]

    panel.table.setCurrentCell(4, 0)
    rows = panel.table.rowCount()
    panel.form.at_k.setText("320")
    panel.form.source.setText("weighed in hall 2")
    panel.form.add_button.click()
    assert panel.table.rowCount() == rows + 1 and panel.table.item(5, 0).text() == "density, 320 K"
    panel.buttons["drop"].click()
    assert panel.table.rowCount() == rows

    panel.buttons["apply"].click()
    assert bench.state.job.own_alloy == metal_named("Nordhaven 316L") and bench.state.job.laser.absorptivity == 0.44
    assert bench.process_panel.alloy.currentText() == "Nordhaven 316L"
    assert "calorimeter in hall 2 (measured)" in tip_of(bench.process_panel.sourced_fields["absorptivity"])
    assert "revision 2" in link.lines["process"].text() and "Nordhaven 316L" in link.lines["heat"].text()
    tip = tip_of(link.lines["sink"])
    assert "Powder conductivity by model" in tip and "Fuse limit, melt depth ±40 %" in tip
    bench.state.undo()
    assert bench.state.job == Job()

    sheet = tmp_path / "hall2.json"
    give_out(keep_new(own_setting, date(2026, 11, 26), folder=tmp_path / "elsewhere"), sheet)
    follower.take_in(sheet)
    assert setting_named("Nordhaven hall 2") == own_setting and follower.name == "Nordhaven hall 2"
    bench.process_panel.alloy.textActivated.emit("Nordhaven 316L")
    panel.buttons["apply"].click()
    assert bench.state.job.machine == own_setting and bench.state.job.alloy == "Nordhaven 316L"
    assert "setting sheet of hall 2 (read)" in tip_of(bench.process_panel.sourced_fields["power_w"])
    assert isinstance(link.lines["process"], QLabel) and "Nordhaven hall 2, revision 1" in link.lines["process"].text()
    window.close()
