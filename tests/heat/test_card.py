"""The build on an NVIDIA card gives the processor's answer; run with `-m card` where there is one."""

import numpy as np
import pytest

from core.heat.build_3d import Build
from core.heat.heat_choice import HeatChoice
from core.heat.machine import card, to_host
from core.refusal import Refusal
from tests.heat.test_build_3d import LASER, STEEL, ledge


def test_without_a_card_a_sentence_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "cupy", None)
    with pytest.raises(Refusal, match="No NVIDIA card"):
        card()


@pytest.mark.card
@pytest.mark.parametrize(("double", "tolerance_k"), [(True, 1e-5), (False, 0.25)])
def test_the_card_gives_the_processors_answer(double: bool, tolerance_k: float) -> None:
    grid = ledge(cell_mm=0.5)
    choice = HeatChoice(double=double)
    mine = Build(grid, STEEL, LASER, choice).run()
    its = Build(grid, STEEL, LASER, choice, machine=card()).run()
    worst = float(np.abs(to_host(its.hottest) - mine.hottest).max())
    print(f"worst difference {worst:.2e} K of {mine.hottest.max():.0f} K, imbalance {its.imbalance:.1e}")
    assert worst <= tolerance_k * (mine.hottest.max() if double else 1.0)
    assert float(np.abs(to_host(its.hottest) - mine.hottest).mean()) <= 0.005  # single cells take another table row
    assert its.imbalance < 1e-6
