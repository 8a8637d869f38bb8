"""Make the sample parts of the Nordhaven Tidal workshop, check each against its known answers, and write both.

Run: python sample_parts/make_sample_parts.py [folder]. The same bytes come out every time.
"""

import json
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Any

import manifold3d as m3
import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

import impeller_shroud
import manifold_block
import sensor_bracket
import sensor_fairing
import valve_body
from solids import Points, Triangles, points_and_triangles, round_to_file, write_3mf, write_stl

MAX_ANGLE_DEG = 45.0
AREA_ALLOWED = 1e-4
"""Share by which a meshed area may differ from the one worked out by hand."""


def low_patches(points: Points, triangles: Triangles) -> list[dict[str, float]]:
    """Connected faces flatter than 45 degrees that don't lie on the plate, largest first, measured on the mesh."""
    corners = points[triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = 0.5 * np.linalg.norm(cross, axis=1)
    angle = np.degrees(np.arctan2(np.hypot(cross[:, 0], cross[:, 1]), -cross[:, 2]))
    low = np.flatnonzero((angle < MAX_ANGLE_DEG) & (corners[:, :, 2].max(axis=1) > 1e-6))
    edges = np.sort(np.concatenate([triangles[low][:, [i, (i + 1) % 3]] for i in range(3)]), axis=1)
    owner = np.tile(np.arange(len(low)), 3)
    order = np.lexsort(edges.T)
    same = (edges[order][1:] == edges[order][:-1]).all(axis=1)
    left, right = owner[order][:-1][same], owner[order][1:][same]
    links = coo_array((np.ones(len(left)), (left, right)), shape=(len(low), len(low)))
    count, label = connected_components(links, directed=False)
    found = []
    for k in range(count):
        faces = low[label == k]
        z = corners[faces][:, :, 2]
        found.append(
            {
                "area_mm2": float(area[faces].sum()),
                "lowest_angle_deg": float(angle[faces].min()),
                "highest_angle_deg": float(angle[faces].max()),
                "z_min_mm": float(z.min()),
                "z_max_mm": float(z.max()),
            }
        )
    return sorted(found, key=lambda patch: -patch["area_mm2"])


def expected(area: float, lowest: float, angle_allowed: float, what: str) -> dict[str, Any]:
    """What a patch must measure: area to AREA_ALLOWED, lowest angle to angle_allowed degrees."""
    return {
        "what": what,
        "area_mm2": round(area, 6),
        "area_allowed_mm2": round(area * AREA_ALLOWED, 6),
        "lowest_angle_deg": round(lowest, 6),
        "lowest_angle_allowed_deg": angle_allowed,
    }


def all_parts() -> dict[str, tuple[m3.Manifold, dict[str, Any]]]:
    """Every part with its answers; the areas come from the formulas in the part's own module."""
    fine = round_to_file(impeller_shroud.impeller_shroud()).refine_to_length(2.5)
    bore = 180.0 / manifold_block.SEGMENTS
    return {
        "impeller-shroud": (
            fine,
            {
                "patches": [expected(impeller_shroud.underside_area_mm2(), 20.0, 0.01, "flare, underside")],
                "true_surface_area_mm2": round(impeller_shroud.smooth_underside_area_mm2(), 6),
                "sink_possible": True,
                "why": "Below the flare there is nothing down to the plate.",
            },
        ),
        "manifold-block": (
            manifold_block.manifold_block(),
            {
                "patches": [expected(manifold_block.ceiling_area_mm2(), bore, 0.01, "ceiling of the horizontal bore")],
                "sink_possible": False,
                "why": "The bore's own floor lies between its ceiling and the plate.",
            },
        ),
        "sensor-bracket": (
            sensor_bracket.sensor_bracket(),
            {
                "patches": [
                    expected(sensor_bracket.CEILING_AREA_MM2, 0.0, 1e-6, "underside of the shelf, 20 x 20 mm"),
                    expected(sensor_bracket.LEDGE_AREA_MM2, 30.0, 1e-3, "underside of the cable ledge"),
                ],
                "true_volume_mm3": round(sensor_bracket.volume_mm3(), 6),
                "sink_possible": True,
                "why": "Shelf and ledge hang past the foot, over the open plate.",
            },
        ),
        "sensor-fairing": (
            sensor_fairing.sensor_fairing(),
            {
                "patches": [expected(sensor_fairing.lip_area_mm2(), 18.6, 0.1, "underside of the lower lip")],
                "lip_length_mm": round(sensor_fairing.lip_length_mm(), 3),
                "sink_possible": True,
                "why": "Below the lip there is nothing down to the plate.",
            },
        ),
        "valve-body": (
            valve_body.valve_body(),
            {
                "patches": [expected(valve_body.ceiling_area_mm2(), 25.0, 0.01, "ceiling of the inner room")],
                "sink_possible": False,
                "why": "The room has a closed floor above the plate and only ports smaller than its ceiling.",
            },
        ),
    }


def check(name: str, found: list[dict[str, float]], answers: dict[str, Any]) -> None:
    """Stop when the mesh doesn't show the patches worked out by hand."""
    wanted = sorted(answers["patches"], key=lambda patch: -patch["area_mm2"])
    if len(found) != len(wanted):
        raise SystemExit(f"{name}: {len(found)} patches instead of {len(wanted)}: {found}")
    for seen, want in zip(found, wanted, strict=True):
        area_off = abs(seen["area_mm2"] - want["area_mm2"])
        angle_off = abs(seen["lowest_angle_deg"] - want["lowest_angle_deg"])
        if area_off > want["area_allowed_mm2"] or angle_off > want["lowest_angle_allowed_deg"]:
            raise SystemExit(f"{name}: measured {seen}, worked out {want}")


def zip_without_dates(path: Path) -> None:
    """Pack a zip again with one fixed date, entries in name order, so that the bytes don't change."""
    with zipfile.ZipFile(path) as old:
        entries = {name: old.read(name) for name in sorted(old.namelist())}
    with zipfile.ZipFile(path, "w") as new:
        for name, content in entries.items():
            info = zipfile.ZipInfo(name, date_time=(2026, 11, 25, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(info, content, compresslevel=9)


def make(folder: Path) -> dict[str, Any]:
    """Write every file into the folder and return the known answers."""
    answers: dict[str, Any] = {}
    for name, (solid, known) in all_parts().items():
        solid = round_to_file(solid)
        points, triangles = points_and_triangles(solid)
        found = low_patches(points, triangles)
        check(name, found, known)
        size = points.max(axis=0) - points.min(axis=0)
        if abs(points[:, 2].min()) > 0 or len(solid.decompose()) != 1:
            raise SystemExit(f"{name} must be one piece that stands on z = 0.")
        for seen, want in zip(found, sorted(known["patches"], key=lambda patch: -patch["area_mm2"]), strict=True):
            want |= {key: round(seen[key], 4) for key in ("highest_angle_deg", "z_min_mm", "z_max_mm")}
        measured = {
            "triangles": len(triangles),
            "size_mm": [round(float(value), 6) for value in size],
            "volume_mm3": round(solid.volume(), 4),
        }
        write_stl(folder / f"{name}.stl", points, triangles, f"Nordhaven Tidal {name}, mm")
        answers[f"{name}.stl"] = measured | known
        if name == "sensor-fairing":
            write_3mf(folder / f"{name}.3mf", points, triangles, "sensor fairing")
            zip_without_dates(folder / f"{name}.3mf")
            answers[f"{name}.3mf"] = measured | known
        if name == "sensor-bracket":
            volume = sensor_bracket.write_step(folder / f"{name}.step")
            if abs(volume / known["true_volume_mm3"] - 1) > 1e-9:
                raise SystemExit(f"{name}: the kernel finds {volume} mm3, by hand {known['true_volume_mm3']}.")
            answers[f"{name}.step"] = known | {"size_mm": measured["size_mm"], "volume_mm3": known["true_volume_mm3"]}
        print(f"{name}: {len(triangles)} triangles, {found}")
    return answers


def main(folder: Path) -> None:
    """Make everything aside first, so that a failure leaves the old files alone."""
    with tempfile.TemporaryDirectory() as aside:
        answers = make(Path(aside))
        for made in sorted(Path(aside).iterdir()):
            (folder / made.name).write_bytes(made.read_bytes())
    (folder / "known_answers.json").write_text(json.dumps(answers, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
