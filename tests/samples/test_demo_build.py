"""The invented build: every command that looks at a build finds what was put in, and all of it says it is invented."""

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from core.refusal import Refusal
from sample_parts.make_demo_build import (
    EDGE_FADES_MM,
    EDGE_SWELLS_MM,
    FREE_WIDTH_MM,
    HALF_FREE_MM,
    HOT_SIGMA,
    LAYER_MM,
    SPOT_MM,
    SWELLS_MM,
    SWELLS_WITH_MM,
    make_demo_build,
)

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "build"
    make_demo_build(folder)
    return folder


def values_of(run: Run, *arguments: object) -> dict:
    code, out, err = run(*arguments, "--json")
    assert (code, err) == (0, "")
    return json.loads(out)


def test_images_are_hot_without_a_sink_and_show_the_planted_spot(run: Run, demo: Path, tmp_path: Path) -> None:
    values = values_of(run, "images", demo / "demo.underfin", demo / "images", "--points", demo / "image-points.csv",
                       "--layer", LAYER_MM, "--out", tmp_path / "out")  # fmt: skip
    mean = {p["with_sink"]: p["mean_z"] for p in values["patches"]}
    assert HOT_SIGMA / 3 < mean[False] < HOT_SIGMA and mean[True] < 1
    assert values["difference"]["high"] < -3
    hottest = values["hottest"][0]
    assert math.dist((hottest["x_mm"], hottest["y_mm"]), SPOT_MM[:2]) < 0.1 and hottest["patch"] is None
    assert values["hot_spots_by_patch"].get("2") is None  # the milder one


def test_the_scan_is_swollen_at_the_lowest_edge_without_a_sink(run: Run, demo: Path, tmp_path: Path) -> None:
    """The mean of c + a exp(-h / b) over the lowest m mm is c + a b / m (1 - exp(-m / b))."""
    values = values_of(run, "scan", demo / "demo.underfin", demo / "scan.stl", "--out", tmp_path / "out")
    edge = {p["with_sink"]: p["lowest_edge_mm"] for p in values["patches"]}
    high = 0.05 * 18 * math.tan(math.radians(30))  # the ledge is 18 mm long in plan
    bare = SWELLS_MM + EDGE_SWELLS_MM * EDGE_FADES_MM / high * (1 - math.exp(-high / EDGE_FADES_MM))
    assert edge[False] == pytest.approx(bare, abs=0.02)
    assert edge[True] == pytest.approx(SWELLS_WITH_MM, abs=0.005)
    assert values["alignment"]["turned_deg"] == pytest.approx(6.0, abs=0.01)


def test_the_sheet_gives_its_logistic_curve_back(run: Run, demo: Path) -> None:
    """P = 0.95 lies ln 19 widths above P = 0.5."""
    values = values_of(run, "fit", demo / "trials.csv")
    assert values["n"] == 54
    for limit in values["limits"]:
        true = HALF_FREE_MM[limit["angle_deg"]] + FREE_WIDTH_MM * math.log(19)
        assert limit["low_mm"] < true < limit["high_mm"]


def test_everything_says_that_it_is_invented(demo: Path) -> None:
    assert (demo / "scan.stl").read_bytes()[:8] == b"Invented"
    assert (demo / "README.txt").read_text().startswith("Invented")
    for table in ("image-points.csv", "trials.csv"):
        rows = (demo / table).read_text().split()
        assert all(row.endswith("invented") for row in rows[1:])
    with Image.open(demo / "images" / "layer-001.png") as image:
        assert image.info["Comment"].startswith("Invented")
    with pytest.raises(Refusal, match="isn't an empty folder"):
        make_demo_build(demo)
