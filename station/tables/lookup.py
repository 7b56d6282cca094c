"""Finding published figures: next deeper, next longer, never in between. All functions are pure and quick."""

from bisect import bisect_left
from collections.abc import Iterable

from station.tables.model import CheckMade, NoStop, NoStopRow, ScheduleRow, TableFile, Tables

NOISE_DIGITS = 6
"""Depths are compared to a millionth: the noise of a unit conversion never reaches the next row."""


def lay_out(file: TableFile, name: str, sha256: str, checks: tuple[CheckMade, ...]) -> Tables:
    """Return a checked file arranged for look-ups; of two no-stop tables with one depth the first is used."""
    no_stop: dict[int, NoStop] = {}
    for table in file.no_stop:
        for row in table.rows:
            no_stop.setdefault(row.depth, NoStop(row, table.source))
    rows = by_depth(file.schedules.rows)
    return Tables(
        name=name,
        sha256=sha256,
        file=file,
        checks=checks,
        depths=tuple(sorted({*no_stop, *rows})),
        no_stop=no_stop,
        row_depths=tuple(sorted(rows)),
        rows=rows,
        times={depth: tuple(row.time for row in found) for depth, found in rows.items()},
        exposures={one.name: one for one in file.exposures},
    )


def by_depth(rows: Iterable[ScheduleRow]) -> dict[int, tuple[ScheduleRow, ...]]:
    """Return schedules gathered by depth, in the order they stand."""
    found: dict[int, list[ScheduleRow]] = {}
    for row in rows:
        found.setdefault(row.depth, []).append(row)
    return {depth: tuple(some) for depth, some in found.items()}


def listed_depth(tables: Tables, depth: float) -> int | None:
    """Return the smallest listed depth not less than `depth`; None when it is deeper than the tables."""
    return _next(tables.depths, depth)


def depth_with_rows(tables: Tables, depth: float) -> int | None:
    """Return the smallest depth with schedules not less than `depth`; None when there is none."""
    return _next(tables.row_depths, depth)


def within_no_stop(tables: Tables, listed: int, minutes: int) -> NoStop | None:
    """Return the no-stop row of a listed depth when the time is within its limit."""
    found = tables.no_stop.get(listed)
    if found is None or (found.row.limit is not None and minutes > found.row.limit):
        return None
    return found


def group_reached(row: NoStopRow, minutes: int) -> str | None:
    """Return the first group whose longest time is not less; None where the table prints no groups."""
    return next(
        (group for group, longest in row.longest.items() if longest is None or minutes <= longest), None
    )


def row_index(tables: Tables, row_depth: int, minutes: int) -> int:
    """Return where the first row not shorter than `minutes` stands; the number of rows when there is none."""
    return bisect_left(tables.times[row_depth], minutes)


def _next(depths: tuple[int, ...], depth: float) -> int | None:
    at = bisect_left(depths, round(depth, NOISE_DIGITS))
    return depths[at] if at < len(depths) else None
