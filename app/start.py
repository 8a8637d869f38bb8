"""Start the window, after making sure that `core` is the one shipped beside `app`."""

import importlib.util
import sys
from pathlib import Path


def why_not_to_start() -> str | None:
    """A sentence when another package called core would be used in place of ours, else None.

    Both import names are ordinary words; without this check a foreign `core` would fail much later and oddly.
    """
    own = Path(__file__).resolve().parent.parent / "core"
    found = importlib.util.find_spec("core")
    places = [] if found is None else [Path(place).resolve() for place in found.submodule_search_locations or ()]
    if own in places:
        return None
    where = places[0] if places else "nowhere"
    return (
        f"Underfin needs its own package core in {own}, but Python finds core in {where}. "
        "Start it from its own folder or install it in an environment of its own."
    )


def main(argv: list[str] | None = None) -> int:
    """Open the window on the part or job named in argv; returns the exit code."""
    refusal = why_not_to_start()
    if refusal is not None:
        print(refusal, file=sys.stderr)
        return 2
    from app.main_window import run

    return run(sys.argv[1:] if argv is None else argv)
