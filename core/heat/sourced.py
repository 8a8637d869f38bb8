"""A number from a book carries its book."""

from dataclasses import dataclass

from core.refusal import Refusal

FLAGS = {
    "read": "seen in the source",
    "second-hand": "quoted elsewhere",
    "memory": "not checked against the source: a starting value",
    "computed": "from formulas",
    "measured": "measured by us",
}
"""Every flag a value may carry, and what it says."""
LONGEST_SOURCE = 400


@dataclass(frozen=True, kw_only=True)
class Sourced:
    """A value with where it comes from; flag: one of FLAGS."""

    value: float
    source: str
    flag: str = "memory"


@dataclass(frozen=True, kw_only=True)
class SourcedAt:
    """One row of a table over temperature, with where it comes from."""

    temperature_k: float
    value: float
    source: str
    flag: str


@dataclass(frozen=True, kw_only=True)
class SourcedWord:
    """A word, such as the name of a gas, with where it comes from."""

    value: str
    source: str
    flag: str


def check_sourced(key: str, value: Sourced | SourcedAt | SourcedWord) -> None:
    """Raises Refusal, which names the key, for an unknown flag or a source that is missing, endless or unprintable."""
    if value.flag not in FLAGS:
        raise Refusal(f"'{key}.flag' is none of {', '.join(FLAGS)}.")
    source = value.source
    if not source.strip() or not source.isprintable() or len(source) > LONGEST_SOURCE:
        raise Refusal(f"'{key}.source' must say in 1 to {LONGEST_SOURCE} printable characters where the value is from.")


def check_range(key: str, value: float, low: float, high: float, unit: str) -> None:
    """Raises Refusal, which names the key, for a value that is no number or out of range."""
    if not low <= value <= high:
        told = " ".join(word for word in (f"{value:g}", unit) if word)
        ends = " ".join(word for word in (f"{low:g} to {high:g}", unit) if word)
        raise Refusal(f"'{key}' = {told} is out of range; set {ends}.")
