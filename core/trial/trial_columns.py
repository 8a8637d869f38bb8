"""The columns of a trial sheet: what the coupon fills in, and what is recorded by hand."""

GIVEN = (
    "cell",
    "gap_mm",
    "angle_deg",
    "replicate",
    "x_mm",
    "y_mm",
    "vertical_gap_mm",
    "clearance_mm",
    "alloy",
    "layer_mm",
    "power_w",
    "speed_mm_s",
    "hatch_mm",
    "spot_mm",
    "passes",
)
"""gap_mm is normal to the face as asked, empty for a cell without a sink; x and y of the cell's middle."""
RECORDED = ("result", "force_n", "ra_um", "sa_um", "swelling_mm", "built_on", "remark")
COLUMNS = (*GIVEN, *RECORDED)
SETTINGS = ("alloy", "layer_mm", "power_w", "speed_mm_s", "hatch_mm", "spot_mm", "passes")
"""What must be the same in all rows that are fitted together."""
NEEDED = ("gap_mm", "angle_deg", "result")
RESULTS = ("free", "stuck", "lost")
WHAT_TO_RECORD = (
    ("result", "free: the sink comes off by hand or by its own weight, part and sink cut off the plate. stuck: it "
     "doesn't. lost: can't be judged (not built, broken, curled into the recoater). Without a sink leave it empty."),
    ("force_n", "Force at which the sink came off, N, if it was measured; 0 when it fell off."),
    ("ra_um, sa_um", "Roughness of the ledge's underside, µm: Ra along the ledge (ISO 21920-2), Sa (ISO 25178-2)."),
    ("swelling_mm", "How far the edge of the ledge's tip stands above or below its drawn height, mm, up positive."),
    ("built_on", "Date of the build, such as 2026-11-26; once is enough."),
)  # fmt: skip
