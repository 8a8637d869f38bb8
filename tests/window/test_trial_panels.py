"""Coupon and trials in the window: written, filled in, read, drawn, kept, and used by the gap window."""

import csv
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QFileDialog

from app.appearance import use_look
from app.panels.coupon_panel import CouponPanel
from app.panels.trial_panel import TrialPanel

LIMIT_MM = 0.25


def fill_in(sheet: Path, built_on: str, limit_mm: float = LIMIT_MM) -> Path:
    """The sheet as a person fills it: wider than a limit comes free, one cell is lost, roughness grows with the gap."""
    with sheet.open(newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        if row["gap_mm"]:
            row["result"] = "free" if float(row["gap_mm"]) > limit_mm else "stuck"
            row["ra_um"] = f"{6 + 20 * float(row['gap_mm']):g}"
        row["built_on"] = built_on
    next(row for row in rows if row["gap_mm"] == "0.4")["result"] = "lost"
    path = sheet.with_name(f"filled-{built_on}.csv")
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    return path


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr("core.trial.trial_library.library_folder", lambda: tmp_path / "library")
    return tmp_path / "library"


@pytest.fixture
def panels(library: Path, hand: Any) -> tuple[CouponPanel, TrialPanel]:
    """Those of the dock, opened from the menu."""
    dock = hand.bench.docks["trials"]
    assert not dock.isVisible()
    hand.bench.commands["trials"].trigger()
    assert dock.isVisible()
    return dock.findChild(CouponPanel), dock.findChild(TrialPanel)


def test_from_coupon_to_gap_window_and_back(
    hand: Any, panels: tuple[CouponPanel, TrialPanel], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench, (coupon, trial) = hand.bench, panels
    session, bar, bench.session.builder.at_once = bench.session, bench.sink_panel.bar, False
    hand.click(hand.pixel_of_patch(2))
    assert session.window().kept is None and bar.accessibleDescription().count("\n") == 0
    low_bar = bar.sizeHint().height()

    asked: list[str] = []

    def choose(parent: Any, title: str, folder: str) -> str:
        asked.append(title)
        return str(tmp_path / "coupon")

    monkeypatch.setattr(QFileDialog, "getExistingDirectory", choose)
    coupon.gaps.setText("0.1, 0.2, 0.3, 0.4")
    coupon.angles.setText("30")
    assert coupon.note.text().startswith("15 cells of 316L")  # (4 gaps and one without a sink) x 1 angle x 3
    with hand.qtbot.waitSignal(coupon.said, timeout=180_000) as said:
        coupon.button.click()
    assert said.args[0] == "ok" and "build.3mf" in said.args[2] and asked == [coupon.tr(
        "Write coupon, trial sheet and plan to a folder")]  # fmt: skip

    first, second = (fill_in(tmp_path / "coupon" / "trials.csv", day) for day in ("2026-11-20", "2026-11-24"))
    with hand.qtbot.waitSignal(trial.fitted, timeout=60_000):
        trial.read(first)
    assert "11 cells judged, 5 free, 6 stuck, 1 lost" in trial.words.text()
    assert trial.plot.isVisible() and "30°" in trial.plot.accessibleDescription()
    light = trial.plot.grab().toImage()
    use_look("dark")
    assert trial.plot.grab().toImage().pixelColor(2, 2).lightness() < 80 < light.pixelColor(2, 2).lightness()
    use_look("light")
    assert session.window().kept is None  # read, but not kept

    trial.keep_button.click()
    window = session.window()
    assert window.kept.words == "from trials of 2026-11-20, n = 11" and not trial.keep_button.isVisible()
    assert bar.sizeHint().height() > low_bar
    for words in ("From trials of 2026-11-20, n = 11", "200: 0 free, 3 stuck, 0 lost", "400: 2 free, 0 stuck, 1 lost"):
        assert words in bar.accessibleDescription()

    with hand.qtbot.waitSignal(trial.fitted, timeout=60_000):
        trial.read(second)
    with hand.qtbot.waitSignal(trial.said) as said:
        trial.keep_button.click()
    assert "is now from trials of 2026-11-24" in said.args[1] and "it was from trials of 2026-11-20" in said.args[1]

    kept = trial.kept
    rows = [kept.list.topLevelItem(n) for n in range(kept.list.topLevelItemCount())]
    assert [row.text(0).strip() for row in rows] == ["none: the model's estimate", "✓ 2026-11-24", "2026-11-20"]
    with hand.qtbot.waitSignal(trial.fitted, timeout=60_000):
        kept.list.setCurrentItem(rows[2])  # looked at, drawn again, and then used
    assert trial.shown.study.log.name == first.name
    kept.use_button.click()
    assert session.window().kept.built_on == "2026-11-20"
    kept.remove_button.click()
    assert session.window().kept.built_on == "2026-11-24" and kept.list.topLevelItemCount() == 2
    kept.back_button.click()
    assert session.window().kept.built_on == "2026-11-20" and not kept.back_button.isVisible()
    kept.list.setCurrentItem(kept.list.topLevelItem(0))
    kept.use_button.click()
    assert session.window().kept is None and bar.sizeHint().height() == low_bar

    with hand.qtbot.waitSignal(trial.said, timeout=60_000) as said:
        trial.write(tmp_path / "plots")
    assert said.args[0] == "ok" and {"fit.png", "fit.svg", "fit-cells.csv"} <= {
        file.name for file in (tmp_path / "plots").iterdir()
    }


def test_wrong_wishes_and_sheets_are_said_in_a_sentence(
    hand: Any, panels: tuple[CouponPanel, TrialPanel], tmp_path: Path
) -> None:
    coupon, trial = panels
    for gaps, words in (
        ("0.1;0.2", "Gaps, mm: '0.1;0.2' is not a number"),
        ("", "Gaps, mm: none are given"),
        ("0.3:0.1:0.1", "no A:B:STEP"),
    ):
        coupon.gaps.setText(gaps)
        assert words in coupon.note.text()
        with hand.qtbot.waitSignal(coupon.said) as blocked:
            coupon.button.click()
        assert blocked.args[0] == "stop" and words in blocked.args[1]
    coupon.gaps.setText("0.2")
    coupon.angles.setText("80")
    coupon.button.click()
    assert "A coupon face of 80° is out of range" in hand.bench.message_bar.text.text()
    (tmp_path / "bad.csv").write_text("gap_mm,angle_deg,result\n0.2,30,free\n" + "0.2,30,maybe\n" * 5)
    with hand.qtbot.waitSignal(trial.fitted, timeout=60_000), hand.qtbot.waitSignal(trial.said) as said:
        trial.read(tmp_path / "bad.csv")
    assert "row 3: result 'maybe'" in trial.words.text() and "also rows 6, 7" in trial.words.text()
    assert said.args[0] == "stop" and said.args[2].count("row ") == 5
