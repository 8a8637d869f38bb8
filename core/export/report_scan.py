"""The scan in the report: how far every patch swelled, with a sink and without, and how the scan was laid on."""

import math

from core.export.after_build import PatchScanned, ScanSeen
from core.export.report_blocks import Block, Bullets, Figures, Heading, Table, Verdict, Words, cells
from core.export.report_groups import apart_words, worst_of
from core.export.report_tables import digits
from core.export.report_views import Build, views_of_values

LEAST_END_UM = 20.0
"""A narrower scale would show a scanner's noise as if it were swelling (common practice, no source)."""


def scan_verdict(scan: ScanSeen) -> Verdict:
    """Which patches swelled how far, and whether those with a sink swelled less."""
    if scan.apart is None:
        good, strong = None, "Scan:"
    elif scan.apart.high < 0:
        good, strong = True, "Scan: with a sink less swelling, on this part."
    elif scan.apart.low > 0:
        good, strong = False, "Scan: with a sink more swelling, on this part."
    else:
        good, strong = None, "Scan: no difference between patches with a sink and without is told."
    worst = worst_of(scan.patches, _swelling_mm)
    if not worst:
        return Verdict(good=good, strong=strong, text="Nothing was measured on the patches.")
    um = [round(1e3 * _swelling_mm(patch)) for _, patch in worst]
    told = [f"{who} {_swelled(by)}" for (who, _), by in zip(worst, um, strict=True)]
    if len(um) == 2 and min(um) > 0:
        told[1] = f"{worst[1][0]} {um[1]} µm"
    return Verdict(good=good, strong=strong, text=f"{'; '.join(told)}.")


def scan_blocks(scan: ScanSeen, build: Build) -> list[Block]:
    """Alignment, a row per patch, the difference, the part coloured by deviation, and cautions."""
    end_um = _end_um(scan)
    views = views_of_values(
        build, 1e3 * scan.by_face, -end_um, end_um, "Deviation, µm", "Deviation of the scan from the part."
    )
    rows = tuple(
        cells(
            str(p.patch),
            "yes" if p.with_sink else "no",
            *(_micro(v) for v in (p.mean_mm, p.p95_mm, p.highest_mm, p.lowest_edge_mm)),
            f"{p.measured:.0%}".replace("%", " %"),
        )
        for p in scan.patches
    )
    heads = ("Patch", "Sink", "Mean µm", "95 % below µm", "Highest µm", "Lowest edge µm", "Measured")
    caption = (
        f"Mean deviation of each face; dark is {end_um:.0f} µm inward or more, bright as far outward. Pale: a hole in "
        "the scan."
    )
    return [
        Heading(text="Scan of the built part"),
        Words(text=f"File “{scan.file}”, {digits(scan.triangles, 0)} triangles, laid on the part by "
              f"{100 * scan.used_share:.0f} % of the places: RMS {1e3 * scan.rms_mm:.0f} µm, turned by "
              f"{scan.turned_deg:.2f}°. Faces of no patch deviate by {_micro(scan.elsewhere_rms_mm)} µm (RMS)."),
        Table(heads=heads, rows=rows, widths=(0.1, 0.09, 0.14, 0.18, 0.15, 0.19, 0.15), numbers=frozenset(range(2, 7))),
        Words(text="Outward positive: swelling or dross. Lowest edge: mean of the patch's lowest half millimetre or "
              "twentieth.", small=True),
        *apart_words(scan.apart, lambda v: f"{1e3 * v:+.0f} µm", "further out", "further in"),
        Figures(drawings=[(views[0], caption), (views[1], "The same from the other side.")]),
        Bullets(sentences=scan.cautions),
    ]  # fmt: skip


def _swelling_mm(patch: PatchScanned) -> float:
    """At the lowest edge, where that was measured."""
    return patch.mean_mm if math.isnan(patch.lowest_edge_mm) else patch.lowest_edge_mm


def _swelled(um: int) -> str:
    return f"swelled {um} µm at its lowest edge" if um > 0 else f"lies {-um} µm inward at its lowest edge"


def _end_um(scan: ScanSeen) -> float:
    """End of the scale: a round number that holds the means of all patches."""
    most = 1e3 * max((abs(p.mean_mm) for p in scan.patches if not math.isnan(p.mean_mm)), default=0.0)
    power = 10.0 ** math.floor(math.log10(max(most, LEAST_END_UM)))
    return next(n * power for n in (1.0, 2.0, 5.0, 10.0) if n * power >= max(most, LEAST_END_UM) * (1 - 1e-9))


def _micro(value_mm: float) -> str:
    return "–" if math.isnan(value_mm) else digits(1e3 * value_mm, 0)
