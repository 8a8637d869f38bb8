"""A small job, built once: a T whose beam has two flat ceilings; and a person without rights on a folder."""

import contextlib
import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import trimesh

from core.export.result import JobResult
from core.heat.compare_heat import HeatComparison
from core.heat.heat_choice import HeatChoice
from core.job import Job
from core.job_file import new_job
from core.run_heat import run_heat
from core.run_job import run_job
from core.sink.sink_choice import SinkChoice


@pytest.fixture(scope="session")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    foot = trimesh.creation.box(bounds=[[15, 0, 0], [25, 10, 13]])
    beam = trimesh.creation.box(bounds=[[0, 0, 12], [40, 10, 16]])
    path = tmp_path_factory.mktemp("part") / "tee.stl"
    trimesh.boolean.union([foot, beam], engine="manifold").export(path)
    return replace(new_job(path), sink=SinkChoice(kind="block"))


@pytest.fixture(scope="session")
def result(job: Job) -> JobResult:
    return run_job(job, all_patches=True)


@pytest.fixture(scope="session")
def comparison(result: JobResult) -> HeatComparison:
    return run_heat(result, HeatChoice(cell_mm=3.0))


@contextlib.contextmanager
def without_rights(folder: Path) -> Iterator[None]:
    """The folder can't be written to; where we are root, who may do anything, as somebody else meanwhile."""
    root = os.geteuid() == 0
    above = [place for place in folder.parents if root and not place.stat().st_mode & 0o001]
    before = {place: place.stat().st_mode for place in (folder, *above)}
    folder.chmod(0o555)
    for place in above:
        place.chmod(before[place] | 0o011)
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
        for place, mode in before.items():
            place.chmod(mode)


@pytest.fixture(name="without_rights")
def _without_rights() -> Callable[[Path], contextlib.AbstractContextManager[None]]:
    return without_rights


def sentence(text: str) -> str:
    """Checks that a text is one plain sentence for the engineer, and returns it."""
    text = text.strip()
    assert text and "\n" not in text and "Traceback" not in text and len(text) <= 400
    assert "fault of its own" not in text
    return text


@pytest.fixture(name="sentence")
def _sentence() -> Callable[[str], str]:
    return sentence
