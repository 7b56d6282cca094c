"""What a check of a table file finds at one place."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """One comparison: where, and why it fails; "" when it holds.

    `row` is the depth and time by which a file may declare the printed figure a known exception, and
    `off_by_s` how far a printed sum is from its own parts.
    """

    key: str
    fault: str = ""
    row: tuple[int, int] | None = None
    off_by_s: int | None = None
