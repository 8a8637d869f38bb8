"""Clicks in the view and rows of the tree pick the same faces."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt

from core.job import faces_of

SHIFT, CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


def _picked_ids(hand: Any) -> list[int]:
    return sorted(patch.id for patch in hand.bench.session.picked)


def _selected_rows(hand: Any) -> list[str]:
    return sorted(row.text(0) for row in hand.bench.tree.selectedItems())


def test_a_click_replaces_shift_adds_ctrl_removes_and_escape_clears(hand: Any) -> None:
    bench = hand.bench
    bench.session.builder.at_once = False
    flat = hand.pixel_of_patch_from(2, "below")
    hand.click(flat)
    assert _picked_ids(hand) == [2]
    slanted = hand.pixel_of_patch_from(1, "back")
    hand.click(slanted, SHIFT)
    assert _picked_ids(hand) == [1, 2] and len(bench.state.job.picks) == 2
    hand.click(slanted, CTRL)
    assert _picked_ids(hand) == [2]
    hand.click(slanted)
    assert _picked_ids(hand) == [1]
    bench.view.setFocus()
    hand.qtbot.keyClick(bench.view, Qt.Key.Key_Escape)
    assert bench.state.job.picks == ()


def test_a_click_takes_the_whole_flat_ceiling_and_nothing_else(hand: Any) -> None:
    hand.bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    part = hand.bench.session.part
    assert part is not None
    faces = faces_of(hand.bench.state.job.picks[0])
    # By hand: the ceiling is what has normal (0, 0, -1) at z = 40 mm.
    flat = np.flatnonzero((part.normals[:, 2] < -0.999999) & np.isclose(part.corners_mm[:, :, 2], 40.0).all(axis=1))
    assert np.array_equal(faces, flat)


def test_view_and_tree_stay_in_step(hand: Any) -> None:
    bench = hand.bench
    bench.session.builder.at_once = False
    hand.click(hand.pixel_of_patch(2))
    assert _selected_rows(hand) == ["Patch 2"]
    row = next(bench.tree.patch_row.child(i) for i in range(2) if bench.tree.patch_row.child(i).text(0) == "Patch 1")
    at = bench.tree.visualItemRect(row).center()
    hand.qtbot.mouseClick(bench.tree.viewport(), Qt.MouseButton.LeftButton, CTRL, at)
    assert _picked_ids(hand) == [1, 2]
    hand.qtbot.mouseClick(bench.tree.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
    assert _picked_ids(hand) == [1] and _selected_rows(hand) == ["Patch 1"]
    assert bench.view.scene.picked.mesh.GetNumberOfLines() > 0
    bench.state.undo()
    assert _selected_rows(hand) == ["Patch 1", "Patch 2"]


def test_a_picked_patch_has_the_number_that_the_whole_chain_gives_it(hand: Any, tmp_path: Path) -> None:
    """A found patch keeps its number; picked faces that are no found patch get the next free one, everywhere."""
    from core.job import pick_of
    from core.job_picks import picked_patches
    from core.part.downskin import find_patches
    from core.run_job import load_placed_part, run_job

    bench = hand.bench
    bench.session.builder.at_once = False
    ceiling = next(patch for patch in bench.session.patches if patch.id == 2)
    half = pick_of(ceiling.faces[:1])  # one of the two triangles of the flat ceiling
    bench.session.picker.set_picks((half,), "Pick face")
    hand.click(hand.pixel_of_patch_from(1, "back"), SHIFT)
    job = bench.state.job
    part = load_placed_part(job)
    chain = picked_patches(job, part, find_patches(part, job.max_angle_deg, job.laser.layer_mm))
    assert [patch.id for patch in bench.session.picked] == [patch.id for patch in chain] == [3, 1]
    assert [patch.id for patch in run_job(job, part=part).picked] == [3, 1]
    rows = [bench.tree.patch_row.child(i).text(0) for i in range(bench.tree.patch_row.childCount())]
    assert rows == ["Patch 2", "Patch 1", "Patch 3, picked"]
    assert [bench.sink_panel.which.itemText(i).split(",")[0] for i in range(2)] == ["Under patch 3", "Under patch 1"]
    bench.session.picker.clear()
    assert bench.tree.patch_row.childCount() == 2


def test_the_worst_patch_is_at_the_top_of_the_tree(hand: Any) -> None:
    rows = [hand.bench.tree.patch_row.child(i) for i in range(hand.bench.tree.patch_row.childCount())]
    assert [row.text(0) for row in rows] == ["Patch 2", "Patch 1"]
    assert [rows[0].text(i) for i in range(1, 5)] == ["400.0", "0.0", "40.0", "∞"]
    # Overhang step of patch 1: layer 0.04 mm / tan 30 degrees = 0.069 mm.
    assert rows[1].text(4) == "0.07"


def test_hover_reads_out_angle_area_and_height(hand: Any) -> None:
    bench = hand.bench
    at = hand.pixel_of_patch(2)
    hand.qtbot.mouseMove(bench.view, at)
    hand.wait(lambda: bench.read_out.text() != "")
    assert bench.read_out.text() == "downskin angle 0.0° · patch 2, area 400.0 mm² · height 40.00 mm"


def test_a_steep_face_is_not_picked_and_the_reason_is_said(hand: Any) -> None:
    bench, part = hand.bench, hand.bench.session.part
    assert part is not None
    wall = int(np.flatnonzero(np.abs(part.normals[:, 2]) < 1e-9)[0])
    bench.session.picker.pick_face(wall, "only")
    assert bench.state.job.picks == ()
    assert "needs no sink" in bench.message_bar.text.text()


def test_a_drag_turns_the_view_and_picks_nothing(hand: Any) -> None:
    bench = hand.bench
    at = hand.pixel_of_patch(2)
    before = bench.view.moves.axes().copy()
    hand.qtbot.mousePress(bench.view, Qt.MouseButton.LeftButton, pos=at)
    for step in range(1, 6):
        hand.qtbot.mouseMove(bench.view, at.__class__(at.x() + 8 * step, at.y()))
    hand.qtbot.mouseRelease(bench.view, Qt.MouseButton.LeftButton, pos=at)
    assert not np.allclose(before, bench.view.moves.axes())
    assert bench.state.job.picks == ()


def _nearest_by_hand(corners_mm: np.ndarray, start: np.ndarray, way: np.ndarray) -> float:
    """Share of the way at which a ray first meets a triangle, infinite for none: Möller and Trumbore (1997)."""
    a, ab, ac = corners_mm[:, 0], corners_mm[:, 1] - corners_mm[:, 0], corners_mm[:, 2] - corners_mm[:, 0]
    across = np.cross(way, ac)
    size = np.einsum("ij,ij->i", ab, across)
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.einsum("ij,ij->i", start - a, across) / size
        turned = np.cross(start - a, ab)
        v = turned @ way / size
        share = np.einsum("ij,ij->i", ac, turned) / size
    met = (u >= 0) & (v >= 0) & (u + v <= 1) & (share > 0)
    return float(share[met].min()) if met.any() else np.inf


def test_the_picker_hits_the_triangle_that_every_triangle_in_turn_gives(hand: Any) -> None:
    view, part = hand.bench.view, hand.bench.session.part
    random = np.random.default_rng(4)
    hits = 0
    for x, y in random.uniform(0.2, 0.8, (400, 2)) * [view.width(), view.height()]:
        start, end = view.moves.ray(x, y)
        share = _nearest_by_hand(part.corners_mm, start, end - start)
        mine, owner = view.face_at(QPointF(x, y))
        assert (mine is None) == np.isinf(share)
        if mine is not None:
            assert owner == -1
            assert np.allclose(mine.at_mm, start + share * (end - start), atol=1e-4)
            hits += 1
    assert hits > 100


def test_a_ray_through_a_shared_edge_never_slips_through(hand: Any) -> None:
    view, part = hand.bench.view, hand.bench.session.part
    random = np.random.default_rng(5)
    for face in random.choice(part.n_faces, 500, replace=False):
        middle = part.corners_mm[face, :2].mean(axis=0)
        x, y = view.moves.project(middle)[0]
        start, end = view.moves.ray(x, y)
        hit, _ = view.face_at(QPointF(x, y))
        there = float((middle - start) @ (end - start) / ((end - start) @ (end - start)))
        assert hit is not None and hit.share <= there + 1e-6


def test_projection_agrees_with_the_one_of_vtk(hand: Any) -> None:
    from vtkmodules.vtkRenderingCore import vtkCoordinate

    view, part = hand.bench.view, hand.bench.session.part
    for point in part.vertices_mm[::500]:
        coordinate = vtkCoordinate()
        coordinate.SetCoordinateSystemToWorld()
        coordinate.SetValue(*point)
        right, up = coordinate.GetComputedDoubleDisplayValue(view.renderer)
        scale = view.devicePixelRatioF()
        assert view.moves.project(point)[0] == pytest.approx([right / scale, view.height() - up / scale], abs=1.0)
