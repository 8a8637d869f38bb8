"""Coupon and trials in the window: written, filled in, read, and used by the gap window."""

from pathlib import Path
from typing import Any

import pytest

from app.panels.coupon_panel import CouponPanel
from app.panels.trial_panel import TrialPanel


def filled(sheet: Path) -> Path:
    """The sheet as a person fills it: wider than 0.25 mm comes free."""
    head, *rows = sheet.read_text().splitlines()
    names = head.split(",")
    lines = []
    for row in rows:
        values = dict(zip(names, row.split(","), strict=True))
        if values["gap_mm"]:
            values["result"] = "free" if float(values["gap_mm"]) > 0.25 else "stuck"
        lines.append(",".join(values[name] for name in names))
    path = sheet.with_name("filled.csv")
    path.write_text("\n".join([head, *lines]))
    return path


def test_from_coupon_to_gap_window(hand: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    library = tmp_path / "library"
    monkeypatch.setattr("core.trial.trial_library.library_folder", lambda: library)
    session, background = hand.bench.session, hand.bench.background
    hand.click(hand.pixel_of_patch(2))
    assert session.window().kept is None
    coupon, trial = CouponPanel(session, background), TrialPanel(session, background)
    hand.qtbot.addWidget(coupon)
    hand.qtbot.addWidget(trial)
    said: list[tuple[str, str, str]] = []
    coupon.said.connect(lambda *words: said.append(words))
    coupon.gaps.setText("0.1, 0.2, 0.3, 0.4")
    coupon.angles.setText("30")
    coupon.write(tmp_path / "coupon")
    hand.wait(lambda: bool(said))
    assert said[0][0] == "ok" and "build.3mf" in said[0][2]
    trial.keep.setChecked(True)
    with hand.qtbot.waitSignal(trial.fitted, timeout=60_000):
        trial.read(filled(tmp_path / "coupon" / "trials.csv"))
    assert "12 cells judged, 6 free, 6 stuck" in trial.words.text()
    window = session.window()
    assert window.kept is not None and window.kept.n == 12 and "n = 12" in window.text


def test_wrong_wishes_and_sheets_are_said_in_a_sentence(hand: Any, tmp_path: Path) -> None:
    session, background = hand.bench.session, hand.bench.background
    coupon, trial = CouponPanel(session, background), TrialPanel(session, background)
    hand.qtbot.addWidget(coupon)
    hand.qtbot.addWidget(trial)
    for gaps, words in (("0.1;0.2", "is not a number"), ("", "is not a number"), ("0.3:0.1:0.1", "no A:B:STEP")):
        coupon.gaps.setText(gaps)
        with hand.qtbot.waitSignal(coupon.said) as blocked:
            coupon.ask()
        assert blocked.args[0] == "stop" and words in blocked.args[1]
    (tmp_path / "bad.csv").write_text("a,b\n1,2\n")
    with hand.qtbot.waitSignal(trial.fitted, timeout=60_000):
        trial.read(tmp_path / "bad.csv")
    assert "has no column gap_mm" in trial.words.text()


def test_the_page_opens_from_the_menu_and_says_refusals_in_the_message_bar(hand: Any) -> None:
    bench = hand.bench
    assert not bench.docks["trials"].isVisible()
    bench.commands["trials"].trigger()
    assert bench.docks["trials"].isVisible()
    panel = bench.docks["trials"].findChild(CouponPanel)
    panel.angles.setText("80")
    panel.button.click()
    assert "A coupon face of 80° is out of range" in bench.message_bar.text.text()
    bench.commands["trials"].trigger()
    assert not bench.docks["trials"].isVisible()
