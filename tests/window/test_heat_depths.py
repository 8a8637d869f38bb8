"""Three depths of answer on page 5 Heat: the quick look comes by itself; the card can be chosen where there is one."""

import sys
from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import Qt

COARSE_MM = 4.0


@pytest.fixture
def coarse(hand: Any) -> Any:
    """The bracket with sinks under both patches, and the heat page before the hand."""
    hand.bench.session.picker.pick_all()
    hand.wait_for_sinks()
    hand.bench.show_page("heat")
    hand.bench.heat_panel.fields["cell_mm"].setValue(COARSE_MM)
    return hand


def test_a_quick_look_comes_by_itself_after_the_sinks_and_is_grey_when_out_of_date(coarse: Any) -> None:
    """The number shown is core's own; a look has its own cells, so their size in the full build changes nothing."""
    from core.run_heat import run_quick_look

    bench, panel = coarse.bench, coarse.bench.heat_panel
    coarse.wait(lambda: bench.heat.quick.is_current and panel.depths.values["quick look"][0].text() != "–")
    told = run_quick_look(bench.session.result).patches
    for number, look in enumerate(told):
        panel.which.setCurrentIndex(number)
        with_text, without_text = (label.text() for label in panel.depths.values["quick look"])
        assert (with_text, without_text) == (f"{look.with_c.nominal:.0f}", f"{look.without_c.nominal:.0f}")
        assert float(with_text) < float(without_text)
        assert f"± {look.cells.with_k:.0f} K with the sink" in panel.depth_words.text()
        live = bench.session.result.estimates[number].rise_with_k.nominal + bench.state.job.laser.preheat_c
        assert panel.depths.values["1-D estimate"][0].text() == f"{live:.0f}"
        assert panel.depths.values["full build"][0].text() == "–"
    panel.fields["cell_mm"].setValue(3.0)
    assert bench.heat.quick.is_current
    bench.session.builder.at_once = False
    bench.sink_panel.spin.setValue(450)
    assert not bench.heat.quick.is_current and not panel.depths.values["quick look"][0].isEnabled()
    assert panel.depths.values["1-D estimate"][0].isEnabled() and "out of date" in panel.depth_words.text()
    bench.commands["undo"].trigger()
    assert bench.heat.quick.is_current and panel.depths.values["quick look"][0].isEnabled()


def test_a_card_can_be_chosen_only_where_there_is_one(coarse: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    bench, panel = coarse.bench, coarse.bench.heat_panel
    coarse.wait(lambda: not bench.background.busy())
    monkeypatch.setitem(sys.modules, "cupy", None)
    bench.heat.card._asked = False
    bench.heat.card.look()
    coarse.wait(lambda: not bench.background.busy())
    coarse.wait(lambda: "No NVIDIA card" in panel.machine.toolTip())
    assert not panel.machine.isEnabled()
    bench.heat.set_choice(replace(bench.heat.choice, machine="card"))  # as kept from another machine
    assert panel.machine.isEnabled() and panel.machine.currentData() == "card"
    coarse.qtbot.mouseClick(panel.run_button, Qt.MouseButton.LeftButton)
    coarse.wait(lambda: "No NVIDIA card" in bench.message_bar.text.text())
    assert bench.heat.comparison is None
    panel.machine.setCurrentIndex(0)
    panel.machine.activated.emit(0)
    assert bench.heat.choice.machine == "processor" and not panel.machine.isEnabled()
