"""Every file of the corpus must load with the right facts and warnings, or be refused for the right reason."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.part import read_step
from core.part.load_part import READERS
from tests.files.cases import Case, judge, outcome_of
from tests.files.conformance_3mf import MUST_LOAD, MUST_REFUSE
from tests.files.corpus_3mf import package_cases
from tests.files.corpus_bodies import body_cases
from tests.files.corpus_obj import obj_cases
from tests.files.corpus_ply import ply_cases
from tests.files.corpus_stl import stl_cases
from tests.files.solids import BOX_MM3, box, joined, package, stl

OWN = [*stl_cases(), *body_cases(), *obj_cases(), *ply_cases(), *package_cases()]


@pytest.fixture(scope="module", autouse=True)
def compiled(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Compile first, so that the time of the first file is its own."""
    outcome_of(stl(joined(box(), box((10, 5, 8), 0.5))), "a.stl", tmp_path_factory.mktemp("first"))


def test_the_corpus_is_large_and_asks_for_both_answers() -> None:
    refused = sum(case.refused is not None for case in OWN)
    assert len(OWN) >= 400 and refused >= 200 and len(OWN) - refused >= 100
    assert len({(case.kind, case.name) for case in OWN}) == len(OWN)


@pytest.mark.parametrize("case", OWN, ids=lambda case: f"{case.kind}: {case.name}"[:70])
def test_a_file_is_read_rightly_or_refused_rightly(case: Case, tmp_path: Path) -> None:
    assert judge(case, outcome_of(case.data, case.file, tmp_path)) == ""


def step_files() -> Iterator[Case]:
    pytest.importorskip("OCP.STEPControl")
    from tests.files.corpus_step import step_cases

    yield from step_cases()


def test_step_files_are_read_rightly_or_refused_rightly(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In this process, as a child for each takes a second or two; the slow suite does that."""
    monkeypatch.setitem(READERS, "step", read_step.read_step)
    calm = [case for case in step_files() if "all references" not in case.name and "garbage" not in case.name]
    wrong = {case.name: said for case in calm if (said := judge(case, outcome_of(case.data, case.file, tmp_path)))}
    assert len(calm) >= 15 and wrong == {}


@pytest.mark.slow
def test_step_files_are_read_rightly_in_a_child(tmp_path: Path) -> None:
    wrong = {
        case.name: said for case in step_files() if (said := judge(case, outcome_of(case.data, case.file, tmp_path)))
    }
    assert wrong == {}


def test_the_lists_of_conformance_kinds_are_whole() -> None:
    # as many kinds as the 3MF Consortium's conformance files have: 13 MUSTPASS, 38 MUSTFAIL
    assert (len(MUST_LOAD), len(MUST_REFUSE)) == (13, 38)


@pytest.mark.parametrize("kind", MUST_LOAD)
def test_a_package_within_the_3mf_specification_is_read(kind: str, tmp_path: Path) -> None:
    data, boxes = MUST_LOAD[kind]
    outcome = outcome_of(data, "part.3mf", tmp_path)
    assert outcome.part is not None, outcome.sentence or outcome.fault
    assert outcome.part.volume_mm3 == pytest.approx(boxes * BOX_MM3) and outcome.part.health.buildable


@pytest.mark.parametrize("kind", MUST_REFUSE)
def test_a_package_against_the_3mf_specification_is_refused(kind: str, tmp_path: Path) -> None:
    case = Case(kind="conformance", name=kind, data=MUST_REFUSE[kind], file="part.3mf", refused="3MF file")
    assert judge(case, outcome_of(case.data, case.file, tmp_path)) == ""


def test_a_package_refused_for_one_fault_is_read_without_it(tmp_path: Path) -> None:
    assert outcome_of(package(), "part.3mf", tmp_path).part is not None
