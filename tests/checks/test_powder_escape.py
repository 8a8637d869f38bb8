"""Powder in gaps, pockets and cavities of drawn bodies whose volumes follow from their edges."""

import manifold3d as m3d
import pytest

from core.checks.powder_escape import (
    check_gap_depth,
    check_part_cavities,
    check_pockets,
    check_powder_in_gap,
    gap_depth_mm,
)
from core.progress import Stopped
from tests.checks.drawn_bodies import box, drawn_part, drawn_sink, tube

ROOF = box((0, 0, 20), (30, 30, 30))


def test_a_gap_of_five_coarse_grains_empties_and_a_narrower_one_gets_a_note() -> None:
    """Slots jam below 3 to 6 D90: common practice, no source."""
    assert check_powder_in_gap(0.225, 45.0).level == "ok"
    assert check_powder_in_gap(0.22, 45.0).level == "note"


def test_a_closed_cavity_of_the_part_is_found_with_its_exact_volume() -> None:
    part = drawn_part(
        box((0, 0, 0), (20, 20, 20)) - box((5, 5, 5), (10, 11, 12)) - tube(2, 14, 16).translate((15, 15, 0))
    )
    findings = check_part_cavities(part)
    assert sorted(f.text.split(" of ")[1].split(" mm³")[0] for f in findings) == ["210", "25.1"]
    # 5 x 6 x 7 = 210 mm³; the drawn cylinder is a 64-gon: 32 sin(2 pi / 64) 4 x 2 = 25.09 mm³
    assert all(f.level == "note" and f.remedy for f in findings)
    assert (7.5, 8.0, 8.5) in [f.at_mm for f in findings]
    assert check_part_cavities(drawn_part(ROOF)) == []


def test_open_bays_and_the_gap_shut_nothing_in() -> None:
    sink = box((0, 0, 0), (30, 30, 19.7)) - box((5, -1, -1), (10, 31, 15)) - box((20, -1, -1), (25, 31, 15))
    findings = check_pockets(drawn_part(ROOF), (drawn_sink(sink),), gap_mm=0.3)
    assert [f.level for f in findings] == ["ok"] and "cells of" in findings[0].text


def test_a_bay_without_a_door_holds_its_powder_until_the_plate_is_cut_off() -> None:
    sink = box((0, 0, 0), (30, 30, 19.7)) - box((5, 5, -1), (15, 25, 15))
    (finding,) = check_pockets(drawn_part(ROOF), (drawn_sink(sink),), gap_mm=0.3)
    assert finding.level == "note" and "cut from the plate" in finding.text
    assert _volume(finding.text) == pytest.approx(10 * 20 * 15, rel=0.06)
    assert finding.at_mm is not None and 5 < finding.at_mm[0] < 15 and 0 < finding.at_mm[2] < 15


def test_a_hollow_inside_a_sink_is_a_stop() -> None:
    sink = box((0, 0, 0), (30, 30, 19.7)) - box((5, 5, 5), (15, 25, 15))
    (finding,) = check_pockets(drawn_part(ROOF), (drawn_sink(sink),), gap_mm=0.3)
    assert finding.level == "stop" and "inside a sink" in finding.text
    assert _volume(finding.text) == pytest.approx(2000, rel=0.06)


def test_a_recess_behind_a_jammed_gap_opens_with_the_sink_only() -> None:
    """0.2 mm are 4.4 times D90, so the gap counts as shut; at 0.3 mm the same recess is open."""
    part = drawn_part(ROOF - box((10, 10, 19), (20, 20, 25)))
    sink = drawn_sink(box((0, 0, 0), (30, 30, 19.8)), gap_mm=0.2)
    (finding,) = check_pockets(part, (sink,), gap_mm=0.2)
    assert finding.level == "note" and "when the sink comes off" in finding.text
    assert _volume(finding.text) == pytest.approx(10 * 10 * 5.2, rel=0.06)
    (stuck,) = check_pockets(part, (sink,), gap_mm=0.2, all_come_off=False)
    assert stuck.level == "stop"
    wide = drawn_sink(box((0, 0, 0), (30, 30, 19.7)))
    assert check_pockets(part, (wide,), gap_mm=0.3)[0].level == "ok"


def test_a_part_hollow_that_stands_on_the_plate_is_a_note() -> None:
    part = drawn_part(
        ROOF + (box((40, 0, 0), (60, 20, 20)) - box((45, 5, -1), (55, 15, 15))) + box((0, 0, 25), (60, 5, 30))
    )
    (finding,) = check_pockets(part, (drawn_sink(box((0, 0, 0), (30, 30, 19.7))),), gap_mm=0.3)
    assert finding.level == "note" and "cut from the plate" in finding.text
    assert _volume(finding.text) == pytest.approx(1500, rel=0.08)


@pytest.mark.parametrize(("width_mm", "level"), [(0.15, "note"), (0.6, "ok")])
def test_a_chamber_behind_a_channel_narrower_than_five_grains_is_found_when_looked_for(
    width_mm: float, level: str
) -> None:
    low, high = 5 - width_mm / 2, 5 + width_mm / 2
    chamber = box((2, 2, 6), (8, 8, 10)) + box((low, low, 9), (high, high, 13))
    part = drawn_part(box((0, 0, 4), (10, 10, 12)) - chamber)
    sink = drawn_sink(box((0, 0, 0), (10, 10, 3.7)))
    (finding,) = check_pockets(part, (sink,), gap_mm=0.3, thorough=True)
    assert finding.level == level
    if level == "note":
        assert "narrower than 0.23 mm" in finding.text and _volume(finding.text) == pytest.approx(144, rel=0.06)


def test_the_gap_over_a_square_sink_is_half_its_width_deep() -> None:
    part = drawn_part(box((0, 0, 20), (30, 30, 23)))
    depth, at = gap_depth_mm(part, drawn_sink(box((5, 5, 0), (25, 25, 19.7))))
    assert depth == pytest.approx(10, abs=1.0)
    assert at is not None and abs(at[0] - 15) < 2 and abs(at[1] - 15) < 2 and at[2] == pytest.approx(20)


def test_deep_gaps_get_a_note_and_shallow_ones_do_not() -> None:
    """20 widths: common practice, no source. 0.3 mm x 20 = 6 mm."""
    part = drawn_part(box((0, 0, 20), (30, 30, 23)))
    assert check_gap_depth(part, drawn_sink(box((5, 5, 0), (25, 25, 19.7)))).level == "note"
    assert check_gap_depth(part, drawn_sink(box((5, 5, 0), (14, 25, 19.7)))).level == "ok"


def test_the_search_for_pockets_can_be_stopped() -> None:
    sink = drawn_sink(box((0, 0, 0), (30, 30, 19.7)))
    with pytest.raises(Stopped):
        check_pockets(drawn_part(ROOF), (sink,), gap_mm=0.3, goes_on=lambda share: False)


def test_round_gaps_stay_open_among_coarse_cells() -> None:
    """A bored block around a half-round part: the gap is 0.3 mm and the cells are coarser."""
    part = m3d.Manifold.cylinder(60, 20, circular_segments=128).rotate((90, 0, 0)).translate((0, 60, 30))
    around = m3d.Manifold.cylinder(70, 20.3, circular_segments=128).rotate((90, 0, 0)).translate((0, 65, 30))
    sink = box((-18, 5, 0), (18, 55, 30)) - around
    findings = check_pockets(drawn_part(part), (drawn_sink(sink),), gap_mm=0.3)
    assert [f.level for f in findings] == ["ok"]


def _volume(text: str) -> float:
    return float(text.split("About ")[1].split(" mm³")[0])
