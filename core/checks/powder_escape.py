"""Can the powder leave the gap, the bays and the part's own cavities?"""

import numpy as np
from scipy.spatial import cKDTree

from core.checks.finding import Change, Finding
from core.checks.pockets import Opens, Pocket, find_pockets
from core.gap.gap_measure import sample_faces
from core.part.bodies import number_shells
from core.part.face_neighbours import edge_mates
from core.part.part import Part
from core.part.triangle_tree import TriangleTree
from core.progress import GoesOn, never_stop
from core.sink.sink import Sink
from core.units import FloatArray

JAM_GRAINS = 5.0
"""Slots narrower than 3 to 6 D90 jam without vibration (common practice, no source); the middle is taken."""
DEEP_GAPS = 20.0
"""A blind gap deeper than this many widths hardly empties (common practice, no source)."""
QUICK_CELLS, FINE_CELLS = 3_000_000, 10_000_000
"""Cells in the quick and in the thorough search for pockets; about 0.1 and 0.4 GB."""
SAMPLES = 6000


def check_powder_in_gap(gap_mm: float, d90_um: float, patches: tuple[int, ...] = ()) -> Finding:
    """Gap against the coarse end of the powder. patches: those with this gap, for the change that is offered."""
    grains = gap_mm * 1e3 / d90_um
    if grains >= JAM_GRAINS:
        text = f"The gap is {grains:.1f} times D90 ({d90_um:g} µm), wide enough for powder to flow."
        return Finding(check="powder escape", level="ok", text=text)
    return Finding(
        check="powder escape",
        level="note",
        text=f"The gap is only {grains:.1f} times D90 ({d90_um:g} µm); powder may stay in it until the sink is off.",
        remedy="Take the sink off before cleaning, under the precautions for loose powder, or widen the gap.",
        changes=(Change(values=(("gap.gap_mm", round(JAM_GRAINS * d90_um / 1e3, 6)),), patches=patches),),
    )


def gap_depth_mm(part: Part, sink: Sink) -> tuple[float, tuple[float, float, float] | None]:
    """How far in the deepest place of the gap lies, straight from the nearest open surface of the part, and where.

    Places on the part count as gap within 1.5 gaps of the sink. Surfaces turned away from the place (the far side
    of a thin wall) don't count as its way out.
    """
    low, high = sink.vertices_mm.min(axis=0) - 5.0, sink.vertices_mm.max(axis=0) + 5.0
    near = (part.corners_mm.max(axis=1) >= low).all(axis=1) & (part.corners_mm.min(axis=1) <= high).all(axis=1)
    faces = np.flatnonzero(near)
    if faces.size == 0:
        return 0.0, None
    points = sample_faces(part, faces, SAMPLES)
    area = np.cumsum(part.areas_mm2[faces])
    face = faces[np.minimum(np.searchsorted(area, (np.arange(SAMPLES) + 0.5) / SAMPLES * area[-1]), len(faces) - 1)]
    tree = TriangleTree.of(sink.vertices_mm[sink.triangles])
    distance, _, _ = tree.nearest(points)
    inside = distance <= 1.5 * sink.gap_mm
    if not inside.any() or inside.all():
        return 0.0, None
    normals = part.normals[face]
    reach = _way_out(points[inside], normals[inside], points[~inside], normals[~inside])
    deepest = int(np.argmax(reach))
    x, y, z = points[inside][deepest]
    return float(reach[deepest]), (float(x), float(y), float(z))


def _way_out(inside: FloatArray, looks: FloatArray, outside: FloatArray, outside_looks: FloatArray) -> FloatArray:
    """(n,) from each place inside the gap (n, 3) to the nearest place outside it that isn't turned away from it."""
    reach = np.zeros(len(inside))
    facing, kind = np.unique(np.round(looks), axis=0, return_inverse=True)
    for number, direction in enumerate(facing):
        own = kind.ravel() == number
        open_here = outside[outside_looks @ direction > -0.5 * np.linalg.norm(direction)]
        if len(open_here):
            reach[own] = cKDTree(open_here).query(inside[own])[0]
    return reach


def check_gap_depth(part: Part, sink: Sink) -> Finding:
    """Long narrow gaps."""
    depth, at = gap_depth_mm(part, sink)
    ratio = depth / sink.gap_mm
    if ratio <= DEEP_GAPS:
        text = f"The gap over {sink.name} lies at most {depth:.1f} mm, {ratio:.0f} gap widths, from its open edge."
        return Finding(check="gap depth", level="ok", text=text)
    return Finding(
        check="gap depth",
        level="note",
        text=f"The gap over {sink.name} lies up to {depth:.1f} mm, {ratio:.0f} gap widths, from its open edge; "
        "powder may stay there.",
        remedy="Count on loose powder coming out when the sink comes off.",
        at_mm=at,
    )


def check_part_cavities(part: Part) -> list[Finding]:
    """Cavities closed on all sides by the part itself: shells that face inward, so their volume is exact."""
    mate, _, _ = edge_mates(part.triangles, len(part.vertices_mm))
    shell = number_shells(part.triangles, mate)
    first = part.vertices_mm[part.triangles[:, 0]]
    origin = first[np.unique(shell, return_index=True)[1]][shell]
    a, b, c = (part.vertices_mm[part.triangles[:, i]] - origin for i in range(3))
    volume = np.bincount(shell, np.einsum("ij,ij->i", np.cross(a, b), c) / 6.0)
    findings = []
    for number in np.flatnonzero(volume < 0):
        corners = part.corners_mm[shell == number].reshape(-1, 3)
        x, y, z = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
        findings.append(
            Finding(
                check="part cavities",
                level="note",
                text=f"The part holds a closed cavity of {-volume[number]:.3g} mm³; its powder stays in for good.",
                remedy="Ask for two openings of at least 2 mm if the powder must come out.",
                at_mm=(float(x), float(y), float(z)),
            )
        )
    return findings


def check_pockets(
    part: Part,
    sinks: tuple[Sink, ...],
    *,
    gap_mm: float,
    d90_um: float = 45.0,
    all_come_off: bool = True,
    thorough: bool = False,
    goes_on: GoesOn = never_stop,
) -> list[Finding]:
    """Powder shut in by sinks, part and plate.

    all_come_off: every sink can be taken off, which opens what it shuts. thorough: finer cells, and pockets behind
    necks narrower than 5 D90. Raises Stopped when told to stop.
    """
    pockets = find_pockets(
        part,
        sinks,
        gap_mm=gap_mm,
        gap_open=gap_mm * 1e3 >= JAM_GRAINS * d90_um,
        most_cells=FINE_CELLS if thorough else QUICK_CELLS,
        goes_on=goes_on,
        neck_mm=JAM_GRAINS * d90_um * 1e-3 if thorough else 0.0,
    )
    kinds: tuple[Opens, ...] = ("never", "with the sink", "with the plate", "by a neck")
    findings = []
    for opens in kinds:
        found = [pocket for pocket in pockets.found if pocket.opens == opens]
        if found:
            findings.append(_pocket_finding(opens, found, pockets.cell_mm, pockets.neck_mm, all_come_off))
    if findings:
        return findings
    gap = "the gap taken as open" if gap_mm * 1e3 >= JAM_GRAINS * d90_um else "the gap taken as jammed"
    necks = f", none behind necks below {pockets.neck_mm:.2g} mm" if pockets.neck_mm else ""
    text = f"No powder is shut in around the sinks{necks} (searched in cells of {pockets.cell_mm:.2g} mm, {gap})."
    return [Finding(check="powder pockets", level="ok", text=text)]


def _pocket_finding(opens: Opens, found: list[Pocket], cell_mm: float, neck_mm: float, all_come_off: bool) -> Finding:
    volume = sum(pocket.volume_mm3 for pocket in found)
    many = "one pocket" if len(found) == 1 else f"{len(found)} pockets"
    what = f"About {volume:.3g} mm³ of powder in {many}"
    cells = f" (cells of {cell_mm:.2g} mm)"
    text, remedy = {
        "never": (f"{what} {'is' if len(found) == 1 else 'are'} shut in inside a sink{cells}.", "Choose a block."),
        "with the sink": (
            f"{what} between part and sink comes free only when the sink comes off{cells}.",
            "Count on loose powder then."
            if all_come_off
            else "The sink can't come off; leave out the faces beside the place shown.",
        ),
        "with the plate": (
            f"{what} runs out only when the part is cut from the plate{cells}.",
            "Clean before cutting as far as you can, and cut under the precautions for loose powder.",
        ),
        "by a neck": (
            f"{what} has ways out narrower than {neck_mm:.2g} mm only{cells}; it may jam there.",
            "Vibrate and turn the part, or widen the way out.",
        ),
    }[opens]
    stops = opens == "never" or (opens == "with the sink" and not all_come_off)
    return Finding(
        check="powder pockets", level="stop" if stops else "note", text=text, remedy=remedy, at_mm=found[0].at_mm
    )
