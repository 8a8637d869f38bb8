"""The library of trials: history is kept, damage is said, and the gap window shows where its limit comes from."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from core.job import Job, with_alloy
from core.kept_trials import trial_history, use_kept
from core.refusal import Refusal
from core.run_trial import run_trial
from core.run_window import gap_windows, ledge, window_values
from core.trial.fit_trial import fit_trials
from core.trial.trial_library import in_force, put_back, remove_trial

Run = Callable[..., tuple[int, str, str]]
LAYER = 0.04
SETTING: dict[str, str | float] = {"alloy": "316L", "layer_mm": LAYER, "power_w": 285.0}


def sheet(folder: Path, limit_mm: float, built_on: str, **more: str) -> Path:
    """Three of each gap at 20 and 45°; free above a gap, and 0.05 mm later at 20°."""
    columns = {"alloy": "316L", "layer_mm": str(LAYER), "power_w": "285", "built_on": built_on} | more
    lines = ["gap_mm,angle_deg,result," + ",".join(columns)]
    for gap in (0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4):
        for angle, late in ((20, 0.05), (45, 0.0)):
            result = "free" if gap > limit_mm + late else "stuck"
            lines += [f"{gap},{angle},{result}," + ",".join(columns.values())] * 3
    path = folder / f"{built_on}-{limit_mm}.csv"
    path.write_text("\n".join(lines))
    return path


def test_a_later_sheet_joins_the_earlier_one_and_the_same_sheet_is_kept_once(tmp_path: Path) -> None:
    library = tmp_path / "library"
    first = sheet(tmp_path, 0.22, "2026-11-20")
    _, _, values = run_trial(first, keep=True, library=library)
    file = Path(values["kept_in"])
    before = json.loads(file.read_text())["trials"]
    run_trial(sheet(tmp_path, 0.27, "2026-11-24"), keep=True, library=library)
    assert run_trial(first, keep=True, library=library)[2]["kept_now"] is False
    assert list(library.iterdir()) == [file]
    after = json.loads(file.read_text())["trials"]
    assert after[0] == before[0] and [entry["built_on"] for entry in after] == ["2026-11-20", "2026-11-24"]
    kept = in_force(SETTING, library)
    assert kept is not None and kept.words == "from trials of 2026-11-24, n = 42"


def test_another_laser_setting_has_a_file_of_its_own_and_goes_second(tmp_path: Path) -> None:
    library = tmp_path / "library"
    run_trial(sheet(tmp_path, 0.22, "2026-11-20"), keep=True, library=library)
    run_trial(sheet(tmp_path, 0.27, "2026-11-25", power_w="200"), keep=True, library=library)
    assert len(list(library.iterdir())) == 2
    assert in_force(SETTING, library).built_on == "2026-11-20"
    assert in_force(SETTING | {"power_w": 250.0}, library).built_on == "2026-11-25"
    assert in_force(SETTING | {"layer_mm": 0.05}, library) is None
    assert in_force(SETTING | {"alloy": "CoCrMo"}, library) is None


def test_the_window_says_from_which_trials_its_limit_comes(tmp_path: Path) -> None:
    library = tmp_path / "library"
    job = with_alloy(Job(), "316L")
    patches = (ledge(20.0, 10.0, LAYER), ledge(45.0, 10.0, LAYER), ledge(32.5, 10.0, LAYER), ledge(60.0, 10.0, LAYER))
    assert [w.kept for w in gap_windows(job, patches, library)] == [None] * 4
    _, fit, _ = run_trial(sheet(tmp_path, 0.22, "2026-11-20"), keep=True, library=library)
    flat, steep, between, steeper = gap_windows(job, patches, library)
    assert "from trials of 2026-11-20, n = 42" in flat.text
    limits = {limit.angle_deg: limit for limit in fit.limits}
    for window, angle in ((flat, 20.0), (steep, 45.0), (steeper, 45.0)):
        band = window.estimate.fuse_limit_mm
        assert (band.low, band.nominal, band.high) == pytest.approx(
            (limits[angle].low_mm, limits[angle].gap_mm, limits[angle].high_mm), rel=1e-9
        )
        assert band.nominal <= window.proposed_gap_mm < band.nominal + 0.0101
    assert between.estimate.fuse_limit_mm.nominal == pytest.approx((limits[20.0].gap_mm + limits[45.0].gap_mm) / 2)
    assert any("No trial was built at 60°" in note for note in steeper.estimate.notes)
    assert flat.verdict != "fuses"  # the job's 0.3 mm came free in all three cells
    values = window_values(job, (flat,))["windows"][0]
    assert values["from_trials"]["n"] == 42 and values["from_trials"]["built_on"] == "2026-11-20"


def test_other_laser_settings_are_said(tmp_path: Path) -> None:
    library = tmp_path / "library"
    run_trial(sheet(tmp_path, 0.22, "2026-11-20", power_w="200"), keep=True, library=library)
    (window,) = gap_windows(with_alloy(Job(), "316L"), (ledge(30.0, 10.0, LAYER),), library)
    assert any("other laser settings (power)" in note for note in window.estimate.notes)


def test_the_command_line_keeps_and_uses_it(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    library = tmp_path / "data" / "materials"
    monkeypatch.setattr("core.trial.trial_library.library_folder", lambda: library)
    code, out, _ = run("fit", sheet(tmp_path, 0.22, "2026-11-20"), "--keep")
    assert code == 0 and f"Kept in {library}" in out
    code, out, _ = run("window", "--alloy", "316L", "--json")
    window = json.loads(out)["windows"][0]
    assert code == 0 and window["from_trials"]["words"] == "from trials of 2026-11-20, n = 42"
    code, out, _ = run("window", "--alloy", "316L")
    assert code == 0 and "from trials of 2026-11-20, n = 42" in out


@pytest.mark.parametrize(
    "damage", ["", "[]", '{"schema": 1}', '{"schema": 1, "settings": {}, "trials": [{}]}', "[" * 9999]
)
def test_a_damaged_file_is_said_and_left_alone(tmp_path: Path, damage: str) -> None:
    library = tmp_path / "library"
    path = sheet(tmp_path, 0.22, "2026-11-20")
    file = Path(run_trial(path, keep=True, library=library)[2]["kept_in"])
    file.write_text(damage)
    with pytest.raises(Refusal, match="is damaged"):
        run_trial(sheet(tmp_path, 0.27, "2026-11-24"), keep=True, library=library)
    assert file.read_text() == damage
    file.rename(library / "2.json")  # another folder state, so that nothing remembered answers
    (window,) = gap_windows(with_alloy(Job(), "316L"), (ledge(30.0, 10.0, LAYER),), library)
    assert window.kept is None and any("can't be used" in note for note in window.estimate.notes)


def test_a_newer_file_is_not_guessed_at(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_text('{"schema": 99, "settings": {}, "trials": []}')
    with pytest.raises(Refusal, match="newer version"):
        in_force(SETTING, tmp_path)


def test_a_sheet_without_alloy_or_layer_is_not_kept(tmp_path: Path) -> None:
    path = tmp_path / "plain.csv"
    path.write_text("gap_mm,angle_deg,result\n" + "0.1,30,stuck\n0.3,30,free\n" * 4)
    with pytest.raises(Refusal, match="doesn't say alloy and layer_mm"):
        run_trial(path, keep=True, library=tmp_path / "library")
    assert not (tmp_path / "library").exists()
    _, fit, values = run_trial(path)
    assert fit.n == 8 and math.isfinite(values["limits"][0]["gap_mm"]) and "kept_in" not in values


def test_what_is_chosen_stays_in_force_whatever_is_kept_later(tmp_path: Path) -> None:
    library, job = tmp_path / "library", with_alloy(Job(), "316L")
    run_trial(sheet(tmp_path, 0.22, "2026-11-20"), keep=True, library=library)
    assert trial_history(job, library).used.built_on == "2026-11-20"
    run_trial(sheet(tmp_path, 0.27, "2026-11-24"), keep=True, library=library)
    newest, older = trial_history(job, library).entries
    assert trial_history(job, library).used == newest and (newest.built_on, older.built_on) == (
        "2026-11-24",
        "2026-11-20",
    )
    use_kept(job, older, library)
    run_trial(sheet(tmp_path, 0.17, "2026-11-25"), keep=True, library=library)
    history = trial_history(job, library)
    assert len(history.entries) == 3 and history.used == older
    use_kept(job, None, library)
    (window,) = gap_windows(job, (ledge(30.0, 10.0, LAYER),), library)
    assert window.kept is None and trial_history(job, library).used is None
    other = replace(job, laser=replace(job.laser, power_w=job.laser.power_w + 20))
    assert trial_history(other, library).used.built_on == "2026-11-25"  # the choice was for another laser setting


def test_removed_trials_come_back_as_they_were(tmp_path: Path) -> None:
    library, job = tmp_path / "library", with_alloy(Job(), "316L")
    for limit_mm, day in ((0.22, "2026-11-20"), (0.27, "2026-11-24")):
        run_trial(sheet(tmp_path, limit_mm, day), keep=True, library=library)
    before = trial_history(job, library)
    removed = remove_trial(before.entries[0].sha256, library)
    assert trial_history(job, library).entries == before.entries[1:]
    with pytest.raises(Refusal, match="no longer in the library"):
        remove_trial(before.entries[0].sha256, library)
    put_back(removed)
    assert trial_history(job, library) == before


def test_kept_cells_give_the_same_fit_again(tmp_path: Path) -> None:
    library = tmp_path / "library"
    log, fit, _ = run_trial(sheet(tmp_path, 0.22, "2026-11-20"), keep=True, library=library)
    kept = in_force(SETTING, library)
    assert kept.log.judged == log.judged and fit_trials(kept.log) == fit
    assert kept.words == "from trials of 2026-11-20, n = 42"
    near = kept.tried_near(28.0)  # 20 and 45 degrees were tried; three cells of each gap, free above 0.27 mm at 20
    assert [(t.gap_mm, t.free, t.stuck, t.lost) for t in near] == [
        (gap, 3 * (gap > 0.27), 3 * (gap <= 0.27), 0) for gap in (0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4)
    ]


def test_a_library_written_before_cells_were_kept_is_still_used(tmp_path: Path) -> None:
    library = tmp_path / "library"
    file = Path(run_trial(sheet(tmp_path, 0.22, "2026-11-20"), keep=True, library=library)[2]["kept_in"])
    values = json.loads(file.read_text())
    values["schema"] = 1
    del values["trials"][0]["cells"]
    file.write_text(json.dumps(values))
    kept = in_force(SETTING, library)
    assert kept.n == 42 and kept.trials == () and kept.tried_near(30.0) == ()


def test_the_command_line_lists_uses_and_removes(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.trial.trial_library.library_folder", lambda: tmp_path / "library")
    for limit_mm, day in ((0.22, "2026-11-20"), (0.27, "2026-11-24")):
        run("fit", sheet(tmp_path, limit_mm, day), "--keep")
    code, out, _ = run("trials", "--alloy", "316L", "--power", "285", "--json")
    newest, older = json.loads(out)["trials"]
    assert code == 0 and (newest["built_on"], newest["in_force"], older["in_force"]) == ("2026-11-24", True, False)
    code, out, _ = run("trials", "--alloy", "316L", "--power", "285", "--use", older["mark"])
    assert code == 0 and f"in force  {older['mark']}  2026-11-20" in out
    assert json.loads(run("window", "--alloy", "316L", "--json")[1])["windows"][0]["from_trials"]["built_on"] == (
        "2026-11-20"
    )
    code, out, _ = run("trials", "--alloy", "316L", "--remove", older["mark"], "--use", "none")
    assert code == 0 and "with --keep to have it back" in out and "the model's estimate" in out
    assert json.loads(run("window", "--alloy", "316L", "--json")[1])["windows"][0]["from_trials"] is None
    code, _, err = run("trials", "--alloy", "316L", "--use", "zz")
    assert code == 2 and "No kept trials are called 'zz'" in err and err.count("\n") == 1
