"""Random damage: whatever comes of it is a sound part or one clear sentence, never a crash and never a hang."""

from pathlib import Path

import pytest

from tests.files.cases import outcome_of
from tests.files.mutants import SOURCES, broken_rule, mutant


def faults(seeds: range, folder: Path) -> dict[int, str]:
    """Seeds whose mutant broke a rule, and how."""
    found = {}
    for seed in seeds:
        name, data = mutant(seed)
        if said := broken_rule(outcome_of(data, name, folder)):
            found[seed] = said
    return found


def test_the_undamaged_files_load(tmp_path: Path) -> None:
    assert all(outcome_of(data, name, tmp_path).part is not None for name, data in SOURCES)


def test_500_mutants_give_a_part_or_a_sentence(tmp_path: Path) -> None:
    assert faults(range(500), tmp_path) == {}


def test_a_mesh_of_cracks_alone_is_not_welded_away(tmp_path: Path) -> None:
    """Seed 28008: pairs of triangles within a hair of each other, of which welding left none."""
    assert faults(range(28008, 28009), tmp_path) == {}


@pytest.mark.slow
@pytest.mark.parametrize("thousand", range(1, 31))
def test_30000_mutants_give_a_part_or_a_sentence(thousand: int, tmp_path: Path) -> None:
    assert faults(range(1000 * thousand, 1000 * (thousand + 1)), tmp_path) == {}
