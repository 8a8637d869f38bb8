"""A job with an own alloy: the same bytes as the alloy it was copied from gives, and complete in itself."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from core.export.report_tables import machine_pairs, source_table
from core.heat.machine_setting import MachineSetting
from core.heat.materials import alloy, copy_of
from core.heat.own_alloy import OwnAlloy
from core.heat.sourced import Sourced
from core.job import Job, with_alloy, with_machine
from core.job_file import job_hash, job_text, open_job, save_job
from core.refusal import Refusal
from core.run_window import gap_windows, ledge, window_values
from core.where_from import changed_since, machine_words, origin_words

BRACKET = Path(__file__).parents[2] / "sample_parts" / "sensor-bracket.stl"
MEASURED = Sourced(value=0.44, source="calorimeter in hall 2", flag="measured")


def test_an_own_alloy_copied_from_316l_gives_the_same_bytes_and_estimates(
    run: Any, tmp_path: Path, library: Path
) -> None:
    assert run("library", "copy", "316L", "--as", "Nordhaven 316L")[0] == 0
    made = {}
    for name in ("316L", "nordhaven-316l"):
        code, out, err = run("build", BRACKET, "--alloy", name, "--patch", "1", "--out", tmp_path / name, "--json")
        assert code == 0, err
        made[name] = (tmp_path / name / "sinks.stl").read_bytes(), json.loads(out)["estimate"]
    assert made["316L"] == made["nordhaven-316l"]
    report = (tmp_path / "nordhaven-316l" / "report.html").read_text()
    assert "Nordhaven 316L, own alloy, revision 1, begun as a copy of 316L" in report

    for file in library.glob("*.json"):  # as on a machine without it
        file.unlink()
    job = open_job(tmp_path / "nordhaven-316l" / "job.underfin")
    assert job.own_alloy == copy_of(alloy("316L"), "Nordhaven 316L")
    plain = open_job(tmp_path / "316L" / "job.underfin")
    patch = (ledge(30.0, 10.0, 0.04),)
    windows = [window_values(j, gap_windows(replace(j, picks=()), patch))["windows"] for j in (job, plain)]
    assert windows[0] == windows[1]
    code, _, err = run("build", BRACKET, "--alloy", "Nordhaven 316L", "--out", tmp_path / "none")
    assert code == 2 and "no alloy 'Nordhaven 316L'" in err and not (tmp_path / "none").exists()


def test_a_job_keeps_own_alloy_and_setting_whole_and_is_refused_by_key_when_they_are_damaged(
    tmp_path: Path, own_steel: OwnAlloy, own_setting: MachineSetting
) -> None:
    job = with_machine(with_alloy(Job(part_file=str(tmp_path / "a.stl")), own_steel), own_setting)
    save_job(job, tmp_path / "a.underfin")
    assert open_job(tmp_path / "a.underfin") == job
    assert job_hash(job) != job_hash(with_alloy(job, replace(own_steel, absorptivity=MEASURED)))
    values = json.loads(job_text(job, tmp_path))
    values["own_alloy"]["solidus_k"]["value"] = 5000.0
    (tmp_path / "b.underfin").write_text(json.dumps(values))
    with pytest.raises(Refusal, match=r"b\.underfin.*solidus_k"):
        open_job(tmp_path / "b.underfin")
    with pytest.raises(Refusal, match="Other"):
        replace(job, alloy="Other")


def test_a_job_of_schema_7_opens_with_its_own_alloy_and_machine_setting() -> None:
    """Written when schema 7 was new: a key added or renamed since needs a new schema and a way up to it."""
    job = open_job(Path(__file__).parents[1] / "job" / "old_jobs" / "schema-7.underfin")
    assert job.own_alloy is not None and (job.alloy, job.own_alloy.revision) == ("Nordhaven CuCrZr", 2)
    assert job.own_alloy.absorptivity == Sourced(value=0.27, source="calorimeter in hall 2", flag="measured")
    assert job.machine is not None and (job.machine.name, job.laser.power_w) == ("Nordhaven hall 2", 370.0)


def test_every_source_and_flag_of_an_own_alloy_reaches_the_report(own_steel: OwnAlloy) -> None:
    solidus = Sourced(value=1670.0, source="DTA run 7", flag="measured")
    own = replace(own_steel, absorptivity=MEASURED, solidus_k=solidus)
    job = with_alloy(Job(), own)
    rows = [tuple(cell.text for cell in row) for row in source_table(job).rows]
    assert ("solidus", "1670 K", "measured", "DTA run 7") in rows
    assert ("absorptivity", "0.44", "measured", "calorimeter in hall 2") in rows
    assert {row.source for row in own.conductivity_w_mk} <= {row[3] for row in rows if row[0] == "conductivity"}
    edited = replace(job, laser=replace(job.laser, absorptivity=0.5))
    assert "set in this job; Nordhaven 316L has 0.44" in origin_words(edited, "absorptivity")


def test_a_machine_setting_sets_laser_plate_and_gas_and_the_job_knows_what_was_changed_since(
    own_setting: MachineSetting,
) -> None:
    own = replace(
        own_setting,
        power_w=Sourced(value=370.0, source="setting sheet of hall 2", flag="read"),
        plate_x_mm=Sourced(value=280.0, source="machine drawing", flag="read"),
        gas=replace(own_setting.gas, value="nitrogen"),
    )
    job = with_machine(Job(), own)
    assert (job.laser.power_w, job.plate.size_mm, job.powder.gas) == (370.0, (280.0, 250.0), "nitrogen")
    assert job.laser.absorptivity == Job().laser.absorptivity and changed_since(job) == ()
    edited = replace(job, laser=replace(job.laser, power_w=350.0))
    assert changed_since(edited) == ("power_w",)
    assert machine_words(edited) == "Nordhaven hall 2, revision 1; changed since in this job: laser power"
    assert ("Machine setting", machine_words(edited)) in machine_pairs(edited).rows
    with pytest.raises(Refusal, match="gap"):
        with_machine(Job(), replace(own, layer_mm=Sourced(value=0.25, source="x", flag="memory")))


def test_the_command_lists_shows_exports_and_imports(run: Any, tmp_path: Path, library: Path) -> None:
    sheet = tmp_path / "own.json"
    job = Job(part_file=str(BRACKET))
    save_job(job, tmp_path / "hall.underfin")
    assert run("library", "copy", tmp_path / "hall.underfin", "--as", "Hall 2")[0] == 0
    assert run("library", "copy", "ti-6al-4v", "--as", "Own Ti")[0] == 0
    listed = json.loads(run("library", "list", "--json")[1])
    assert [(own["name"], own["kind"], own["revision"]) for own in listed["own"]] == [
        ("Own Ti", "alloy", 1), ("Hall 2", "machine", 1),
    ]  # fmt: skip
    assert run("library", "export", "own ti", "--out", sheet)[0] == 0
    assert run("library", "export", "own ti", "--out", sheet)[0] == 2, "never overwritten"
    values = json.loads(sheet.read_text())
    latent_heat = {"value": 290000, "source": "DSC of bar 3", "flag": "measured"}
    values["revisions"][0]["alloy"]["latent_heat_j_kg"] = latent_heat
    sheet.write_text(json.dumps(values))
    assert "revision 2" in run("library", "import", sheet)[1]
    shown = json.loads(run("library", "show", "Own Ti", "--json")[1])
    latent = next(row for row in shown["values"] if row["key"] == "latent_heat_j_kg")
    assert (latent["value"], latent["unit"], latent["source"]) == (290000.0, "J/kg", "DSC of bar 3")
    before = json.loads(run("library", "show", "Own Ti", "--revision", "1", "--json")[1])
    assert next(row for row in before["values"] if row["key"] == "latent_heat_j_kg")["value"] == 286000.0
    code, out, err = run("build", BRACKET, "--patch", "1", "--machine-setting", "nope", "--out", tmp_path / "x")
    assert (code, out, err.count("\n")) == (2, "", 1) and "Hall 2" in err
