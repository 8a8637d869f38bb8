"""Turn a part and set it on the build plate; axes and rotations as in ISO/ASTM 52921."""

from dataclasses import dataclass, replace

import numpy as np

from core.part.part import Part
from core.refusal import Refusal
from core.units import FloatArray


@dataclass(frozen=True, kw_only=True)
class Pose:
    """How the part is turned, and whether it is set down.

    rotate_deg: right-handed turns about the fixed X, then Y, then Z axis of the plate, through the file's origin.
    drop: move the part along z until it touches the plate. Left False, a part whose file starts at or above
    z = 0 keeps its height; one that would reach below the plate is raised onto it.
    """

    rotate_deg: tuple[float, float, float] = (0.0, 0.0, 0.0)
    drop: bool = False

    def __post_init__(self) -> None:
        if len(self.rotate_deg) != 3 or not all(np.isfinite(self.rotate_deg)):
            raise Refusal("A rotation needs three finite angles in degrees: about X, Y and Z.")


@dataclass(frozen=True, kw_only=True)
class Plate:
    """The build plate: its size, the height of the build volume, where its origin lies, and the recoater blade."""

    size_mm: tuple[float, float] = (250.0, 250.0)
    height_mm: float = 300.0
    border_mm: float = 2.0
    """Strip along the plate's edge that stays free."""
    apart_mm: float = 0.2
    """Parts and sinks nearer to each other than this may grow together and are named (common practice, no source)."""
    blade_deg: float = 90.0
    """Plan direction of the recoater blade from the X axis; 90 is a blade along Y, which travels along X."""
    origin: str = "centre"
    """'centre' (ISO/ASTM 52921) or 'corner' (front left)."""
    part_at_mm: tuple[float, float] | None = None
    """Where the centre of the first part's bounding box goes, in plate coordinates; None is the plate's centre."""

    def __post_init__(self) -> None:
        if not (min(self.size_mm) > 0 and self.height_mm > 0 and np.isfinite([*self.size_mm, self.height_mm]).all()):
            raise Refusal("The build plate needs a positive width, depth and height in mm.")
        if not 0 <= self.border_mm < min(self.size_mm) / 2:
            raise Refusal("The plate border must be at least 0 mm and less than half the plate.")
        if not 0 < self.apart_mm <= 20:
            raise Refusal(f"Sinks {self.apart_mm:g} mm apart are out of range; set 0.01 to 20 mm.")
        if not -360 <= self.blade_deg <= 360:
            raise Refusal("The recoater blade needs a direction in degrees from the X axis, such as 90 for along Y.")
        if self.origin not in ("centre", "corner"):
            raise Refusal(f"The plate origin is 'centre' or 'corner', not '{self.origin}'.")


def rotation_matrix(rotate_deg: tuple[float, float, float]) -> FloatArray:
    """(3, 3) rotation about X, then Y, then Z; exact for multiples of 90 degrees."""
    matrix = np.eye(3)
    for axis, angle_deg in enumerate(rotate_deg):
        c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
        if angle_deg % 90 == 0:
            c, s = round(c), round(s)
        i, j = (axis + 1) % 3, (axis + 2) % 3
        turn = np.eye(3)
        turn[i, i], turn[i, j], turn[j, i], turn[j, j] = c, -s, s, c
        matrix = turn @ matrix
    return matrix


def place_on_plate(part: Part, pose: Pose) -> Part:
    """The part in build position: turned, and standing on or above z = 0.

    The x and y coordinates stay those of the (turned) file, so that what is exported fits the file.
    """
    vertices = part.vertices_mm
    if any(pose.rotate_deg):
        vertices = vertices @ rotation_matrix(pose.rotate_deg).T
    warnings = list(part.warnings)
    lowest = float(vertices[:, 2].min())
    if pose.drop or lowest < -1e-6:
        if lowest < -1e-6 and not pose.drop and not any(pose.rotate_deg):
            warnings.append(f"The file reaches {-lowest:.3f} mm below z = 0; the part was raised onto the plate.")
        vertices = vertices - [0.0, 0.0, lowest]
    elif lowest > 0.01:
        warnings.append(
            f"The part starts {lowest:.2f} mm above the plate, as its file says; drop it if that isn't meant."
        )
    edges = part.open_edge_points_mm
    if any(pose.rotate_deg):
        edges = edges @ rotation_matrix(pose.rotate_deg).T
    if pose.drop or lowest < -1e-6:
        edges = edges - [0.0, 0.0, lowest]
    placed = np.ascontiguousarray(vertices)
    return replace(part, vertices_mm=placed, open_edge_points_mm=edges, warnings=tuple(warnings))


def plate_low_corner_mm(part: Part, plate: Plate) -> tuple[float, float]:
    """Front left corner of the plate in the part's own coordinates."""
    half = np.array(plate.size_mm) / 2
    at = np.zeros(2) if plate.part_at_mm is None else np.array(plate.part_at_mm)
    if plate.part_at_mm is not None and plate.origin == "corner":
        at = at - half
    low = plate_anchor_mm(part) - at - half
    return float(low[0]), float(low[1])


def plate_anchor_mm(part: Part) -> FloatArray:
    """(2,) middle of the part's bounding box in plan, of the first part's where several stand on the plate.

    So the plate stays where it is when parts are added, moved or removed beside the first.
    """
    if len(part.bodies) < 2:
        return np.asarray((part.low_mm + part.high_mm)[:2] / 2)
    first = part.vertices_mm[: part.bodies[1].first_vertex, :2]
    return np.asarray((first.min(axis=0) + first.max(axis=0)) / 2)
