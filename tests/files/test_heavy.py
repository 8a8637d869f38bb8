"""Bombs cost next to nothing, and files whose check is more than linear work end in time; each in its own process."""

import pytest

from tests.files.cases import LONGEST_S, Case
from tests.files.heavy import bombs, heaps, weigh

BOMBS = list(bombs())
QUICK = ("vertices, 600 MB", "model that lies", "4 to the 26")


@pytest.mark.parametrize(
    "case",
    [pytest.param(c, marks=[] if any(word in c.name for word in QUICK) else pytest.mark.slow) for c in BOMBS],
    ids=lambda case: case.name[:40],
)
def test_a_bomb_costs_at_most_256_mib_and_3_s(case: Case) -> None:
    found = weigh(case)
    assert found["wrong"] == ""
    assert found["seconds"] <= 3 and found["extra_mib"] <= 256


@pytest.mark.slow
@pytest.mark.parametrize("case", list(heaps()), ids=lambda case: case.name[:40])
def test_a_heap_ends_in_time_with_a_part_or_a_sentence(case: Case) -> None:
    found = weigh(case)
    assert found["wrong"] == ""
    assert found["seconds"] <= LONGEST_S and found["peak_mib"] <= 4096
