"""A dive as depth over time, read from its record: what cannot be read is left out, never guessed."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from station.record.render_page import Body, Row, mmss
from station.units import from_fsw

SHORT: Final[Mapping[str, str]] = {
    "left surface": "LS",
    "reached bottom": "RB",
    "left bottom": "LB",
    "reached surface": "RS",
}
"""The marks named on the plot."""
LONGEST: Final = timedelta(hours=48)
_DEEPEST_FSW: Final = 2_000.0
_LONGEST_S: Final = 86_400
_UNITS: Final = frozenset({"fsw", "msw"})


@dataclass(frozen=True)
class Point:
    """A depth at a moment, in the plot's unit."""

    at: datetime
    depth: float


@dataclass(frozen=True)
class Stop:
    """A stop as it was owed and as it was taken; a missing end of either is None."""

    depth: float
    due: tuple[datetime | None, datetime | None]
    taken: tuple[datetime | None, datetime | None]
    words: str
    """What was planned and what was served."""


@dataclass(frozen=True)
class Profile:
    """Everything that is drawn; moments in UTC, depths in `unit`."""

    unit: str
    dive: tuple[Point, ...]
    """The dive as marked and read, in order."""
    readings: tuple[Point, ...]
    stops: tuple[Stop, ...]
    marks: tuple[tuple[str, datetime], ...]
    chamber: tuple[Point, ...]
    way_up: tuple[Point, ...]
    """The ascent as it was due: leaving the bottom, then each stop, or the surface."""

    @property
    def moments(self) -> list[datetime]:
        """Every moment drawn."""
        points = (*self.dive, *self.readings, *self.chamber, *self.way_up)
        return [point.at for point in points]

    @property
    def deepest(self) -> float:
        """The greatest depth drawn."""
        points = (*self.dive, *self.readings, *self.chamber, *self.way_up)
        return max((point.depth for point in points), default=0.0)


def profile(body: Body) -> Profile | None:
    """Return a record's dive, None when the record tells too little to draw it."""
    unit = body.text("ascent", "unit")
    if unit not in _UNITS:
        return None
    readings = tuple(_readings(body, unit))
    stops = tuple(_stops(body, unit))
    found = Profile(
        unit=unit,
        dive=tuple(sorted(_dive(body, unit, readings), key=lambda point: point.at)),
        readings=readings,
        stops=stops,
        marks=tuple(_marks(body)),
        chamber=tuple(_chamber(body, unit)),
        way_up=tuple(_way_up(body, unit, stops)),
    )
    moments = found.moments
    if len(found.dive) < 2 or found.deepest <= 0 or not _one_dive(moments):  # noqa: PLR2004 - a line has two ends
        return None
    return found


def _one_dive(moments: list[datetime]) -> bool:
    return timedelta(0) < max(moments) - min(moments) <= LONGEST


def _readings(body: Body, unit: str) -> Iterator[Point]:
    for row in body.rows("depth", "readings"):
        at, depth = moment(row, "at"), number(row, "corrected_fsw")
        if at is not None and depth is not None:
            yield Point(at, from_fsw(depth, unit))


def _dive(body: Body, unit: str, readings: tuple[Point, ...]) -> Iterator[Point]:
    """Yield the dive's points: marks whose depth is known by what they are, and readings between them."""
    ends = dict(_marks(body))
    below = [ends[mark] for mark in ("LS", "RS") if mark in ends]
    yield from (Point(at, 0.0) for at in below)
    yield from (one for one in readings if not below or min(below) <= one.at <= max(below))
    left = number(Row(_table(body, "depth")), "left_bottom_from_fsw")
    if "LB" in ends and left is not None:
        yield Point(ends["LB"], from_fsw(left, unit))
    if "RB" in ends:
        later = [one.depth for one in readings if one.at >= ends["RB"]]
        if later:
            yield Point(ends["RB"], later[0])
    for row in body.rows("times", "marks"):
        at, depth = moment(row, "at"), number(row, "depth_fsw")
        if at is not None and depth is not None and row["mark"] not in SHORT:
            yield Point(at, from_fsw(depth, unit))


def _marks(body: Body) -> Iterator[tuple[str, datetime]]:
    for row in body.rows("times", "marks"):
        at = moment(row, "at")
        if at is not None and row["mark"] in SHORT:
            yield SHORT[row["mark"]], at


def _stops(body: Body, unit: str) -> Iterator[Stop]:
    """Yield the stops; their depths stand in the unit of the tables, which is the plot's."""
    for row in body.rows("ascent", "stops"):
        depth = number(row, "depth")
        if depth is not None:
            yield Stop(
                depth,
                (moment(row, "due_arrive"), moment(row, "due_leave")),
                (moment(row, "reached"), moment(row, "left")),
                f"{row['depth']} {unit}: {row['minutes']} min, {mmss(row['served_s'])}",
            )


def _way_up(body: Body, unit: str, stops: tuple[Stop, ...]) -> Iterator[Point]:
    table = _table(body, "depth")
    left, depth = dict(_marks(body)).get("LB"), number(Row(table), "left_bottom_from_fsw")
    if left is None or depth is None:
        return
    yield Point(left, from_fsw(depth, unit))
    for stop in stops:
        yield from (Point(at, stop.depth) for at in stop.due if at is not None)
    travel = number(Row(_table(body, "ascent")), "due_at_first_stop_s")
    if not stops and travel is not None:
        yield Point(left + timedelta(seconds=travel), 0.0)


def _chamber(body: Body, unit: str) -> Iterator[Point]:
    """Yield the chamber's depths, from going in until surfacing in it."""
    depth = 0.0
    for row in body.rows("chamber", "marks"):
        at, given = moment(row, "at"), number(row, "depth_fsw")
        if at is None or row["mark"] == "left for the chamber":
            continue
        if depth and given and given != depth:  # it was held until then; the change takes less than a minute
            yield Point(at, from_fsw(depth, unit))
        now = 0.0 if row["mark"] == "surfaced in the chamber" else depth if given is None else given
        yield Point(at, from_fsw(now, unit))
        depth = now


def _table(body: Body, name: str) -> Mapping[str, Any]:
    found = body.document.get(name)
    return found if isinstance(found, Mapping) else {}


def moment(row: Row, key: str) -> datetime | None:
    """Return a moment of a row in UTC, None where there is none that can be placed in time."""
    found = row.values.get(key)
    if not isinstance(found, datetime) or found.tzinfo is None or not 1 < found.year < 9999:  # noqa: PLR2004
        return None
    return found.astimezone(UTC)


def number(row: Row, key: str) -> float | None:
    """Return a depth or a time of a row, None where there is none, or none that can be true."""
    found = row.values.get(key)
    if isinstance(found, bool) or not isinstance(found, int | float) or not math.isfinite(found):
        return None
    most = _LONGEST_S if key.endswith("_s") else _DEEPEST_FSW
    return float(found) if 0 <= found <= most else None
