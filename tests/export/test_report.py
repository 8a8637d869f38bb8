"""The report says the same in the page and in the PDF, is safe and self-contained, and fits on A4 pages."""

import re
from collections.abc import Callable
from html import unescape
from html.parser import HTMLParser

import numpy as np
import pypdfium2
import pytest

from core.checks.finding import Finding
from core.export.report_content import job_report
from core.export.report_html import css_text, report_html
from core.export.report_pdf import report_pdf
from core.export.result import JobResult
from core.gap.gap_choice import GapChoice
from core.heat.compare_heat import HeatComparison
from core.heat.estimate import Band
from core.heat.heat_result import CellError, HeatRun, PatchHeat
from core.job import Job

Make = Callable[..., JobResult]
MM_PER_POINT = 25.4 / 72
"""A PDF point is 1/72 inch (ISO 32000)."""


def page_texts(pdf: bytes) -> list[str]:
    """Text of every page by pdfium, an independent reader; words that were hyphenated by a line's end joined."""
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_range() for page in document]


def bare(text: str) -> str:
    """Without white space, as lines break differently."""
    return re.sub(r"[\s\ufffe]+", "", text)


def html_words(page: str) -> str:
    body = page[page.index("<body>") :]
    return unescape(re.sub(r"<[^>]+>", " ", body))


def both(result: JobResult, files: tuple[str, ...] = ("sinks.stl",), heat: HeatComparison | None = None) -> list[str]:
    """All words of the page and of the PDF, without white space."""
    report = job_report(result, files, heat)
    return [bare(html_words(report_html(report))), bare("".join(page_texts(report_pdf(report))))]


class Tags(HTMLParser):
    """Every tag closes where it should, and what it refers to is remembered."""

    VOID = frozenset({"meta", "img", "col"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        self._remember(attrs)
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        self._remember(attrs)

    def _remember(self, attrs: list[tuple[str, str | None]]) -> None:
        self.links += [value or "" for name, value in attrs if name in ("src", "href", "xlink:href", "data")]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_page_and_pdf_say_what_they_must(make_result: Make) -> None:
    """Safety standards as named there: ISO/ASTM 52931, NFPA 484 and 660; limits as in the project's own description."""
    result = make_result()
    for text in both(result):
        for words in (
            "estimate, calibrate with the coupon",
            "ISO/ASTM 52931",
            "NFPA 484 and 660",
            "asphyxiation",
            "no hold-down",
            "known to a factor",
            "±40 %",
            "Below about 20°",
            "first track",
            result.hash,
            "Underfin 0.1.0",
            "sink-02",
            "Short <ledge>.",
            "no limit",
            "A made-up part.",
            "The sinks keep 0.3000 mm.",
            "285 W, 960 mm/s",
            "sinks.stl",
        ):
            assert bare(words) in text, words


def test_each_sink_stands_with_its_own_gap_and_dimensions(make_result: Make) -> None:
    from dataclasses import replace

    from core.sink.sink_choice import SinkChoice

    one, two = make_result().sinks
    job = make_result().job
    pick = replace(job.picks[0], gap=GapChoice(gap_mm=0.47))
    walls = SinkChoice(fin_thickness_mm=1.9, fin_pitch_mm=5.5, foot_mm=0.7)
    own = replace(two, gap_mm=0.47, kind="fins", choice=walls, min_clearance_mm=0.4712)
    for text in both(make_result(sinks=(one, own), job=replace(job, picks=(pick,)))):
        assert "0.300" in text and "0.470" in text and "0.4712" in text
        assert "walls1.9every5.5" in text and "foot0.7" in text


def test_the_page_is_closed_without_scripts_or_outside_links(make_result: Make) -> None:
    page = report_html(job_report(make_result(), ("sinks.stl",)))
    tags = Tags()
    tags.feed(page)
    assert tags.open == [] and not tags.seen & {"script", "link", "iframe", "object", "a"}
    assert len(tags.links) == 3 and all(link.startswith("data:image/png;base64,iVBOR") for link in tags.links)
    assert not re.search(r"https?://|url\(|@import", page)


def test_the_pdf_has_a4_pages_with_numbers_and_links_nowhere(make_result: Make) -> None:
    """A4 is 210 by 297 mm (ISO 216)."""
    data = report_pdf(job_report(make_result(), ("sinks.stl",)))
    pages = list(pypdfium2.PdfDocument(data))
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert np.allclose(np.array(page.get_size()) * MM_PER_POINT, [210.0, 297.0], atol=0.01)
        assert f"Page {number} of {len(pages)}" in " ".join(page.get_textpage().get_text_range().split())
    assert b"/URI" not in data and b"/Launch" not in data and b"/JavaScript" not in data


def test_nothing_stands_outside_the_margins(make_result: Make) -> None:
    """Every letter lies at least 10 mm from the edge of the sheet, which every printer leaves white."""
    for page in pypdfium2.PdfDocument(report_pdf(job_report(make_result(), ("a" * 300, "sinks.stl")))):
        image = np.asarray(page.render(scale=2).to_pil().convert("L"))
        rim = round(10.0 / MM_PER_POINT * 2)
        assert (image[:rim] > 250).all() and (image[-rim:] > 250).all()
        assert (image[:, :rim] > 250).all() and (image[:, -rim:] > 250).all()


def test_pictures_are_in_the_pdf(make_result: Make) -> None:
    document = pypdfium2.PdfDocument(report_pdf(job_report(make_result(), ())))
    images = [o for page in document for o in page.get_objects() if isinstance(o, pypdfium2.PdfImage)]
    assert len(images) == 3


def test_same_job_same_bytes(make_result: Make) -> None:
    one, two = (job_report(make_result(), ("a",)) for _ in range(2))
    assert report_html(one) == report_html(two)
    assert report_pdf(one) == report_pdf(two)


EVIL = "<script>alert(1)</script>\x00\"'&</style><b>"
NAMES = (EVIL, "x" * 400, "Größe Ø5 µ – Жук Ωμέγα.stl", "&lt;para><font size=99>", "")


@pytest.mark.parametrize("name", NAMES)
def test_text_from_outside_is_escaped_everywhere(make_result: Make, name: str) -> None:
    finding = Finding(check=name, level="note", text=name, remedy=name)
    job = Job(part_file=f"/parts/{name.replace('/', '')}.stl")
    report = job_report(make_result(job=job, findings=(finding,), warnings=(name,)), (name,))
    page = report_html(report)
    tags = Tags()
    tags.feed(page)
    assert "script" not in tags.seen and "\x00" not in page and tags.open == [] and page.count("</style>") == 1
    pages = page_texts(report_pdf(report))
    shown = bare(name.replace("\x00", "?"))
    assert shown in bare("".join(pages)) and shown in bare(html_words(page))


def test_a_name_in_the_style_sheet_stays_a_string() -> None:
    """CSS reads a backslash with six hexadecimal digits as one character (CSS Syntax Level 3, section 4.3.7)."""
    assert css_text('a";}<') == "a\\000022 \\00003b \\00007d \\00003c "


def test_a_file_full_of_findings_runs_over_pages_under_repeated_heads(make_result: Make) -> None:
    many = tuple(Finding(check="c", level="note", text=f"Finding number {n:03d}.", remedy="Look.") for n in range(300))
    report = job_report(make_result(findings=many), ())
    pages = page_texts(report_pdf(report))
    found = [re.findall(r"Finding number (\d{3})", text) for text in pages]
    assert [int(n) for page in found for n in page] == list(range(300))
    with_rows = [text for text, numbers in zip(pages, found, strict=True) if numbers]
    assert len(with_rows) >= 6 and all("Finding and remedy" in text for text in with_rows)


def test_one_finding_longer_than_a_page_is_not_lost(make_result: Make) -> None:
    words = " ".join(f"w{n:04d}" for n in range(3000))
    finding = Finding(check="c", level="stop", text=words)
    pages = page_texts(report_pdf(job_report(make_result(findings=(finding,)), ())))
    assert re.findall(r"w\d{4}", "".join(pages)) == words.split()


def test_a_result_without_sinks_or_patches_is_still_a_report(make_result: Make) -> None:
    stop = Finding(check="room for a sink", level="stop", text="No sink fits.", remedy="Turn the part.")
    empty = make_result(sinks=(), estimates=(), patches=(), picked=(), findings=(stop,), warnings=())
    for text in both(empty, ()):
        assert "Notforbuilding." in text and "Nosinkfits.Turnthepart." in text and "Nonecouldbebuilt." in text


def test_heat_is_shown_when_there_is_some(make_result: Make) -> None:
    result = make_result()
    n = result.part.n_faces

    def run(face_c: float) -> HeatRun:
        z = np.array([1.0, 2.0, 3.0])
        return HeatRun(
            face_between_c=np.full(n, face_c), face_peak_c=np.full(n, 900.0), face_down_w_m2=np.zeros(n), z_mm=z,
            layer_mean_c=z + 100, layer_max_c=z + 120, cooling_k_s=np.ones(n), put_in_j=1.0, lost_j=1.0,
            imbalance=0.0, build_time_s=1.0, iterations=1,
        )  # fmt: skip

    patch = PatchHeat(
        patch=1, with_c=Band(low=200, nominal=311, high=400), without_c=Band(low=500, nominal=622, high=700),
        hottest_with_c=333, hottest_without_c=644, peak_with_c=900, peak_without_c=950, cooling_with_k_s=1,
        cooling_without_k_s=1, through_gap_w_m2=1, cells=CellError(with_k=1, without_k=1, cooler_k=7),
    )  # fmt: skip
    heat = HeatComparison(cell_mm=1.0, n_cells=10, with_sinks=run(311), without=run(622), patches=(patch,))
    for text in both(result, (), heat):
        assert "Heatofthebuild" in text and "311" in text and "622" in text and "200to400" in text
    for text in both(result, ()):
        assert "Heatofthebuild" not in text
