"""Values edited row by row: a new value needs a new source, rows keep their order, bad ones are refused by key."""

from dataclasses import replace

import pytest

from core.heat.machine_setting import MachineSetting
from core.heat.own_alloy import OwnAlloy
from core.heat.value_rows import ValueRow, value_rows, with_row, with_row_added, without_row
from core.refusal import Refusal


def row(held: OwnAlloy | MachineSetting, key: str, number: int | None = None) -> ValueRow:
    return next(r for r in value_rows(held) if r.key == key and r.number == number)


def test_a_new_value_needs_a_new_source_and_a_new_flag_alone_does_not(own_steel: OwnAlloy) -> None:
    old = row(own_steel, "solidus_k")
    with pytest.raises(Refusal, match="where the new value comes from"):
        with_row(own_steel, old, replace(old, value=1670.0))
    assert with_row(own_steel, old, replace(old, value=1670.0, source="DTA run 7")).solidus_k.value == 1670.0
    assert with_row(own_steel, old, replace(old, flag="read")).solidus_k.flag == "read"
    with pytest.raises(Refusal, match=r"'solidus_k' = 1900 K lies above"):
        with_row(own_steel, old, replace(old, value=1900.0, source="slip"))


def test_a_row_goes_where_its_temperature_belongs_and_the_last_one_stays(own_steel: OwnAlloy) -> None:
    first = row(own_steel, "density_kg_m3", 0)
    longer = with_row_added(own_steel, replace(first, temperature_k=320.0, value=7950.0, source="weighed"))
    assert [r.temperature_k for r in longer.density_kg_m3[:3]] == [298.15, 320.0, 373.15]
    assert without_row(longer, row(longer, "density_kg_m3", 1)) == own_steel
    with pytest.raises(Refusal, match="temperature_k"):
        with_row_added(own_steel, replace(first, temperature_k=5000.0, source="beyond what it is meant for"))
    with pytest.raises(Refusal, match="only rows"):
        without_row(own_steel, row(own_steel, "absorptivity"))
    one = replace(own_steel, density_kg_m3=own_steel.density_kg_m3[:1])
    with pytest.raises(Refusal, match="'density_kg_m3' must have"):
        without_row(one, row(one, "density_kg_m3", 0))


def test_the_gas_of_a_machine_setting_is_a_word(own_setting: MachineSetting) -> None:
    old = row(own_setting, "gas")
    changed = with_row(own_setting, old, replace(old, value="nitrogen", source="bottle label"))
    assert changed.gas.value == "nitrogen" and changed.power_w == own_setting.power_w
    with pytest.raises(Refusal, match=r"gas\.value"):
        with_row(own_setting, old, replace(old, value="air", source="slip"))
