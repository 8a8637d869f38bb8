"""Patches with a sink beside those without, in words: the worst of each kind, and how the kinds differ."""

import math
from collections.abc import Callable, Sequence
from typing import TypeVar

from core.export.after_build import Apart, PatchScanned, PatchSeen
from core.export.report_blocks import Block, Words

Patch = TypeVar("Patch", PatchSeen, PatchScanned)


def worst_of(patches: Sequence[Patch], value: Callable[[Patch], float]) -> list[tuple[str, Patch]]:
    """The patch with the highest value without a sink, then with one, each with the words that name it."""
    found: list[tuple[str, Patch]] = []
    for with_sink in (False, True):
        own = [p for p in patches if p.with_sink is with_sink and not math.isnan(value(p))]
        if not own:
            continue
        worst = max(own, key=value)
        kind = "without a sink" if not with_sink else "with one" if found else "with a sink"
        name = f"patch {worst.patch} {kind}"
        if len(own) > 1:
            name = f"patch {worst.patch}, the worst of {len(own)} {kind},"
        found.append((name if found else name.capitalize(), worst))
    return found


def apart_words(apart: Apart | None, text: Callable[[float], str], more: str, less: str) -> list[Block]:
    """The difference with its interval. text: writes a value with sign and unit. more, less: 'brighter', 'darker'."""
    if apart is None:
        return []
    of = f"{apart.patches[0]} with, {apart.patches[1]} without"
    if apart.low > 0 or apart.high < 0:
        end = f"are {more if apart.low > 0 else less} than those without"
    else:
        end = "are not told from those without"
    interval = f"{text(apart.mean)}, 95 % interval {text(apart.low)} to {text(apart.high)}"
    return [Words(text=f"Patches with a sink {end}: {interval} ({of}).".replace("-", "−"))]
