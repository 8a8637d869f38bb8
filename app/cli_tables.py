"""The results of the command line as plain tables for a person."""

from typing import Any

LEVEL_WORDS = {"stop": "STOP", "note": "note", "ok": "ok"}


def faces_text(values: dict[str, Any]) -> str:
    """Part, patches worst first, the zones of a job, warnings."""
    rows = [
        [
            str(p["id"]),
            str(p["faces"]),
            f"{p['area_mm2']:.1f}",
            f"{p['lowest_angle_deg']:.1f}",
            f"{p['mean_angle_deg']:.1f}",
            f"{p['z_min_mm']:.2f}",
            f"{p['z_max_mm']:.2f}",
            "flat" if p["overhang_step_mm"] is None else f"{p['overhang_step_mm']:.3f}",
            "yes" if p["island"] else "",
        ]
        for p in values["patches"]
    ]
    heads = ["patch", "faces", "area mm²", "lowest °", "mean °", "from z mm", "to z mm", "step mm", "island"]
    patches = table(heads, rows) if rows else "No face is flatter than the limit."
    zones = [""] * bool(values["zones"]) + zone_lines(values["zones"])
    return "\n".join([part_line(values["part"]), "", patches, *zones, *warning_lines(values)]) + "\n"


def build_text(values: dict[str, Any], folder: str) -> str:
    """Part, sinks, zones, heat, findings, and what was written."""
    lines = [part_line(values["part"]), "", *proposal_lines(values["proposal"])]
    if values["sinks"]:
        rows = [
            [
                s["name"],
                ",".join(map(str, s["patches"])),
                s["kind"],
                f"{s['gap_mm']:g}",
                f"{s['min_clearance_mm']:.4f}",
                f"{s['gap_error_p99_um']:.1f}" if s["gap_error_p99_um"] is not None else "-",
                f"{100 * s['covered_area_mm2'] / s['patch_area_mm2']:.0f} %" if s["patch_area_mm2"] else "-",
                f"{s['volume_mm3']:.1f}",
            ]
            for s in values["sinks"]
        ]
        heads = ["sink", "patch", "kind", "gap mm", "nearest mm", "error p99 µm", "covers", "volume mm³"]
        lines += [table(heads, rows), ""]
    if values["zones"]:
        lines += [*zone_lines(values["zones"]), ""]
    if values["estimate"]:
        rows = [
            [
                str(e["patch"]),
                band(e["bands"]["rise_with_k"], 0),
                band(e["bands"]["rise_without_k"], 0),
                band(e["bands"]["fuse_limit_mm"], 2),
                band(e["bands"]["heat_limit_mm"], 2),
            ]
            for e in values["estimate"]
        ]
        heads = ["patch", "rise with sink K", "rise without K", "fuse limit mm", "heat limit mm"]
        lines += [f"Heat ({values['estimate'][0]['words']}; low to high in brackets)", table(heads, rows), ""]
    lines += finding_lines(values["findings"])
    lines += warning_lines(values)
    what = "" if values["sinks"] and "sinks.stl" in values["files"] else "No solids were written. "
    lines += ["", f"{what}Written to {folder}: {', '.join(values['files'])}"]
    return "\n".join(lines) + "\n"


def proposal_lines(proposal: list[dict[str, Any]]) -> list[str]:
    """A row per patch looked at, the most trouble first; then the reasons of each."""
    if not proposal:
        return []
    rows = [
        [
            str(p["patch"]),
            p["kind"] or "none",
            "-" if p["gap_mm"] is None else f"{p['gap_mm']:g}",
            str(p["zone"]["layers"]) if p["zone"] else "-",
            f"{p['rise_without_k']:.0f}",
            "-" if p["rise_with_k"] is None else f"{p['rise_with_k']:.0f}",
            f"{p['ledge_mm']:.1f}",
            f"{p['length_scale_mm']:.1f}",
        ]
        for p in proposal
    ]
    heads = ["patch", "sink", "gap mm", "zone layers", "rise without K", "with K", "ledge mm", "l mm"]
    why = [f"Patch {p['patch']}: {' '.join(p['reasons'])}" for p in proposal]
    return ["Proposed (steady 3-D rises over the plate; estimate)", table(heads, rows), "", *why, ""]


def zone_lines(zones: list[dict[str, Any]]) -> list[str]:
    """A row per zone: settings and energies; then what they melt, and what to mind."""
    if not zones:
        return []
    rows, notes = [], []
    for zone in (z for z in zones if "laser" in z):
        laser = zone["laser"]
        rows.append([
            zone.get("name", "-"),
            str(zone["patch"]),
            str(zone["layers"]),
            f"{zone['height_mm']:g}",
            f"{laser['power_w']:g} W, {laser['speed_mm_s']:g} mm/s, {laser['passes']} ×",
            f"{laser['hatch_mm']:g} / {laser['spot_mm']:g}",
            f"{zone['line_energy_j_mm']:.3f}",
            f"{zone['areal_energy_j_mm2']:.2f}",
            f"{zone['volumetric_energy_j_mm3']:.0f}",
            band(zone["melt_depth_solid_um"], 0),
            band(zone["melt_depth_powder_um"], 0),
        ])  # fmt: skip
        notes += [(zone["patch"], note) for note in zone["notes"]]
    heads = ["zone", "patch", "layers", "high mm", "laser", "hatch / spot mm", "J/mm", "J/mm²", "J/mm³",
             "melts on solid µm", "on powder µm"]  # fmt: skip
    said: dict[str, list[int]] = {}
    for patch, note in notes:
        said.setdefault(note, []).append(patch)
    lines = [
        f"Note: {note}" if len(patches) == len(rows) else f"Note: patch {', '.join(map(str, patches))}: {note}"
        for note, patches in said.items()
    ]
    return ["Downskin zones (energy as sent, depths estimated, ±40 % in brackets)", table(heads, rows), *lines]


def finding_lines(findings: list[dict[str, Any]]) -> list[str]:
    """A line per stop and note, with its place and remedy; what is well has one line per check."""
    lines = []
    for level in ("stop", "note"):
        for finding in findings:
            if finding["level"] == level:
                axes = zip("xyz", finding["at_mm"] or (), strict=False)
                at = ", ".join(f"{axis} {round(value, 1) + 0.0:.1f}" for axis, value in axes)
                place = f"(At {at} mm.)" if at else ""
                text = " ".join(words for words in (finding["text"], finding["remedy"], place) if words)
                lines.append(f"{LEVEL_WORDS[level]:<5}{finding['check']}: {text}")
    well: dict[str, list[str]] = {}
    for finding in findings:
        if finding["level"] == "ok":
            well.setdefault(finding["check"], []).append(finding["text"])
    for check, texts in well.items():
        more = f" And {len(texts) - 1} more like it." if len(texts) > 1 else ""
        lines.append(f"{LEVEL_WORDS['ok']:<5}{check}: {texts[0]}{more}")
    return lines


def window_text(values: dict[str, Any]) -> str:
    """One line of numbers per patch, then sentences."""
    rows = [
        [
            str(w["patch"]) if w["patch"] else "ledge",
            f"{w['lowest_angle_deg']:.1f}",
            f"{w['height_mm']:.1f}",
            band(w["bands"]["fuse_limit_mm"], 2),
            band(w["bands"]["heat_limit_mm"], 2),
            f"{w['proposed_gap_mm']:.2f}",
            f"{w['gap_mm']:g}",
            w["gap_is"],
        ]
        for w in values["windows"]
    ]
    heads = [
        "patch",
        "lowest °",
        "height mm",
        "fuse limit mm",
        "heat limit mm",
        "first try mm",
        "gap mm",
        "which is",
    ]
    title = f"Gap window for {values['alloy']}: {values['words']}; gaps normal to the face, low to high in brackets"
    one = len(values["windows"]) == 1
    sentences = [w["text"] if one else f"Patch {w['patch']}: {w['text']}" for w in values["windows"]]
    notes = list(dict.fromkeys(note for w in values["windows"] for note in w["notes"]))
    return "\n".join([title, table(heads, rows), "", *sentences, *(f"Note: {note}" for note in notes)]) + "\n"


def sweep_text(values: dict[str, Any], folder: str) -> str:
    """One line per case and patch with the settings that vary; cases that can't be built say why."""
    shown = {
        "mass_g": "mass g",
        "patch": "patch",
        "fuse_limit_mm": "fuse limit mm",
        "heat_limit_mm": "heat limit mm",
        "estimate_with_k": "1-D rise K",
        "quick_with_k": "3-D steady rise K",
        "quick_without_k": "without K",
        "heat_with_c": "followed °C",
        "heat_without_c": "without °C",
        "stops": "stops",
    }
    rows = values["rows"]
    settings = list(rows[0])[: list(rows[0]).index("sinks")]
    columns = settings + [name for name in shown if name in rows[0]]
    done = [row for row in rows if not row["refused"]]
    cells = [["" if row[name] is None else f"{row[name]:g}" if isinstance(row[name], float) else str(row[name])
              for name in columns] for row in done]  # fmt: skip
    heads = [shown.get(name, name.replace("_", " ")) for name in columns]
    lines = [f"Rises over the plate: {values['words']}", table(heads, cells) if cells else "No case could be built."]
    lines += [f"Case {row['case']}: {row['refused']}" for row in rows if row["refused"]]
    return "\n".join([*lines, "", f"Written to {folder}: {', '.join(values['files'])}"]) + "\n"


def limits(values: dict[str, float]) -> str:
    """Nominal (low to high) in whole degrees."""
    return band([values["low"], values["nominal"], values["high"]], 0)


def part_line(part: dict[str, Any]) -> str:
    size = " × ".join(f"{v:g}" for v in (round(v, 3) for v in part["size_mm"]))
    closed = "closed" if part["watertight"] else "NOT CLOSED"
    return f"{part['file']}: {part['format']}, {size} mm ({part['units']}), {part['triangles']} triangles, {closed}"


def warning_lines(values: dict[str, Any]) -> list[str]:
    return ["", *(f"Warning: {text}" for text in values["warnings"])] if values["warnings"] else []


def band(values: list[float | None], digits: int) -> str:
    """Nominal (low to high); 'none' for a limit that doesn't exist, 'unreachable' for one of 0."""
    low, nominal, high = ("none" if v is None else "unreachable" if v <= 0 else f"{v:.{digits}f}" for v in values)
    if low == nominal == high:
        return nominal
    return f"{nominal} ({low} to {high})"


def table(heads: list[str], rows: list[list[str]]) -> str:
    """Columns as wide as their widest cell; the first left, the others right."""
    widths = [max(len(row[i]) for row in [heads, *rows]) for i in range(len(heads))]
    return "\n".join(
        "  ".join(
            cell.ljust(w) if i == 0 else cell.rjust(w) for i, (cell, w) in enumerate(zip(row, widths, strict=True))
        )
        for row in [heads, *rows]
    )
