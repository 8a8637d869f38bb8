"""The report as one self-contained HTML page that prints on A4; everything from outside is escaped."""

import base64
from html import escape

from core.export.report_blocks import (
    Block,
    Bullets,
    Cell,
    Figures,
    Heading,
    Pairs,
    Report,
    Table,
    Verdict,
    Words,
)
from core.export.report_drawing import Area, Drawing, Label, Line, Mark, Photo
from core.export.write_3mf import xml_characters

STYLE = """
@page { size: A4; margin: 14mm 16mm 16mm; @bottom-left { content: "FOOT"; font: 7.5pt sans-serif; color: #56606a; }
  @bottom-right { content: "Page " counter(page) " of " counter(pages); font: 7.5pt sans-serif; color: #56606a; } }
* { box-sizing: border-box; }
body { font: 9.5pt/1.4 "Segoe UI", "Helvetica Neue", Arial, "DejaVu Sans", sans-serif; color: #23282d;
  margin: 0 auto; width: 190mm; max-width: 100%; padding: 6mm; background: #fff; }
header { border-bottom: 0.6mm solid #1b7f79; padding-bottom: 2mm; margin-bottom: 4mm; }
h1 { font-size: 17pt; line-height: 1.2; margin: 0 0 1mm; font-weight: 600; overflow-wrap: anywhere; }
h2 { font-size: 11.5pt; margin: 6mm 0 2mm; color: #14605c; font-weight: 600; break-after: avoid; }
h2.page { break-before: page; }
p { margin: 1mm 0; overflow-wrap: anywhere; }
.small { font-size: 8pt; color: #56606a; }
table { border-collapse: collapse; width: 100%; table-layout: fixed; font-size: 8.5pt;
  font-variant-numeric: tabular-nums; margin: 1mm 0 2mm; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { text-align: left; padding: 0.8mm 1.5mm; border-bottom: 0.2mm solid #d9dee2; vertical-align: top;
  overflow-wrap: anywhere; }
th { font-size: 8pt; font-weight: 600; color: #3c454d; overflow-wrap: normal; }
thead th { border-bottom: 0.3mm solid #8a949d; vertical-align: bottom; }
.n { text-align: right; }
.below { font-size: 7.5pt; color: #56606a; display: block; }
.pairs th { width: 46mm; }
.tall td { height: 11mm; }
.verdict { padding: 2.5mm 3mm; border-left: 1.5mm solid; margin: 3mm 0; break-inside: avoid; }
.good { border-color: #1b7f79; background: #eef6f5; }
.bad { border-color: #8c2f39; background: #f8edee; }
.open { border-color: #8a949d; background: #f2f4f5; }
td.stop { color: #8c2f39; font-weight: 600; }
td.note { color: #7a5d00; font-weight: 600; }
td.ok { color: #14605c; font-weight: 600; }
.figures { display: flex; flex-wrap: wrap; gap: 2mm 4mm; margin: 2mm 0; }
figure { margin: 0; break-inside: avoid; max-width: 100%; }
figure svg { display: block; max-width: 100%; height: auto; }
figcaption { font-size: 8pt; line-height: 1.3; color: #56606a; margin-top: 0.8mm; }
ul { margin: 1mm 0; padding-left: 5mm; }
li { overflow-wrap: anywhere; }
.warning { border: 0.3mm solid #b08a1e; background: #fbf7ea; padding: 2mm 3mm 2mm 8mm; break-inside: avoid; }
@media print { body { padding: 0; width: auto; }
  * { print-color-adjust: exact; -webkit-print-color-adjust: exact; } }
"""
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def report_html(report: Report) -> str:
    """The whole page as text."""
    style = STYLE.replace("FOOT", css_text(report.foot))
    lines = [
        "<!DOCTYPE html>",
        f'<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        f"<title>{html_text(report.title)}</title><style>{style}</style></head><body>",
        f'<header><h1>{html_text(report.title)}</h1><p class="small">{html_text(report.subtitle)}</p></header>',
        *(_block(block) for block in report.blocks),
        "</body></html>\n",
    ]
    return "\n".join(lines)


def html_text(text: str) -> str:
    """Safe between tags and in attributes; characters that XML forbids become question marks."""
    return escape(xml_characters(text), quote=True)


def css_text(text: str) -> str:
    """Safe in a quoted CSS string inside <style>: all but plain letters, digits and spaces as escapes."""
    plain = xml_characters(text).replace("\n", " ")
    return "".join(c if c.isascii() and (c.isalnum() or c in " .-_") else f"\\{ord(c):06x} " for c in plain)


def _block(block: Block) -> str:
    match block:
        case Heading():
            return f"<h2{_CLASS_PAGE if block.new_page else ''}>{html_text(block.text)}</h2>"
        case Words():
            return f'<p{_CLASS_SMALL if block.small else ""}>{html_text(block.text)}</p>'
        case Verdict():
            tone = "open" if block.good is None else "good" if block.good else "bad"
            return f'<p class="verdict {tone}"><b>{html_text(block.strong)}</b> {html_text(block.text)}</p>'
        case Bullets():
            rows = "".join(f"<li>{html_text(sentence)}</li>" for sentence in block.sentences)
            return f'<ul{_CLASS_WARNING if block.warning else ""}>{rows}</ul>'
        case Pairs():
            rows = "".join(f"<tr><th>{html_text(k)}</th><td>{html_text(v)}</td></tr>" for k, v in block.rows)
            return f'<table class="pairs"><tbody>{rows}</tbody></table>'
        case Table():
            return _table(block)
        case Figures():
            return f'<div class="figures">{"".join(_figure(d, caption) for d, caption in block.drawings)}</div>'


_RIM = 'fill="#fff" stroke="#fff" stroke-width="0.7" stroke-linejoin="round"'
_CLASS_SMALL, _CLASS_WARNING, _CLASS_PAGE = ' class="small"', ' class="warning"', ' class="page"'


def _table(table: Table) -> str:
    def row(tag: str, texts: tuple[Cell, ...]) -> str:
        return "<tr>" + "".join(_cell(tag, cell, i in table.numbers) for i, cell in enumerate(texts)) + "</tr>"

    columns = "".join(f'<col style="width:{100 * width:.1f}%">' for width in table.widths)
    head = row("th", tuple(Cell(text=text) for text in table.heads))
    body = "".join(row("td", cells) for cells in table.rows)
    tall = ' class="tall"' if table.tall else ""
    return f"<table{tall}><colgroup>{columns}</colgroup><thead>{head}</thead><tbody>{body}</tbody></table>"


def _cell(tag: str, cell: Cell, is_number: bool) -> str:
    kinds = " ".join(word for word in ("n" if is_number else "", cell.tone) if word)
    attribute = f' class="{html_text(kinds)}"' if kinds else ""
    below = f'<span class="below">{html_text(cell.below)}</span>' if cell.below else ""
    return f"<{tag}{attribute}>{html_text(cell.text)}{below}</{tag}>"


def _figure(drawing: Drawing, caption: str) -> str:
    words = f'<figcaption style="width:{drawing.width_mm:.1f}mm">{html_text(caption)}</figcaption>' if caption else ""
    return f"<figure>{drawing_svg(drawing)}{words}</figure>"


def drawing_svg(drawing: Drawing) -> str:
    """SVG inside HTML, in mm."""
    wide, high = f"{drawing.width_mm:.2f}", f"{drawing.height_mm:.2f}"
    head = (
        f'<svg width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}" role="img" '
        f'aria-label="{html_text(drawing.words)}" font-family="Arial, DejaVu Sans, sans-serif">'
    )
    return head + "".join(_mark(mark) for mark in drawing.marks) + "</svg>"


def _mark(mark: Mark) -> str:
    match mark:
        case Area():
            way = "".join("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in ring.tolist()) + "Z" for ring in mark.rings)
            edge = f' stroke="{mark.edge}" stroke-width="{mark.edge_mm:g}"' if mark.edge else ""
            return f'<path d="{way}" fill="{mark.fill or "none"}" fill-rule="evenodd"{edge}/>'
        case Line():
            points = " ".join(f"{x:.2f},{y:.2f}" for x, y in mark.points.tolist())
            dashes = ' stroke-dasharray="1.2 0.8"' if mark.dashed else ""
            rest = f'stroke="{mark.colour}" stroke-width="{mark.wide_mm:g}"{dashes}'
            return f'<polyline points="{points}" fill="none" {rest}/>'
        case Label():
            bold = ' font-weight="600"' if mark.bold else ""
            place = f'x="{mark.at[0]:.2f}" y="{mark.at[1]:.2f}" text-anchor="{mark.anchor}"'
            look = f'{place} font-size="{mark.size_mm:g}"{bold}'
            rim = f'<text {look} aria-hidden="true" {_RIM}>{html_text(mark.text)}</text>' if mark.halo else ""
            return f'{rim}<text {look} fill="{mark.colour}">{html_text(mark.text)}</text>'
        case Photo():
            data = base64.b64encode(mark.png).decode()
            place = f'x="{mark.at[0]:.2f}" y="{mark.at[1]:.2f}" width="{mark.size[0]:.2f}" height="{mark.size[1]:.2f}"'
            return f'<image {place} preserveAspectRatio="none" href="data:image/png;base64,{data}"/>'
