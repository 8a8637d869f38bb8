"""Every wrong call ends with 2 and one clear line; stdout stays empty and nothing is written."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., tuple[int, str, str]]
ROOT = Path(__file__).parents[2]

WRONG = [
    ([], "COMMAND"),
    (["bogus"], "bogus"),
    (["heat", "a.underfin", "--out", "d"], "a.underfin"),
    (["heat", "PART"], "--out"),
    (["heat", "PART", "--out", "text.txt"], "text.txt"),
    (["heat", "PART", "--out", "text.txt/below"], "text.txt"),
    (["heat", "PART", "--out", "d", "--cell", "0.01"], "GB"),
    (["heat", "PART", "--out", "d", "--cell", "-1"], "cell"),
    (["heat", "PART", "--out", "d", "--cell", "fine"], "fine"),
    (["heat", "WALLED", "--out", "d"], "no sink"),
    (["faces"], "PART"),
    (["faces", "none.stl"], "none.stl"),
    (["faces", "."], "folder"),
    (["faces", "empty.stl"], "empty"),
    (["faces", "text.txt"], "text.txt"),
    (["faces", "PART", "--units", "furlong"], "furlong"),
    (["faces", "PART", "--max-angle", "steep"], "steep"),
    (["faces", "PART", "--max-angle", "95"], "95"),
    (["faces", "PART", "--rotate", "1,2"], "1,2"),
    (["faces", "PART", "--rotate", "1,2,nan"], "nan"),
    (["faces", "PART", "--jso"], "--jso"),
    (["build", "PART"], "--out"),
    (["build", "PART", "--out", "text.txt"], "text.txt"),
    (["build", "PART", "--out", "text.txt/below"], "text.txt"),
    (["build", "PART", "--out", "d", "--patch", "9"], "it has 1, 2"),
    (["build", "PART", "--out", "d", "--patch", "1;2"], "1;2"),
    (["build", "PART", "--out", "d", "--patch", "-1"], "--patch"),
    (["build", "PART", "--out", "d", "--patch", "1", "--all"], "--all"),
    (["build", "PART", "--out", "d", "--gap", "0.05"], "two layers"),
    (["build", "PART", "--out", "d", "--gap", "1e400"], "1e400"),
    (["build", "PART", "--out", "d", "--gap", "-0.3"], "0.3"),
    (["build", "PART", "--out", "d", "--layer", "3"], "layer"),
    (["build", "PART", "--out", "d", "--alloy", "unobtainium"], "316L"),
    (["build", "PART", "--out", "d", "--kind", "tree"], "tree"),
    (["build", "PART", "--out", "d", "--border", "125"], "less than half the plate"),
    (["build", "PART", "--out", "d", "--plate", "250,250"], "250,250"),
    (["build", "PART", "--out", "d", "--plate", "250,0,300"], "positive"),
    (["build", "PART", "--out", "d", "--blade", "999"], "blade"),
    (["build", "none.underfin", "--out", "d"], "none.underfin"),
    (["build", "bad.underfin", "--out", "d"], "bad.underfin"),
    (["sweep", "PART", "--out", "d"], "Nothing varies"),
    (["sweep", "PART", "--gap", "0.3"], "--out"),
    (["sweep", "PART", "--out", "text.txt", "--gap", "0.3"], "text.txt"),
    (["sweep", "PART", "--out", "d", "--gap", "0.5:0.2:0.1"], "0.5:0.2:0.1"),
    (["sweep", "PART", "--out", "d", "--gap", "0.2:0.5"], "0.2:0.5"),
    (["sweep", "PART", "--out", "d", "--gap", "0.2:0.5:0"], "STEP above 0"),
    (["sweep", "PART", "--out", "d", "--gap", "0:1:1e-9"], "at most 2000"),
    (["sweep", "PART", "--out", "d", "--gap", "0.2:0.6:0.001", "--power", "100:300:25"], "3609 cases"),
    (["sweep", "PART", "--out", "d", "--kind", "fins,tree"], "tree"),
    (["sweep", "PART", "--out", "d", "--gap", "0.3", "--cell", "1"], "--heat"),
    (["sweep", "PART", "--out", "d", "--gap", "0.3", "--workers", "0.5"], "0.5"),
    (["sweep", "PART", "--out", "d", "--gap", "0.3", "--workers", "2", "--scheduler", "tcp://h:1"], "--workers"),
    (["window"], "--alloy"),
    (["window", "--alloy", "unobtainium"], "unobtainium"),
    (["window", "PART"], ".underfin"),
    (["window", "--alloy", "316L", "--power", "0"], "power"),
    (["window", "--alloy", "316L", "--passes", "1.5"], "1.5"),
    (["window", "--alloy", "316L", "--angle", "90"], "90"),
    (["window", "--alloy", "316L", "x" * 3000], "--alloy"),
    (["faces", "\n\x1b[31m" + "y" * 3000], "y"),
    (["faces", "a\x00b.stl"], "name"),
]


@pytest.mark.parametrize(
    ("arguments", "word"), WRONG, ids=lambda value: " ".join(value)[:50] if isinstance(value, list) else ""
)
def test_a_wrong_call_ends_with_2_and_one_line(
    run: Run, samples: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], word: str
) -> None:
    (tmp_path / "empty.stl").write_bytes(b"")
    (tmp_path / "text.txt").write_text("hello")
    (tmp_path / "bad.underfin").write_text("{}")
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())
    parts = {"PART": str(samples / "sensor-bracket.stl"), "WALLED": str(samples / "valve-body.stl")}
    code, out, err = run(*(parts.get(a, a) for a in arguments))
    assert code == 2 and out == ""
    assert err.endswith("\n") and err.count("\n") == 1 and len(err) <= 401 and err[:-1].isprintable()
    assert word in err and "Traceback" not in err and "fault of its own" not in err
    assert sorted(tmp_path.iterdir()) == before


def test_help_and_version_end_with_0(run: Run, capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (["--help"], ["build", "--help"], ["--version"]):
        with pytest.raises(SystemExit) as end:
            run(*arguments)
        assert end.value.code == 0
    assert "Underfin" in capsys.readouterr().out


def test_only_commands_that_exist_are_advertised() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "app.cli", "--help"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    listed = [line.split()[0] for line in done.stdout.splitlines() if line.startswith("    ") and line.split()]
    before = ["faces", "build", "window", "best-gap", "heat", "sweep", "orient", "library"]
    assert sorted(listed) == sorted([*before, "coupon", "fit", "trials", "images", "scan", "report"])


def test_a_reader_that_hangs_up_is_no_fault(samples: Path) -> None:
    command = f'"{sys.executable}" -m app.cli faces "{samples / "sensor-bracket.stl"}" --json | true'
    done = subprocess.run(command, shell=True, cwd=ROOT, capture_output=True, text=True, check=False)  # noqa: S602
    assert "Traceback" not in done.stderr and "Broken" not in done.stderr


def test_a_fault_of_our_own_gives_one_line_and_a_file(run: Run, samples: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from app import cli_commands

    def broken(job: object) -> None:
        raise KeyError("inside")

    monkeypatch.setattr(cli_commands, "load_placed_part", broken)
    code, out, err = run("faces", samples / "sensor-bracket.stl")
    assert code == 2 and out == "" and err.count("\n") == 1 and "fault of its own (KeyError)" in err
    details = Path(err.split("'")[1])
    assert "inside" in details.read_text()
    details.unlink()
