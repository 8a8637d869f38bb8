"""The report after the build: verdicts in plain words, the same in page and PDF, and nothing that isn't of this job."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest

from app.cli import main
from core.export.after_build import AfterBuild, TriedGaps
from core.export.after_build_files import read_images_seen, read_scan_seen, tried_gaps
from core.export.report_after import after_verdicts
from core.export.report_content import job_report
from core.export.report_html import report_html
from core.export.report_pdf import report_pdf
from core.export.result import JobResult
from core.refusal import Refusal
from core.trial.trial_log import read_trials

Make = Callable[..., JobResult]
SAID = ("No difference is proof.",)
APART = {"mean": -0.065, "low": -0.094, "high": -0.044, "patches": [1, 1]}
SCAN: dict[str, Any] = {
    "scan": {"file": "scan", "triangles": 130638},
    "alignment": {"rms_mm": 0.0068, "used_share": 0.87, "turned_deg": 6.0},
    "elsewhere_rms_mm": 0.005,
    "patches": [
        {"patch": 1, "with_sink": True, "mean_mm": 0.019, "p95_mm": 0.032, "highest_mm": 0.048,
         "lowest_edge_mm": 0.019, "measured": 1.0},
        {"patch": 4, "with_sink": False, "mean_mm": 0.084, "p95_mm": 0.203, "highest_mm": 0.297,
         "lowest_edge_mm": 0.243, "measured": 0.99},
        {"patch": 5, "with_sink": False, "mean_mm": None, "p95_mm": None, "highest_mm": None, "lowest_edge_mm": None,
         "measured": 0.0},
    ],
    "difference_mm": APART, "warnings": list(SAID), "notes": [],
}  # fmt: skip
IMAGES: dict[str, Any] = {
    "images": 140, "images_with_part": 139, "settings": {"layer_mm": 0.5, "z_limit": 4.0},
    "place": {"pairs": 6, "rms_mm": 0.007}, "heat": {"layers": {"spearman": -0.5, "n": 33}, "faces": None},
    "patches": [
        {"patch": 1, "with_sink": True, "layers": 5, "mean_z": 0.57, "hot_share": 0.00035},
        {"patch": 4, "with_sink": False, "layers": 26, "mean_z": 4.87, "hot_share": 0.578},
    ],
    "hot_spots": 71,
    "hottest": [
        {"layer": layer, "x_mm": 44.0, "y_mm": 6.0, "z_mm": 0.5 * layer, "area_mm2": 2.0, "highest_z": z, "group": 3,
         "patch": None} for layer, z in ((111, 15.2), (112, 14.8))
    ],
    "difference": None, "warnings": [], "notes": list(SAID),
}  # fmt: skip


def written(folder: Path, name: str, values: dict[str, Any], job: str, n_faces: int = 12) -> Path:
    """A folder as 'images' and 'scan' write it."""
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.json").write_text(json.dumps(values | {"job_sha256": job}))
    key, file = ("score", "image-faces.npz") if name == "images" else ("deviation_mm", "scan-faces.npz")
    np.savez(folder / file, **{key: np.full(n_faces, 0.1)})
    return folder


def tried(folder: Path, laser: str = "285") -> TriedGaps:
    """Twelve invented cells at 0 and 30 degrees: all stuck at 0.1 mm, all free at 0.3 mm and above."""
    rows = [f"{gap},{angle},{'stuck' if gap < 0.2 else 'free'},316L,{laser},2026-11-20"
            for gap in (0.1, 0.3, 0.5) for angle in (0, 30) for _ in range(2)]  # fmt: skip
    sheet = folder / "trials.csv"
    sheet.write_text("\n".join(["gap_mm,angle_deg,result,alloy,power_w,built_on", *rows]))
    return tried_gaps(read_trials(sheet))


@pytest.fixture
def after(make_result: Make, tmp_path: Path) -> AfterBuild:
    whose = make_result().hash
    return AfterBuild(
        trials=tried(tmp_path),
        images=read_images_seen(written(tmp_path / "i", "images", IMAGES, whose), whose, 12),
        scan=read_scan_seen(written(tmp_path / "s", "scan", SCAN, whose), whose, 12),
        remark="Invented; nothing was measured.",
    )


def bare(text: str) -> str:
    return "".join(text.replace("\ufffe", "").split())


def test_page_and_pdf_say_what_was_measured(make_result: Make, after: AfterBuild) -> None:
    report = job_report(make_result(), ("report.html",), after=after)
    document = pypdfium2.PdfDocument(report_pdf(report))
    pages = [bare(page.get_textpage().get_text_range()) for page in document]
    html = bare(report_html(report))
    for words in (
        "Invented; nothing was measured.",
        "Patch 4 without a sink swelled 243 µm at its lowest edge; patch 1 with one 19 µm.",
        "Patch 4 without a sink had 58 % of its pixels hot (mean 4.9 σ); patch 1 with one under 0.1 % (mean 0.6 σ).",
        "−65 µm, 95 % interval −94 µm to −44 µm (1 with, 1 without)",
        "No difference is proof.",
        "by layers −0.50 (n 33)",
        "12 cells judged: 8 free, 4 stuck, 0 lost, 0 not judged",
        "Zones and settings",
        "The job as it was prepared",
    ):
        assert bare(words) in "".join(pages) and bare(words) in html, words
    assert bare("Patch 4 without a sink swelled") in pages[0]
    assert html.count("2free") == 4 and html.count("2stuck") == 2  # rows of the cells, two cells each
    for page in document:  # no letter within 10 mm of the edge of the sheet, which printers leave white
        image = np.asarray(page.render(scale=1).to_pil().convert("L"))
        rim = round(10 / 25.4 * 72)
        assert min(side.min() for side in (image[:rim], image[-rim:], image[:, :rim], image[:, -rim:])) > 250


def test_verdicts_follow_the_interval_and_the_settings(make_result: Make, after: AfterBuild, tmp_path: Path) -> None:
    """An interval that holds 0 tells nothing; trials of other settings say nothing about the job's gap."""
    assert after.scan is not None and after.scan.apart is not None
    result = make_result()
    told = after_verdicts(result, after)
    assert told[0].startswith("Scan: with a sink less swelling") and told[1].startswith("Layer images: Patch 4")
    assert told[2].startswith("Trials: the gap of patch 1 may fuse.")
    unsure = replace(after.scan, apart=replace(after.scan.apart, high=0.01))
    other = AfterBuild(scan=unsure, trials=tried(tmp_path, laser="200"))
    scan, trials = after_verdicts(result, other)
    assert scan.startswith("Scan: no difference") and trials.startswith("Trials: built with other settings")
    text = bare(report_html(job_report(result, (), after=other)))
    assert bare("power 200 W instead of 285 W") in text and bare("Not given: layer images.") in text
    inward = replace(after.scan, patches=tuple(replace(p, lowest_edge_mm=-0.01) for p in after.scan.patches[:1]))
    assert "Patch 1 with a sink lies 10 µm inward" in after_verdicts(result, AfterBuild(scan=inward))[0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"job_sha256": "1" * 64}, "belongs to another job"),
        ({"patches": [{"patch": "one"}]}, "isn't what 'scan' writes"),
        ({"alignment": 3}, "isn't what 'scan' writes"),
        ({"patches": [SCAN["patches"][0] | {"with_sink": "no"}]}, "isn't what 'scan' writes"),
    ],
)
def test_a_folder_that_is_not_of_this_job_is_refused(tmp_path: Path, change: dict[str, Any], words: str) -> None:
    folder = written(tmp_path / "s", "scan", SCAN, "0" * 64)
    (folder / "scan.json").write_text(json.dumps(SCAN | {"job_sha256": "0" * 64} | change))
    with pytest.raises(Refusal, match=words):
        read_scan_seen(folder, "0" * 64, 12)
    with pytest.raises(Refusal, match=r"no images\.json"):
        read_images_seen(folder, "0" * 64, 12)


def test_other_faces_are_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="has 12 faces, but the part has 13"):
        read_scan_seen(written(tmp_path / "s", "scan", SCAN, "0"), "0", 13)


def test_the_command_line_refuses_and_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    part = Path(__file__).resolve().parents[2] / "sample_parts" / "sensor-bracket.stl"
    folder = written(tmp_path / "s", "scan", SCAN, "0")
    assert main(["report", str(part), "--scan", str(folder), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "belongs to another job" in said and not (tmp_path / "out").exists()
    tried(tmp_path)
    sheet = str(tmp_path / "trials.csv")
    assert main(["report", str(part), "--trials", sheet, "--out", str(tmp_path / "out"), "--json"]) in (0, 3)
    values = json.loads(capsys.readouterr().out)
    assert values["files"] == ["report.html", "report.pdf"] and values["verdicts"][0].startswith("Trials:")
    assert (tmp_path / "out" / "report.pdf").read_bytes().startswith(b"%PDF-")
