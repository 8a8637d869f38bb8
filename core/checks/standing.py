"""Does the sink stand: closed, in one piece, on the plate, not too slender, and inside the build volume?"""

from dataclasses import replace

import numpy as np

from core.checks.finding import Change, Finding, block_instead, thicker_walls
from core.part.more_parts import single_parts
from core.part.part import Part
from core.part.place_on_plate import Plate, plate_anchor_mm, plate_low_corner_mm
from core.sink.sink import Sink
from core.units import FloatArray

SLENDER = 15.0
"""Height over thickness above which walls sway under the recoater (common practice, no source)."""


def check_solid(sink: Sink) -> Finding:
    """Watertight and 2-manifold, one piece, its underside on the plate."""
    faults = []
    if not sink.watertight:
        faults.append("isn't watertight")
    if sink.pieces != 1:
        faults.append(f"falls into {sink.pieces} pieces")
    if not sink.on_plate:
        faults.append("doesn't stand on the build plate")
    if not faults:
        text = f"{sink.name} is one watertight body on the build plate, {len(sink.triangles)} triangles."
        return Finding(check="solid", level="ok", text=text)
    return Finding(
        check="solid",
        level="stop",
        text=f"{sink.name} {' and '.join(faults)}.",
        remedy="Change the margin, the gap or the sink kind, and build again.",
        at_mm=sink.nearest_mm,
    )


def check_slender(sink: Sink) -> Finding:
    """Height of the walls against their thickness."""
    choice = sink.choice
    height = float(sink.vertices_mm[:, 2].max())
    walls = choice.kind != "block" and height > choice.fin_pitch_mm
    wall_mm = choice.edge_width_mm if choice.kind == "edge" else choice.fin_thickness_mm
    width = wall_mm if walls else float(min(np.ptp(sink.vertices_mm[:, :2], axis=0)))
    ratio = height / width
    if ratio <= SLENDER:
        text = f"{sink.name} is {ratio:.1f} times as high as thick."
        return Finding(check="slenderness", level="ok", text=text)
    return Finding(
        check="slenderness",
        level="note",
        text=f"{sink.name} has walls {ratio:.0f} times as high as thick; the recoater may bend them.",
        remedy=f"Make the walls at least {height / SLENDER:.1f} mm thick or choose a block.",
        changes=(
            *(thicker_walls(choice, height / SLENDER, sink.patches) if walls else ()),
            *block_instead(sink.kind, sink.patches),
        ),
        at_mm=sink.nearest_mm,
    )


def check_envelope(part: Part, sinks: tuple[Sink, ...], plate: Plate) -> list[Finding]:
    """Parts and sinks inside the plate less its border, and below the top of the build volume."""
    low = np.array(plate_low_corner_mm(part, plate)) + plate.border_mm
    high = low + np.array(plate.size_mm) - 2 * plate.border_mm
    found = [_outside(f"The part '{one.name}'", one.vertices_mm, low, high, plate) for one in single_parts(part)]
    found += [_outside(sink.name, sink.vertices_mm, low, high, plate) for sink in sinks]
    move = _move(part, sinks, plate)
    problems = [
        replace(finding, changes=move) if "above" not in finding.text else finding
        for finding in found
        if finding is not None
    ]
    width, depth = plate.size_mm
    return problems or [
        Finding(
            check="envelope",
            level="ok",
            text=f"Part{'s' if part.bodies else ''} and sinks fit the {width:g} × {depth:g} × {plate.height_mm:g} mm "
            "build volume"
            + (f" and keep off the {plate.border_mm:g} mm border of the plate." if plate.border_mm else "."),
        )
    ]


def _move(part: Part, sinks: tuple[Sink, ...], plate: Plate) -> tuple[Change, ...]:
    """The least move of part and sinks by which all of it lies on the plate; empty where the plate is too small."""
    bodies = (part.vertices_mm, *(sink.vertices_mm for sink in sinks))
    low = np.min([points[:, :2].min(axis=0) for points in bodies], axis=0) - plate.border_mm
    high = np.max([points[:, :2].max(axis=0) for points in bodies], axis=0) + plate.border_mm
    size = np.array(plate.size_mm)
    if (high - low > size).any():
        return ()
    corner = np.clip(np.array(plate_low_corner_mm(part, plate)), high - size, low)
    x, y = plate_anchor_mm(part) - corner - (0.0 if plate.origin == "corner" else size / 2)
    return (Change(values=(("plate.part_at_mm", (round(float(x), 6), round(float(y), 6))),)),)


def _outside(name: str, points: FloatArray, low: FloatArray, high: FloatArray, plate: Plate) -> Finding | None:
    past = np.maximum(low - points[:, :2].min(axis=0), points[:, :2].max(axis=0) - high)
    over = float(points[:, 2].max()) - plate.height_mm
    worst = max(float(past.max()), over)
    if worst <= 1e-6:
        return None
    where = points[np.argmax(points[:, 2])] if over > past.max() else points[np.argmax(_excess(points, low, high))]
    if over > past.max():
        what, remedy = f"rises {over:.2f} mm above the build volume", "Turn the part, or set the height of the build"
    elif worst > plate.border_mm + 1e-6:
        what = f"reaches {worst - plate.border_mm:.2f} mm past the edge of the build plate"
        remedy = "Move or turn the part, or set the size of the build plate"
    else:
        what = f"reaches {worst:.2f} mm into the {plate.border_mm:g} mm border of the plate that stays free"
        remedy = "Move or turn the part, or set a narrower border"
    return Finding(
        check="envelope",
        level="stop",
        text=f"{name} {what}.",
        remedy=f"{remedy}.",
        at_mm=(float(where[0]), float(where[1]), float(where[2])),
    )


def _excess(points: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    return np.asarray(np.maximum(low - points[:, :2], points[:, :2] - high).max(axis=1))
