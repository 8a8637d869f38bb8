"""Library files: every field comes back, every fault is one sentence with file and key, no revision is lost."""

import copy
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.heat.library_file import Held, file_name, first_revision, library_text, read_library_file
from core.heat.machine_setting import MachineSetting, setting_of
from core.heat.materials import alloy, alloy_names, copy_of
from core.heat.own_alloy import OwnAlloy
from core.heat.sourced import Sourced
from core.heat.user_library import found, give_out, keep, keep_new, listing, metal_named, setting_named, take_in
from core.job import Job
from core.refusal import Refusal

DAY, LATER = date(2026, 11, 26), date(2026, 12, 3)
STEEL = copy_of(alloy("316L"), "Nordhaven 316L")
SETTING = setting_of("Hall 2", Job().laser, Job().plate, Job().powder, "setting sheet of hall 2", "read")
TEXTS = {name: library_text(first_revision(held, DAY)) for name, held in (("alloy", STEEL), ("machine", SETTING))}
WHOLE: dict[str, dict[str, Any]] = {name: json.loads(text) for name, text in TEXTS.items()}


@pytest.mark.parametrize("name", alloy_names())
def test_a_copy_of_every_built_in_alloy_comes_back_from_its_file_value_for_value(tmp_path: Path, name: str) -> None:
    own = copy_of(alloy(name), f"own {name}")
    keep(own, DAY, folder=tmp_path)
    assert metal_named(f"OWN {name}", tmp_path) == own
    for temperature_k in (300.0, 612.5, 1500.0):
        assert alloy(own).conductivity_w_mk(temperature_k) == alloy(name).conductivity_w_mk(temperature_k)
        assert alloy(own).density_kg_m3(temperature_k) == alloy(name).density_kg_m3(temperature_k)
    assert alloy(own).enthalpy_to_liquid_j_kg(300.0) == alloy(name).enthalpy_to_liquid_j_kg(300.0)
    assert [row.source for row in alloy(own).tables["conductivity_w_mk"].rows] == [
        row.source for row in alloy(name).tables["conductivity_w_mk"].rows
    ]


def test_a_machine_setting_comes_back_and_holds_what_it_was_made_of(tmp_path: Path) -> None:
    keep(SETTING, DAY, folder=tmp_path)
    back = setting_named("hall-2", tmp_path)
    assert back == SETTING
    job = Job()
    assert (back.on_laser(job.laser), back.on_plate(job.plate)) == (job.laser, job.plate)
    assert back.on_powder(job.powder) == job.powder


def at(values: Any, path: str) -> tuple[Any, Any]:
    """The group or list that holds a place, and its key there; 'revisions.0.alloy.solidus_k.value'."""
    *way, last = [int(word) if word.isdigit() else word for word in path.split(".")]
    for key in way:
        values = values[key]
    return values, last


def put(new: Any, path: str) -> Callable[[dict[str, Any]], None]:
    def change(values: dict[str, Any]) -> None:
        held, key = at(values, path)
        held[key] = new

    return change


def drop(path: str) -> Callable[[dict[str, Any]], None]:
    def change(values: dict[str, Any]) -> None:
        held, key = at(values, path)
        del held[key]

    return change


ALLOY, MACHINE = "revisions.0.alloy", "revisions.0.machine"
FAULTS: tuple[tuple[str, Callable[[dict[str, Any]], None], str], ...] = (
    ("alloy", put(1900.0, f"{ALLOY}.solidus_k.value"), "solidus_k"),
    ("alloy", put(90.0, f"{ALLOY}.liquidus_k.value"), "liquidus_k.value"),
    ("alloy", put(1e9, f"{ALLOY}.latent_heat_j_kg.value"), "latent_heat_j_kg.value"),
    ("alloy", put(1.2, f"{ALLOY}.absorptivity.value"), "absorptivity.value"),
    ("alloy", put(7.9, f"{ALLOY}.density_kg_m3.0.value"), "density_kg_m3[0].value"),
    ("alloy", put(0.5, f"{ALLOY}.heat_capacity_j_kgk.1.value"), "heat_capacity_j_kgk[1].value"),
    ("alloy", put(-1, f"{ALLOY}.conductivity_w_mk.0.value"), "conductivity_w_mk[0].value"),
    ("alloy", put(400.0, f"{ALLOY}.conductivity_w_mk.4.temperature_k"), "conductivity_w_mk[4].temperature_k"),
    ("alloy", put(5.0, f"{ALLOY}.density_kg_m3.0.temperature_k"), "density_kg_m3[0].temperature_k"),
    ("alloy", put([], f"{ALLOY}.density_kg_m3"), "density_kg_m3"),
    ("alloy", put(9e4, f"{ALLOY}.valid_to_k"), "valid_to_k"),
    ("alloy", put(2000.0, f"{ALLOY}.valid_from_k"), "valid_from_k"),
    ("alloy", put("guess", f"{ALLOY}.solidus_k.flag"), "solidus_k.flag"),
    ("alloy", put("  ", f"{ALLOY}.density_kg_m3.2.source"), "density_kg_m3[2].source"),
    ("alloy", put("a\nb", f"{ALLOY}.absorptivity.source"), "absorptivity.source"),
    ("alloy", put("", f"{ALLOY}.name"), "name"),
    ("alloy", put("316 l", f"{ALLOY}.name"), "name"),
    ("alloy", put(2, f"{ALLOY}.revision"), "revisions"),
    ("alloy", put(0, f"{ALLOY}.revision"), "revision"),
    ("alloy", put("1666", f"{ALLOY}.solidus_k.value"), "solidus_k.value"),
    ("alloy", put(True, f"{ALLOY}.solidus_k.value"), "solidus_k.value"),
    ("alloy", put(1, f"{ALLOY}.emissivity"), "emissivity"),
    ("alloy", drop(f"{ALLOY}.liquidus_k.source"), "liquidus_k.source"),
    ("alloy", drop("revisions.0.note"), "revisions[0].note"),
    ("alloy", put("yesterday", "revisions.0.saved_on"), "saved_on"),
    ("alloy", put("machine", "kind"), "revisions[0].alloy"),
    ("alloy", put("steel", "kind"), "kind"),
    ("alloy", put(1, "extra"), "extra"),
    ("alloy", put([], "revisions"), "revisions"),
    ("alloy", put("one", "schema"), "schema"),
    ("alloy", put(2, "schema"), "newer"),
    ("machine", put(0.0, f"{MACHINE}.power_w.value"), "power_w.value"),
    ("machine", put(1e6, f"{MACHINE}.speed_mm_s.value"), "speed_mm_s.value"),
    ("machine", put(3.0, f"{MACHINE}.hatch_mm.value"), "hatch_mm.value"),
    ("machine", put(40.0, f"{MACHINE}.layer_mm.value"), "layer_mm.value"),
    ("machine", put(0.0, f"{MACHINE}.spot_mm.value"), "spot_mm.value"),
    ("machine", put(1.5, f"{MACHINE}.passes.value"), "passes.value"),
    ("machine", put(0.0, f"{MACHINE}.layer_time_s.value"), "layer_time_s.value"),
    ("machine", put(-300.0, f"{MACHINE}.preheat_c.value"), "preheat_c.value"),
    ("machine", put(0.0, f"{MACHINE}.plate_x_mm.value"), "plate_x_mm.value"),
    ("machine", put(125.0, f"{MACHINE}.border_mm.value"), "border_mm.value"),
    ("machine", put(700.0, f"{MACHINE}.blade_deg.value"), "blade_deg.value"),
    ("machine", put("air", f"{MACHINE}.gas.value"), "gas.value"),
    ("machine", drop(f"{MACHINE}.gas"), "gas"),
)


@pytest.mark.parametrize(("kind", "fault", "word"), FAULTS, ids=lambda v: v if isinstance(v, str) else "")
def test_a_bad_file_is_refused_in_one_sentence_that_names_file_and_key(
    tmp_path: Path, kind: str, fault: Callable[[dict[str, Any]], None], word: str
) -> None:
    values = copy.deepcopy(WHOLE[kind])
    fault(values)
    assert word in refused(tmp_path, json.dumps(values).encode())


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "not an Underfin library file"),
        (b"[1]", "not an Underfin library file"),
        (TEXTS["alloy"].encode()[:700], "damaged at line"),
        (b"\xff" + TEXTS["alloy"].encode(), "not an Underfin library file"),
        (TEXTS["alloy"].replace("1666.0", "NaN").encode(), "NaN"),
        (TEXTS["alloy"].replace("1666.0", "1e999").encode(), "solidus_k.value"),
        (TEXTS["alloy"].replace('"kind"', '"schema": 1, "kind"').encode(), "twice"),
        (b"{" + b" " * 2_000_001, "larger than 2 MB"),
    ],
)
def test_a_damaged_file_is_refused_in_one_sentence(tmp_path: Path, data: bytes, word: str) -> None:
    assert word in refused(tmp_path, data)


def refused(folder: Path, data: bytes) -> str:
    """The sentence; importing the file says the same and leaves the library empty."""
    path = folder / "given.json"
    path.write_bytes(data)
    with pytest.raises(Refusal) as refusal:
        read_library_file(path)
    sentence = str(refusal.value)
    assert sentence.isprintable() and "given.json" in sentence and sentence.endswith(".") and len(sentence) <= 400
    with pytest.raises(Refusal):
        take_in(path, DAY, folder / "own")
    assert not (folder / "own").exists()
    return sentence


def test_revisions_grow_and_every_older_one_stays_as_it_was(tmp_path: Path) -> None:
    measured = replace(STEEL, absorptivity=Sourced(value=0.44, source="calorimeter, hall 2", flag="measured"))
    keep_new(STEEL, DAY, folder=tmp_path)
    file = keep(measured, LATER, "absorptivity measured", tmp_path)
    assert [(r.held.revision, r.saved_on, r.note) for r in file.revisions] == [
        (2, "2026-12-03", "absorptivity measured"), (1, "2026-11-26", ""),
    ]  # fmt: skip
    assert file.revisions[1].held == STEEL and found("nordhaven316L", tmp_path) == file
    assert keep(file.newest, LATER, folder=tmp_path) == file, "saving the same again makes no revision"
    assert keep(STEEL, LATER, folder=tmp_path).newest.revision == 3, "going back is a revision too"
    with pytest.raises(Refusal, match="already"):
        keep_new(STEEL, LATER, folder=tmp_path)
    with pytest.raises(Refusal, match="an alloy in the library"):
        keep(replace(SETTING, name=STEEL.name), LATER, folder=tmp_path)
    assert len(list(tmp_path.glob("*.json"))) == 1


def test_export_and_import_carry_the_history_and_never_replace(tmp_path: Path) -> None:
    here, there, sheet = tmp_path / "here", tmp_path / "there", tmp_path / "sheet.json"
    give_out(keep(STEEL, DAY, folder=here), sheet)
    with pytest.raises(Refusal, match="already"):
        give_out(keep(STEEL, DAY, folder=here), sheet)
    first, _ = take_in(sheet, DAY, there)
    assert first == found(STEEL.name, here)
    assert "already, as revision 1" in take_in(sheet, DAY, there)[1]
    newer = keep(replace(STEEL, solidus_k=Sourced(value=1670.0, source="melt run 7", flag="measured")), LATER, "", here)
    give_out(newer, sheet, replacing=True)
    assert take_in(sheet, LATER, there)[0] == newer, "a longer history is taken whole"
    by_hand = json.loads(sheet.read_text())
    by_hand["revisions"][0]["alloy"]["solidus_k"]["value"] = 1671.0
    sheet.write_text(json.dumps(by_hand))
    third = take_in(sheet, LATER, there)[0]
    assert [r.held.solidus_k.value for r in third.revisions if isinstance(r.held, OwnAlloy)] == [1671.0, 1670.0, 1666.0]
    assert third.revisions[0].note == "imported from sheet.json"


def test_one_damaged_file_hides_no_other(tmp_path: Path) -> None:
    keep(STEEL, DAY, folder=tmp_path)
    keep(SETTING, DAY, folder=tmp_path)
    (tmp_path / file_name("third")).write_text("{")
    (tmp_path / "renamed.json").write_text(TEXTS["alloy"])
    held = listing(tmp_path)
    assert [file.name for file in held.files] == ["Nordhaven 316L", "Hall 2"] and len(held.problems) == 2
    with pytest.raises(Refusal, match="Nordhaven 316L"):
        metal_named("unobtainium", tmp_path)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, v in below for place in places(v, (*path, key)))]


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(st.text(max_size=8), below, max_size=3),
    max_leaves=6,
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(kind=st.sampled_from(["alloy", "machine"]), edits=st.lists(st.tuples(st.integers(0), JSON), max_size=3))
def test_whatever_is_edited_the_file_is_refused_or_gives_finite_numbers(
    tmp_path: Path, kind: str, edits: list[tuple[int, Any]]
) -> None:
    values = copy.deepcopy(WHOLE[kind])
    for number, new in edits:
        all_places = places(values)[1:]
        if not all_places:
            break
        *way, last = all_places[number % len(all_places)]
        held: Any = values
        for key in way:
            held = held[key]
        held[last] = new
    path = tmp_path / "edited.json"
    path.write_text(json.dumps(values))
    try:
        newest: Held = read_library_file(path).newest
    except Refusal as refusal:
        assert str(refusal).isprintable() and "edited.json" in str(refusal) and len(str(refusal)) <= 400
        return
    if isinstance(newest, OwnAlloy):
        metal = alloy(newest)
        assert 0 < metal.enthalpy_to_liquid_j_kg(300.0) < 1e9 and metal.solidus_k <= metal.liquidus_k
        assert all(0 < metal.conductivity_w_mk(t) <= 3000 for t in (200.0, 1000.0, 5000.0))
    else:
        assert isinstance(newest, MachineSetting) and newest.on_laser(Job().laser).power_w >= 1.0
