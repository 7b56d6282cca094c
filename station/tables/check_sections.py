"""Checks of the other printed tables: no-stop times, intervals, residual times, gauge, altitude."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from station.tables.fields import ResidualTime
from station.tables.finding import Finding
from station.tables.model import IntervalRow, IntervalTable, NoStopRow, ResidualRow, Tables
from station.tables.written import hmm


def no_stop_times(tables: Tables) -> Iterator[Finding]:
    """Longest times grow group by group and end at the limit; each falls, or stays, with depth."""
    for at, table in enumerate(tables.file.no_stop, 1):
        for number, row in enumerate(table.rows, 1):
            yield Finding(f"no_stop[{at}].rows[{number}].longest", _longest_fault(row))
        for number, (before, here) in enumerate(pairwise(table.rows), 2):
            key = f"no_stop[{at}].rows[{number}]"
            fault = "" if _no_more(here.limit, before.limit) else f"longer than at {before.depth}"
            yield Finding(f"{key}.limit", fault)
            for group, longest in here.longest.items():
                known = group in before.longest and not _no_more(longest, before.longest[group])
                yield Finding(f"{key}.longest.{group}", f"longer than at {before.depth}" if known else "")


def _longest_fault(row: NoStopRow) -> str:
    times = list(row.longest.values())
    if not times:
        return ""
    if times[-1] != row.limit:
        return f"the last group ends at {times[-1] or '*'} but the limit is {row.limit or 'unlimited'}"
    rising = all(a is not None and (b is None or a < b) for a, b in pairwise(times))
    return "" if rising else "times do not grow from group to group"


def _no_more(here: int | None, before: int | None) -> bool:
    """Return whether a time is not longer than another; None is unlimited."""
    return before is None or (here is not None and here <= before)


def same_figures(tables: Tables) -> Iterator[Finding]:
    """Where two printed tables list a depth, they print the same."""
    for at, table in enumerate(tables.file.no_stop[1:], 2):
        first = {row.depth: row for one in tables.file.no_stop[: at - 1] for row in one.rows}
        for number, row in enumerate(table.rows, 1):
            if row.depth in first:
                fault = "" if row == first[row.depth] else f"differs from another no-stop row of {row.depth}"
                yield Finding(f"no_stop[{at}].rows[{number}]", fault)
    for at, residual in enumerate(tables.file.residual[1:], 2):
        earlier = {row.depth: row for one in tables.file.residual[: at - 1] for row in one.rows}
        for number, one in enumerate(residual.rows, 1):
            if one.depth in earlier:
                fault = (
                    "" if one == earlier[one.depth] else f"differs from another residual row of {one.depth}"
                )
                yield Finding(f"residual[{at}].rows[{number}]", fault)


def intervals(tables: Tables) -> Iterator[Finding]:
    """From each group: gapless from the shortest interval on, down group by group to the lightest."""
    table = tables.file.surface_interval
    if table is None:
        return
    groups = tables.file.groups
    for group in groups:
        rows = [(at, row) for at, row in enumerate(table.rows, 1) if row.group == group]
        wanted = list(reversed(groups[: groups.index(group) + 1]))
        found = [row.after for _, row in rows]
        fault = "" if found == wanted else f"group {group} leads to {found}, expected {wanted}"
        yield Finding("surface_interval.rows", fault)
        yield from _gapless(table, rows)


def _gapless(table: IntervalTable, rows: Sequence[tuple[int, IntervalRow]]) -> Iterator[Finding]:
    begins = table.shortest
    for at, row in rows:
        key = f"surface_interval.rows[{at}]"
        fault = "" if row.at_least == begins else f"is {hmm(row.at_least)} but must be {hmm(begins)}: no gap"
        yield Finding(f"{key}.at_least", fault)
        fault = "" if row.at_most >= row.at_least else f"{hmm(row.at_most)} is before {hmm(row.at_least)}"
        yield Finding(f"{key}.at_most", fault)
        begins = row.at_most + 1


def residual_times(tables: Tables) -> Iterator[Finding]:
    """Residual times grow with the group at each depth, and never grow with depth."""
    for at, table in enumerate(tables.file.residual, 1):
        for number, row in enumerate(table.rows, 1):
            times = _in_order(tables.file.groups, row.times)
            rising = all(_residual_rank(a) <= _residual_rank(b) for a, b in pairwise(times))
            fault = "" if rising else "times fall from a lighter group to a heavier one"
            yield Finding(f"residual[{at}].rows[{number}].times", fault)
        for number, (before, here) in enumerate(pairwise(table.rows), 2):
            yield _falls(f"residual[{at}].rows[{number}].times", before, here)


def _falls(key: str, before: ResidualRow, here: ResidualRow) -> Finding:
    for group, value in here.times.items():
        if _residual_rank(value) > _residual_rank(before.times[group]):
            return Finding(
                f"{key}.{group}", f"{value} is more than the {before.times[group]} at {before.depth}"
            )
    return Finding(key)


def _in_order(groups: Sequence[str], times: Mapping[str, ResidualTime]) -> list[ResidualTime]:
    return [times[group] for group in groups]


def _residual_rank(value: ResidualTime) -> float:
    """Return how long a residual time is: beyond every figure where the table prints a mark."""
    return float("inf") if isinstance(value, str) else value


def corrections(tables: Tables) -> Iterator[Finding]:
    """Bands of the gauge follow each other, and deeper readings are never corrected by less."""
    table = tables.file.pneumofathometer
    if table is None:
        return
    for number, (before, here) in enumerate(pairwise(table.rows), 2):
        key = f"pneumofathometer.rows[{number}]"
        fault = (
            "" if before.reading_up_to < here.reading_up_to else f"must be more than {before.reading_up_to}"
        )
        yield Finding(f"{key}.reading_up_to", fault)
        yield Finding(
            f"{key}.add", "" if before.add <= here.add else f"is less than the {before.add} before it"
        )


def altitude(tables: Tables) -> Iterator[Finding]:
    """Waits grow with the rise and with the group; groups on arrival with the altitude."""
    file = tables.file
    if file.altitude_wait is not None:
        for number, row in enumerate(file.altitude_wait.rows, 1):
            for at, (less, more) in enumerate(pairwise(row.waits), 2):
                key = f"altitude_wait.rows[{number}].waits[{at}]"
                yield Finding(
                    key, "" if less <= more else f"{hmm(more)} is less than {hmm(less)} for a smaller rise"
                )
        for number, (lighter, heavier) in enumerate(pairwise(file.altitude_wait.rows), 2):
            key = f"altitude_wait.rows[{number}]"
            in_order = file.groups.index(lighter.group) < file.groups.index(heavier.group)
            yield Finding(f"{key}.group", "" if in_order else f"must come before {lighter.group}")
            falls = any(a > b for a, b in zip(lighter.waits, heavier.waits, strict=True))
            yield Finding(
                f"{key}.waits", f"a wait is less than that of group {lighter.group}" if falls else ""
            )
    if file.altitude_arrival is not None:
        for number, (low, high) in enumerate(pairwise(file.altitude_arrival.rows), 2):
            in_order = file.groups.index(low.group) <= file.groups.index(high.group)
            fault = "" if in_order else f"{high.group} is lighter than {low.group} at a lower altitude"
            yield Finding(f"altitude_arrival.rows[{number}].group", fault)
