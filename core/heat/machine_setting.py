"""A machine setting of the user's own: laser, plate and gas, every value with source and flag."""

from dataclasses import dataclass, replace

from core.heat.laser_settings import LaserSettings
from core.heat.library_name import check_name
from core.heat.powder_choice import GASES, PowderChoice
from core.heat.sourced import Sourced, SourcedWord, check_range, check_sourced
from core.part.place_on_plate import Plate
from core.refusal import Refusal

LASER = {
    "power_w": (1.0, 5000.0, "W"),
    "speed_mm_s": (1.0, 20_000.0, "mm/s"),
    "hatch_mm": (0.005, 2.0, "mm"),
    "layer_mm": (0.01, 0.3, "mm"),
    "spot_mm": (0.01, 2.0, "mm"),
    "passes": (1.0, 10.0, ""),
    "layer_time_s": (0.5, 3600.0, "s"),
    "preheat_c": (0.0, 1000.0, "°C"),
}
"""From, to, unit, as LaserSettings takes them."""
PLATE = {
    "plate_x_mm": (1.0, 5000.0, "mm"),
    "plate_y_mm": (1.0, 5000.0, "mm"),
    "plate_z_mm": (1.0, 5000.0, "mm"),
    "border_mm": (0.0, 500.0, "mm"),
    "blade_deg": (-360.0, 360.0, "°"),
}
"""Build volume, free border, and the recoater blade from the X axis."""


@dataclass(frozen=True, kw_only=True)
class MachineSetting:
    """What a machine is set to for one alloy and layer; absorptivity is the alloy's. layer_time_s: with recoating."""

    name: str
    revision: int
    power_w: Sourced
    speed_mm_s: Sourced
    hatch_mm: Sourced
    layer_mm: Sourced
    spot_mm: Sourced
    passes: Sourced
    layer_time_s: Sourced
    preheat_c: Sourced
    plate_x_mm: Sourced
    plate_y_mm: Sourced
    plate_z_mm: Sourced
    border_mm: Sourced
    blade_deg: Sourced
    gas: SourcedWord

    def __post_init__(self) -> None:
        check_name(self.name, self.revision)
        for key, (low, high, unit) in (LASER | PLATE).items():
            value: Sourced = getattr(self, key)
            check_range(f"{key}.value", value.value, low, high, unit)
            check_sourced(key, value)
        if self.passes.value != round(self.passes.value):
            raise Refusal(f"'passes.value' = {self.passes.value:g} must be a whole number.")
        if self.border_mm.value >= min(self.plate_x_mm.value, self.plate_y_mm.value) / 2:
            raise Refusal(f"'border_mm.value' = {self.border_mm.value:g} mm leaves nothing of the plate.")
        if self.gas.value not in GASES:
            raise Refusal(f"'gas.value' must be {', '.join(GASES[:-1])} or {GASES[-1]}.")
        check_sourced("gas", self.gas)

    def on_laser(self, laser: LaserSettings) -> LaserSettings:
        """The laser settings with this setting's values; the absorptivity stays."""
        own = {key: getattr(self, key).value for key in LASER}
        return replace(laser, **(own | {"passes": round(self.passes.value)}))

    def on_plate(self, plate: Plate) -> Plate:
        """The plate with this setting's size, border and blade."""
        return replace(
            plate,
            size_mm=(self.plate_x_mm.value, self.plate_y_mm.value),
            height_mm=self.plate_z_mm.value,
            border_mm=self.border_mm.value,
            blade_deg=self.blade_deg.value,
        )

    def on_powder(self, powder: PowderChoice) -> PowderChoice:
        """The powder in this setting's gas."""
        return replace(powder, gas=self.gas.value)


def machine_values(laser: LaserSettings, plate: Plate, powder: PowderChoice) -> dict[str, float | str]:
    """What a job has set, by the keys of a MachineSetting."""
    width_mm, depth_mm = plate.size_mm
    of_laser: dict[str, float | str] = {key: float(getattr(laser, key)) for key in LASER}
    return of_laser | {
        "plate_x_mm": width_mm,
        "plate_y_mm": depth_mm,
        "plate_z_mm": plate.height_mm,
        "border_mm": plate.border_mm,
        "blade_deg": plate.blade_deg,
        "gas": powder.gas,
    }


def setting_of(
    name: str, laser: LaserSettings, plate: Plate, powder: PowderChoice, source: str, flag: str = "memory"
) -> MachineSetting:
    """A machine setting from what a job has set, one source for all. Raises Refusal for a value out of range."""
    return MachineSetting(
        name=name,
        revision=1,
        **{
            key: SourcedWord(value=value, source=source, flag=flag)
            if isinstance(value, str)
            else Sourced(value=value, source=source, flag=flag)
            for key, value in machine_values(laser, plate, powder).items()
        },  # type: ignore[arg-type]
    )
