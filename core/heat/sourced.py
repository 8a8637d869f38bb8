"""A number from a book carries its book."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Sourced:
    """A value with where it comes from.

    flag: 'read' (seen in the source), 'second-hand' (quoted elsewhere), 'memory' (not checked against the
    source: a starting value) or 'computed' (from formulas in this folder).
    """

    value: float
    source: str
    flag: str = "memory"
