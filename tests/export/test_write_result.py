"""Everything appears whole or not at all; result.json keeps the published keys."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from core.checks.finding import Finding
from core.export import write_job
from core.export.body import Body
from core.export.result import JobResult
from core.export.result_json import json_text, result_values
from core.export.write_job import write_result
from core.job import Job
from core.job_file import open_job
from core.progress import Stopped
from core.refusal import Refusal

Make = Callable[..., JobResult]
STOP = Finding(check="clearance", level="stop", text="A sink is 0.1 mm from the part.", at_mm=(1.0, 2.0, 3.0))
REPORT = {"report.html", "report.pdf", "job.underfin", "result.json"}
ALL_FILES = {"sinks.stl", "sink-01.stl", "sink-02.stl", "build.3mf"} | REPORT


def names_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def strictly(text: str) -> dict[str, object]:
    """JSON by RFC 8259, which knows no NaN and no Infinity."""

    def refuse(word: str) -> float:
        raise AssertionError(word)

    return dict(json.loads(text, parse_constant=refuse))


def test_a_new_folder_holds_every_file_and_nothing_else(make_result: Make, tmp_path: Path) -> None:
    files = write_result(make_result(), tmp_path / "a" / "out")
    assert set(files) == ALL_FILES == names_in(tmp_path / "a" / "out")
    assert names_in(tmp_path / "a") == {"out"}


def test_result_json_has_every_published_key(make_result: Make, tmp_path: Path) -> None:
    """The keys as this program's interface description publishes them."""
    write_result(make_result(), tmp_path / "out")
    values = strictly((tmp_path / "out" / "result.json").read_text())
    assert {"part", "patches", "sinks", "estimate", "findings", "files", "warnings"} <= set(values)
    keys = {
        "part": "file format units triangles watertight size_mm volume_mm3",
        "patches": "id faces area_mm2 lowest_angle_deg mean_angle_deg z_min_mm z_max_mm overhang_step_mm",
        "sinks": "name patches kind triangles watertight volume_mm3 gap_mm min_clearance_mm gap_error_p99_um "
        "covered_area_mm2 patch_area_mm2 on_plate",
        "estimate": "patch conductance_w_m2k rise_with_k rise_without_k fuse_limit_mm heat_limit_mm",
        "findings": "check level text remedy at_mm",
    }
    for group, names in keys.items():
        first = values[group] if group == "part" else values[group][0]
        assert set(names.split()) <= set(first), group
    assert values["patches"][0]["overhang_step_mm"] is None
    assert values["estimate"][0]["heat_limit_mm"] is None
    assert values["estimate"][0]["bands"]["fuse_limit_mm"] == [0.15, 0.2, 0.3]
    assert set(values["files"]) == ALL_FILES
    assert values["version"] and values["job_sha256"] == make_result().hash


def test_the_written_job_opens_again_and_is_the_same_job(make_result: Make, tmp_path: Path) -> None:
    result = make_result(job=Job(part_file=str(tmp_path / "shelf.stl"), part_sha256="0" * 64))
    write_result(result, tmp_path / "out")
    assert open_job(tmp_path / "out" / "job.underfin") == result.job
    assert "../shelf.stl" in (tmp_path / "out" / "job.underfin").read_text()


def test_a_stop_finding_writes_the_findings_and_no_solid(make_result: Make, tmp_path: Path) -> None:
    files = write_result(make_result(findings=(STOP,)), tmp_path / "out")
    assert names_in(tmp_path / "out") == set(files) == REPORT
    assert "Not for building" in (tmp_path / "out" / "report.html").read_text()


def test_solids_of_an_earlier_run_do_not_survive_a_stop_and_foreign_files_stay(
    make_result: Make, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    write_result(make_result(), out)
    (out / "notes.txt").write_text("mine")
    (out / "zones.stl").write_text("of an earlier run")
    write_result(make_result(findings=(STOP,)), out)
    assert names_in(out) == REPORT | {"notes.txt"}


def test_fewer_sinks_than_before_leave_no_old_sink(make_result: Make, tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_result(make_result(), out)
    write_result(make_result(sinks=make_result().sinks[:1]), out)
    assert names_in(out) == ALL_FILES - {"sink-02.stl"}


@pytest.mark.parametrize("existing", [False, True])
@pytest.mark.parametrize(
    "step", ["write_stl", "check_stl", "check_solid", "write_3mf", "check_3mf", "report_html", "report_pdf"]
)
def test_a_failure_at_any_step_leaves_everything_as_it_was(
    make_result: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, existing: bool
) -> None:
    out = tmp_path / "new" / "out"
    if existing:
        write_result(make_result(), out)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}

    def fail(*arguments: object, **more: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(write_job, step, fail)
    with pytest.raises(Refusal, match="No space left on device"):
        write_result(make_result(sinks=make_result().sinks[:1]), out)
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before
    assert existing or not (tmp_path / "new").exists()


def test_stopping_between_files_leaves_nothing(make_result: Make, tmp_path: Path) -> None:
    for calls in range(5):
        left = [calls]

        def goes_on(share: float, left: list[int] = left) -> bool:
            left[0] -= 1
            return left[0] >= 0

        with pytest.raises(Stopped):
            write_result(make_result(), tmp_path / "out", goes_on=goes_on)
        assert names_in(tmp_path) == set()


def test_leftovers_of_a_killed_run_are_cleared(make_result: Make, tmp_path: Path) -> None:
    left = tmp_path / ".out.underfin-part"
    left.mkdir()
    (left / "sinks.stl").write_text("half")
    write_result(make_result(), tmp_path / "out")
    assert names_in(tmp_path) == {"out"}


def test_a_target_that_is_a_file_or_lies_below_one_is_refused(make_result: Make, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for out in (tmp_path / "file", tmp_path / "file" / "out"):
        with pytest.raises(Refusal, match="is a file"):
            write_result(make_result(), out)
    (tmp_path / "out" / "sinks.stl").mkdir(parents=True)
    with pytest.raises(Refusal, match="is a folder"):
        write_result(make_result(), tmp_path / "out")
    assert names_in(tmp_path / "out") == {"sinks.stl"}


def test_zones_are_written_only_when_there_are_some(make_result: Make, tmp_path: Path) -> None:
    sink = make_result().sinks[0]
    zone = Body(name="zone-01", vertices_mm=sink.vertices_mm + [32, 0, 0], triangles=sink.triangles)
    files = write_result(make_result(zones=(zone,)), tmp_path / "out")
    assert set(files) == ALL_FILES | {"zones.stl"} == names_in(tmp_path / "out")


def test_sinks_go_into_the_3mf_as_model_on_request_and_as_nothing_else(make_result: Make, tmp_path: Path) -> None:
    write_result(make_result(), tmp_path / "out", sinks_as="model")
    with pytest.raises(Refusal, match="solidsupport"):
        write_result(make_result(), tmp_path / "out", sinks_as="other")


def test_json_text_never_holds_an_infinity(make_result: Make, tmp_path: Path) -> None:
    strictly(json_text(result_values(make_result(), (), tmp_path)))
    with pytest.raises(ValueError, match="JSON"):
        json_text({"a": float("nan")})
