"""The powder gap as colours on the part: measured in the background, right, and never shown when out of date."""

import threading
import time
from pathlib import Path
from typing import Any

import fcl
import numpy as np
import pytest

import core.gap.face_gaps as face_gaps
from app.view.colour_scales import GAPS, rgb_along
from tests.fcl_object import fcl_object

SHROUD, FAIRING, BRACKET = (
    Path(__file__).resolve().parents[2] / "sample_parts" / f"{name}.stl"
    for name in ("impeller-shroud", "sensor-fairing", "sensor-bracket")
)


@pytest.fixture
def gapped(hand: Any) -> Any:
    """The bracket with a sink under its flat ceiling, coloured by its gap."""
    hand.click(hand.pixel_of_patch(2))
    hand.wait_for_sinks()
    hand.bench.commands["colour_gap"].trigger()
    hand.wait(lambda: "no sink" in hand.bench.view.scale.grey)
    return hand


def values_drawn(bench: Any) -> Any:
    """(n,) values of the low-angle faces as the view has them."""
    from vtkmodules.util.numpy_support import vtk_to_numpy

    return vtk_to_numpy(bench.view.scene.low.mesh.GetCellData().GetScalars())


def test_the_least_value_drawn_is_the_clearance_that_fcl_measures(gapped: Any) -> None:
    bench = gapped.bench
    (sink,) = bench.session.result.sinks
    part = bench.session.part
    patch = next(patch for patch in bench.session.patches if patch.id == 2)
    models = (
        fcl_object(part.vertices_mm, part.triangles[patch.faces]),
        fcl_object(sink.vertices_mm, sink.triangles),
    )
    clearance_um = 1e3 * fcl.distance(*models, fcl.DistanceRequest(), fcl.DistanceResult())
    assert np.nanmin(values_drawn(bench)) == pytest.approx(clearance_um, abs=1e-3)


def test_scale_and_picture_tell_the_gap_and_a_patch_without_a_sink_is_grey(gapped: Any) -> None:
    """Gap 300 µm, layer 40 µm: from two layers less to four more."""
    bench = gapped.bench
    scale = bench.view.scale
    assert scale.title == "Powder gap, least of each face, µm" and scale.ends == pytest.approx((220.0, 460.0))
    assert list(scale.marks.values()) == ["220", "300", "380", "≥ 460"]
    assert scale.grey == "no sink within 900 µm"
    assert bench.view.colour_choice.isVisible() and bench.view.colour_choice.currentData() == "gap"
    low_faces = bench.session.placed.low_faces
    owner = bench.session.placed.patch_of_face[low_faces]
    drawn = values_drawn(bench)
    assert np.isnan(drawn[owner == 1]).all() and np.isfinite(drawn[owner == 2]).all()
    bench.view.set_sinks_visible(False)
    at = gapped.pixel_of_patch_from(2, "bottom")
    seen = bench.view.picture().toImage().pixelColor(at)
    wanted = rgb_along(GAPS, (np.nanmin(drawn)[None] - 220.0) / 240.0)[0]
    shade = np.array([seen.redF(), seen.greenF(), seen.blueF()])
    assert np.abs(shade / np.linalg.norm(shade) - wanted / np.linalg.norm(wanted)).max() < 0.05


def test_the_colours_go_grey_at_an_edit_and_come_back_with_undo(gapped: Any) -> None:
    bench = gapped.bench
    bench.session.builder.at_once = False
    bench.view.set_sinks_visible(False)
    bench.view.hovered.emit(gapped.point(*gapped.pixel_of_patch(2).toTuple()))
    gapped.wait(lambda: "powder gap 30" in bench.read_out.text())
    bench.sink_panel.spin.setValue(420)
    assert bench.view.scale.grey == "out of date" and np.isnan(values_drawn(bench)).all()
    bench.view.face_hovered.emit(int(bench.session.patches[0].faces[0]))
    assert "powder gap" not in bench.read_out.text()
    gapped.wait(lambda: not bench.view._hover_timer.isActive())
    assert "powder gap" not in bench.read_out.text(), "asked anew by itself"
    bench.commands["undo"].trigger()
    assert bench.view.scale.grey == "no sink within 900 µm" and np.isfinite(values_drawn(bench)).any()
    gapped.wait(lambda: "powder gap 30" in bench.read_out.text())


def test_a_new_build_is_measured_anew(gapped: Any) -> None:
    bench = gapped.bench
    bench.sink_panel.spin.setValue(420)
    gapped.wait(lambda: bench.view.scale.grey == "no sink within 1260 µm")
    assert 420.0 <= np.nanmin(values_drawn(bench)) < 427.0
    bench.commands["clear_picks"].trigger()
    assert bench.view.scale.title == "Downskin angle" and not bench.view.colour_choice.isVisible()
    assert not bench.commands["colour_gap"].isEnabled()


def test_gaps_are_measured_beside_the_window_and_brought_onto_a_large_part_in_a_moment(hand: Any) -> None:
    """194,000 faces, 38,000 of them low-angle: measured in the worker; drawing them takes the window < 100 ms."""
    bench, threads = hand.bench, []
    hand.open(SHROUD)
    measure = face_gaps.gap_per_face_mm

    def listened(*args: Any) -> Any:
        threads.append(threading.current_thread().name)
        return measure(*args)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(face_gaps, "gap_per_face_mm", listened)
        bench.colours.choose("gap")
        hand.click(hand.pixel_of_patch_from(1, "bottom"))
        hand.wait_for_sinks()
        hand.wait(lambda: "no sink" in bench.view.scale.grey)
    assert len(threads) == 1 and threads[0].startswith("underfin-work")
    colouring = next(one for one in bench.colours.colourings if one.key == "gap")
    took = []
    for _ in range(3):
        start = time.process_time()
        colouring.show(bench.view)
        took.append(time.process_time() - start)
    assert min(took) < 0.1


def test_a_smaller_part_is_opened_over_a_larger_one_with_sinks(hand: Any) -> None:
    """The colours of the old part's low-angle faces must not be looked for in the new one, which has fewer faces."""
    hand.open(FAIRING)
    hand.bench.session.picker.pick_all()
    hand.wait_for_sinks()
    n_faces = hand.bench.session.part.n_faces
    hand.bench.state.mark_saved(FAIRING)
    with hand.qtbot.capture_exceptions() as faults:
        hand.open(BRACKET)
    assert faults == [] and hand.bench.session.part.n_faces < n_faces
    assert len(values_drawn(hand.bench)) == len(hand.bench.session.placed.low_faces)
