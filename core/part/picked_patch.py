"""Measure faces that were picked by hand as one patch, even when they don't hang together."""

from dataclasses import replace

import numpy as np

from core.part.downskin import downskin_angles_deg, face_neighbours
from core.part.part import Part, face_mask
from core.part.patch import Patch
from core.part.patches import measure_patches
from core.refusal import Refusal
from core.units import IntArray


def patch_of_faces(part: Part, faces: IntArray, id: int, layer_mm: float, max_angle_deg: float = 45.0) -> Patch:
    """One patch of any faces of a placed part: sums, extremes and area-weighted means over its pieces.

    faces: (n,) triangle numbers. max_angle_deg only scales the risk. Raises Refusal for no faces or faces that
    don't exist.
    """
    if not len(faces):
        raise Refusal("A pick needs at least one face.")
    if int(faces.min()) < 0 or int(faces.max()) >= part.n_faces:
        raise Refusal(f"A picked face doesn't exist; this part has faces 0 to {part.n_faces - 1}.")
    pieces = measure_patches(
        part.vertices_mm,
        part.triangles,
        face_neighbours(part).across,
        face_mask(part.n_faces, faces),
        downskin_angles_deg(part),
        part.areas_mm2,
        max_angle_deg,
        layer_mm,
    )
    if len(pieces) == 1:
        return replace(pieces[0], id=id)
    area = np.array([piece.area_mm2 for piece in pieces])
    weight = area / area.sum() if area.sum() > 0 else np.full(len(pieces), 1 / len(pieces))
    centre = weight @ np.array([piece.centre_mm for piece in pieces])
    return Patch(
        id=id,
        faces=np.sort(np.concatenate([piece.faces for piece in pieces])),
        area_mm2=float(area.sum()),
        plan_area_mm2=sum(piece.plan_area_mm2 for piece in pieces),
        lowest_angle_deg=min(piece.lowest_angle_deg for piece in pieces),
        mean_angle_deg=float(weight @ np.array([piece.mean_angle_deg for piece in pieces])),
        z_min_mm=min(piece.z_min_mm for piece in pieces),
        z_max_mm=max(piece.z_max_mm for piece in pieces),
        overhang_step_mm=max(piece.overhang_step_mm for piece in pieces),
        lowest_edge_mm=sum(piece.lowest_edge_mm for piece in pieces),
        is_island=any(piece.is_island for piece in pieces),
        risk=max(piece.risk for piece in pieces),
        centre_mm=(float(centre[0]), float(centre[1]), float(centre[2])),
    )
