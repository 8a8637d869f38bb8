"""The downskin zones in the report: settings, energies, melt depths and their limits."""

from core.export.report_blocks import Block, Bullets, Cell, Heading, Table, Words, cells
from core.export.report_tables import band_cell, digits
from core.export.result import JobResult
from core.heat.estimate import Band
from core.heat.melt_scaling import CONVENTION, KEYHOLE


def zone_blocks(result: JobResult) -> list[Block]:
    """Table and notes; nothing when the job has no zones."""
    if not result.zone_figures:
        return []
    rows = tuple(
        cells(
            Cell(text=body.name, below=f"patch {f.patch}"),
            Cell(text=f"{f.layers}", below=f"{f.height_mm:g} mm"),
            Cell(text=f"{f.laser.power_w:g} W", below=f"{f.laser.speed_mm_s:g} mm/s"),
            Cell(text=f"{f.laser.hatch_mm:g} / {f.laser.spot_mm:g}", below=f"{f.laser.passes} ×"),
            digits(f.line_energy_j_mm),
            digits(f.areal_energy_j_mm2, 2),
            digits(f.volumetric_energy_j_mm3, 1),
            band_cell(_micro(f.melt.solid_depth_m), 0),
            band_cell(_micro(f.melt.powder_depth_m), 0),
            Cell(text=digits(f.melt.enthalpy, 1), below=f.melt.mode),
        )
        for body, f in zip(result.zones, result.zone_figures, strict=True)
    )
    heads = (
        "Zone", "Layers", "Power, speed", "Hatch / spot mm", "J/mm", "J/mm²", "J/mm³",
        "Depth on solid µm", "Depth on powder µm", "Enthalpy",
    )  # fmt: skip
    words = (
        "Energies as sent, before absorption. Depth on solid: moving Gaussian beam by conduction (Eagar and Tsai), "
        f"±40 %; on powder: energy bound, ±40 %. Enthalpy: {CONVENTION}; keyholes from about {KEYHOLE:g} (from "
        "memory). All estimates; calibrate with the coupon."
    )
    notes = tuple(dict.fromkeys(
        note if all(note in f.notes for f in result.zone_figures) else f"Patch {f.patch}: {note}"
        for f in result.zone_figures
        for note in f.notes
    ))  # fmt: skip
    return [
        Heading(text="Downskin zones"),
        Table(heads=heads, rows=rows, widths=(0.1, 0.08, 0.11, 0.12, 0.07, 0.07, 0.07, 0.13, 0.13, 0.12),
              numbers=frozenset({4, 5, 6})),
        Words(text=words, small=True),
        Bullets(sentences=notes),
    ]  # fmt: skip


def _micro(band: Band) -> Band:
    return Band(low=band.low * 1e6, nominal=band.nominal * 1e6, high=band.high * 1e6)
