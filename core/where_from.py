"""Where every number behind a job's estimates comes from: value, flag and source, in one list."""

from collections.abc import Iterator
from dataclasses import dataclass

from core.gap.gap_window import LEAST_LAYERS, STUDY
from core.heat.column_1d import ABSORPTIVITY_SPREAD, TOP_LOSS_W_M2K
from core.heat.laser_settings import LaserSettings
from core.heat.machine_setting import LASER, PLATE, machine_values
from core.heat.materials import Alloy, alloy
from core.heat.melt_depth import DEPTH_SPREAD
from core.heat.own_alloy import OVER_TEMPERATURE, SINGLE
from core.heat.powder_choice import PowderChoice
from core.heat.powder_conductivity import EMISSIVITY, FLATTENING, HIGH_SHARE, LOW_SHARE
from core.heat.sourced import Sourced
from core.job import Job
from core.part.place_on_plate import Plate

NAMES = {
    "solidus_k": "solidus",
    "liquidus_k": "liquidus",
    "latent_heat_j_kg": "latent heat",
    "absorptivity": "absorptivity",
    "density_kg_m3": "density",
    "heat_capacity_j_kgk": "heat capacity",
    "conductivity_w_mk": "conductivity",
    "power_w": "laser power",
    "speed_mm_s": "scan speed",
    "hatch_mm": "hatch",
    "layer_mm": "layer",
    "spot_mm": "spot (D4σ)",
    "passes": "passes",
    "layer_time_s": "layer time",
    "preheat_c": "plate temperature",
    "plate_x_mm": "build volume X",
    "plate_y_mm": "build volume Y",
    "plate_z_mm": "build volume Z",
    "border_mm": "free border",
    "blade_deg": "recoater blade from X",
    "gas": "gas",
}
UNITS = {key: unit for table in (SINGLE, OVER_TEMPERATURE, LASER, PLATE) for key, (_, _, unit) in table.items()}
JOB_FLAG = "set here"
START = "starting value of the program; common practice, no source"
SET_HERE = "set in this job"
"""For what was typed into the job, whose source only the engineer knows."""


@dataclass(frozen=True, kw_only=True)
class Origin:
    """One value in use. group: 'alloy', 'machine', 'powder' or 'limits'; key: as in the files."""

    group: str
    key: str
    name: str
    value: str
    flag: str
    source: str

    @property
    def words(self) -> str:
        """A line for a tip: value, flag, source."""
        return f"{self.name[:1].upper()}{self.name[1:]} {self.value}: {self.source} ({self.flag})"


def alloy_words(job: Job) -> str:
    """Which alloy this is: built in, or which revision of the user's own."""
    own = job.own_alloy
    if own is None:
        return f"{job.alloy}, built in"
    copied = f", begun as a copy of {own.copied_from}" if own.copied_from else ""
    valid = f"meant for {own.valid_from_k:g} to {own.valid_to_k:g} K"
    return f"{own.name}, own alloy, revision {own.revision}{copied}, {valid}"


def machine_words(job: Job) -> str:
    """Which machine setting was applied, and what was changed since; empty when none was."""
    if job.machine is None:
        return ""
    names = [NAMES[key] for key in changed_since(job)]
    changed = f"; changed since in this job: {', '.join(names)}" if names else ""
    return f"{job.machine.name}, revision {job.machine.revision}{changed}"


def changed_since(job: Job) -> tuple[str, ...]:
    """Keys of what differs from the machine setting that was applied."""
    if job.machine is None:
        return ()
    now = machine_values(job.laser, job.plate, job.powder)
    return tuple(key for key, value in now.items() if value != getattr(job.machine, key).value)


def origins(job: Job) -> tuple[Origin, ...]:
    """Every value in use with its flag and source; rows of a table that share a source are one."""
    return (*_of_alloy(alloy(job.metal)), *_of_machine(job), *_of_powder(job), *_of_limits())


def origin_words(job: Job, *keys: str) -> str:
    """Lines for a tip on the values of these keys."""
    return "\n".join(origin.words for origin in origins(job) if origin.key in keys)


def _of_alloy(metal: Alloy) -> Iterator[Origin]:
    for key, single in (
        ("solidus_k", metal.solidus),
        ("liquidus_k", metal.liquidus),
        ("latent_heat_j_kg", metal.latent_heat),
    ):
        yield _origin("alloy", key, f"{single.value:g} {UNITS[key]}", single)
    for key, table in metal.tables.items():
        same: dict[tuple[str, str], list[Sourced]] = {}
        for row in table.rows:
            same.setdefault((row.source, row.flag), []).append(row)
        for rows in same.values():
            low, high = min(row.value for row in rows), max(row.value for row in rows)
            span = f"{low:g} to {high:g}" if low < high else f"{low:g}"
            yield _origin("alloy", key, f"{span} {UNITS[key]}", rows[0])


def _of_machine(job: Job) -> Iterator[Origin]:
    own = alloy(job.metal).absorptivity
    if job.laser.absorptivity == own.value:
        yield _origin("machine", "absorptivity", f"{own.value:g}", own)
    else:
        said = Sourced(value=own.value, source=f"{SET_HERE}; {job.alloy} has {own.value:g}", flag=JOB_FLAG)
        yield _origin("machine", "absorptivity", f"{job.laser.absorptivity:g}", said)
    start = machine_values(LaserSettings(), Plate(), PowderChoice())
    changed = changed_since(job)
    for key, value in machine_values(job.laser, job.plate, job.powder).items():
        shown = value if isinstance(value, str) else f"{value:g} {UNITS[key]}".rstrip()
        if job.machine is not None:
            given = getattr(job.machine, key)
            was = given.value if isinstance(given.value, str) else f"{given.value:g}"
            setting = f"{job.machine.name}, revision {job.machine.revision}"
            source, flag = (
                (f"{SET_HERE}; {setting} has {was}", JOB_FLAG)
                if key in changed
                else (f"{setting}: {given.source}", given.flag)
            )
        else:
            source, flag = (START, "memory") if value == start[key] else (SET_HERE, JOB_FLAG)
        yield Origin(group="machine", key=key, name=NAMES[key], value=shown, flag=flag, source=source)


def _of_powder(job: Job) -> Iterator[Origin]:
    name, measured = "powder conductivity", job.powder.conductivity_w_mk
    if measured is not None:
        source = "set in this job as measured or fitted; the band is ±15 %, to be expected of a coupon fit"
        yield Origin(group="powder", key="powder_w_mk", name=name, value=f"{measured:g} W/mK", flag="measured",
                     source=source)  # fmt: skip
        return
    model = "cell model of Zehner, Bauer and Schlünder with rarefied gas, VDI Heat Atlas 2013, D6.3"
    yield Origin(group="powder", key="powder_w_mk", name=name, value="by model", flag="computed", source=model)
    for what, share, shown in (
        ("its emissivity", EMISSIVITY, f"{EMISSIVITY.value:g}"),
        ("its metallic contact", FLATTENING, f"{FLATTENING.value:g}"),
        ("its band, low", LOW_SHARE, f"{LOW_SHARE.value:g} times, without contact"),
        ("its band, high", HIGH_SHARE, f"{HIGH_SHARE.value:g} times, without contact"),
    ):
        yield Origin(group="powder", key="powder_w_mk", name=f"{name}, {what}", value=shown, flag=share.flag,
                     source=share.source)  # fmt: skip


def _of_limits() -> Iterator[Origin]:
    for key, name, value, flag, source in (
        ("fuse_limit", "fuse limit, melt depth", f"±{DEPTH_SPREAD.value:.0%}".replace("%", " %"), DEPTH_SPREAD.flag,
         f"energy balance over powder without losses; {DEPTH_SPREAD.source}"),
        ("fuse_limit", "fuse limit, least reach", f"{LEAST_LAYERS:g} layers", "memory",
         f"above the 2 to 3 layers at which parts fused in {STUDY}; judgement"),
        ("heat_limit", "heat limit, loss off the top", f"{TOP_LOSS_W_M2K.value:g} W/m²K", TOP_LOSS_W_M2K.flag,
         TOP_LOSS_W_M2K.source),
        ("heat_limit", "heat limit, absorbed heat", f"±{ABSORPTIVITY_SPREAD.value:.0%}".replace("%", " %"),
         ABSORPTIVITY_SPREAD.flag, ABSORPTIVITY_SPREAD.source),
    ):  # fmt: skip
        yield Origin(group="limits", key=key, name=name, value=value, flag=flag, source=source)


def _origin(group: str, key: str, value: str, of: Sourced) -> Origin:
    return Origin(group=group, key=key, name=NAMES[key], value=value, flag=of.flag, source=of.source)

