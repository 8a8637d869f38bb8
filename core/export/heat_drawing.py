"""Drawings of heat: what a layer's metal has cooled to before the next one, over the height of the build."""

import io
from typing import Any

from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from core.heat.compare_heat import HeatComparison
from core.part.patch import Patch

TEAL, GREY, SLATE = "#1b7f79", "#8a8178", "#4a5560"
MOST_NAMES = 8
"""Patches named in the drawing; more would lie on each other."""


def layer_drawing(comparison: HeatComparison, patches: tuple[Patch, ...]) -> tuple[bytes, bytes]:
    """PNG and SVG of the part's temperature between layers over height, with the sinks and without; same bytes
    each time."""
    with drawing_rules():
        figure = Figure(figsize=(6.4, 6.4), layout="constrained")
        axes = figure.add_subplot()
        for run, name, colour in (
            (comparison.without, "without sinks", GREY),
            (comparison.with_sinks, "with sinks", TEAL),
        ):
            axes.plot(run.layer_mean_c, run.z_mm, color=colour, lw=2.0, label=f"{name}, mean of the layer")
            axes.plot(run.layer_max_c, run.z_mm, color=colour, lw=1.0, ls="--", label=f"{name}, hottest spot")
        for patch in patches:
            thick = max(patch.z_max_mm - patch.z_min_mm, 0.3)
            axes.axhspan(patch.z_min_mm, patch.z_min_mm + thick, color=SLATE, alpha=0.15, lw=0)
        for patch in patches[:MOST_NAMES]:
            axes.annotate(f"patch {patch.id}", (0.99, 0.5 * (patch.z_min_mm + patch.z_max_mm)), ha="right",
                          va="center", color=SLATE, xycoords=("axes fraction", "data"))  # fmt: skip
        axes.set_xlabel("temperature of the part just before the next layer, °C")
        axes.set_ylabel("height over the build plate, mm")
        axes.set_title(_title(comparison), fontsize=10)
        axes.set_ylim(bottom=0.0)
        axes.grid(alpha=0.3)
        axes.legend(loc="best", fontsize=9)
        return png_and_svg(figure)


def _title(comparison: HeatComparison) -> str:
    """That it is an estimate, on which cells, and how far those matter."""
    moved_k = max((max(p.cells.with_k, p.cells.without_k) for p in comparison.patches), default=0.0)
    return (f"Estimate, calibrate with the coupon\ncells of {comparison.cell_mm:g} mm; on larger ones "
            f"patches read up to {moved_k:.0f} K differently")  # fmt: skip


def drawing_rules() -> Any:
    """Settings under which the same drawing gives the same bytes, and text in SVG stays text."""
    return rc_context({"svg.hashsalt": "underfin", "svg.fonttype": "none", "font.family": "DejaVu Sans"})


def png_and_svg(figure: Figure) -> tuple[bytes, bytes]:
    """The drawing as pixels and as lines, without a date."""
    png, svg = io.BytesIO(), io.BytesIO()
    FigureCanvasAgg(figure).print_figure(png, format="png", dpi=150, metadata={"Software": None})
    FigureCanvasSVG(figure).print_figure(svg, format="svg", metadata={"Date": None, "Creator": None})
    return png.getvalue(), svg.getvalue()
