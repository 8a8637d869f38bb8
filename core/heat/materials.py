"""Alloys, built in or the user's own: density, heat capacity, conductivity, melting range, each with its source."""

import csv
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from core.heat.library_name import name_key
from core.heat.own_alloy import OVER_TEMPERATURE, OwnAlloy
from core.heat.sourced import Sourced, SourcedAt
from core.refusal import Refusal
from core.units import FloatArray

PROPERTIES = tuple(OVER_TEMPERATURE)
PHASE_QUANTITIES = ("solidus_k", "liquidus_k", "latent_heat_j_kg", "absorptivity")
_FOLDER = Path(__file__).parent


@dataclass(frozen=True, kw_only=True, eq=False)
class Table:
    """One property against temperature: temperature_k and value (n,), ascending; rows (n,) with their sources."""

    temperature_k: FloatArray
    value: FloatArray
    rows: tuple[Sourced, ...]

    def at(self, temperature_k: float) -> float:
        """Linear between rows; the end values beyond the ends; above the jump where two rows share a temperature."""
        return float(np.interp(temperature_k, self.temperature_k, self.value))

    def integral(self, from_k: float, to_k: float) -> float:
        """Exact integral of the broken line over temperature."""
        inside = (self.temperature_k > from_k) & (self.temperature_k < to_k)
        steps_k = np.concatenate(([from_k], self.temperature_k[inside], [to_k]))
        values = np.concatenate(([self.at(from_k)], self.value[inside], [self.at(to_k)]))
        return float(np.trapezoid(values, steps_k))


@dataclass(frozen=True, kw_only=True, eq=False)
class Alloy:
    """A dense alloy; methods take kelvin. `tables` and the four phase values carry flag and source."""

    name: str
    tables: dict[str, Table]
    solidus: Sourced
    liquidus: Sourced
    latent_heat: Sourced
    absorptivity: Sourced
    """Share of the laser power that heats the layer; a default for LaserSettings, not used by the estimates."""

    def density_kg_m3(self, temperature_k: float) -> float:
        """Density of the dense alloy."""
        return self.tables["density_kg_m3"].at(temperature_k)

    def heat_capacity_j_kgk(self, temperature_k: float) -> float:
        """Heat capacity without latent heat."""
        return self.tables["heat_capacity_j_kgk"].at(temperature_k)

    def conductivity_w_mk(self, temperature_k: float) -> float:
        """Conductivity of the dense alloy; as-built values are often lower than these."""
        return self.tables["conductivity_w_mk"].at(temperature_k)

    @property
    def solidus_k(self) -> float:
        return self.solidus.value

    @property
    def liquidus_k(self) -> float:
        return self.liquidus.value

    @property
    def latent_heat_j_kg(self) -> float:
        return self.latent_heat.value

    def enthalpy_to_liquid_j_kg(self, start_k: float) -> float:
        """Heat to bring one kilogram from start_k to liquid at the liquidus, latent heat included."""
        sensible = self.tables["heat_capacity_j_kgk"].integral(start_k, max(start_k, self.liquidus_k))
        return sensible + self.latent_heat_j_kg


@lru_cache(maxsize=1)
def alloy_names() -> tuple[str, ...]:
    """Every alloy we have a table and a melting range for, in the order of the table."""
    with_phase = _phase_data()
    return tuple(name for name in dict.fromkeys(row["alloy"] for row in _table_rows()) if name in with_phase)


@lru_cache(maxsize=64)
def alloy(of: str | OwnAlloy) -> Alloy:
    """The built-in alloy of that name, or one of the user's own from its values.

    Capitals, spaces, hyphens and underscores of a name don't matter. Raises Refusal with the known names when there
    is none, and for an alloy of the user's own that is called like a built-in one.
    """
    if isinstance(of, OwnAlloy):
        return _made_of(of)
    known = built_in(of)
    if known is None:
        raise Refusal(f"There is no alloy '{of}'; choose one of {', '.join(alloy_names())}.")
    return _read_alloy(known)


def built_in(name: str) -> str | None:
    """A built-in alloy's name as it is written, None when there is none of that name."""
    return {name_key(known): known for known in alloy_names()}.get(name_key(name))


def copy_of(of: Alloy, name: str) -> OwnAlloy:
    """An alloy of the user's own that starts with another one's values, sources and flags."""
    rows = {
        key: tuple(
            SourcedAt(temperature_k=float(t), value=row.value, source=row.source, flag=row.flag)
            for t, row in zip(table.temperature_k, table.rows, strict=True)
        )
        for key, table in of.tables.items()
    }
    temperatures_k = [row.temperature_k for table in rows.values() for row in table]
    return OwnAlloy(
        name=name,
        revision=1,
        copied_from=of.name,
        valid_from_k=min(temperatures_k),
        valid_to_k=max(temperatures_k),
        solidus_k=of.solidus,
        liquidus_k=of.liquidus,
        latent_heat_j_kg=of.latent_heat,
        absorptivity=of.absorptivity,
        density_kg_m3=rows["density_kg_m3"],
        heat_capacity_j_kgk=rows["heat_capacity_j_kgk"],
        conductivity_w_mk=rows["conductivity_w_mk"],
    )


def _made_of(own: OwnAlloy) -> Alloy:
    if built_in(own.name) is not None:
        raise Refusal(f"'name': {own.name} is built in; give an alloy of your own another name.")
    return Alloy(
        name=own.name,
        tables={
            key: Table(
                temperature_k=np.array([row.temperature_k for row in rows]),
                value=np.array([row.value for row in rows]),
                rows=tuple(Sourced(value=row.value, source=row.source, flag=row.flag) for row in rows),
            )
            for key in PROPERTIES
            if (rows := getattr(own, key))
        },
        solidus=own.solidus_k,
        liquidus=own.liquidus_k,
        latent_heat=own.latent_heat_j_kg,
        absorptivity=own.absorptivity,
    )


@lru_cache(maxsize=64)
def _read_alloy(name: str) -> Alloy:
    phase = _phase_data()[name]
    return Alloy(
        name=name,
        tables={quantity: _table(name, quantity) for quantity in PROPERTIES},
        solidus=phase["solidus_k"],
        liquidus=phase["liquidus_k"],
        latent_heat=phase["latent_heat_j_kg"],
        absorptivity=phase["absorptivity"],
    )


def _table(name: str, quantity: str) -> Table:
    rows = [row for row in _table_rows() if row["alloy"] == name and row[quantity]]
    return Table(
        temperature_k=np.array([float(row["temperature_k"]) for row in rows]),
        value=np.array([float(row[quantity]) for row in rows]),
        rows=tuple(Sourced(value=float(row[quantity]), source=row["source"], flag=row["flag"]) for row in rows),
    )


@lru_cache(maxsize=1)
def _table_rows() -> tuple[dict[str, str], ...]:
    with (_FOLDER / "materials.csv").open(encoding="utf-8", newline="") as lines:
        return tuple(csv.DictReader(lines))


@lru_cache(maxsize=1)
def _phase_data() -> dict[str, dict[str, Sourced]]:
    found: dict[str, dict[str, Sourced]] = {}
    with (_FOLDER / "phase_data.csv").open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            value = Sourced(value=float(row["value"]), source=row["source"], flag=row["flag"])
            found.setdefault(row["alloy"], {})[row["quantity"]] = value
    return {name: values for name, values in found.items() if set(PHASE_QUANTITIES) <= set(values)}
