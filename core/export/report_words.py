"""Sentences every report carries: what the numbers don't promise, how sinks come off, and the safety words."""

LIMITS = (
    "A sink lowers the temperature from layer to layer. It does not cool the melt pool of the first track.",
    "A sink does not touch the part: it gives no hold-down against curl. Large flat ledges may still lift.",
    (
        "Below about 20° expect trouble even with a sink; the one published gap study failed at 15° "
        "(Celik et al., Materials 15(11):3765, 2022)."
    ),
    "Powder conductivity is known to a factor, not to a percent.",
    "The fuse limit is an energy bound, good to about ±40 %.",
    "Short ledges in aluminium or copper gain little.",
    "Every thermal number here is an estimate until a coupon of your alloy, powder and machine replaces it.",
)

SAFETY = (
    "Metal powder can burn and explode, titanium, aluminium and magnesium above all.",
    "Powder must not be inhaled; nickel, cobalt and chromium sensitise.",
    "Inert gas displaces air: danger of asphyxiation.",
    "Powder trapped in gaps and cavities comes free when parts are cut or sinks taken out.",
    "Edges are sharp, and parts can spring when they are released from the plate.",
    (
        "ISO/ASTM 52931, NFPA 484 and 660, local codes, the machine maker's instructions and licensed practice go "
        "before this sheet."
    ),
    "Parts for safety-critical use need their own qualification.",
)

REMOVAL_WORDS = (
    "Cut part and sinks from the build plate first; nothing joins a sink to the part. Take the sinks off in this "
    "order, each along its way; those of one step in any order. Directions in plan run from +X towards +Y, seen from "
    "above."
)

FLAG_WORDS = (
    "Flags: read = seen in the source; second-hand = quoted elsewhere; memory = not checked against the source, a "
    "starting value; computed = from formulas; measured = measured by us; set here = typed into this job. The "
    "limits themselves carry the bands above, whatever the flag."
)
