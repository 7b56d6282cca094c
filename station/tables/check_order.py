"""Order of the schedules: nothing owed ever falls as time or depth grows."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from station.tables.finding import Finding
from station.tables.lookup import depth_with_rows, group_reached, row_index, within_no_stop
from station.tables.model import Tables
from station.tables.written import mmss


@dataclass(frozen=True)
class _Owed:
    """What a depth and a bottom time lead to: a printed row, or the no-stop table."""

    row: tuple[int, int]
    total_s: int
    chamber: float
    group: str | None
    no_stop: bool = False


Rank = Callable[[Tables, _Owed], float]
RANKS: tuple[tuple[str, Rank, Callable[[_Owed], str]], ...] = (
    ("totals", lambda _, owed: owed.total_s, lambda owed: mmss(owed.total_s)),
    ("chamber periods", lambda _, owed: owed.chamber, lambda owed: f"{owed.chamber:g}"),
    ("groups", lambda tables, owed: _group_rank(tables, owed.group), lambda owed: owed.group or "none"),
)


def by_time(tables: Tables) -> Iterator[Finding]:
    """Compare each schedule with the one before it at the same depth."""
    numbers = _numbers(tables)
    for rows in tables.rows.values():
        for before, here in pairwise(rows):
            key = f"schedules.rows[{numbers[here.depth, here.time]}]"
            for name, lower, upper in (
                ("air_total", before.air_total, here.air_total),
                ("oxygen_total", before.oxygen_total or 0, here.oxygen_total or before.oxygen_total or 0),
                ("chamber_periods", before.chamber_periods or 0, here.chamber_periods or 0),
                ("group", _group_rank(tables, before.group), _group_rank(tables, here.group)),
            ):
                fault = "" if lower <= upper else f"is less than that of {before.depth}/{before.time}"
                yield Finding(f"{key}.{name}", fault, (here.depth, here.time))


def by_depth_checks() -> Iterator[tuple[str, Callable[[Tables], Iterator[Finding]]]]:
    """Yield the three comparisons of each depth with the next deeper one, by what they compare."""
    for what, rank, shown in RANKS:
        yield what, _by_depth(rank, shown)


def _by_depth(rank: Rank, shown: Callable[[_Owed], str]) -> Callable[[Tables], Iterator[Finding]]:
    def find(tables: Tables) -> Iterator[Finding]:
        numbers = _numbers(tables)
        for (shallow, first), (deep, second) in pairwise((one, _steps(tables, one)) for one in tables.depths):
            for minute in sorted({1, *first, *second}):
                upper, lower = _owed(tables, shallow, minute), _owed(tables, deep, minute)
                if upper is None or lower is None:
                    continue
                fault = (
                    ""
                    if rank(tables, upper) <= rank(tables, lower)
                    else (
                        f"{shown(lower)} at {deep} for {minute} min is less than {shown(upper)} at {shallow}"
                    )
                )
                key = "no_stop" if lower.no_stop else f"schedules.rows[{numbers[lower.row]}]"
                yield Finding(key, fault, lower.row)

    return find


def _steps(tables: Tables, listed: int) -> list[int]:
    """Return the minutes at which another row begins to hold: between them nothing changes."""
    no_stop = tables.no_stop.get(listed)
    ends = [] if no_stop is None else [*no_stop.row.longest.values(), no_stop.row.limit]
    down = depth_with_rows(tables, listed)
    ends += [] if down is None else tables.times[down]
    return [end + 1 for end in ends if end is not None]


def _owed(tables: Tables, listed: int, minutes: int) -> _Owed | None:
    found = within_no_stop(tables, listed, minutes)
    if found is not None:
        total_s = tables.file.ascent.travel_s(listed, 0)
        limit = found.row.limit or 0
        return _Owed((listed, limit), total_s, 0, group_reached(found.row, minutes), no_stop=True)
    down = depth_with_rows(tables, listed)
    if down is None:
        return None
    at = row_index(tables, down, minutes)
    if at == len(tables.rows[down]):
        return None
    row = tables.rows[down][at]
    return _Owed((row.depth, row.time), row.air_total, row.chamber_periods or 0, row.group)


def _numbers(tables: Tables) -> dict[tuple[int, int], int]:
    """Return the number of each schedule in its file, by depth and time."""
    return {(row.depth, row.time): at for at, row in enumerate(tables.file.schedules.rows, 1)}


def _group_rank(tables: Tables, group: str | None) -> int:
    """Return how heavy a group is; no group printed is heavier than any."""
    groups = tables.file.groups
    return len(groups) if group is None else groups.index(group)
