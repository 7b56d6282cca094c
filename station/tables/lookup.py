"""Finding published figures: next deeper, next longer, never in between. All functions are pure and quick."""

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass

from station.tables.model import CheckMade, NoStop, NoStopRow, ResidualRow, ScheduleRow, TableFile, Tables

NOISE_DIGITS = 6
"""Depths are compared to a millionth: the noise of a unit conversion never reaches the next row."""


@dataclass(frozen=True)
class ResidualAt:
    """A row of residual nitrogen times, the printed table it stands in, and what a dagger there means."""

    row: ResidualRow
    source: str
    read_down_to: int | None


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


def main_depth(tables: Tables, depth: float) -> int | None:
    """Return the next depth of the first no-stop table or of the schedules; None when it is deeper.

    Rows that only a further no-stop table lists, foot by foot, are passed over.
    """
    first = (row.depth for row in tables.file.no_stop[0].rows)
    return _next(tuple(sorted({*first, *tables.row_depths})), depth)


def residual_at(tables: Tables, depth: float) -> ResidualAt | None:
    """Return the residual nitrogen times at the next listed depth; None when it is deeper than all.

    Of two printed tables with one depth the first is used.
    """
    found: dict[int, ResidualAt] = {}
    for table in tables.file.residual:
        for row in table.rows:
            found.setdefault(row.depth, ResidualAt(row, table.source, table.read_down_to))
    down = _next(tuple(sorted(found)), depth)
    return None if down is None else found[down]


def longest_interval(tables: Tables, group: str) -> int | None:
    """Return the last printed surface interval of a group in minutes; None where none is printed."""
    table = tables.file.surface_interval
    rows = () if table is None else table.rows
    return max((row.at_most for row in rows if row.group == group), default=None)


def group_after(tables: Tables, group: str, interval_min: int) -> str | None:
    """Return the group at the end of a surface interval in whole minutes; None when it is in no printed row.

    An interval beyond `longest_interval` leaves no group: the next dive is not repetitive.
    """
    table = tables.file.surface_interval
    rows = () if table is None else table.rows
    return next(
        (row.after for row in rows if row.group == group and row.at_least <= interval_min <= row.at_most),
        None,
    )


def wait_before_rise(tables: Tables, group: str, rise_ft: float) -> tuple[int, int] | None:
    """Return the next listed rise in feet and the wait before it in minutes; None where none is printed."""
    table = tables.file.altitude_wait
    if table is None:
        return None
    at = bisect_left(table.rises_ft, rise_ft)
    row = next((row for row in table.rows if row.group == group), None)
    return None if row is None or at == len(table.rises_ft) else (table.rises_ft[at], row.waits[at])


def arrival_at(tables: Tables, altitude_ft: float) -> tuple[int, str] | None:
    """Return the next listed altitude in feet and the group on arrival there; None where none is printed."""
    table = tables.file.altitude_arrival
    rows = () if table is None else table.rows
    return next(((row.altitude_ft, row.group) for row in rows if row.altitude_ft >= altitude_ft), None)


def heaviest(tables: Tables, groups: Iterable[str]) -> str | None:
    """Return the group with the heaviest load of nitrogen; None of none. A group not listed is heaviest."""
    order = tables.file.groups
    return max(groups, key=lambda one: order.index(one) if one in order else len(order), default=None)


def _next(depths: tuple[int, ...], depth: float) -> int | None:
    at = bisect_left(depths, round(depth, NOISE_DIGITS))
    return depths[at] if at < len(depths) else None
