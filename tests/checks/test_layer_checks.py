"""Powder layers that stay after slicing, and layers that start on powder, counted by hand."""

import manifold3d as m3d
import numpy as np
import pytest
import shapely
import trimesh

from core.checks.built_gap import GapColumns, built_gap, built_gaps, cuts_below, gap_columns, powder_layers, top_of
from core.checks.layer_checks import (
    check_built_gap,
    check_patch_start,
    check_sink_layers,
    islands_of_patch,
    judge_built_gap,
    patch_layer_table,
    whole_layer_gap_mm,
)
from core.part.downskin import find_patches
from core.part.layers import Layers, slice_layers
from core.part.part import Part
from core.part.patch import Patch
from core.part.triangle_tree import TriangleTree
from core.sink.build_sink import build_sink
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice

Triple = tuple[float, float, float]


def box(low: Triple, high: Triple) -> trimesh.Trimesh:
    """A box between two corners."""
    return trimesh.creation.box(bounds=[low, high])


def part_of(mesh: trimesh.Trimesh) -> Part:
    """A trimesh body as a placed part."""
    return Part(
        name="p", file_format="stl", units="mm",
        vertices_mm=np.asarray(mesh.vertices, dtype=np.float64), triangles=np.asarray(mesh.faces, dtype=np.int32),
    )  # fmt: skip


def sink_of(mesh: trimesh.Trimesh, patch: int = 1) -> Sink:
    """A trimesh body as a sink under a patch; what isn't looked at here is left at plain values."""
    return Sink(
        name="sink-01", patches=(patch,), kind="block",
        vertices_mm=np.asarray(mesh.vertices, dtype=np.float64), triangles=np.asarray(mesh.faces, dtype=np.int32),
        gap_mm=0.3, min_clearance_mm=0.3, nearest_mm=(0.0, 0.0, 0.0), gap_error_p99_um=0.0, gap_error_max_um=0.0,
        rim_gap_max_mm=0.3, covered_area_mm2=1.0, patch_area_mm2=1.0, volume_mm3=1.0, watertight=True, on_plate=True,
        pieces=1,
    )  # fmt: skip


def shelf(height_mm: float) -> Part:
    """A shelf of 12 x 10 mm whose underside is at a height, on a foot beside it."""
    foot = box((0.0, 0.0, 0.0), (4.0, 10.0, height_mm + 3.0))
    return part_of(trimesh.boolean.union([foot, box((3.0, 0.0, height_mm), (16.0, 10.0, height_mm + 3.0))]))


def leaning(angle_deg: float, height_mm: float = 6.0) -> Part:
    """A block whose front leans out over the plate from 4 mm up."""
    reach = height_mm / np.tan(np.radians(angle_deg))
    profile = [(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (6.0 + reach, 4.0 + height_mm), (0.0, 4.0 + height_mm)]
    points = [(x, y, z) for y in (0.0, 12.0) for x, z in profile]
    foot = trimesh.convex.convex_hull(np.array([p for p in points if p[0] <= 6.0]))
    top = trimesh.convex.convex_hull(np.array([p for p in points if p[2] >= 4.0]))
    return part_of(trimesh.boolean.union([foot, top]))


def only_patch(part: Part) -> Patch:
    """The one patch of a part."""
    (patch,) = find_patches(part, 45.0, 0.04)
    return patch


def columns_of(top_mm: list[float], part_mm: list[float]) -> GapColumns:
    """Columns one beside the other."""
    plan = np.column_stack([np.arange(len(top_mm), dtype=float), np.zeros(len(top_mm))])
    return GapColumns(patch=1, plan_mm=plan, sink_top_mm=np.array(top_mm), part_mm=np.array(part_mm))


def test_cuts_are_counted_at_mid_layer_heights() -> None:
    assert cuts_below(np.array([0.0, 0.019, 0.021, 0.059, 0.061, 10.0]), 0.04).tolist() == [0, 0, 1, 1, 2, 250]


def test_a_gap_of_0_30_in_layers_of_0_04_keeps_7_or_8_layers() -> None:
    """7.5 layers; by hand: part at 10.00 begins with cut 10.02, sink to 9.70 ends with cut 9.70 or 9.66."""
    part = np.linspace(10.0, 10.04, 400, endpoint=False) + 3e-4
    layers = powder_layers(columns_of((part - 0.30).tolist(), part.tolist()), 0.04)
    assert set(layers.tolist()) == {7, 8}
    assert layers.mean() == pytest.approx(7.5, abs=0.02)
    # cuts lie at 9.66, 9.70, 9.74 ... 9.98, 10.02: between 9.69 and 9.99 are 9.70 to 9.98, 8 of them
    assert powder_layers(columns_of([9.69], [9.99]), 0.04).tolist() == [8]
    # and between 9.71 and 10.01 are 9.74 to 9.98, 7 of them
    assert powder_layers(columns_of([9.71], [10.01]), 0.04).tolist() == [7]


def test_a_gap_of_whole_layers_keeps_that_many_wherever_it_lies() -> None:
    part = np.linspace(10.0, 10.08, 211) + 1e-3
    for layers, gap in ((8, 0.32), (4, 0.16)):
        top = part - gap - 3e-4  # built sinks stay a little more than the gap away
        assert powder_layers(columns_of(top.tolist(), part.tolist()), 0.04).min() >= layers


def test_a_surface_on_a_cut_is_taken_the_worse_way() -> None:
    assert powder_layers(columns_of([9.70], [10.02]), 0.04).tolist() == [7]  # 9.74 to 9.98; 9.70 and 10.02 are ties


def test_the_count_is_the_one_that_cutting_both_bodies_gives() -> None:
    """Outside count: manifold3d's Manifold.slice of part and sink at every mid-layer height."""
    part = shelf(8.013)
    solid = m3d.Manifold(m3d.Mesh64(part.vertices_mm, part.triangles.astype(np.uint64)))
    sink = box((5.0, 1.0, 0.0), (15.0, 9.0, 7.713))
    for layer in (0.03, 0.04, 0.05, 0.06):
        columns = gap_columns(part, (sink_of(sink),), only_patch(part))
        gap = built_gap(columns, layer, 0.3)
        assert gap is not None
        heights = (np.arange(int(9 / layer)) + 0.5) * layer
        begun = [solid.slice(z).area() > 41.0 for z in heights.tolist()]  # the foot alone has 40 mm²
        powder = int((heights > 7.713)[: begun.index(True)].sum())
        assert (gap.least_layers, gap.most_layers) == (powder, powder)
        assert gap.least_mm == pytest.approx(powder * layer)
        assert gap.drawn_least_mm == pytest.approx(0.3, abs=1e-5)  # trimesh gives back float32


def test_the_count_agrees_with_our_own_slices_of_a_built_sink() -> None:
    part = leaning(25.0)
    patch = only_patch(part)
    sinks = build_sink(part, patch.faces, SinkChoice(kind="block"), 0.3, name="s", patch_ids=(patch.id,), layer_mm=0.04)
    columns = gap_columns(part, sinks, patch)
    layers = powder_layers(columns, 0.04)
    body = slice_layers(part.vertices_mm, part.triangles, 0.04)
    under = slice_layers(sinks[0].vertices_mm, sinks[0].triangles, 0.04)
    pick = np.linspace(0, len(layers) - 1, 12).astype(int)
    for k in pick.tolist():
        place = shapely.Point(*columns.plan_mm[k])
        low = int(columns.sink_top_mm[k] / 0.04) - 3
        here = [_covers(under, i, place) for i in range(low, low + 20)]
        above = [_covers(body, i, place) for i in range(low, low + 20)]
        assert abs((above.index(True) - here.index(False)) - int(layers[k])) <= (0 if _clear(columns, k) else 1)
    assert int(layers.min()) >= 7
    assert int(layers.max()) <= 10


def _covers(layers: Layers, i: int, place: shapely.Point) -> bool:
    return i < len(layers) and any(region.covers(place) for region in layers.polygons(i))


def _clear(columns: GapColumns, k: int) -> bool:
    """True where neither surface is near a cut."""
    phase = np.array([columns.sink_top_mm[k], columns.part_mm[k]]) / 0.04 + 0.5
    return bool((np.abs(phase - np.round(phase)) > 0.02).all())


def test_the_top_of_a_sink_is_its_highest_place_and_nothing_beside_it() -> None:
    sink = sink_of(box((0.0, 0.0, 0.0), (4.0, 4.0, 2.5)))
    assert top_of(sink, np.array([[1.0, 2.0], [5.0, 5.0]])).tolist() == [2.5, -np.inf]


def test_a_gap_that_slicing_thins_by_less_than_a_layer_is_said_with_the_gap_of_whole_layers() -> None:
    part = shelf(8.01)  # 7.71 to 8.01: cuts 7.74 to 7.98, 7 layers
    finding = check_built_gap(
        part, (sink_of(box((5.0, 1.0, 0.0), (15.0, 9.0, 7.71))),), only_patch(part), gap_mm=0.3, layer_mm=0.04
    )
    assert finding is not None
    assert finding.level == "ok"
    assert "0.30 mm at least as drawn, and 0.28 mm as built in 40 µm layers: 7 layers of powder" in finding.text
    assert "100% of it is built thinner than the 0.3 mm asked for" in finding.text
    assert "0.32 mm" in finding.remedy
    assert "lift part and sinks by" in finding.remedy
    assert finding.at_mm is not None
    assert finding.at_mm[2] == pytest.approx(8.01)


def test_a_gap_that_is_built_a_whole_layer_thinner_is_noted() -> None:
    """By hand: 7.75 to 8.01 holds the cuts 7.78 to 7.98, 6 layers, 0.24 mm: less than 0.30 less one layer, 0.26."""
    gap = built_gap(columns_of([7.75], [8.01]), 0.04, 0.3)
    assert gap is not None
    finding = judge_built_gap(gap, 0.3)
    assert finding.level == "note"
    assert "0.26 mm at least as drawn, and 0.24 mm as built" in finding.text
    assert "0.32 mm" in finding.remedy


def test_gaps_of_fewer_layers_than_came_apart_are_noted_whatever_was_asked_for() -> None:
    """Celik et al. 2022, Materials 15:3765, 50 µm layers: 100 to 150 µm, 2 to 3 layers, mainly fused."""
    thin = built_gap(columns_of([7.861], [8.0]), 0.05, 0.138)  # cuts 7.875, 7.925, 7.975: 3 layers
    wide = built_gap(columns_of([7.761], [8.0]), 0.05, 0.238)  # and 7.775, 7.825: 5 layers
    assert thin is not None and wide is not None
    assert (thin.least_layers, judge_built_gap(thin, 0.138).level) == (3, "note")
    assert "0.2 mm or more" in judge_built_gap(thin, 0.138).remedy
    assert (wide.least_layers, judge_built_gap(wide, 0.238).level) == (5, "ok")


def test_the_lift_offered_gives_the_layers_promised() -> None:
    columns = columns_of([7.71], [8.01])
    gap = built_gap(columns, 0.04, 0.3)
    assert gap is not None
    assert gap.lift_least_layers == 8
    lifted = columns_of([7.71 + gap.lift_mm], [8.01 + gap.lift_mm])
    assert powder_layers(lifted, 0.04).tolist() == [8]


def test_a_gap_that_slicing_keeps_is_fine() -> None:
    part = shelf(8.0)  # 7.69 to 8.00: cuts 7.70 to 7.98, 8 layers, 0.32 mm
    finding = check_built_gap(
        part, (sink_of(box((5.0, 1.0, 0.0), (15.0, 9.0, 7.69))),), only_patch(part), gap_mm=0.3, layer_mm=0.04
    )
    assert finding is not None
    assert (finding.level, "8 layers of powder" in finding.text) == ("ok", True)


def test_no_layer_of_powder_left_stops_the_export() -> None:
    gap = built_gap(columns_of([7.71, 7.5], [7.735, 7.735]), 0.04, 0.3)  # cuts 7.70 and 7.74: none between
    assert gap is not None
    assert gap.least_layers == 0
    finding = judge_built_gap(gap, 0.025)
    assert finding.level == "stop"
    assert "no layer of powder" in finding.text
    assert finding.at_mm == (0.0, 0.0, 7.735)


def test_a_sink_that_cuts_into_the_part_stops_too() -> None:
    part = shelf(8.0)
    finding = check_built_gap(
        part, (sink_of(box((5.0, 1.0, 0.0), (15.0, 9.0, 8.4))),), only_patch(part), gap_mm=0.3, layer_mm=0.04
    )
    assert finding is not None
    assert finding.level == "stop"


def test_a_patch_without_a_sink_has_no_built_gap() -> None:
    part = shelf(8.0)
    assert check_built_gap(part, (), only_patch(part), gap_mm=0.3, layer_mm=0.04) is None


def test_several_layer_heights_share_the_columns() -> None:
    """By hand, 7.71 to 8.01: 20 µm cuts 7.71 (a tie, taken as sink), 7.73 … 7.99 and 8.01 (a tie): 14;
    60 µm cuts 7.71 (tie), 7.77 … 7.95, 8.01 (tie): 4."""
    gaps = built_gaps(columns_of([7.71], [8.01]), (0.02, 0.04, 0.06), 0.3)
    assert [gap.least_layers for gap in gaps] == [14, 7, 4]
    assert [gap.layer_mm for gap in gaps] == [0.02, 0.04, 0.06]


def test_whole_layer_gaps() -> None:
    assert whole_layer_gap_mm(0.3, 0.04) == pytest.approx(0.32)
    assert whole_layer_gap_mm(0.32, 0.04) == pytest.approx(0.32)
    assert whole_layer_gap_mm(0.3, 0.03) == pytest.approx(0.3)
    assert whole_layer_gap_mm(0.3, 0.05) == pytest.approx(0.3)


def test_a_sink_that_stands_has_no_layer_on_powder_and_one_with_a_dangling_piece_has() -> None:
    post = box((0.0, 0.0, 0.0), (2.0, 6.0, 8.0))
    arm = box((1.0, 0.0, 6.0), (8.0, 6.0, 8.0))
    tooth = box((6.0, 2.0, 4.0), (7.0, 4.0, 7.0))
    good = check_sink_layers(sink_of(post), 0.04)
    assert good.level == "ok"
    assert "200 layers" in good.text
    bad = check_sink_layers(sink_of(trimesh.boolean.union([post, arm, tooth])), 0.04)
    assert bad.level == "stop"
    assert "1 place" in bad.text
    assert bad.at_mm is not None
    assert bad.at_mm[2] == pytest.approx(4.02)


def test_a_patch_that_starts_in_mid_air_is_told_from_one_that_joins_the_part() -> None:
    hooked = part_of(
        trimesh.boolean.union(
            [
                box((0.0, 0.0, 0.0), (3.0, 8.0, 12.0)),
                box((2.0, 0.0, 9.0), (12.0, 8.0, 12.0)),
                box((8.0, 2.0, 5.0), (11.0, 6.0, 10.0)),
            ]
        )
    )
    tree = TriangleTree.of(hooked.corners_mm)
    patches = sorted(find_patches(hooked, 45.0, 0.04), key=lambda patch: patch.z_min_mm)
    assert [patch.is_island for patch in patches] == [True, False]
    table = patch_layer_table(hooked, patches[0], 0.04, 45.0)
    assert len(islands_of_patch(tree, patches[0], table)) == 1
    low = check_patch_start(hooked, tree, patches[0], 0.04, 45.0)
    high = check_patch_start(hooked, tree, patches[1], 0.04, 45.0)
    assert (low.level, high.level) == ("note", "ok")
    assert "1 place, 12.00 mm²" in low.text  # 3 x 4 mm
