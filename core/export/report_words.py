"""Sentences every report carries: what the numbers don't promise, and the safety words; and its style sheet."""

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

STYLE = """
@page { size: A4; margin: 16mm 14mm; }
* { box-sizing: border-box; }
body { font: 10pt/1.4 "Segoe UI", "Helvetica Neue", Arial, "DejaVu Sans", sans-serif; color: #23282d; margin: 0 auto;
  max-width: 190mm; padding: 6mm; background: #fff; }
header { border-bottom: 2px solid #1b7f79; padding-bottom: 3mm; margin-bottom: 4mm; }
h1 { font-size: 17pt; margin: 0 0 1mm; font-weight: 600; }
h2 { font-size: 11.5pt; margin: 6mm 0 2mm; color: #14605c; font-weight: 600; break-after: avoid; }
p { margin: 1mm 0; }
.small { font-size: 8.5pt; color: #56606a; overflow-wrap: anywhere; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; margin: 1mm 0 2mm; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { text-align: left; padding: 1mm 2mm; border-bottom: 0.25mm solid #d9dee2; vertical-align: top;
  overflow-wrap: anywhere; }
th { font-size: 8.5pt; font-weight: 600; color: #3c454d; border-bottom-color: #8a949d; overflow-wrap: normal; }
td.n, th.n { text-align: right; }
td.n { white-space: nowrap; }
.band { font-size: 8pt; color: #56606a; display: block; }
.pairs th { width: 42mm; border-bottom-color: #d9dee2; }
.verdict { padding: 2.5mm 3mm; border-left: 1.5mm solid; margin: 3mm 0; break-inside: avoid; }
.ok { border-color: #1b7f79; background: #eef6f5; }
.stop { border-color: #8c2f39; background: #f8edee; }
.level { font-weight: 600; white-space: nowrap; }
figure { margin: 2mm 0; break-inside: avoid; }
figure img { max-width: 100%; max-height: 110mm; border: 0.25mm solid #d9dee2; }
figcaption { font-size: 8.5pt; color: #56606a; }
ul { margin: 1mm 0; padding-left: 5mm; }
.signed td { height: 11mm; }
h2 + p.small { break-after: avoid; }
@media print { body { padding: 0; max-width: none; }
  * { print-color-adjust: exact; -webkit-print-color-adjust: exact; } }
"""
