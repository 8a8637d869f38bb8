"""The orientation study: many build directions roughly, the best refined and scored with the real chain."""

from dataclasses import replace

import numpy as np

from core.export.orientation_study import AIMS, LEAST_STEP, Orientation, OrientationStudy
from core.heat.materials import alloy
from core.heat.sink_resistance import leg_share
from core.job import Job
from core.part.downskin import find_patches
from core.part.more_parts import single_parts
from core.part.orientation_front import front_of, spread_out
from core.part.orientation_scores import (
    FINE_CELLS,
    LEAST_MM2,
    ROUGH_CELLS,
    DirectionScores,
    joined,
    score_directions,
)
from core.part.orientations import (
    directions_along,
    faces_of_runs,
    fibonacci_directions,
    flat_side_directions,
    looks_down,
    neighbours_of,
    turn_for,
)
from core.part.part import Part
from core.part.patch import Patch
from core.part.place_on_plate import Pose, place_on_plate, rotation_matrix
from core.progress import GoesOn, never_stop, part_of, report
from core.refusal import Refusal
from core.run_job import ROOM_K, estimate_of
from core.run_window import ledge
from core.units import BoolArray, FloatArray

DIRECTIONS = 800
"""Over the whole sphere, so 400 and their opposites."""
LEAST_DIRECTIONS, MOST_DIRECTIONS = 50, 20_000
MOST_SHOWN = 20
REFINED, ROUNDS = 12, 2
"""So many of the front are refined, so many times."""
MOST_ESTIMATES = 8
LEDGE_DEG = 20.0
"""Downskin angle for the first look at the rise; the final ones take the patch's own."""


def study_orientations(
    job: Job, part: Part, goes_on: GoesOn = never_stop, *, directions: int = DIRECTIONS, standing_mm2: float = 0.0
) -> OrientationStudy:
    """Score build directions of a placed part and find those that none beats in all of AIMS.

    part: in build position by the job's pose; of a job with several parts the first is studied. standing_mm2: leave
    out those that rest on the plate by less, as on an edge or a point. Raises Refusal when no direction obeys the
    job's faces that must not look down or fits into the build height; Stopped when told to stop.
    """
    if not LEAST_DIRECTIONS <= directions <= MOST_DIRECTIONS:
        raise Refusal(f"{directions} directions are out of range; set {LEAST_DIRECTIONS} to {MOST_DIRECTIONS}.")
    report(goes_on, 0.0)
    part = single_parts(part)[0] if job.more_parts else part
    if job.never_downskin and job.never_downskin[-1][1] >= part.n_faces:
        face = job.never_downskin[-1][1]
        raise Refusal(f"Face {face} must not look down, but the part has only {part.n_faces}; mark them again.")
    study = _Study(job, as_in_file(part, job.pose), standing_mm2)
    now = study.exact([job.pose.rotate_deg])[0]
    tried = study.allowed(study.candidates(directions))
    scores = study.rough(tried, part_of(goes_on, 0.02, 0.6))
    tried, scores = study.fitting(tried, scores)
    reach = 2.8 / np.sqrt(directions) / 2.0
    for number in range(ROUNDS):
        aims = study.aims(scores)
        front = front_of(aims, np.array(LEAST_STEP))
        seeds = tried[front[spread_out(aims[front], REFINED)]]
        around = neighbours_of(seeds, reach / 3.0**number, 0.5 * number)
        around = around[~looks_down(around, study.never)]
        if not len(around):
            break
        more = study.rough(around, part_of(goes_on, 0.6 + 0.1 * number, 0.7 + 0.1 * number))
        around, more = study.fitting(around, more, must=False)
        tried, scores = np.concatenate([tried, around]), joined([scores, more])
    found = study.finish(tried, study.aims(scores), part_of(goes_on, 0.8, 1.0))
    report(goes_on, 1.0)
    return OrientationStudy(
        job=job, part=study.part, now=now, front=found, tried=study.aims(scores), n_forbidden=study.n_forbidden,
        n_too_high=study.n_too_high,
    )  # fmt: skip


def as_in_file(part: Part, pose: Pose) -> Part:
    """A placed part turned back to how its file has it; where it lies doesn't matter here."""
    if not any(pose.rotate_deg):
        return part
    vertices = np.ascontiguousarray(part.vertices_mm @ rotation_matrix(pose.rotate_deg))
    return replace(part, vertices_mm=vertices, open_edge_points_mm=np.zeros((0, 2, 3)))


class _Study:
    """A part with the job's limits: scores directions roughly and exactly, and counts what is left out."""

    def __init__(self, job: Job, part: Part, standing_mm2: float) -> None:
        self.job, self.part, self._standing_mm2 = job, part, standing_mm2
        faces = faces_of_runs(job.never_downskin)
        faces = faces[part.areas_mm2[faces] > 0]
        self.never, self._areas = part.normals[faces], part.areas_mm2[faces]
        self.n_forbidden = self.n_too_high = 0
        self._g_mm3 = alloy(job.metal).density_kg_m3(ROOM_K) * 1e-6 * leg_share(job.sink)
        self._heights_mm = np.geomspace(0.3, max(float(np.linalg.norm(part.size_mm)), 1.0), 40)
        self._rises_k = np.array([_rise_k(job, ledge_at(h, job.laser.layer_mm)) for h in self._heights_mm])

    def candidates(self, n: int) -> FloatArray:
        """(m, 3) evenly spread, square to flat sides, and along the faces that must not look down."""
        found = [flat_side_directions(self.part), fibonacci_directions(n)]
        if len(self.never):
            found.append(directions_along(self.never, self._areas))
        return np.concatenate(found)

    def allowed(self, directions: FloatArray) -> FloatArray:
        """Those that turn no face down that must not look down. Raises Refusal when there are none."""
        down = looks_down(directions, self.never)
        self.n_forbidden = int(down.sum())
        if down.all():
            raise Refusal(
                f"The {sum(b - a + 1 for a, b in self.job.never_downskin)} faces that must never be downskin look to "
                "all sides, so every orientation turns one down; take some of them out."
            )
        return np.asarray(directions[~down])

    def fitting(
        self, directions: FloatArray, scores: DirectionScores, *, must: bool = True
    ) -> tuple[FloatArray, DirectionScores]:
        """Those not higher than the build volume that rest on enough. Raises Refusal when some must and none do."""
        fits = self._fits(scores.height_mm)
        self.n_too_high += int((~fits).sum())
        stands = scores.rest_mm2 >= self._standing_mm2
        if must and fits.any() and not (fits & stands).any():
            raise Refusal(
                f"No orientation allowed rests on the plate by {self._standing_mm2:g} mm²; the most is "
                f"{scores.rest_mm2[fits].max():.1f} mm². Ask for less."
            )
        if must and not fits.any():
            raise Refusal(
                f"The part is higher than the build height of {self.job.plate.height_mm:g} mm in every orientation "
                f"allowed, at least {scores.height_mm.min():.1f} mm; check the plate's height and the part's unit."
            )
        names = DirectionScores.__dataclass_fields__
        kept = fits & stands
        return directions[kept], DirectionScores(**{name: getattr(scores, name)[kept] for name in names})

    def _fits(self, height_mm: FloatArray) -> BoolArray:
        return np.asarray(np.asarray(height_mm) <= self.job.plate.height_mm + 1e-6)

    def rough(self, directions: FloatArray, goes_on: GoesOn) -> DirectionScores:
        return score_directions(
            self.part, directions, self.job.max_angle_deg, self.job.gap.gap_mm, cells=ROUGH_CELLS, goes_on=goes_on
        )

    def aims(self, scores: DirectionScores) -> FloatArray:
        """(n, 4) AIMS from rough scores; the rise of the highest patch stands for the worst."""
        rise = np.interp(scores.patch_mm, self._heights_mm, self._rises_k)
        rise = np.where(scores.patch_mm > 0, rise, 0.0)
        return np.column_stack([scores.low_angle_mm2, scores.column_mm3 * self._g_mm3, scores.height_mm, rise])

    def finish(self, tried: FloatArray, aims: FloatArray, goes_on: GoesOn) -> tuple[Orientation, ...]:
        """The front, scored exactly as rounded for printing, and what is still not beaten then."""
        front = front_of(aims, np.array(LEAST_STEP))
        chosen = tried[front[spread_out(aims[front], MOST_SHOWN)]]
        found = self.exact([turn_for(direction) for direction in chosen], goes_on)
        found = [one for one in found if one.never_down and one.fits and one.rest_mm2 >= self._standing_mm2 - 1e-3]
        exact = np.array([one.aims for one in found]).reshape(-1, len(AIMS))
        best = front_of(exact, np.array(LEAST_STEP))
        return tuple(found[i] for i in best[spread_out(exact[best], MOST_SHOWN)])

    def exact(self, turns: list[tuple[float, float, float]], goes_on: GoesOn = never_stop) -> list[Orientation]:
        """Patches and rises by the real chain, columns on fine cells."""
        upright = np.array([rotation_matrix(turn)[2] for turn in turns])
        limit, gap = self.job.max_angle_deg, self.job.gap.gap_mm
        fine = score_directions(self.part, upright, limit, gap, cells=FINE_CELLS, goes_on=part_of(goes_on, 0.0, 0.4))
        down = looks_down(upright, self.never)
        found = []
        for k, turn in enumerate(turns):
            report(goes_on, 0.4 + 0.6 * k / len(turns))
            found.append(self._exact(turn, fine, k, never_down=not down[k]))
        return found

    def _exact(
        self, rotate_deg: tuple[float, float, float], fine: DirectionScores, k: int, *, never_down: bool
    ) -> Orientation:
        """One orientation; its columns are row k of the fine scores."""
        placed = place_on_plate(self.part, Pose(rotate_deg=rotate_deg, drop=True))
        patches = find_patches(placed, self.job.max_angle_deg, self.job.laser.layer_mm)
        high = sorted((p for p in patches if p.area_mm2 >= LEAST_MM2), key=lambda p: -p.centre_mm[2])
        flat = sorted(high, key=lambda p: p.mean_angle_deg)
        worst = {p.id: p for p in (*high[:MOST_ESTIMATES], *flat[:MOST_ESTIMATES])}
        return Orientation(
            rotate_deg=rotate_deg,
            low_angle_mm2=sum(p.area_mm2 for p in patches),
            patches=len(patches),
            sink_g=float(fine.column_mm3[k]) * self._g_mm3,
            sink_mm=float(fine.column_mm[k]),
            removable=bool(fine.removable[k]),
            stuck_mm2=float(fine.stuck_mm2[k]),
            islands=int(fine.islands[k]),
            height_mm=float(placed.size_mm[2]),
            rise_k=max((_rise_k(self.job, p) for p in worst.values()), default=0.0),
            rest_mm2=float(fine.rest_mm2[k]),
            never_down=never_down,
            fits=bool(self._fits(placed.size_mm[2])),
        )


def ledge_at(height_mm: float, layer_mm: float) -> Patch:
    """A small ledge whose centre lies so high; stands in for a patch whose angle isn't known yet."""
    return ledge(LEDGE_DEG, height_mm, layer_mm, side_mm=1.0)


def _rise_k(job: Job, patch: Patch) -> float:
    return float(estimate_of(job, patch).rise_with_k.nominal)
