"""The handbook holds: links lead somewhere, quoted numbers are today's, the script runs, the window shows it all."""

import math
import re
import runpy
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from app.panels.handbook_panel import FOLDER, PAGES, HandbookPanel

ROOT = Path(__file__).resolve().parents[2]
BRACKET = ROOT / "sample_parts" / "sensor-bracket.stl"
Run = Callable[..., tuple[int, str, str]]
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.S | re.M)


def text_of(name: str) -> str:
    return (FOLDER / f"{name}.md").read_text(encoding="utf-8")


def blocks(name: str, language: str) -> list[str]:
    return [body for kind, body in FENCE.findall(text_of(name)) if kind == language]


def alike(quoted: str, printed: str) -> bool:
    """The same words in the same places; numbers within 2 %, or one in their last place."""
    ours, theirs = quoted.split(), printed.split()
    return len(ours) == len(theirs) and all(map(_word_alike, ours, theirs))


def _word_alike(ours: str, theirs: str) -> bool:
    number = re.compile(r"-?\d+(?:\.\d+)?")
    if number.sub("#", ours) != number.sub("#", theirs):
        return False
    return all(
        math.isclose(float(a), float(b), rel_tol=0.02, abs_tol=1.01 * 10.0 ** -len(a.partition(".")[2]))
        for a, b in zip(number.findall(ours), number.findall(theirs), strict=True)
    )


def test_every_page_is_listed_and_every_link_and_picture_is_there() -> None:
    assert {path.stem for path in FOLDER.glob("*.md")} == set(PAGES)
    n_links = 0
    for path in (*FOLDER.glob("*.md"), ROOT / "README.md"):
        plain = FENCE.sub("", path.read_text(encoding="utf-8"))
        for target in re.findall(r"\]\(([^)]+)\)", plain):
            assert "://" not in target, f"{path.name} links to a network: {target}"
            assert (path.parent / target).is_file(), f"{path.name} links to {target}, which isn't there"
            n_links += 1
    assert n_links > 25
    assert set(re.findall(r"\((\w+)\.md\)", text_of("handbook"))) == set(PAGES) - {"handbook"}


def test_names_of_code_in_the_handbook_exist() -> None:
    """Every `file.py` and every `name` behind it on the page of formulas stands in the source."""
    sources = [path for path in (ROOT / "core").rglob("*.*") if path.suffix in (".py", ".csv")]
    core = {path.name: path.read_text(encoding="utf-8") for path in sources}
    page = text_of("formulas")
    files = re.findall(r"`(?:core/\w+/)?(\w+\.(?:py|csv))`", page)
    assert len(files) > 12 and set(files) <= set(core)
    everything = "\n".join(core.values())
    names = {name for name in re.findall(r"`([a-zA-Z_]\w+)`", page) if "_" in name}
    assert len(names) > 12
    unknown = {name for name in names if not re.search(rf"(def|class) {name}\b", everything)}
    assert unknown == {"R_sink"}, "named on the page, but not in core"


def run_quoted(run: Run, words: tuple[str, ...]) -> int:
    """Run the example's commands that have one of these words; every quoted line must be among the printed ones."""
    n_lines = 0
    printed_by: dict[str, str] = {}
    for block in blocks("example", "console"):
        command, *quoted = block.rstrip("\n").splitlines()
        if not any(f"underfin-cli {word} " in command for word in words):
            continue
        if command not in printed_by:
            code, printed_by[command], err = run(*command.removeprefix("$ underfin-cli ").split())
            assert code == 0, err
        for line in quoted:
            found = any(alike(line, printed) for printed in printed_by[command].splitlines())
            assert found, f"{command} no longer prints: {line}\n{printed_by[command]}"
            n_lines += 1
    return n_lines


@pytest.fixture
def workshop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder with the bracket, and a user who has kept no trials."""
    shutil.copy(BRACKET, tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("core.trial.trial_library.library_folder", lambda: tmp_path / "library")
    return tmp_path


def test_the_worked_example_prints_what_the_handbook_quotes(run: Run, workshop: Path) -> None:
    assert run_quoted(run, ("faces", "build", "window")) == 14


def test_the_invented_trials_give_what_the_handbook_quotes(run: Run, workshop: Path) -> None:
    (workshop / "demo-build").mkdir()
    inventing = runpy.run_path(str(ROOT / "sample_parts" / "make_demo_build.py"))
    inventing["_trials"](workshop / "demo-build" / "trials.csv")
    assert run_quoted(run, ("fit",)) == 2


@pytest.mark.slow
def test_the_heat_and_the_coupon_of_the_worked_example_are_what_the_handbook_quotes(run: Run, workshop: Path) -> None:
    assert run("build", "sensor-bracket.stl", "--all", "--out", "out")[0] == 0
    assert run_quoted(run, ("heat", "coupon")) == 3


def test_the_fuse_limit_by_hand_is_the_one_that_core_gives() -> None:
    """The table of the worked example, step by step; heat and melting of 316L from core's own table of properties."""
    from core.heat.laser_settings import LaserSettings
    from core.heat.materials import alloy
    from core.heat.melt_depth import powder_melt_depth_band_m

    metal, laser = alloy("316L"), LaserSettings()
    per_kg = metal.enthalpy_to_liquid_j_kg(353.15)
    depth_m = 0.4 * 285 / (0.96 * 0.11e-3) / (7957 * 0.55 * per_kg)
    assert depth_m == pytest.approx(powder_melt_depth_band_m(laser, metal, 0.45).nominal, rel=1e-3)
    limit_um = max(4 * 40, depth_m * 1e6 - 40) + 40
    rows = dict(re.findall(r"^\| (.+?) \| (.+?) \|$", text_of("example"), re.M))
    assert rows["to heat and melt 316L from 80 °C"] == f"{per_kg / 1e6:.2f} MJ/kg"
    assert rows["plus a layer for slicing"] == f"{limit_um:.0f} µm upright"
    assert rows["normal to the face, × cos 30°"] == f"{limit_um * math.cos(math.radians(30)):.0f} µm"


def test_the_script_of_the_handbook_runs(workshop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (script,) = blocks("scripting", "python")
    assert len(script.splitlines()) < 30
    assert not re.search(r"\bapp\b|underfin-cli", script)
    Path("whole_job.py").write_text(script, encoding="utf-8")
    runpy.run_path("whole_job.py")
    said = capsys.readouterr().out
    assert "Patch 1: comes free." in said and "Patch 2: not recommended." in said
    assert "note: " in said and "stop: " not in said
    heat = re.findall(r"Patch \d: (\d+) °C with its sink, (\d+) °C without", said)
    assert len(heat) == 2 and all(int(cool) < int(hot) for cool, hot in heat)
    wanted = {"sinks.stl", "sink-01.stl", "sink-02.stl", "build.3mf", "report.html", "report.pdf", "job.underfin",
              "result.json"}  # fmt: skip
    assert {path.name for path in Path("out").iterdir()} == wanted


@pytest.fixture
def panel(qtbot: "object") -> Iterator[HandbookPanel]:
    made = HandbookPanel()
    qtbot.addWidget(made)  # type: ignore[attr-defined]
    made.resize(480, 500)
    made.show()
    qtbot.waitExposed(made)  # type: ignore[attr-defined]
    yield made


def test_the_handbook_is_read_found_in_and_gone_back_in(panel: HandbookPanel) -> None:
    """All pages keep every heading, link and picture of their files; no picture is wider than the page."""
    from PySide6.QtCore import QUrl

    assert panel.page.page_name() == "handbook" and panel.pages.currentIndex() == 0
    for name in PAGES:
        panel.page.open_page(name)
        assert panel.pages.currentData() == name
        document = panel.page.document()
        shown, formats = [], []
        block = document.begin()
        while block.isValid():
            seen = document.documentLayout().blockBoundingRect(block).height() > 5
            assert seen or not block.text(), f"{name}: not drawn: {block.text()}"
            if block.blockFormat().headingLevel():
                shown.append(block.text())
            pieces = block.begin()
            while not pieces.atEnd():
                formats.append(pieces.fragment().charFormat())
                pieces += 1
            block = block.next()
        assert shown == re.findall(r"^#+ (.+)$", FENCE.sub("", text_of(name)), re.M)
        pictures = [form.toImageFormat() for form in formats if form.isImageFormat()]
        assert len(pictures) == text_of(name).count("](pictures/")
        assert all(100 < form.width() <= panel.page.viewport().width() for form in pictures)
    panel.page.open_page("handbook")
    panel.page.setSource(QUrl("limits.md"))  # as a click on the link does
    assert panel.pages.currentData() == "limits" and panel.back.isEnabled()
    panel.back.click()
    assert panel.pages.currentData() == "handbook"
    panel.page.setSource(QUrl("https://example.org/"))
    assert panel.page.page_name() == "handbook"
    panel.words.setText("Venzon")
    assert panel.find_next() and panel.pages.currentData() == "formulas"
    assert panel.page.textCursor().selectedText() == "Venzon"
    panel.words.setText("no such words anywhere")
    assert not panel.find_next() and panel.words.font().strikeOut()
