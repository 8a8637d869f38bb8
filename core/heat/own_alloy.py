"""An alloy of the user's own: every value with source and flag, checked, and the same wherever it is read."""

from collections.abc import Iterator
from dataclasses import dataclass, fields

from core.heat.library_name import check_name
from core.heat.sourced import Sourced, SourcedAt, check_range, check_sourced
from core.refusal import Refusal

SINGLE = {
    "solidus_k": (250.0, 6000.0, "K"),
    "liquidus_k": (250.0, 6000.0, "K"),
    "latent_heat_j_kg": (1e3, 3e6, "J/kg"),
    "absorptivity": (0.01, 1.0, ""),
}
"""Values without a temperature: from, to, unit."""
OVER_TEMPERATURE = {
    "density_kg_m3": (300.0, 30_000.0, "kg/m³"),
    "heat_capacity_j_kgk": (20.0, 10_000.0, "J/kgK"),
    "conductivity_w_mk": (0.05, 3000.0, "W/mK"),
}
"""Tables: from, to, unit. The ends are wider than any metal's, so that only slips of unit or digit are refused."""
HIGHEST_K = 10_000.0
MOST_ROWS = 200


@dataclass(frozen=True, kw_only=True)
class OwnAlloy:
    """Keys and units are those of the file. Tables are broken lines over temperature, flat beyond their ends;
    two rows may share a temperature, which is a jump.

    copied_from: name of the alloy it began as, empty for none. valid_*_k: temperatures the values are meant for.
    """

    name: str
    revision: int
    copied_from: str
    valid_from_k: float
    valid_to_k: float
    solidus_k: Sourced
    liquidus_k: Sourced
    latent_heat_j_kg: Sourced
    absorptivity: Sourced
    density_kg_m3: tuple[SourcedAt, ...]
    heat_capacity_j_kgk: tuple[SourcedAt, ...]
    conductivity_w_mk: tuple[SourcedAt, ...]

    def __post_init__(self) -> None:
        check_name(self.name, self.revision)
        if not self.copied_from.isprintable() or len(self.copied_from) > 100:
            raise Refusal("'copied_from' must be at most 100 printable characters.")
        if not 0.0 < self.valid_from_k <= self.valid_to_k <= HIGHEST_K:
            raise Refusal(f"'valid_from_k' must not lie above 'valid_to_k', both between 0 and {HIGHEST_K:g} K.")
        for key, (low, high, unit) in SINGLE.items():
            value: Sourced = getattr(self, key)
            check_range(f"{key}.value", value.value, low, high, unit)
            check_sourced(key, value)
        if self.solidus_k.value > self.liquidus_k.value:
            raise Refusal(
                f"'solidus_k' = {self.solidus_k.value:g} K lies above 'liquidus_k' = {self.liquidus_k.value:g} K."
            )
        for key in OVER_TEMPERATURE:
            self._check_table(key)

    def _check_table(self, key: str) -> None:
        rows: tuple[SourcedAt, ...] = getattr(self, key)
        low, high, unit = OVER_TEMPERATURE[key]
        if not 1 <= len(rows) <= MOST_ROWS:
            raise Refusal(f"'{key}' must have 1 to {MOST_ROWS} rows.")
        for number, row in enumerate(rows):
            where = f"{key}[{number}]"
            check_range(f"{where}.temperature_k", row.temperature_k, self.valid_from_k, self.valid_to_k, "K")
            check_range(f"{where}.value", row.value, low, high, unit)
            check_sourced(where, row)
            if number and row.temperature_k < rows[number - 1].temperature_k:
                raise Refusal(f"'{where}.temperature_k' = {row.temperature_k:g} K comes after a higher one; sort them.")
            if number > 1 and row.temperature_k == rows[number - 2].temperature_k:
                raise Refusal(f"'{where}.temperature_k' = {row.temperature_k:g} K comes a third time; a jump has two.")

    def values(self) -> Iterator[tuple[str, int | None, Sourced | SourcedAt]]:
        """Every value with its key and, in a table, its row."""
        for field in fields(self):
            held = getattr(self, field.name)
            if isinstance(held, Sourced):
                yield field.name, None, held
            elif isinstance(held, tuple):
                yield from ((field.name, number, row) for number, row in enumerate(held))
