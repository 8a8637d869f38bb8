"""What the part can be coloured by, and the command for each."""

from typing import TYPE_CHECKING

from app.colour_link import ColourLink
from app.commands import Command
from app.gap_colouring import GapColouring
from app.gap_mapper import GapMapper
from app.images_colouring import ImagesColouring
from app.scan_colouring import ScanColouring

if TYPE_CHECKING:
    from app.workbench import Workbench

COLOUR_COMMANDS = ("colour_angle", "colour_gap", "colour_with", "colour_without", "colour_cooler", "colour_peak",
                   "colour_images", "colour_scan")  # fmt: skip


def make_colours(bench: "Workbench") -> ColourLink:
    """All colourings of a workbench, following its sinks and its temperatures; the read-out tells of them too."""
    mapper = GapMapper(bench.session, bench.background, bench)
    gap = GapColouring(bench.session, mapper, bench.tr)
    images = ImagesColouring(bench.session, bench.images, bench.tr)
    scan = ScanColouring(bench.session, bench.scan, bench.tr)
    colours = ColourLink(bench.session, bench.view, (gap, *bench.heat_link.colourings, images, scan), bench)
    for changed in (mapper.changed, bench.heat.changed, bench.images.changed, bench.scan.changed):
        changed.connect(colours.follow)
    for changed in (mapper.changed, bench.scan.changed):
        changed.connect(bench.view.hover)
    bench.link.more_words = (gap.words, bench.heat_link.words, images.words, scan.words)
    return colours


def colour_commands(bench: "Workbench") -> tuple[Command, ...]:
    """Each chooses the colours as the list in the view does."""
    tr, colours = bench.tr, bench.colours

    def colour(key: str, title: str) -> Command:
        text = tr("Colours: {0}").format(title[:1].lower() + title[1:])
        tip = tr("The sinks lie in front of it from below; hide them to see it whole") if key == "gap" else ""
        return Command(name=f"colour_{key}", text=text, run=lambda _=False: colours.choose(key), tip=tip)

    return tuple(colour(one.key, one.title) for one in colours.colourings)


def show_colour_commands(bench: "Workbench") -> None:
    """Which colours can be chosen now."""
    for one in bench.colours.colourings:
        bench.commands[f"colour_{one.key}"].setEnabled(one.key in bench.colours.available)
