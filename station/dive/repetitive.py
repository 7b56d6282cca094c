"""A dive after a dive: residual nitrogen time from the group, the interval and the depth; in words why.

USN Rev 7, Tables 9-8 and 2A-2.
"""

from collections.abc import Sequence
from datetime import datetime

from station.dive.no_residual import Start, no_figure, usable, without_group
from station.dive.series import (
    SERIES,
    Arrival,
    EarlierDive,
    Residual,
    SeriesChoices,
    interval_minutes,
    latest,
    moment_text,
)
from station.tables.lookup import group_after, heaviest, longest_interval, residual_at
from station.tables.model import Tables
from station.tables.written import hmm

SHORTEST_INTERVAL_MIN = 10
"""Where a table does not say from which interval on it holds: NOAA, US Navy Tables, Part Three."""


def residual(  # noqa: PLR0913 - what a residual time depends on, each by its name
    tables: Tables,
    earlier: Sequence[EarlierDive],
    left_surface: datetime,
    depth: float,
    *,
    choices: SeriesChoices = SERIES,
    arrival: Arrival | None = None,
    by_sum: bool = False,
    no_group_decided: bool = False,
) -> Residual:
    """Return what earlier dives add to a dive of this depth that leaves the surface at this moment.

    To be asked again whenever the depth passes into another row, and while the diver waits on deck, with
    now for the moment. `by_sum`: the supervisor took the sum of the bottom times; where it has no place the
    table's answer stands. `no_group_decided`: the supervisor let a dive go ahead after one without a group,
    which holds only once the time blocked is over. Never raises.
    """
    begun = max((dive.surfaced for dive in earlier), default=left_surface)
    begun = begun if arrival is None else max(begun, arrival.at)
    if begun > left_surface:
        words = f"an earlier dive or an arrival lies at {moment_text(begun)}, after this dive began"
        return Residual("blocked", None, f"{words}: correct the times")
    last = latest(earlier)
    one = None if last is None else _one_dive(tables, last, left_surface)
    others = [dive for dive in earlier if one is None or dive is not last]
    refused = without_group(tables, others, left_surface, choices, decided=no_group_decided)
    if refused is not None:
        return refused
    return one or _by_group(tables, last, arrival, left_surface, depth, by_sum=by_sum)


def _one_dive(tables: Tables, last: EarlierDive, left_surface: datetime) -> Residual | None:
    """Return the two dives as one when the interval is too short for the table (NOAA, Part Three)."""
    table = tables.file.surface_interval
    shortest = SHORTEST_INTERVAL_MIN if table is None else table.shortest
    interval = interval_minutes(last.surfaced, left_surface)
    if interval >= shortest:
        return None
    words = (
        f"one dive with {last.source}: the interval of {hmm(interval)} is under {hmm(shortest)} and is "
        f"ignored; {last.equivalent_min} min are added, at the deepest depth, at least "
        f"{last.depth:g} {tables.unit} (rule of all revisions; NOAA, US Navy Tables, Part Three)"
    )
    return Residual(
        "one dive",
        last.equivalent_min,
        words,
        least_depth=last.depth,
        old_group=last.group,
        interval_min=interval,
    )


def _by_group(  # noqa: PLR0913 - the same again
    tables: Tables,
    last: EarlierDive | None,
    arrival: Arrival | None,
    left_surface: datetime,
    depth: float,
    *,
    by_sum: bool,
) -> Residual:
    """Return the residual time of the heavier of two groups: of the last dive and of an arrival."""
    starts = []
    if last is not None and last.group is not None and usable(tables, last.group):
        starts.append(_start(tables, last.source, last.surfaced, last.group, left_surface))
    if arrival is not None:
        starts.append(_start(tables, arrival.source, arrival.at, arrival.group, left_surface))
    heavy = heaviest(tables, [start.after for start in starts if start.after])
    if heavy is None:
        return _nothing_left(tables, starts, last)
    start = next(start for start in starts if start.after == heavy)
    if by_sum and last is not None and start is starts[0]:
        return _by_sum(last, start)
    return _by_table(tables, start, heavy, depth)


def _start(tables: Tables, source: str, at: datetime, group: str, left_surface: datetime) -> Start:
    """Return a group with what the interval leaves of it; one too short for the table leaves all of it."""
    interval = interval_minutes(at, left_surface)
    table = tables.file.surface_interval
    too_short = table is None or interval < table.shortest
    return Start(source, at, group, interval, group if too_short else group_after(tables, group, interval))


def _nothing_left(tables: Tables, starts: Sequence[Start], last: EarlierDive | None) -> Residual:
    if not starts:
        words = "no earlier dive is known" if last is None else f"{last.source} no longer counts"
        return Residual("single", 0, f"{words}: no residual nitrogen time")
    start = starts[0]
    words = (
        f"not repetitive: {hmm(start.interval_min)} after {start.source}, group {start.group}, is beyond "
        f"{hmm(longest_interval(tables, start.group) or 0)} ({_interval_source(tables)})"
    )
    return Residual("not repetitive", 0, words, old_group=start.group, interval_min=start.interval_min)


def _by_sum(last: EarlierDive, start: Start) -> Residual:
    words = (
        f"by the supervisor's choice the sum of the bottom times: {last.equivalent_min} min of {last.source} "
        f"are added, at the deepest depth (second-hand: notes on Rev 6)"
    )
    return Residual(
        "sum of bottom times",
        last.equivalent_min,
        words,
        least_depth=last.depth,
        old_group=start.group,
        interval_min=start.interval_min,
        new_group=start.after,
    )


def _by_table(tables: Tables, start: Start, group: str, depth: float) -> Residual:
    how = (
        f"group {start.group} of {start.source}, {hmm(start.interval_min)} later group {group} "
        f"({_interval_source(tables)})"
    )
    least = 0
    found = residual_at(tables, depth)
    if found is not None and found.row.times.get(group) == "†" and found.read_down_to is not None:
        least = found.read_down_to
        found = residual_at(tables, least)
    value = None if found is None else found.row.times.get(group)
    if found is None or not isinstance(value, int):
        return no_figure(tables, start, group, depth, how)
    row = f"{found.row.depth} {tables.unit}"
    down = f"; read down to the {row} row, and decompress by its schedules" if least else ""
    return Residual(
        "repetitive",
        value,
        f"{how}; residual nitrogen time {value} min ({found.source}, {row}, {group}){down}",
        least_depth=least,
        old_group=start.group,
        interval_min=start.interval_min,
        new_group=group,
        row_depth=found.row.depth,
    )


def _interval_source(tables: Tables) -> str:
    table = tables.file.surface_interval
    return "no table of intervals" if table is None else table.source
