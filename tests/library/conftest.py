"""A library of its own for each test, and an alloy and a machine setting of the fictional Nordhaven Tidal."""

from pathlib import Path

import pytest

from core.heat.machine_setting import MachineSetting, setting_of
from core.heat.materials import alloy, copy_of
from core.heat.own_alloy import OwnAlloy
from core.job import Job


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder the program takes for the user's."""
    folder = tmp_path / "own"
    monkeypatch.setattr("core.heat.user_library.own_folder", lambda: folder)
    return folder


@pytest.fixture
def own_steel() -> OwnAlloy:
    return copy_of(alloy("316L"), "Nordhaven 316L")


@pytest.fixture
def own_setting() -> MachineSetting:
    job = Job()
    return setting_of("Nordhaven hall 2", job.laser, job.plate, job.powder, "setting sheet of hall 2", "read")
