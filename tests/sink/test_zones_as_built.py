"""Zones from the command line into every file: 3MF, STL, result, report and job."""

import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
import trimesh

from core.job_file import open_job
from tests.cli.conftest import samples as samples

Run = Callable[..., tuple[int, str, str]]
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
ZONE = ("--zone-layers", "5", "--zone-power", "180", "--zone-speed", "1200")


def test_zones_come_in_every_file_and_the_job_cuts_the_same_ones_again(
    run: Run, samples: Path, tmp_path: Path
) -> None:
    code, out, err = run("build", samples / "sensor-bracket.stl", *ZONE, "--out", tmp_path / "out", "--json")
    values = json.loads(out)
    assert (code, err) == (0, "") and "zones.stl" in values["files"]
    first, second = values["zones"]
    # 180 W at 1200 mm/s, hatch 0.11 mm, layer 0.04 mm, five layers; by hand
    assert first["line_energy_j_mm"] == pytest.approx(0.15)
    assert first["areal_energy_j_mm2"] == pytest.approx(0.15 / 0.11, rel=1e-4)
    assert first["volumetric_energy_j_mm3"] == pytest.approx(0.15 / 0.11 / 0.04, rel=1e-4)
    assert first["height_mm"] == pytest.approx(0.2)
    assert trimesh.load(tmp_path / "out" / "zones.stl").volume == pytest.approx(
        first["volume_mm3"] + second["volume_mm3"], rel=1e-5
    )
    with zipfile.ZipFile(tmp_path / "out" / "build.3mf") as package:
        root = ElementTree.fromstring(package.read("3D/3dmodel.model"))  # noqa: S314  written by this test's own run
    assert [o.get("name") for o in root.iter(f"{CORE}object")][-2:] == ["zone-01", "zone-02"]
    assert "Downskin zones" in (tmp_path / "out" / "report.html").read_text()
    code, out, _ = run("build", tmp_path / "out" / "job.underfin", "--out", tmp_path / "again", "--json")
    assert code == 0 and json.loads(out)["zones"] == values["zones"]
    assert (tmp_path / "again" / "zones.stl").read_bytes() == (tmp_path / "out" / "zones.stl").read_bytes()


def test_without_layers_there_is_no_zone_and_too_many_are_refused(run: Run, samples: Path, tmp_path: Path) -> None:
    part = samples / "sensor-bracket.stl"
    code, out, _ = run("build", part, "--out", tmp_path / "out", "--json")
    assert code == 0 and json.loads(out)["zones"] == [] and not (tmp_path / "out" / "zones.stl").exists()
    for option, value, words in (("layers", "101", "101 layers is out of range"), ("power", "0", "power = 0 W")):
        code, _, err = run("build", part, "--out", tmp_path / "no", f"--zone-{option}", value)
        assert code == 2 and words in err and not (tmp_path / "no").exists()


def test_jobs_saved_before_there_were_zones_open_without_one() -> None:
    for old in sorted((Path(__file__).parents[1] / "job" / "old_jobs").glob("schema-[123]*.underfin")):
        assert open_job(old).zone.layers == 0
