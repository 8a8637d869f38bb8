"""What is known of a part after it was built, as the report takes it: trials, layer images and a scan."""

import math
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from core.trial.trial_curves import FreeCurve
from core.trial.trial_fit import TrialFit
from core.trial.trial_log import TrialLog
from core.units import FloatArray

Row = TypeVar("Row", "PatchSeen", "SpotSeen", "PatchScanned")


@dataclass(frozen=True, kw_only=True)
class Apart:
    """Patches with a sink less those without, its 95 % interval, and how many patches of each kind."""

    mean: float
    low: float
    high: float
    patches: tuple[int, int]


@dataclass(frozen=True, kw_only=True)
class PatchSeen:
    """What the images show just above one patch; scores are robust standard deviations of the layer."""

    patch: int
    with_sink: bool
    layers: int
    mean_z: float
    hot_share: float


@dataclass(frozen=True, kw_only=True)
class SpotSeen:
    """One hot spot. layer: counted from 1. group: the same for spots over each other. patch: None where at none."""

    layer: int
    x_mm: float
    y_mm: float
    z_mm: float
    area_mm2: float
    highest_z: float
    group: int
    patch: int | None


@dataclass(frozen=True, kw_only=True, eq=False)
class ImagesSeen:
    """A comparison of layer images. by_face: (n_faces,) mean score above each face, NaN where they don't tell."""

    images: int
    with_part: int
    layer_mm: float
    z_limit: float
    pairs: int
    rms_mm: float
    patches: tuple[PatchSeen, ...]
    n_spots: int
    hottest: tuple[SpotSeen, ...]
    apart: Apart | None
    heat: dict[str, tuple[float, int]]
    """Rank correlation with predicted temperatures and number of values, by layers and by faces, as far as known."""
    cautions: tuple[str, ...]
    by_face: FloatArray


@dataclass(frozen=True, kw_only=True)
class PatchScanned:
    """Deviation of one patch, mm, outward positive; NaN where nothing was measured. measured: share of the places."""

    patch: int
    with_sink: bool
    mean_mm: float
    p95_mm: float
    highest_mm: float
    lowest_edge_mm: float
    measured: float


@dataclass(frozen=True, kw_only=True, eq=False)
class ScanSeen:
    """A comparison of a scan. by_face: (n_faces,) mean deviation of each face, mm, NaN where the scan has a hole."""

    file: str
    triangles: int
    rms_mm: float
    used_share: float
    turned_deg: float
    elsewhere_rms_mm: float
    patches: tuple[PatchScanned, ...]
    apart: Apart | None
    cautions: tuple[str, ...]
    by_face: FloatArray


@dataclass(frozen=True, kw_only=True, eq=False)
class TriedGaps:
    """A trial sheet, its fit and the curves of it."""

    log: TrialLog
    fit: TrialFit
    curves: tuple[FreeCurve, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class AfterBuild:
    """What is given goes into the report; nothing is looked up elsewhere. remark: a warning above all of it."""

    trials: TriedGaps | None = None
    images: ImagesSeen | None = None
    scan: ScanSeen | None = None
    remark: str = ""


def images_seen(values: dict[str, Any], by_face: FloatArray) -> ImagesSeen:
    """From what `images --json` prints. Raises KeyError, TypeError or ValueError where it isn't that."""
    heat = values["heat"] or {}
    return ImagesSeen(
        images=int(values["images"]),
        with_part=int(values["images_with_part"]),
        layer_mm=float(values["settings"]["layer_mm"]),
        z_limit=float(values["settings"]["z_limit"]),
        pairs=int(values["place"]["pairs"]),
        rms_mm=_known(values["place"]["rms_mm"]),
        patches=tuple(_record(PatchSeen, row) for row in values["patches"]),
        n_spots=int(values["hot_spots"]),
        hottest=tuple(_record(SpotSeen, row) for row in values["hottest"]),
        apart=_apart(values["difference"]),
        heat={str(by): (_known(row["spearman"]), int(row["n"])) for by, row in heat.items() if row},
        cautions=(*map(str, values["warnings"]), *map(str, values["notes"])),
        by_face=by_face,
    )


def scan_seen(values: dict[str, Any], by_face: FloatArray) -> ScanSeen:
    """From what `scan --json` prints. Raises KeyError, TypeError or ValueError where it isn't that."""
    how = values["alignment"]
    return ScanSeen(
        file=str(values["scan"]["file"]),
        triangles=int(values["scan"]["triangles"]),
        rms_mm=float(how["rms_mm"]),
        used_share=float(how["used_share"]),
        turned_deg=float(how["turned_deg"]),
        elsewhere_rms_mm=_known(values["elsewhere_rms_mm"]),
        patches=tuple(_record(PatchScanned, row) for row in values["patches"]),
        apart=_apart(values["difference_mm"]),
        cautions=(*map(str, values["warnings"]), *map(str, values["notes"])),
        by_face=by_face,
    )


def _record(kind: type[Row], row: dict[str, Any]) -> Row:
    """A record from a row that may hold more; null is NaN where a number belongs."""
    return kind(**{field.name: _READ[str(field.type)](row[field.name]) for field in fields(kind)})


def _known(value: Any) -> float:
    return math.nan if value is None else float(value)


def _yes(value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"{value!r} is neither true nor false")
    return value


def _apart(row: dict[str, Any] | None) -> Apart | None:
    if row is None:
        return None
    one, two = (int(n) for n in row["patches"])
    return Apart(mean=float(row["mean"]), low=float(row["low"]), high=float(row["high"]), patches=(one, two))


_READ: dict[str, Callable[[Any], Any]] = {
    str(int): int,
    str(float): _known,
    str(bool): _yes,
    str(int | None): lambda value: None if value is None else int(value),
}
