"""The page of the scan in the window: from a mesh to table, colours and a folder, and out of date by an edit."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from app.panels.scan_panel import ScanPanel
from app.view.colour_scales import DEVIATIONS
from core.export.write_stl import write_stl
from core.part.part import Part

SWELLING_UM = 200.0
TURN_DEG = 5.0


def write_scan(part: Part, faces: np.ndarray, path: Path) -> Path:
    """An invented scan: some faces moved out along their normal, all of it turned."""
    vertices = part.vertices_mm.copy()
    normal = np.average(part.normals[faces], axis=0, weights=part.areas_mm2[faces])
    vertices[np.unique(part.triangles[faces])] += SWELLING_UM / 1e3 * normal / np.linalg.norm(normal)
    seen = Rotation.from_rotvec(np.radians([0, TURN_DEG, 0])).apply(vertices) + [3.0, -2.0, 8.0]
    return write_stl(path, seen.astype(np.float32), part.triangles)


def test_a_scan_from_the_mesh_to_the_folder(hand: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Patch 1, at 30°, swelled by 200 µm along its normal; patch 2 has the sink and is as drawn."""
    bench = hand.bench
    bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    patch = {p.id: p for p in bench.session.patches}
    scan = write_scan(bench.session.part, patch[1].faces, tmp_path / "scan.stl")
    bench.commands["after"].trigger()
    panel = bench.docks["after"].findChild(ScanPanel)
    results = panel.results
    assert not results.isVisible() and not bench.commands["colour_scan"].isEnabled()

    (tmp_path / "text.stl").write_text("no mesh")
    for path in ("", str(tmp_path / "text.stl")):  # nothing given, and no mesh
        panel.mesh.line.setText(path)
        with hand.qtbot.waitSignal(panel.said, timeout=60_000) as said:
            panel.run_button.click()
        assert said.args[0] == "stop" and "\n" not in said.args[1] and ("text.stl" in said.args[1]) == bool(path)
    hand.wait(lambda: "text.stl" in panel.wrong.text())
    assert bench.message_bar.text.text() == panel.wrong.text()

    panel.mesh.line.setText(str(scan))
    panel.run_button.click()
    assert panel.stop_button.isEnabled() and not panel.run_button.isEnabled()
    hand.wait(lambda: bench.scan.is_current and not bench.scan.running)
    assert not panel.wrong.isVisible() and f"turned by {TURN_DEG:.2f}°" in results.place.text()
    rows = [results.patches.topLevelItem(k) for k in range(results.patches.topLevelItemCount())]
    table = {row.text(0): [row.text(k) for k in range(1, 6)] for row in rows}
    assert [table["2"][0], table["1"][0]] == ["yes", "no"]
    mean, edge = (float(table["1"][k]) for k in (1, 4))
    assert mean == pytest.approx(SWELLING_UM, abs=15) and edge == pytest.approx(SWELLING_UM, abs=30)
    assert abs(float(table["2"][1].replace("−", "-"))) < 10
    assert "further in than others" in results.difference.text()

    results.patches.setCurrentItem(next(row for row in rows if row.text(0) == "1"))
    normal = bench.session.part.normals[patch[1].faces[0]]
    assert normal @ bench.view.moves.axes()[2] > 0.25  # its underside is turned to the eye
    middle = bench.view.moves.project(bench.session.part.corners_mm[patch[1].faces].mean(axis=(0, 1)))[0]
    assert np.abs(middle - [bench.view.width() / 2, bench.view.height() / 2]).max() < 3

    results.colours_button.click()
    scale = bench.view.scale
    assert scale.ends == (-SWELLING_UM, SWELLING_UM) and scale.grey == "hole in the scan"
    assert list(scale.marks.values()) == ["−200", "−100", "0", "+100", "+200"]
    bench.view.face_hovered.emit(int(patch[1].faces[0]))
    assert "scan deviation +" in bench.read_out.text()

    monkeypatch.setattr("app.messages.ask_export_folder", lambda *_: tmp_path / "out")
    with hand.qtbot.waitSignal(bench.scan.exported, timeout=60_000):
        results.export_button.click()
    written = {p["patch"]: p["mean_mm"] for p in json.loads((tmp_path / "out" / "scan.json").read_text())["patches"]}
    assert 1e3 * written[1] == pytest.approx(mean, abs=0.6)

    bench.commands["clear_picks"].trigger()
    assert "Out of date" in results.out_of_date.text() and not results.page.isEnabled()
    bench.view.face_hovered.emit(int(patch[1].faces[0]))
    assert scale.grey == "out of date" and "scan deviation" not in bench.read_out.text()
    bench.commands["undo"].trigger()
    assert results.page.isEnabled() and not results.out_of_date.isVisible() and scale.grey == "hole in the scan"


def test_the_colours_are_neutral_at_nothing_and_alike_to_both_sides() -> None:
    """Lightness L* by CIE 15 from linear sRGB (IEC 61966-2-1): most at 0, falling to both ends by the same."""
    rgb = np.array(DEVIATIONS)
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    y = linear @ [0.2126, 0.7152, 0.0722]
    light = np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, 24389 / 27 * y)
    middle = len(rgb) // 2
    assert np.ptp(rgb[middle]) < 0.06
    assert (np.diff(light[: middle + 1]) > 0).all() and (np.diff(light[middle:]) < 0).all()
    assert abs(light[0] - light[-1]) < 5
