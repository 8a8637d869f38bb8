"""The commands around trials: a coupon to build, and the fit of what came out of it."""

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_arguments import LASER_OPTIONS
from app.cli_commands import DONE, print_result
from app.cli_tables import table
from core.heat.laser_settings import LaserSettings
from core.heat.materials import alloy
from core.part.place_on_plate import Plate
from core.run_coupon import run_coupon
from core.sink.sink_choice import SinkChoice
from core.trial.coupon_choice import CouponChoice

if TYPE_CHECKING:
    from app.cli import StopKey


def coupon(options: argparse.Namespace, stop_key: "StopKey") -> int:
    """Build the coupon and write it with its trial sheet."""
    metal = alloy(options.alloy)
    laser = replace(LaserSettings(absorptivity=metal.absorptivity.value), **_laser_given(options))
    plate = Plate()
    if options.plate is not None:
        plate = replace(plate, size_mm=options.plate[:2], height_mm=options.plate[2])
    if options.border is not None:
        plate = replace(plate, border_mm=options.border)
    choice = CouponChoice(alloy=metal.name, laser=laser, plate=plate, sink=SinkChoice(kind=options.kind))
    given = {"gaps_mm": options.gaps, "angles_deg": options.angles, "replicates": options.replicates}
    given |= {"seed": options.seed}
    choice = replace(choice, **{key: value for key, value in given.items() if value is not None})
    _, values = run_coupon(choice, Path(options.out), stop_key.goes_on)
    print_result(values, options.json, lambda v: coupon_text(v, options.out))
    return DONE


def _laser_given(options: argparse.Namespace) -> dict[str, Any]:
    """The laser settings that were given, by the names of their fields."""
    units = {"W": "_w", "MM/S": "_mm_s", "MM": "_mm", "S": "_s", "C": "_c"}
    words = ((name.replace("-", "_"), units.get(unit, "")) for name, unit, _ in LASER_OPTIONS)
    return {word + unit: getattr(options, word) for word, unit in words if getattr(options, word) is not None}


def coupon_text(values: dict[str, Any], folder: str) -> str:
    """The cells in a table, the notes, and what was written."""
    rows = [
        [
            c["cell"],
            "none" if c["gap_mm"] is None else f"{c['gap_mm']:g}",
            f"{c['angle_deg']:g}",
            f"{c['x_mm']:g}",
            f"{c['y_mm']:g}",
            "" if c["clearance_mm"] is None else f"{c['clearance_mm']:.4f}",
        ]
        for c in values["cells"]
    ]
    title = f"Gap coupon for {values['alloy']}, layer {values['laser']['layer_mm']:g} mm, {len(rows)} cells"
    heads = ["cell", "gap mm", "angle °", "x mm", "y mm", "nearest mm"]
    notes = [f"Note: {note}" for note in values["notes"]]
    files = f"Written to {folder}: {', '.join(values['files'])}"
    return "\n".join([title, table(heads, rows), "", *notes, files]) + "\n"
