"""The report as a PDF of A4 pages; the same bytes for the same report."""

import io
from html import escape
from pathlib import Path
from typing import Any

import matplotlib
from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus import Table as PdfTable

from core.export.report_blocks import (
    GUTTER_MM,
    MARGIN_MM,
    PAGE_MM,
    TEXT_MM,
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
from core.export.report_pdf_drawing import BOLD, PLAIN, PdfDrawing
from core.export.write_3mf import xml_characters
from core.version import PROGRAM, VERSION

INK, SOFT, TEAL, RULE = "#23282d", "#56606a", "#14605c", "#d9dee2"
TONES = {"stop": "#8c2f39", "note": "#7a5d00", "ok": TEAL, "": INK}
VERDICTS = {True: ("#1b7f79", "#eef6f5"), False: ("#8c2f39", "#f8edee"), None: ("#8a949d", "#f2f4f5")}
"""Rule and ground of a verdict."""
FOOT_MM = 8.0
PAIR_MM = 46.0
SHORT_TABLE = 10
"""Rows up to which a table is kept on one page."""
ALL = (0, 0), (-1, -1)
"""From the first to the last cell of a table, as reportlab counts them."""
PAGES = "pages"
"""Name of the form that holds the number of pages, known only at the end."""


def report_pdf(report: Report) -> bytes:
    """The whole document."""
    _register_fonts()
    out = io.BytesIO()
    document = _Document(out, report)
    story: list[Flowable] = [_Header(report), Spacer(1, 3 * mm)]
    for i, block in enumerate(report.blocks):
        if isinstance(block, Heading):
            room = CondPageBreak(_room_mm(report.blocks[i + 1 :]) * mm)
            story.append(PageBreak() if block.new_page else room)
        story += _flowables(block)
    document.build([*story, _PageCount()])
    return out.getvalue()


def _register_fonts() -> None:
    """DejaVu Sans, which comes with matplotlib, has the letters of most of the world; it is embedded as a subset."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    registerFont(TTFont(PLAIN, folder / "DejaVuSans.ttf"))
    registerFont(TTFont(BOLD, folder / "DejaVuSans-Bold.ttf"))
    registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


class _Document(BaseDocTemplate):  # type: ignore[misc]
    """A4 pages with a foot, and a list of the headings beside them."""

    def __init__(self, out: io.BytesIO, report: Report) -> None:
        super().__init__(
            out, pagesize=(PAGE_MM[0] * mm, PAGE_MM[1] * mm), title=report.title, author=PROGRAM,
            subject=report.subtitle, creator=f"{PROGRAM} {VERSION}", invariant=1, lang="en",
        )  # fmt: skip
        side, end = MARGIN_MM
        frame = Frame(
            side * mm, (end + FOOT_MM) * mm, TEXT_MM * mm, (PAGE_MM[1] - 2 * end - FOOT_MM) * mm,
            leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
        )  # fmt: skip
        self._foot = _shortened(report.foot)
        self.addPageTemplates([PageTemplate(frames=[frame], onPage=self._add_foot)])

    def _add_foot(self, canvas: Any, document: Any) -> None:
        left, right, y = MARGIN_MM[0] * mm, (PAGE_MM[0] - MARGIN_MM[0]) * mm, MARGIN_MM[1] * mm
        canvas.setStrokeColor(HexColor(RULE))
        canvas.setLineWidth(0.5)
        canvas.line(left, y + 3.5 * mm, right, y + 3.5 * mm)
        canvas.setFont(PLAIN, 7)
        canvas.setFillColor(HexColor(SOFT))
        canvas.drawString(left, y, self._foot)
        canvas.drawRightString(right - 5 * mm, y, f"Page {canvas.getPageNumber()} of")
        canvas.doForm(PAGES)

    def afterFlowable(self, flowable: Flowable) -> None:
        """Headings go into the list beside the pages."""
        if isinstance(flowable, Paragraph) and flowable.style.name == "heading":
            key = f"heading-{self.seq.nextf('heading')}"
            self.canv.bookmarkPage(key)
            self.canv.addOutlineEntry(flowable.getPlainText(), key)


class _PageCount(Flowable):  # type: ignore[misc]
    """Takes no room; says at the end how many pages there are, where every page's foot asks for it."""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        pages = str(self.canv.getPageNumber())
        self.canv.beginForm(PAGES)
        self.canv.setFont(PLAIN, 7)
        self.canv.setFillColor(HexColor(SOFT))
        self.canv.drawString((PAGE_MM[0] - MARGIN_MM[0] - 4) * mm, MARGIN_MM[1] * mm, pages)
        self.canv.endForm()


class _Header(Flowable):  # type: ignore[misc]
    """Title, subtitle, and a teal line below."""

    def __init__(self, report: Report) -> None:
        super().__init__()
        self._title = Paragraph(pdf_text(report.title), _style("title", 16, bold=True))
        self._below = Paragraph(pdf_text(report.subtitle), _style("below", 7, colour=SOFT))

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        self._heights = [part.wrap(width, height)[1] for part in (self._title, self._below)]
        self.height = sum(self._heights) + 3 * mm
        return width, self.height

    def draw(self) -> None:
        self._title.drawOn(self.canv, 0, self.height - self._heights[0])
        self._below.drawOn(self.canv, 0, self.height - sum(self._heights) - 0.5 * mm)
        self.canv.setStrokeColor(HexColor("#1b7f79"))
        self.canv.setLineWidth(0.6 * mm)
        self.canv.line(0, 0, self.width, 0)


def pdf_text(text: str) -> str:
    """Safe in a paragraph, which reads tags."""
    return escape(xml_characters(text), quote=False)


def _shortened(text: str, most: int = 110) -> str:
    plain = xml_characters(text).replace("\n", " ")
    return plain if len(plain) <= most else f"{plain[: most // 2]} … {plain[-most // 2 :]}"


def _style(name: str, size: float, *, bold: bool = False, colour: str = INK, **more: Any) -> ParagraphStyle:
    return ParagraphStyle(
        name, fontName=BOLD if bold else PLAIN, fontSize=size, leading=1.32 * size, textColor=HexColor(colour), **more
    )


def _words(text: str, size: float = 8.5, **more: Any) -> Paragraph:
    return Paragraph(pdf_text(text), _style("words", size, **more))


def _room_mm(after: tuple[Block, ...]) -> float:
    """Room a heading asks for, so that it is not parted from what stands below it."""
    room = 14.0
    for block in after:
        match block:
            case Words():
                room += 10.0
                continue
            case Figures() if block.drawings:
                room += block.drawings[0][0].height_mm + 10.0
            case Pairs():
                room += 7.0 * len(block.rows)
            case Table() if len(block.rows) <= SHORT_TABLE:
                room += 9.0 * (1 + len(block.rows))
            case Bullets() if block.warning:
                room += 8.0 * len(block.sentences)
            case _:
                room += 22.0
        break
    return room


def _flowables(block: Block) -> list[Flowable]:
    match block:
        case Heading():
            style = _style("heading", 11, bold=True, colour=TEAL, spaceBefore=4.5 * mm, spaceAfter=1.5 * mm)
            return [Paragraph(pdf_text(block.text), style)]
        case Words():
            size, colour = (7.5, SOFT) if block.small else (8.5, INK)
            return [_words(block.text, size, colour=colour, spaceAfter=1.5 * mm)]
        case Verdict():
            return [_verdict(block)]
        case Bullets():
            return _bullets(block)
        case Pairs():
            rows = [[_words(key, 8, bold=True, colour="#3c454d"), _words(value, 8)] for key, value in block.rows]
            return [KeepTogether([_table(rows, [PAIR_MM, TEXT_MM - PAIR_MM], [])])]
        case Table():
            table = _table_of(block)
            return [KeepTogether([table]) if len(block.rows) <= SHORT_TABLE else table]
        case Figures():
            return _figures(block)


def _verdict(block: Verdict) -> Flowable:
    colour, ground = VERDICTS[block.good]
    text = Paragraph(f"<b>{pdf_text(block.strong)}</b> {pdf_text(block.text)}", _style("words", 10))
    rules = [
        ("BACKGROUND", *ALL, HexColor(ground)), ("LINEBEFORE", *ALL, 1.5 * mm, HexColor(colour)),
        ("LEFTPADDING", *ALL, 4 * mm), ("TOPPADDING", *ALL, 2 * mm), ("BOTTOMPADDING", *ALL, 2.5 * mm),
    ]  # fmt: skip
    return PdfTable([[text]], colWidths=[TEXT_MM * mm], style=rules, spaceAfter=3 * mm)


def _bullets(block: Bullets) -> list[Flowable]:
    style = _style("words", 8.5, leftIndent=4 * mm, spaceAfter=0.8 * mm)
    rows = [Paragraph(f"<bullet>•</bullet>{pdf_text(sentence)}", style) for sentence in block.sentences]
    if not block.warning:
        return rows
    rules = [
        ("BACKGROUND", *ALL, HexColor("#fbf7ea")), ("BOX", *ALL, 0.3 * mm, HexColor("#b08a1e")),
        ("TOPPADDING", *ALL, 0.6 * mm), ("BOTTOMPADDING", *ALL, 0.6 * mm),
        ("TOPPADDING", (0, 0), (-1, 0), 2 * mm), ("BOTTOMPADDING", (0, -1), (-1, -1), 2 * mm),
    ]  # fmt: skip
    return [PdfTable([[row] for row in rows], colWidths=[TEXT_MM * mm], style=rules, spaceAfter=3 * mm)]


def _table(rows: list[list[Any]], widths_mm: list[float], more: list[Any], **options: Any) -> Flowable:
    rules = [
        ("VALIGN", *ALL, "TOP"), ("LEFTPADDING", *ALL, 1.5 * mm), ("RIGHTPADDING", *ALL, 1.5 * mm),
        ("TOPPADDING", *ALL, 0.7 * mm), ("BOTTOMPADDING", *ALL, 1.0 * mm), ("LINEBELOW", *ALL, 0.5, HexColor(RULE)),
        *more,
    ]  # fmt: skip
    widths = [width * mm for width in widths_mm]
    return PdfTable(rows, colWidths=widths, style=rules, spaceAfter=2 * mm, splitInRow=1, **options)


def _table_of(table: Table) -> Flowable:
    """Heads are repeated on every page."""
    def right(column: int) -> int:
        return 2 if column in table.numbers else 0  # reportlab's codes: 0 left, 2 right

    head = [_words(text, 7.5, bold=True, colour="#3c454d", alignment=right(i)) for i, text in enumerate(table.heads)]
    body = [[_cell(cell, right(i)) for i, cell in enumerate(row)] for row in table.rows]
    rules = [("LINEBELOW", (0, 0), (-1, 0), 0.9, HexColor("#8a949d")), ("VALIGN", (0, 0), (-1, 0), "BOTTOM")]
    heights = [None] + [11 * mm if table.tall else None] * len(body)
    return _table([head, *body], [TEXT_MM * w for w in table.widths], rules, repeatRows=1, rowHeights=heights)


def _cell(cell: Cell, alignment: int) -> Paragraph:
    below = f'<br/><font size="7" color="{SOFT}">{pdf_text(cell.below)}</font>' if cell.below else ""
    style = _style("cell", 8, bold=bool(cell.tone), colour=TONES.get(cell.tone, INK), alignment=alignment)
    return Paragraph(pdf_text(cell.text) + below, style)


def _figures(block: Figures) -> list[Flowable]:
    """As many side by side as fit; a row is not parted from its captions."""
    rows: list[list[tuple[Any, str]]] = []
    used = TEXT_MM + 1.0
    for drawing, caption in block.drawings:
        if used + GUTTER_MM + drawing.width_mm > TEXT_MM + 0.1:
            rows.append([])
            used = -GUTTER_MM
        rows[-1].append((drawing, caption))
        used += GUTTER_MM + drawing.width_mm
    found: list[Flowable] = []
    for row in rows:
        widths = [(drawing.width_mm + GUTTER_MM) * mm for drawing, _ in row]
        lines: list[list[Any]] = [[PdfDrawing(drawing) for drawing, _ in row]]
        if any(caption for _, caption in row):
            lines.append([_words(caption, 7.5, colour=SOFT, rightIndent=GUTTER_MM * mm) for _, caption in row])
        rules = [
            ("LEFTPADDING", *ALL, 0), ("RIGHTPADDING", *ALL, 0), ("VALIGN", *ALL, "TOP"),
            ("TOPPADDING", *ALL, 0.4 * mm), ("BOTTOMPADDING", *ALL, 0.6 * mm),
        ]  # fmt: skip
        found.append(KeepTogether([PdfTable(lines, colWidths=widths, style=rules, hAlign="LEFT", spaceAfter=1.5 * mm)]))
    return found
