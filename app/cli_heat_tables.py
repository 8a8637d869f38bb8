"""What `heat` found, as plain tables for a person."""

from typing import Any

from app.cli_tables import limits, table, warning_lines


def heat_text(values: dict[str, Any], folder: str) -> str:
    """One line of temperatures per patch, then the books of both builds."""
    rows = [
        [
            *_row(p),
            f"{p['hottest_with_c']:.0f}",
            f"{p['hottest_without_c']:.0f}",
            f"{p['through_gap_w_m2'] / 1000:.1f}",
        ]
        for p in values["patches"]
    ]
    heads = [*HEADS, "hottest with °C", "without °C", "through gap kW/m²"]
    runs = (values["with_sinks"], values["without"])
    books = (
        f"{values['cells']} cells of {values['cell_mm']:g} mm; builds of {runs[0]['build_time_h']:.1f} and "
        f"{runs[1]['build_time_h']:.1f} h; share of the heat not accounted for {max(r['imbalance'] for r in runs):.0e}."
    )
    return _page("Hottest a patch is between two layers", table(heads, rows), books, values, folder)


def quick_text(values: dict[str, Any], folder: str) -> str:
    """One line per patch, with the 1-D estimate beside it."""
    rows = [[*_row(p), f"{p['estimate_with_c']:.0f}", f"{p['estimate_without_c']:.0f}"] for p in values["patches"]]
    cells = f"{values['cells']} cells of {values['cell_mm']:g} mm."
    return _page("Steady temperature of a patch", table([*HEADS, "1-D with °C", "1-D without °C"], rows), cells, values,
                 folder)  # fmt: skip


HEADS = ["patch", "with sinks °C", "without °C", "cooler K", "cells K"]


def _row(patch: dict[str, Any]) -> list[str]:
    moved_k = max(patch["cell_error_with_k"], patch["cell_error_without_k"])
    return [
        str(patch["patch"]),
        limits(patch["with_sinks_c"]),
        limits(patch["without_c"]),
        f"{patch['cooler_by_k']:.0f}",
        f"±{moved_k:.0f}",
    ]


def _page(title: str, rows: str, books: str, values: dict[str, Any], folder: str) -> str:
    lines = [
        f"{title} ({values['words']}; low to high in brackets; cells: how far it moves on larger ones)",
        rows,
        "",
        books,
        *(f"Note: {note}" for note in values["notes"]),
        *warning_lines(values),
        "",
        f"Written to {folder}: {', '.join(values['files'])}",
    ]
    return "\n".join(lines) + "\n"
