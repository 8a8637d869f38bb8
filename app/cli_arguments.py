"""The arguments of the command line: every command and its options."""

import argparse
from typing import NoReturn

from app.cli_words import KINDS, also_part, kinds, number, patch_numbers, plate_size, rotation, steps, whole
from core.refusal import Refusal
from core.version import PROGRAM, VERSION

UNITS = ("mm", "in", "m", "um")


class Parser(argparse.ArgumentParser):
    """An argument parser that refuses with one sentence instead of printing the usage."""

    def error(self, message: str) -> NoReturn:
        raise Refusal(f"{self.prog}: {message.rstrip('.')}. See '{self.prog} --help'.")


def joined_rotation(arguments: list[str]) -> list[str]:
    """'--rotate -90,0,0' as '--rotate=-90,0,0', as the parser would take -90,0,0 for an option."""
    joined: list[str] = []
    for argument in arguments:
        if (
            joined
            and joined[-1] == "--rotate"
            and argument[:1] == "-"
            and argument[1:2].isdigit() | (argument[1:2] == ".")
        ):
            joined[-1] = f"--rotate={argument}"
        else:
            joined.append(argument)
    return joined


def parser() -> Parser:
    """All commands and their options."""
    top = Parser(
        prog="underfin-cli",
        description="Contact-free heat sinks under low-angle faces for laser powder bed fusion.",
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"{PROGRAM} {VERSION}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND", parser_class=Parser)

    faces = commands.add_parser("faces", help="list the low-angle patches of a part", allow_abbrev=False)
    faces.add_argument("part", metavar="PART", help="STL, OBJ, PLY, 3MF or STEP file")
    add_reading(faces)
    add_json(faces)

    build = commands.add_parser("build", help="build and check the sinks and write them", allow_abbrev=False)
    build.add_argument("part", metavar="PART|JOB", help="part file, or a job (.underfin) whose options these override")
    build.add_argument("--out", required=True, metavar="DIR", help="folder for the results")
    which = build.add_mutually_exclusive_group()
    which.add_argument(
        "--patch", type=patch_numbers, metavar="1,3", help="patches to build under, as 'faces' lists them"
    )
    which.add_argument("--all", action="store_true", help="all patches of at least 1 mm² (the default for a part)")
    build.add_argument("--propose", action="store_true", help="choose patches, kinds, gaps and zones, and say why")
    build.add_argument("--most-metal", type=number, metavar="N", help="--propose: at most N times the part's (1)")
    add_reading(build)
    build.add_argument("--gap", type=number, metavar="MM", help="powder gap, normal to the face")
    build.add_argument("--kind", choices=KINDS, help="what the sink's top stands on")
    build.add_argument("--alloy", metavar="NAME", help="built-in alloy, or one of the user's library")
    build.add_argument("--machine-setting", metavar="NAME", help="laser, plate and gas from the user's library")
    build.add_argument("--layer", type=number, metavar="MM", help="layer thickness")
    build.add_argument("--blade", type=number, metavar="DEG", help="recoater blade from the X axis (default 90)")
    build.add_argument("--plate", type=plate_size, metavar="X,Y,Z", help="width, depth and height of the build volume")
    build.add_argument("--border", type=number, metavar="MM", help="strip along the plate's edge that stays free")
    build.add_argument("--zone-layers", type=whole, metavar="N", help="layers above each patch with own laser settings")
    for name, unit, text in ZONE_OPTIONS:
        build.add_argument(f"--zone-{name}", type=whole if unit == "N" else number, metavar=unit, help=text)
    build.add_argument("--apart", type=number, metavar="MM", help="sinks nearer to each other are named (default 0.2)")
    build.add_argument("--thorough", action="store_true", help="look for powder in finer cells; takes seconds")
    build.add_argument("--sinks-as", choices=("solidsupport", "model"), default="solidsupport", help="3MF object type")
    add_json(build)

    window = commands.add_parser("window", help="estimate the gap window", allow_abbrev=False)
    window.add_argument("job", nargs="?", metavar="JOB", help="job (.underfin); or give --alloy")
    window.add_argument("--alloy", metavar="NAME")
    window.add_argument("--gap", type=number, metavar="MM", help="gap to judge")
    add_laser(window)
    window.add_argument("--rise", type=number, metavar="K", help="rise allowed over the plate temperature")
    window.add_argument("--angle", type=number, metavar="DEG", help="angle of the ledge without a job (default 30)")
    window.add_argument("--height", type=number, metavar="MM", help="height of the ledge without a job (default 10)")
    add_json(window)

    add_best_gap(commands.add_parser("best-gap", help="the best gap under each patch", allow_abbrev=False))
    heat = commands.add_parser("heat", help="follow the build in 3-D, with and without sinks", allow_abbrev=False)
    heat.add_argument("part", metavar="JOB|PART", help="job (.underfin), or a part file for all its patches")
    heat.add_argument("--out", required=True, metavar="DIR", help="folder for the results; a stopped run goes on there")
    heat.add_argument("--cell", type=number, metavar="MM", help="size of the cells (chosen for about a million)")
    heat.add_argument("--quick", action="store_true", help="steady heat in 3-D in a second, not every layer")
    heat.add_argument("--machine", choices=("processor", "card"), default="processor", help="card: an NVIDIA card")
    add_json(heat)

    add_sweep(commands.add_parser("sweep", help="compare many gaps, sinks and laser settings", allow_abbrev=False))
    add_coupon(commands.add_parser("coupon", help="a test build over a ladder of gaps and angles", allow_abbrev=False))
    fit = commands.add_parser("fit", help="fit a filled trial sheet", allow_abbrev=False)
    fit.add_argument("trials", metavar="TRIALS.csv", help="the sheet a coupon wrote, filled in")
    fit.add_argument("--keep", action="store_true", help="keep it in the user's library, for the gap window")
    fit.add_argument("--out", metavar="DIR", help="folder for tables (CSV) and a drawing (PNG, SVG)")
    add_json(fit)
    trials = commands.add_parser("trials", help="kept trials: list, use, remove", allow_abbrev=False)
    trials.add_argument("--alloy", required=True, metavar="NAME")
    trials.add_argument("--use", metavar="MARK|none", help="put these in force, or the model's estimate")
    trials.add_argument("--remove", metavar="MARK", help="take these out of the user's library")
    add_laser(trials)
    add_json(trials)
    add_images(commands.add_parser("images", help="compare layer images with the part", allow_abbrev=False))
    add_scan(commands.add_parser("scan", help="compare a scanned surface with the part", allow_abbrev=False))
    add_report(commands.add_parser("report", help="report after the build, as HTML and PDF", allow_abbrev=False))
    add_orient(commands.add_parser("orient", help="compare orientations of a part", allow_abbrev=False))
    add_library(commands.add_parser("library", help="own alloys and machine settings", allow_abbrev=False))
    return top


def add_best_gap(best: argparse.ArgumentParser) -> None:
    """The search for the best gap."""
    best.add_argument("part", metavar="JOB|PART", help="job (.underfin), or a part file for all its patches")
    which = best.add_mutually_exclusive_group()
    which.add_argument("--patch", type=patch_numbers, metavar="1,3", help="patches, as 'faces' lists them")
    which.add_argument("--all", action="store_true", help="all patches of at least 1 mm²")
    best.add_argument("--for", dest="goal", choices=("rise", "mass"), default="rise", help="least rise, or least metal")
    best.add_argument("--rise", type=number, metavar="K", help="rise allowed over the plate temperature")
    best.add_argument("--alloy", metavar="NAME", help="built-in alloy, or one of the user's library")
    best.add_argument("--out", metavar="JOBFILE", help="write the job with these gaps, each pick its own")
    add_json(best)


def add_library(library: argparse.ArgumentParser) -> None:
    """The user's own alloys and machine settings."""
    actions = library.add_subparsers(dest="action", required=True, metavar="ACTION", parser_class=Parser)
    add_json(actions.add_parser("list", help="what there is", allow_abbrev=False))
    show = actions.add_parser("show", help="every value with flag and source", allow_abbrev=False)
    show.add_argument("name", metavar="NAME", help="an alloy or a machine setting")
    show.add_argument("--revision", type=whole, metavar="N", help="an older one (default the newest)")
    add_json(show)
    export = actions.add_parser("export", help="write one with all its revisions", allow_abbrev=False)
    export.add_argument("name", metavar="NAME")
    export.add_argument("--out", required=True, metavar="FILE", help="a new file (JSON)")
    add_json(export)
    taken = actions.add_parser("import", help="take a file in, as a new revision where it differs", allow_abbrev=False)
    taken.add_argument("file", metavar="FILE", help="what 'export' wrote, edited or not")
    add_json(taken)
    copy = actions.add_parser("copy", help="an own alloy, or a machine setting from a job", allow_abbrev=False)
    copy.add_argument("name", metavar="ALLOY|JOB", help="alloy to begin with, or a job (.underfin)")
    copy.add_argument("--as", dest="new_name", required=True, metavar="NAME", help="name of the new one")
    add_json(copy)


def add_orient(orient: argparse.ArgumentParser) -> None:
    """The orientation study."""
    orient.add_argument("part", metavar="PART|JOB", help="part file, or a job (.underfin) whose settings are taken")
    orient.add_argument("--directions", type=whole, metavar="N", help="build directions over the sphere (default 800)")
    orient.add_argument("--never", metavar="FACES", help="faces that must never look down, such as 0-3,7")
    orient.add_argument("--standing", type=number, metavar="MM2", help="rest on the plate by at least so much")
    orient.add_argument("--max-angle", type=number, metavar="DEG", help="low-angle limit from the plate (default 45)")
    orient.add_argument("--units", choices=UNITS, help="unit of the file's coordinates")
    orient.add_argument("--rotate", type=rotation, metavar="RX,RY,RZ", help="how it stands now, for comparison")
    orient.add_argument("--out", metavar="DIR", help="folder for a table (CSV), JSON and pictures (PNG)")
    add_json(orient)


def add_images(images: argparse.ArgumentParser) -> None:
    """Layer images of a build."""
    images.add_argument("part", metavar="JOB|PART", help="job (.underfin) whose picks had sinks, or a part file")
    images.add_argument("folder", metavar="FOLDER|FILE", help="PNG, TIFF, .npy, .npz or HDF5, lowest layer first")
    images.add_argument("--points", required=True, metavar="FILE.csv", help="column_px, row_px, x_mm, y_mm; 4 or more")
    images.add_argument("--map", choices=("auto", "affine", "homography"), default="auto", help="from image to plate")
    images.add_argument("--first-layer", type=number, metavar="Z", help="top of the first layer (default --layer)")
    images.add_argument("--layer", type=number, metavar="MM", help="layer of the images (default the job's)")
    images.add_argument("--h5", metavar="PATH", help="dataset or group inside an HDF5 file")
    images.add_argument("--z-limit", type=number, metavar="Z", help="score from which a pixel is hot (default 4)")
    images.add_argument("--least-pixels", type=whole, metavar="N", help="smallest hot spot (default 4)")
    images.add_argument("--depth-layers", type=whole, metavar="N", help="layers that count above a face (default 5)")
    images.add_argument("--with-sink", type=patch_numbers, metavar="1,3", help="patches with sinks (default the picks)")
    images.add_argument("--heat", metavar="DIR", help="what 'heat' wrote for this job, to be correlated")
    images.add_argument("--out", required=True, metavar="DIR", help="folder for the results")
    add_json(images)


def add_scan(scan: argparse.ArgumentParser) -> None:
    """A scan of the built part."""
    scan.add_argument("part", metavar="JOB|PART", help="job (.underfin) whose picks had sinks, or a part file")
    scan.add_argument("mesh", metavar="MESH", help="scanned surface: STL, PLY, OBJ or 3MF")
    scan.add_argument("--pairs", metavar="FILE.csv", help="scan_x_mm … part_z_mm; 3 or more (found by itself)")
    scan.add_argument("--units", choices=UNITS, help="unit of the scan's coordinates")
    scan.add_argument("--reach", type=number, metavar="MM", help="further off is another surface (default 3)")
    scan.add_argument("--with-sink", type=patch_numbers, metavar="1,3", help="patches with sinks (default the picks)")
    scan.add_argument("--out", required=True, metavar="DIR", help="folder for the results")
    add_json(scan)


def add_report(report: argparse.ArgumentParser) -> None:
    """The report after the build; each thing that is known of the built part is given by itself."""
    report.add_argument("part", metavar="JOB|PART", help="job (.underfin) that was built, or a part file")
    report.add_argument("--trials", metavar="TRIALS.csv", help="a filled trial sheet")
    report.add_argument("--images", metavar="DIR", help="what 'images' wrote for this job")
    report.add_argument("--scan", metavar="DIR", help="what 'scan' wrote for this job")
    report.add_argument("--out", required=True, metavar="DIR", help="folder for report.html and report.pdf")
    add_json(report)


def add_sweep(sweep: argparse.ArgumentParser) -> None:
    """Every combination of the values given is one case."""
    sweep.add_argument("part", metavar="JOB|PART", help="job (.underfin), or a part file for all its patches")
    sweep.add_argument("--out", required=True, metavar="DIR", help="folder for the results; a stopped sweep goes on")
    for name, what in (
        ("gap", "powder gaps, mm"),
        ("thickness", "thicknesses of the fins, mm"),
        ("pitch", "distances of the fins, mm"),
        ("power", "laser powers, W"),
        ("speed", "scan speeds, mm/s"),
    ):
        sweep.add_argument(f"--{name}", type=steps, metavar="A:B:STEP", help=f"{what}; also 1,2,3 or one value")
    sweep.add_argument("--kind", type=kinds, metavar="K,K", help=f"kinds of sink, of {', '.join(KINDS)}")
    sweep.add_argument("--rotate", type=rotation, action="append", metavar="RX,RY,RZ", help="a turn; may be repeated")
    sweep.add_argument("--heat", action="store_true", help="follow every case in 3-D as well; takes minutes a case")
    sweep.add_argument("--cell", type=number, metavar="MM", help="size of the cells for --heat")
    where = sweep.add_mutually_exclusive_group()
    where.add_argument("--workers", type=whole, metavar="N", help="processes on this machine")
    where.add_argument("--scheduler", metavar="ADDRESS", help="a Dask scheduler whose workers see the same files")
    add_json(sweep)


def add_coupon(coupon: argparse.ArgumentParser) -> None:
    """Every gap at every angle is one cell; what isn't given takes its default."""
    coupon.add_argument("--alloy", required=True, metavar="NAME")
    coupon.add_argument("--out", required=True, metavar="DIR", help="folder for the results")
    coupon.add_argument("--gaps", type=steps, metavar="A:B:STEP", help="gaps normal to the face, mm; also 0.2,0.3")
    coupon.add_argument("--angles", type=steps, metavar="A,B", help="downskin angles, degrees (20,30,45)")
    coupon.add_argument("--replicates", type=whole, metavar="N", help="how often every cell is built (default 1)")
    coupon.add_argument("--seed", type=whole, metavar="S", help="of the random places (default 1)")
    coupon.add_argument("--kind", choices=KINDS[:3], default="fins", help="what the sink's top stands on")
    coupon.add_argument("--plate", type=plate_size, metavar="X,Y,Z", help="width, depth and height of the build volume")
    coupon.add_argument("--border", type=number, metavar="MM", help="strip along the plate's edge that stays free")
    add_laser(coupon)
    add_json(coupon)


ZONE_OPTIONS = (
    ("power", "W", "laser power in the zone"),
    ("speed", "MM/S", "scan speed in the zone"),
    ("hatch", "MM", "hatch distance in the zone"),
    ("spot", "MM", "spot diameter in the zone, D4sigma"),
    ("passes", "N", "exposures per layer in the zone"),
)
LASER_OPTIONS = (
    ("power", "W", "laser power"),
    ("speed", "MM/S", "scan speed"),
    ("hatch", "MM", "hatch distance"),
    ("layer", "MM", "layer thickness"),
    ("spot", "MM", "spot diameter, D4sigma"),
    ("passes", "N", "exposures per layer"),
    ("absorptivity", "SHARE", "share of the power that heats the layer"),
    ("layer-time", "S", "time from one layer to the next"),
    ("preheat", "C", "plate temperature"),
)


def add_reading(command: argparse.ArgumentParser) -> None:
    """How a part is read and stands."""
    command.add_argument("--max-angle", type=number, metavar="DEG", help="low-angle limit from the plate (default 45)")
    command.add_argument("--units", choices=UNITS, help="unit of the file's coordinates")
    command.add_argument(
        "--rotate", type=rotation, metavar="RX,RY,RZ", help="turns about X, Y, Z in degrees; then dropped"
    )
    command.add_argument(
        "--also", type=also_part, action="append", default=[], metavar="FILE[:X,Y[:RX,RY,RZ]]",
        help="one more part, moved in x and y (else to a free place) and turned; may be repeated",
    )  # fmt: skip


def add_laser(command: argparse.ArgumentParser) -> None:
    """Laser settings, each optional."""
    for name, unit, text in LASER_OPTIONS:
        command.add_argument(f"--{name}", type=whole if unit == "N" else number, metavar=unit, help=text)


def add_json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="print one JSON document")
