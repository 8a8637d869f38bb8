"""The patch table as text, for a spreadsheet."""

from core.part.patch import Patch

HEADS = ("Patch", "Area mm²", "Lowest angle °", "Height mm", "Overhang step mm")


def patches_as_text(patches: tuple[Patch, ...]) -> str:
    """A line a patch, columns parted by tabs."""
    lines = ["\t".join(HEADS)]
    lines += [
        f"{p.id}\t{p.area_mm2:.3f}\t{p.lowest_angle_deg:.3f}\t{p.z_min_mm:.3f}\t{p.overhang_step_mm:.4f}"
        for p in patches
    ]
    return "\n".join(lines)
