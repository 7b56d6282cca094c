"""The printed tables for a second reckoning of dives: slow, plain, written apart.

It reads the table file by itself and shares no line with the station, so that a slip would have to be made
twice. Depths in fsw; moments in whole milliseconds after leaving the surface. USN Rev 7, Tables 9-7, 9-8,
9-9, 2A-1 and 2A-2.
"""

import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

MIN = 60_000

Stops = list[list[int]]


class Unsettled(Exception):  # noqa: N818
    """The published rules do not say what this dive comes to; the reason is the message."""


@dataclass
class Sheet:
    """A schedule: its row, the stops as pairs of depth and minutes, and the group; no row is no schedule."""

    depth: int = 0
    row: int | None = None
    unlimited: bool = False
    no_stop: bool = False
    stops: Stops = field(default_factory=list)
    group: str | None = None
    exposure: str = "normal"
    none: bool = False
    fallback: "Sheet | None" = None


def up(amount: int, step: int) -> int:
    """Round up to whole steps."""
    return -(-amount // step)


def clock(words: str) -> int:
    """Turn m:ss into seconds, h:mm into minutes."""
    whole, part = words.split(":")
    return int(whole) * 60 + int(part)


class Paper:
    """The printed tables."""

    def __init__(self, path: Path) -> None:
        """Read the file's rows."""
        file: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
        self.rows: list[dict[str, Any]] = file["schedules"]["rows"]
        self.limits: dict[int, dict[str, Any]] = {}
        for table in reversed(file["no_stop"]):
            self.limits.update({row["depth"]: row for row in table["rows"]})
        self.nitrogen: dict[int, dict[str, Any]] = {}
        for table in reversed(file["residual"]):
            self.nitrogen.update({row["depth"]: row["times"] for row in table["rows"]})
        self.intervals: list[dict[str, Any]] = file["surface_interval"]["rows"]
        self.bands: list[dict[str, int]] = file["pneumofathometer"]["rows"]
        self.depths = sorted({row["depth"] for row in self.rows})

    def corrected(self, reading: float) -> float:
        """Add the correction of the reading's band."""
        return reading + next(band["add"] for band in self.bands if reading <= band["reading_up_to"])

    def listed(self, depth: float) -> int | None:
        """Find the smallest listed depth that is not less."""
        return min((one for one in {*self.limits, *self.depths} if one >= depth), default=None)

    def sheet(self, depth: float, minutes: int) -> Sheet:
        """Find the schedule of a depth and an equivalent single dive time."""
        at = self.listed(depth)
        row = self.limits.get(at) if at is not None else None
        if at is not None and row is not None and (row["limit"] == "unlimited" or minutes <= row["limit"]):
            group = next(letter for letter, most in row["longest"].items() if most == "*" or minutes <= most)
            limit = None if row["limit"] == "unlimited" else row["limit"]
            return Sheet(at, limit, unlimited=limit is None, no_stop=True, group=group)
        deeper = [one for one in self.depths if one >= depth]
        found = [self._row(one, minutes) for one in deeper]
        if not found or found[0] is None:
            return Sheet(none=True, fallback=next((one for one in found if one is not None), None))
        return found[0]

    def _row(self, depth: int, minutes: int) -> Sheet | None:
        rows = [row for row in self.rows if row["depth"] == depth and row["time"] >= minutes]
        if not rows:
            return None
        row = min(rows, key=lambda one: one["time"])
        stops = [list(pair) for pair in row["air_stops"]]
        return Sheet(
            depth,
            row["time"],
            no_stop=not stops,
            stops=stops,
            group=row.get("group"),
            exposure=row["exposure"],
        )

    def residual(self, group: str, interval_ms: int, depth: float) -> int | None:
        """Find the residual nitrogen time ten minutes or longer after a dive; None where none is printed."""
        whole = interval_ms // MIN
        mine = [row for row in self.intervals if row["group"] == group]
        fit = [row for row in mine if clock(row["at_least"]) <= whole <= clock(row["at_most"])]
        if not fit:
            return 0
        at = min((one for one in self.nitrogen if one >= depth), default=None)
        if at is None:
            return None
        times = self.nitrogen[at]
        figure = times[fit[0]["after"]]
        if figure == "†":
            figure = self.nitrogen[30][fit[0]["after"]]
        return None if figure == "**" else int(figure)
