"""A small picture of a part in one orientation, its low-angle faces coloured by angle, seen from slightly below."""

import numpy as np

from core.export.orientation_study import Orientation
from core.export.report_drawing import rgb_of
from core.export.report_pixels import Camera, Solid, paint
from core.export.report_views import part_coloured, scale_rgb
from core.part.downskin import downskin_angles_deg, low_angle_faces
from core.part.part import Part
from core.part.place_on_plate import place_on_plate

WIDE_PX, HIGH_PX = 240, 200
BELOW_DEG, SIDE_DEG = -16.0, 28.0
LINE_SHARE = 0.008
LINE = "#5c6670"


def thumbnail(part: Part, one: Orientation, max_angle_deg: float, width: int = WIDE_PX, height: int = HIGH_PX) -> bytes:
    """PNG of a part as its file has it, turned; flat ceilings are brightest, a dark line lies where the plate is."""
    placed = place_on_plate(part, one.pose)
    faces = low_angle_faces(placed, max_angle_deg)
    solid = part_coloured(placed, faces, scale_rgb(downskin_angles_deg(placed)[faces] / max_angle_deg))
    pull = (placed.normals[faces, :2] * placed.areas_mm2[faces, None]).sum(axis=0)
    looks = np.linalg.norm(pull) > 0.1 * placed.areas_mm2[faces].sum()
    azimuth = float(np.degrees(np.arctan2(pull[1], pull[0]))) if len(faces) and looks else -90.0
    camera = Camera.around(placed.vertices_mm, azimuth + SIDE_DEG, BELOW_DEG, width, height)
    return paint([solid, _plate_line(placed, camera)], camera)


def _plate_line(placed: Part, camera: Camera) -> Solid:
    """A thin upright strip in the picture's plane behind the part, from rim to rim at the height of the plate."""
    right, up, towards = camera.axes
    low, high = placed.low_mm, placed.high_mm
    middle = np.array([*(low + high)[:2] / 2, 0.0])
    size = float(np.linalg.norm(high - low))
    half, thick = 0.6 * size * right, max(LINE_SHARE * size, camera.mm_per_pixel) * up
    back = middle - 0.6 * size * np.array([*(towards[:2] / np.linalg.norm(towards[:2])), 0.0])
    back = back + up * float((middle - back) @ up)  # as high in the picture as the middle of the part's foot
    corners = [back - half, back + half, back + half - thick, back - half - thick]
    square = np.array([[corners[0], corners[2], corners[1]], [corners[0], corners[3], corners[2]]])
    return Solid.of(square, rgb_of(LINE))
