"""The command 'images': layer images compared with the part, as files, JSON or a table."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_commands import DONE, job_of, print_result
from app.cli_tables import table, warning_lines
from core.export.write_job import check_out_dir
from core.progress import part_of
from core.run_images import check_not_among_images, images_values, place_of_images, run_images, write_images
from core.trial.image_choice import ImageChoice
from core.trial.layer_images import open_layer_images

if TYPE_CHECKING:
    from app.cli import StopKey

SPOTS_SHOWN = 10


def images(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Read layer images, compare them with the job's part and write what was found."""
    out_dir = Path(options.out)
    check_out_dir(out_dir)
    check_not_among_images(out_dir, Path(options.folder))
    job = job_of(options.part)
    layer_mm = job.laser.layer_mm if options.layer is None else options.layer
    first_mm = layer_mm if options.first_layer is None else options.first_layer
    given = {"z_limit": options.z_limit, "least_pixels": options.least_pixels, "depth_layers": options.depth_layers}
    choice = ImageChoice(
        layer_mm=layer_mm, first_layer_mm=first_mm, **{k: v for k, v in given.items() if v is not None}
    )
    place = place_of_images(options.points, options.map)
    stack = open_layer_images(options.folder, options.h5)
    result = run_images(
        job, stack, place, choice, part_of(stop_key.goes_on, 0.0, 0.9), with_sink=options.with_sink or (),
        heat_folder=None if options.heat is None else Path(options.heat),
    )  # fmt: skip
    stop_key.at_once = False
    files = write_images(result, out_dir, part_of(stop_key.goes_on, 0.9, 1.0))
    stop_key.goes_on(1.0)
    values = images_values(result) | {"files": list(files)}
    print_result(values, options.json, lambda v: images_text(v, str(out_dir)))
    return DONE


def images_text(values: dict[str, Any], folder: str) -> str:
    """Where the images lie, the hottest spots, the patches and how they differ."""
    place = values["place"]
    mirror = ", mirrored" if place["mirrored"] else ""
    lines = [
        f"{values['images']} images of {values['columns']} x {values['rows']} pixels, {values['images_with_part']} of "
        f"them show the part; {place['kind']} from {place['pairs']} pairs, RMS {place['rms_px']:.3f} px = "
        f"{place['rms_mm']:.4f} mm, {place['mm_per_px'][0]:.4f} mm a pixel, turned {place['turned_deg']:.2f}°{mirror}.",
        "",
        f"Hot spots: {values['hot_spots']}",
    ]
    if values["hottest"]:
        heads = ["layer", "x mm", "y mm", "z mm", "area mm²", "score", "patch"]
        rows = [
            [str(s["layer"]), f"{s['x_mm']:.2f}", f"{s['y_mm']:.2f}", f"{s['z_mm']:.2f}", f"{s['area_mm2']:.2f}",
             f"{s['highest_z']:.1f}", "-" if s["patch"] is None else str(s["patch"])]
            for s in values["hottest"][:SPOTS_SHOWN]
        ]  # fmt: skip
        lines += [table(heads, rows)]
    if values["patches"]:
        rows = [
            [str(p["patch"]), "yes" if p["with_sink"] else "no", str(p["layers"]),
             "-" if p["mean_z"] is None else f"{p['mean_z']:.2f}",
             "-" if p["hot_share"] is None else f"{p['hot_share']:.2%}"]
            for p in values["patches"]
        ]  # fmt: skip
        lines += ["", table(["patch", "sink", "layers", "mean score", "hot pixels"], rows)]
    lines += difference_lines(values["difference"], "score", "standard deviations")
    for name, c in (values["heat"] or {}).items():
        lines.append(
            f"With the predicted temperature, by {name}: "
            + (f"rank correlation {c['spearman']:.2f}, n {c['n']}." if c else "too few values.")
        )
    notes = [f"Note: {note}" for note in values["notes"]]
    return "\n".join([*lines, "", *notes, *warning_lines(values), "", f"Written to {folder}: "
                      + ", ".join(values["files"])]) + "\n"  # fmt: skip


def difference_lines(difference: dict[str, Any] | None, what: str, unit: str) -> list[str]:
    """With sinks less without, in one sentence."""
    if difference is None:
        return []
    d = difference
    effect = "" if d["effect"] is None else f", effect size g {d['effect']:.2f}"
    return [
        "",
        f"Patches with a sink less those without: {what} {d['mean']:+.3f} ({d['low']:+.3f} to {d['high']:+.3f}, 95 %) "
        f"{unit}{effect}.",
    ]
