"""Puts a drawing of the report on a page of the PDF."""

import io
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from core.export.report_drawing import Area, Drawing, Label, Line, Mark, Photo
from core.export.write_3mf import xml_characters

PLAIN, BOLD = "Report", "Report-Bold"
"""Names under which the fonts are registered."""
EVEN_ODD = 0


class PdfDrawing(Flowable):  # type: ignore[misc]
    """A drawing as high and wide as it says; what reaches beyond is cut off."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self._drawing = drawing
        self.width, self.height = drawing.width_mm * mm, drawing.height_mm * mm

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(-0.2, -0.2, self.width + 0.4, self.height + 0.4)
        canvas.clipPath(frame, stroke=0, fill=0)
        canvas.setLineJoin(1)
        for mark in self._drawing.marks:
            _draw(canvas, mark, self.height)
        canvas.restoreState()


def _draw(canvas: Any, mark: Mark, top: float) -> None:
    """top: height of the drawing in points, as y runs up on the page."""
    match mark:
        case Area():
            way = canvas.beginPath()
            for ring in mark.rings:
                points = [(x * mm, top - y * mm) for x, y in ring.tolist()]
                way.moveTo(*points[0])
                for point in points[1:]:
                    way.lineTo(*point)
                way.close()
            if mark.fill:
                canvas.setFillColor(HexColor(mark.fill))
            if mark.edge:
                canvas.setStrokeColor(HexColor(mark.edge))
                canvas.setLineWidth(mark.edge_mm * mm)
            canvas.drawPath(way, stroke=int(bool(mark.edge)), fill=int(bool(mark.fill)), fillMode=EVEN_ODD)
        case Line():
            way = canvas.beginPath()
            points = [(x * mm, top - y * mm) for x, y in mark.points.tolist()]
            way.moveTo(*points[0])
            for point in points[1:]:
                way.lineTo(*point)
            canvas.setStrokeColor(HexColor(mark.colour))
            canvas.setLineWidth(mark.wide_mm * mm)
            canvas.setDash([1.2 * mm, 0.8 * mm] if mark.dashed else [])
            canvas.drawPath(way, stroke=1, fill=0)
            canvas.setDash([])
        case Label():
            _draw_label(canvas, mark, top)
        case Photo():
            (x, y), (width, height) = mark.at, mark.size
            image = ImageReader(io.BytesIO(mark.png))
            canvas.drawImage(image, x * mm, top - (y + height) * mm, width * mm, height * mm)


def _draw_label(canvas: Any, label: Label, top: float) -> None:
    text, font, size = xml_characters(label.text), BOLD if label.bold else PLAIN, 0.92 * label.size_mm * mm
    x, y = label.at[0] * mm, top - label.at[1] * mm
    x -= {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor] * stringWidth(text, font, size)
    for rim in (True, False) if label.halo else (False,):
        canvas.saveState()
        canvas.setStrokeColor(HexColor("#ffffff"))
        canvas.setLineWidth(0.7 * mm)
        canvas.setFont(font, size)
        canvas.setFillColor(HexColor("#ffffff" if rim else label.colour))
        canvas.drawString(x, y, text, mode=2 if rim else None)
        canvas.restoreState()
