"""How the camera turns, pans and zooms, and where points of the part appear in the view."""

from collections.abc import Iterable

import numpy as np
from vtkmodules.vtkRenderingCore import vtkCamera

from core.units import FloatArray

STEEPEST_DEG = 89.5
LOOKS: dict[str, tuple[float, float]] = {
    "front": (-90.0, 0.0),
    "back": (90.0, 0.0),
    "left": (180.0, 0.0),
    "right": (0.0, 0.0),
    "top": (-90.0, STEEPEST_DEG),
    "bottom": (-90.0, -STEEPEST_DEG),
    "iso": (-45.0, 35.264),
    "above": (-60.0, 28.0),
    "below": (-60.0, -22.0),
}
"""Where the eye stands: turn about z from the X axis and height above the plate, degrees."""


class CameraMoves:
    """A camera that keeps z upright; sizes are those of the view in its own pixels."""

    def __init__(self, camera: vtkCamera) -> None:
        self._camera = camera
        camera.SetParallelProjection(True)
        camera.SetViewUp(0, 0, 1)
        self.size_px = (100, 100)
        self._view_angle_deg, self._wide = float(camera.GetViewAngle()), 1.0
        self._azimuth_deg, self._height_deg = LOOKS["below"]
        self._distance_mm = 500.0
        self._focus = np.zeros(3)
        self._place()

    def _place(self) -> None:
        azimuth, height = np.radians(self._azimuth_deg), np.radians(self._height_deg)
        away = np.array([np.cos(height) * np.cos(azimuth), np.cos(height) * np.sin(azimuth), np.sin(height)])
        self._camera.SetFocalPoint(*self._focus)
        self._camera.SetPosition(*(self._focus + self._distance_mm * away))
        self._camera.SetViewUp(0, 0, 1)

    @property
    def parallel(self) -> bool:
        return bool(self._camera.GetParallelProjection())

    def set_parallel(self, on: bool) -> None:
        """Orthographic or perspective, keeping the size of what is in the middle."""
        height_mm = self.visible_height_mm
        self._camera.SetParallelProjection(on)
        self._set_visible_height(height_mm)

    @property
    def visible_height_mm(self) -> float:
        """Height of the view in the plane through the focus."""
        if self.parallel:
            return 2.0 * float(self._camera.GetParallelScale())
        return 2.0 * self._distance_mm * float(np.tan(np.radians(self._camera.GetViewAngle() / 2)))

    def _set_visible_height(self, height_mm: float) -> None:
        height_mm = float(np.clip(height_mm, 1e-3, 1e6))
        self._camera.SetParallelScale(height_mm / 2)
        if not self.parallel:
            self._distance_mm = height_mm / 2 / float(np.tan(np.radians(self._camera.GetViewAngle() / 2)))
        self._place()

    @property
    def mm_per_px(self) -> float:
        return self.visible_height_mm / max(self.size_px[1], 1)

    def axes(self) -> FloatArray:
        """(3, 3) rows: right, up and towards the eye, in part coordinates."""
        azimuth, height = np.radians(self._azimuth_deg), np.radians(self._height_deg)
        right = np.array([-np.sin(azimuth), np.cos(azimuth), 0.0])
        away = np.array([np.cos(height) * np.cos(azimuth), np.cos(height) * np.sin(azimuth), np.sin(height)])
        return np.array([right, np.cross(away, right), away])

    def turn(self, right_px: float, down_px: float) -> None:
        """Turn the view as if the mouse held the part."""
        self._azimuth_deg = (self._azimuth_deg - 0.4 * right_px + 180.0) % 360.0 - 180.0
        self._height_deg = float(np.clip(self._height_deg + 0.4 * down_px, -STEEPEST_DEG, STEEPEST_DEG))
        self._place()

    def pan(self, right_px: float, down_px: float) -> None:
        """Shift what is seen by pixels."""
        right, up, _ = self.axes()
        self._focus = self._focus + (-right_px * right + down_px * up) * self.mm_per_px
        self._place()

    def zoom(self, factor: float, x_px: float, y_px: float) -> None:
        """Enlarge by a factor; the point under the mouse stays where it is."""
        right, up, _ = self.axes()
        from_middle = (x_px - self.size_px[0] / 2) * right - (y_px - self.size_px[1] / 2) * up
        before = self.mm_per_px
        self._set_visible_height(self.visible_height_mm / factor)
        self._focus = self._focus + from_middle * (before - self.mm_per_px)
        self._place()

    def look(self, name: str) -> None:
        """Look from one of the LOOKS."""
        self._azimuth_deg, self._height_deg = LOOKS[name]
        self._place()

    def fit(self, low_mm: FloatArray, high_mm: FloatArray) -> None:
        """Show the whole of a box, both corners (3,)."""
        corners = np.array(
            [
                [x, y, z]
                for x in (low_mm[0], high_mm[0])
                for y in (low_mm[1], high_mm[1])
                for z in (low_mm[2], high_mm[2])
            ]
        )
        self._focus = (np.asarray(low_mm) + np.asarray(high_mm)) / 2
        seen = (corners - self._focus) @ self.axes()[:2].T
        width, height = 2 * np.abs(seen).max(axis=0)
        aspect = self.size_px[0] / max(self.size_px[1], 1)
        diagonal = float(np.linalg.norm(corners[-1] - corners[0]))
        self._distance_mm = max(4.0 * diagonal, 1.0)
        self._set_visible_height(1.25 * max(height, width / aspect, 1e-2 * diagonal))

    def widen(self, times: float) -> None:
        """See so many times as much, for a picture that is narrower than the view; 1 or less is as usual."""
        times = max(1.0, times)
        self._camera.SetParallelScale(self._camera.GetParallelScale() / self._wide * times)
        half = times * np.tan(np.radians(self._view_angle_deg / 2))
        self._camera.SetViewAngle(float(np.degrees(2 * np.arctan(half))))
        self._wide = times

    def fly_to(self, at_mm: Iterable[float], size_mm: float) -> None:
        """Bring a place to the middle, with some surroundings."""
        self._focus = np.array(list(at_mm), dtype=float)
        if self.visible_height_mm > size_mm:
            self._set_visible_height(size_mm)
        self._place()

    def _matrix(self) -> FloatArray:
        aspect = self.size_px[0] / max(self.size_px[1], 1)
        matrix = self._camera.GetCompositeProjectionTransformMatrix(aspect, -1.0, 1.0)
        return np.array([[matrix.GetElement(i, j) for j in range(4)] for i in range(4)])

    def project(self, points_mm: FloatArray) -> FloatArray:
        """(n, 2) pixels in the view, from its top left corner, of (n, 3) points."""
        points = np.atleast_2d(points_mm)
        seen = np.column_stack([points, np.ones(len(points))]) @ self._matrix().T
        seen = seen[:, :2] / seen[:, 3:]
        return np.column_stack([(seen[:, 0] + 1) / 2 * self.size_px[0], (1 - seen[:, 1]) / 2 * self.size_px[1]])

    def project_deep(self, points_mm: FloatArray) -> FloatArray:
        """(n, 3) pixels as in `project` and depth in the picture, 0 near to 1 far, of (n, 3) points; quick for many."""
        x, y, z = np.asarray(points_mm).T
        rows = self._matrix().astype(points_mm.dtype)
        # Written out, as a product of matrices wakes threads that wait for each other on a busy machine.
        seen = np.stack([x * row[0] + y * row[1] + z * row[2] + row[3] for row in rows[:3]], axis=1)
        if not self.parallel:
            seen /= (x * rows[3, 0] + y * rows[3, 1] + z * rows[3, 2] + rows[3, 3])[:, None]
        half = np.array([self.size_px[0], -self.size_px[1], 1.0], dtype=seen.dtype) / 2
        seen *= half
        seen += np.abs(half)
        return seen

    @property
    def depth_per_mm(self) -> float:
        """By how much the depth of `project_deep` shrinks per mm towards the eye, at the focus."""
        ends = self.project_deep(np.array([self._focus, self._focus + self.axes()[2]]))
        return float(ends[0, 2] - ends[1, 2])

    @property
    def eye_mm(self) -> FloatArray:
        """(3,) where the eye stands; far away in its direction when the view is orthographic."""
        return np.array(self._camera.GetPosition())

    def ray(self, x_px: float, y_px: float) -> tuple[FloatArray, FloatArray]:
        """Start and end, both (3,), of the line of sight through a pixel, within the clipping range."""
        (ends,) = self.rays(np.array([[x_px, y_px]]))
        return ends[0], ends[1]

    def rays(self, at_px: FloatArray) -> FloatArray:
        """(n, 2, 3) starts and ends of the lines of sight through places (n, 2) of the view."""
        x, y = 2 * at_px[:, 0] / self.size_px[0] - 1, 1 - 2 * at_px[:, 1] / self.size_px[1]
        one = np.ones(len(at_px))
        ends = np.stack([np.column_stack([x, y, far * one, one]) for far in (-1.0, 1.0)], axis=1)
        ends = ends @ np.linalg.inv(self._matrix()).T
        seen: FloatArray = ends[..., :3] / ends[..., 3:]
        return seen
