"""Check digits of the schedules: what each printed row must add up to."""

from collections.abc import Iterator
from itertools import pairwise

from station.tables.fields import Stop
from station.tables.finding import Finding
from station.tables.model import ScheduleRow, TableFile, Tables
from station.tables.written import mmss


def stop_numbers(tables: Tables) -> Iterator[Finding]:
    """Stops go from the first to the last stop depth of the file, one spacing apart: no gap, none twice."""
    file = tables.file
    for at, row in enumerate(file.schedules.rows, 1):
        for name, stops in (("air_stops", row.air_stops), ("oxygen_stops", row.oxygen_stops or ())):
            fault = _stops_fault(tables.file, row.depth, [depth for depth, _ in stops])
            yield Finding(f"schedules.rows[{at}].{name}", fault, (row.depth, row.time))


def _stops_fault(file: TableFile, depth: int, stops: list[int]) -> str:
    if not stops:
        return ""
    first, last = stops[0], file.stops.last
    if stops != list(range(first, last - 1, -file.stops.spacing)) or stops[-1] != last:
        return f"stops at {stops} do not go up by {file.stops.spacing} to {last}"
    return "" if first < depth else f"first stop {first} is not shallower than {depth}"


def times_to_first_stop(tables: Tables) -> Iterator[Finding]:
    """Time to first stop = (depth - first stop) at the ascent rate; to the surface without a stop."""
    for at, row in enumerate(tables.file.schedules.rows, 1):
        for stops in (row.air_stops, row.oxygen_stops):
            if stops is not None:
                own = tables.file.ascent.travel_s(row.depth, stops[0][0] if stops else 0)
                yield _sum(f"schedules.rows[{at}].to_first_stop", row, row.to_first_stop, own)


def air_totals(tables: Tables) -> Iterator[Finding]:
    """Total on air = time to first stop + stops + last ascent, travel between stops as the file says."""
    for at, row in enumerate(tables.file.schedules.rows, 1):
        own = row.to_first_stop + _after_first_travel(tables.file, row.air_stops)
        yield _sum(f"schedules.rows[{at}].air_total", row, row.air_total, own)


def oxygen_totals(tables: Tables) -> Iterator[Finding]:
    """The same on air/oxygen, plus travel to the first oxygen stop from a deeper one, plus air breaks."""
    rules = tables.file.oxygen
    if rules is None:
        return
    for at, row in enumerate(tables.file.schedules.rows, 1):
        if row.oxygen_stops is None or row.oxygen_total is None:
            continue
        own = row.to_first_stop + _after_first_travel(tables.file, row.oxygen_stops)
        own += 60 * rules.break_min * rules.breaks(sum(m for d, m in row.oxygen_stops if d in rules.depths))
        inside = tables.file.stops.travel_between == "within the next stop"
        if inside and row.oxygen_stops and row.oxygen_stops[0][0] > max(rules.depths):
            own += tables.file.ascent.travel_s(tables.file.stops.spacing, 0)
        yield _sum(f"schedules.rows[{at}].oxygen_total", row, row.oxygen_total, own)


def first_rows(tables: Tables) -> Iterator[Finding]:
    """Schedules at a depth begin where its no-stop limit ends: with the limit's own row, or after it."""
    numbers = {(row.depth, row.time): at for at, row in enumerate(tables.file.schedules.rows, 1)}
    for depth, rows in tables.rows.items():
        no_stop = tables.no_stop.get(depth)
        if no_stop is None:
            continue
        limit, group = no_stop.row.limit, next(reversed(no_stop.row.longest), None)
        row = rows[0]
        begins_after = limit is not None and row.time > limit and row.air_stops
        fault = (
            ""
            if begins_after or (row.time, row.air_stops, row.group) == (limit, (), group)
            else f"{depth}/{row.time} ({len(row.air_stops)} stops, group {row.group}) must be the limit: "
            f"{limit or 'unlimited'} min, no stops, group {group} ({no_stop.source})"
        )
        yield Finding(f"schedules.rows[{numbers[depth, row.time]}]", fault, (depth, row.time))


def _after_first_travel(file: TableFile, stops: tuple[Stop, ...]) -> int:
    if not stops:
        return 0
    seconds = 60 * sum(minutes for _, minutes in stops) + file.ascent.travel_s(stops[-1][0], 0)
    if file.stops.travel_between == "before the next stop":
        seconds += sum(file.ascent.travel_s(deep, shallow) for (deep, _), (shallow, _) in pairwise(stops))
    return seconds


def _sum(key: str, row: ScheduleRow, printed: int, own: int) -> Finding:
    if printed == own:
        return Finding(key)
    return Finding(
        key,
        f"prints {mmss(printed)} but its parts make {mmss(own)} (schedule {row.depth}/{row.time})",
        (row.depth, row.time),
        printed - own,
    )
