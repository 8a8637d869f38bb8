"""What a finding offers to change is exact: with it, the same check finds nothing any more."""

from dataclasses import replace
from typing import Any

import manifold3d as m3d
import pytest

from core.checks.clearance import check_gap_in_layers, check_sinks_apart
from core.checks.finding import Finding
from core.checks.powder_escape import check_powder_in_gap
from core.checks.recoater import check_recoater
from core.checks.standing import check_envelope, check_slender
from core.part.part import Part
from core.part.place_on_plate import Plate
from core.sink.sink import Sink
from core.sink.sink_choice import SinkChoice
from tests.checks.drawn_bodies import box, drawn_part, drawn_sink


def block(x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0)) -> m3d.Manifold:
    return box(at, (at[0] + x, at[1] + y, at[2] + z))


def sink_of(solid: m3d.Manifold, name: str = "sink-01") -> Sink:
    return drawn_sink(solid, name=name)


def table() -> Part:
    """A slab 10 mm square, 20 mm above the plate."""
    return drawn_part(block(10, 10, 5, (0, 0, 20)))


def offered(finding: Finding) -> dict[str, Any]:
    """The values of the first change."""
    return dict(finding.changes[0].values)


def test_the_gap_offered_is_wide_enough_for_layers_and_grains() -> None:
    """By hand: 4 layers of 0.05 mm are 0.2 mm, and 5 grains of D90 45 µm are 0.225 mm (limits as in the checks)."""
    few = check_gap_in_layers(0.1, 0.05, (3,))
    gap_mm = offered(few)["gap.gap_mm"]
    assert gap_mm == pytest.approx(0.2) and few.changes[0].patches == (3,)
    assert check_gap_in_layers(gap_mm, 0.05).level == "ok"
    assert offered(check_powder_in_gap(0.2, 45.0))["gap.gap_mm"] == pytest.approx(0.225)
    assert check_powder_in_gap(0.225, 45.0).level == "ok" and not check_powder_in_gap(0.3, 45.0).changes


def _walls(height_mm: float, choice: SinkChoice) -> Sink:
    return replace(sink_of(block(10, 10, height_mm)), choice=choice, kind=choice.kind)


def test_the_walls_offered_are_thick_enough_and_keep_the_room_between_them() -> None:
    """By hand: 37 mm / 15 is 2.47 mm, so 2.5 mm; 4.0 - 1.5 = 2.5 mm of room makes a pitch of 5.0 mm."""
    found = check_slender(_walls(37.0, SinkChoice(kind="fins")))
    assert offered(found) == {"sink.fin_thickness_mm": 2.5, "sink.fin_pitch_mm": 5.0}
    better = SinkChoice(kind="fins", fin_thickness_mm=2.5, fin_pitch_mm=5.0)
    assert check_slender(_walls(37.0, better)).level == "ok"
    assert dict(found.changes[1].values) == {"sink.kind": "block"}


def test_a_slim_wall_is_judged_and_widened_by_its_own_width() -> None:
    """By hand: 33 mm / 2.0 mm is 16.5, too slender; 33 / 15 is 2.2 mm."""
    wall = _walls(33.0, SinkChoice(kind="edge"))
    found = check_slender(wall)
    assert found.level == "note" and " times as high" in found.text
    assert offered(found) == {"sink.edge_width_mm": 2.2}
    assert check_slender(replace(wall, choice=SinkChoice(kind="edge", edge_width_mm=2.2))).level == "ok"


def test_a_block_is_not_told_to_become_a_block() -> None:
    tall = replace(sink_of(block(10, 10, 200)), choice=SinkChoice(kind="block"), kind="block")
    found = check_slender(tall)
    assert found.level == "note" and found.changes == ()


def test_walls_that_were_set_along_the_blade_are_offered_fifteen_degrees_off_it() -> None:
    """A wall along Y, set to 88°, and a blade along Y (90°): 75° is nearer than 105°. Turning the blade is as good."""
    wall = replace(sink_of(block(2, 40, 20)), choice=SinkChoice(kind="fins", direction_deg=88.0), kind="fins")
    found = check_recoater(wall, 90.0)
    assert found.level == "note" and offered(found) == {"sink.direction_deg": 75.0}
    assert check_recoater(wall, 75.0).level == "ok"
    free = replace(wall, choice=SinkChoice(kind="fins"))
    assert check_recoater(free, 90.0).changes == ()


def test_the_margin_offered_parts_two_sinks() -> None:
    """Blocks 0.5 mm apart that are to keep 1 mm: 0.3 mm less at both sides leaves 1.1 mm."""
    first, second = sink_of(block(10, 10, 19), "a"), sink_of(block(10, 10, 19, (10.5, 0, 0)), "b")
    (found,) = check_sinks_apart((first, second), 1.0)
    less = offered(found)["sink.margin_mm"]
    assert less == -0.3
    smaller = sink_of(block(10 + less, 10, 19), "a"), sink_of(block(10, 10, 19, (10.5 - less, 0, 0)), "b")
    assert check_sinks_apart(smaller, 1.0) == []
    touching = sink_of(block(10, 10, 19, (9.0, 0, 0)), "b")
    assert check_sinks_apart((first, touching), 1.0)[0].changes == ()  # how far they overlap is not known


@pytest.mark.parametrize("origin", ["centre", "corner"])
def test_the_move_offered_brings_part_and_sinks_onto_the_plate(origin: str) -> None:
    """The sink reaches past a plate that would hold both; after the move nothing is said any more."""
    plate = Plate(size_mm=(24.0, 44.0), border_mm=2.0, origin=origin)
    beside = sink_of(block(10, 10, 19, (7.5, 0, 0)), "beside")
    (found,) = check_envelope(table(), (beside,), plate)
    assert found.level == "stop"
    moved = replace(plate, part_at_mm=offered(found)["plate.part_at_mm"])
    assert [f.level for f in check_envelope(table(), (beside,), moved)] == ["ok"]
    small = Plate(size_mm=(12.0, 44.0), border_mm=2.0, origin=origin)
    assert all(f.changes == () for f in check_envelope(table(), (beside,), small))
