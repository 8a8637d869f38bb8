"""Drawing of a sweep: rise of every patch, and mass of the sinks, over the gap."""

from typing import Any

from matplotlib import colormaps
from matplotlib.figure import Figure

from core.export.heat_drawing import drawing_rules, png_and_svg

MOST_LINES = 12
"""Lines with a name of their own; more are drawn without."""
MARKS = "osD^v<>PX*hp"


def sweep_drawing(found: tuple[dict[str, Any], ...]) -> tuple[bytes, bytes]:
    """PNG and SVG; one line per combination of the other settings and patch. found: values of finished cases."""
    rises: dict[str, list[tuple[float, float]]] = {}
    masses: dict[str, list[tuple[float, float]]] = {}
    across, unit = _across(found)
    for values in found:
        at = _place(values, across)
        name = _name(values, across)
        if values.get("mass_g") is not None:
            masses.setdefault(name or "sinks", []).append((at, values["mass_g"]))
        for patch in values["patches"]:
            line = ", ".join(word for word in (name, f"patch {patch['patch']}") if word)
            rises.setdefault(line, []).append((at, patch["quick_with_k"]))
    with drawing_rules():
        figure = Figure(figsize=(7.2, 8.0), layout="constrained")
        upper, lower = figure.subplots(2, 1, sharex=True)
        _lines(upper, rises)
        _lines(lower, masses)
        upper.set_ylabel("steady rise over the plate with the sink, K")
        upper.set_title("Quick look in 3-D: estimate, calibrate with the coupon", fontsize=10)
        lower.set_ylabel("mass of all sinks, g")
        lower.set_ylim(bottom=0.0)
        lower.set_xlabel(unit)
        return png_and_svg(figure)


def _across(found: tuple[dict[str, Any], ...]) -> tuple[str, str]:
    """What runs along the bottom: the gap when it varies, else the first number that does, else the case."""
    labels = {
        "gap_mm": "powder gap, mm",
        "thickness_mm": "thickness of the fins, mm",
        "pitch_mm": "distance of the fins, mm",
        "power_w": "laser power, W",
        "speed_mm_s": "scan speed, mm/s",
    }
    for name, label in labels.items():
        if len({values["settings"].get(name) for values in found}) > 1:
            return name, label
    return "", "case"


def _place(values: dict[str, Any], across: str) -> float:
    return float(values["settings"][across] if across else values["case"])


def _name(values: dict[str, Any], across: str) -> str:
    """The other settings in a few words."""
    units = {"thickness_mm": " mm thick", "pitch_mm": " mm apart", "power_w": " W", "speed_mm_s": " mm/s",
             "gap_mm": " mm gap"}  # fmt: skip
    words = []
    for name, value in values["settings"].items():
        if name == across or (not across and name != "kind"):
            continue
        if name == "rotate_deg":
            words.append("turned " + "/".join(f"{v:g}" for v in value) + "°")
        else:
            words.append(value if name == "kind" else f"{value:g}{units[name]}")
    return " ".join(words)


def _lines(axes: Any, lines: dict[str, list[tuple[float, float]]]) -> None:
    colours = colormaps["viridis"]
    for n, (name, points) in enumerate(lines.items()):
        x, y = zip(*sorted(points), strict=True)
        colour = colours(0.9 * n / max(len(lines) - 1, 1))
        axes.plot(x, y, marker=MARKS[n % len(MARKS)], ms=5, color=colour, label=name if n < MOST_LINES else None)
    axes.grid(alpha=0.3)
    if lines:
        axes.legend(fontsize=8, title=f"and {len(lines) - MOST_LINES} more" if len(lines) > MOST_LINES else None)
