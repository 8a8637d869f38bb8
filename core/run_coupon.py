"""From what a coupon shall try to its files: window and command line both run this."""

from pathlib import Path
from typing import Any

from core.export.write_coupon import check_coupon_dir, coupon_values, write_coupon
from core.progress import GoesOn, never_stop, part_of, report
from core.trial.coupon import Coupon, build_coupon
from core.trial.coupon_choice import CouponChoice


def run_coupon(choice: CouponChoice, out_dir: Path, goes_on: GoesOn = never_stop) -> tuple[Coupon, dict[str, Any]]:
    """Build and write a coupon; returns it and what `coupon --json` prints.

    Raises Refusal when it doesn't fit, a sink can't be built or the folder can't be used, Stopped when told to stop;
    nothing is written then.
    """
    check_coupon_dir(out_dir)
    coupon = build_coupon(choice, part_of(goes_on, 0.0, 0.7))
    files = write_coupon(coupon, out_dir, part_of(goes_on, 0.7, 1.0))
    report(goes_on, 1.0)
    return coupon, coupon_values(coupon, files)
