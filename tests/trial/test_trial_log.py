"""Trial sheets as people and spreadsheets leave them: what is read, and one sentence for what can't be."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from core.refusal import Refusal
from core.trial.trial_log import BadRows, read_trials

Run = Callable[..., tuple[int, str, str]]
HEAD = "cell,gap_mm,angle_deg,result"


def sheet(folder: Path, text: str | bytes) -> Path:
    path = folder / "trials.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_commas_semicolons_and_tabs_give_the_same_trials(tmp_path: Path) -> None:
    """A spreadsheet set to a decimal comma saves semicolons; some save a byte-order mark and old code pages."""
    plain = read_trials(sheet(tmp_path, f"{HEAD},ra_um,remark\nC01,0.25,30,Free,12.5,Grün\n")).trials
    for text in (
        f"{HEAD};ra_um;remark\nC01;0,25;30;free;12,5;Grün\n".replace("angle_deg,", "angle_deg;")
        .replace("cell,", "cell;").replace("gap_mm,", "gap_mm;").encode("utf-8-sig"),
        f"{HEAD},ra_um,remark\nC01,0.25,30,free,12.5,Grün\n".replace(",", "\t").encode("cp1252"),
        f"{HEAD},ra_um,remark\r\nC01, 0.25 ,30,free,12.5,Grün\r\n,,,,,\r\n".encode(),
    ):  # fmt: skip
        assert read_trials(sheet(tmp_path, text)).trials == plain
    assert (plain[0].gap_mm, plain[0].ra_um, plain[0].result) == (0.25, 12.5, "free")


def test_the_latest_date_and_the_settings_are_those_of_the_sheet(tmp_path: Path) -> None:
    rows = "C1,0.2,30,free,2026-11-20,316L,0.04\nC2,0.3,30,,2026-11-21,,\n"
    log = read_trials(sheet(tmp_path, f"{HEAD},built_on,alloy,layer_mm\n{rows}"))
    assert log.built_on == date(2026, 11, 21)
    assert log.settings == {"alloy": "316L", "layer_mm": 0.04}
    assert (log.count("free"), log.count(""), len(log.judged)) == (1, 1, 1)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("C7,0.2,30,loose", "row 3 (C7): result 'loose' isn't free, stuck or lost"),
        ("C7,zero,30,free", "row 3 (C7): gap_mm 'zero' is not a number"),
        ("C7,0.2,,free", "row 3 (C7): angle_deg is empty"),
        ("C7,-0.2,30,free", "row 3 (C7): gap_mm -0.2 is out of range"),
        ("C7,nan,30,free", "row 3 (C7): gap_mm nan is out of range"),
        ("C7,25,30,free", "gap_mm 25 is out of range, 0.01 to 5"),
        ("C7,,30,stuck", "there is no gap, so no sink that could be stuck"),
        ("C7,0.2,30,free,AlSi10Mg", "alloy AlSi10Mg differs from 316L above"),
        ("C7,0.2,30,free,,yesterday", "built_on 'yesterday' is no date"),
    ],
)
def test_a_bad_row_is_named_with_its_number(run: Run, tmp_path: Path, row: str, words: str) -> None:
    path = sheet(tmp_path, f"{HEAD},alloy,built_on\nC1,0.2,30,free,316L\n{row}\n")
    code, out, err = run("fit", path)
    assert (code, out) == (2, "") and words in err and err.count("\n") == 1


def test_many_bad_rows_are_one_sentence_that_counts_them(tmp_path: Path) -> None:
    with pytest.raises(BadRows, match=r"row 2 .*row 3 .*row 4 .*; also rows 5 to 8, 10\.") as refused:
        read_trials(sheet(tmp_path, HEAD + "\n" + "C1,0.2,30,maybe\n" * 7 + "C1,0.2,30,free\nC1,0.2,30,maybe\n"))
    assert len(str(refused.value)) <= 400
    assert [words.split(":")[0] for words in refused.value.rows] == [f"row {n} (C1)" for n in (2, 3, 4, 5, 6, 7, 8, 10)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("gap,angle\n1,2\n", "has no column gap_mm and no angle_deg and no result"),
        (f"{HEAD}\n", "holds no trials"),
        (f"{HEAD},gap_mm\n", "has the column gap_mm twice"),
        (b"PK\x03\x04\0\0", "is no CSV text"),
        (f'{HEAD}\nC1,"{"x" * 200_000}",30,free\n', "can't be read as CSV"),
    ],
)
def test_files_that_are_no_trial_sheet_are_refused(tmp_path: Path, text: str | bytes, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        read_trials(sheet(tmp_path, text))


def test_missing_files_and_folders_are_refused(run: Run, tmp_path: Path) -> None:
    for path, words in ((tmp_path / "none.csv", "There is no file"), (tmp_path, "is a folder")):
        code, _, err = run("fit", path)
        assert code == 2 and words in err
