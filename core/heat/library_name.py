"""Names of own alloys and machine settings: what they may be, and when two are the same."""

from core.refusal import Refusal

LONGEST_NAME = 60


def name_key(name: str) -> str:
    """Capitals, spaces, hyphens and underscores don't tell two names apart."""
    return "".join(letter for letter in name.casefold() if letter not in " -_")


def check_name(name: str, revision: int) -> None:
    """Raises Refusal for a name that can't be shown or typed, or a revision below 1."""
    if not name_key(name) or name != name.strip() or not name.isprintable() or len(name) > LONGEST_NAME:
        raise Refusal(f"'name' must be 1 to {LONGEST_NAME} printable characters, without spaces at its ends.")
    if not 1 <= revision <= 1_000_000:
        raise Refusal("'revision' must be a whole number from 1 to 1000000.")
