"""Where no repetitive dive can be computed: why, and what to do about it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.dive.choice_words import MARK
from station.dive.series import ASK, EarlierDive, Residual, SeriesChoices, latest, moment_text
from station.tables.lookup import ResidualAt, longest_interval, residual_at
from station.tables.model import Tables


@dataclass(frozen=True)
class Start:
    """A group that is counted down from a moment: whose, how long ago, and what is left of it.

    `after` is None once the interval is beyond the last one printed.
    """

    source: str
    at: datetime
    group: str
    interval_min: int
    after: str | None


def usable(tables: Tables, group: str | None) -> bool:
    """Return whether the tables print intervals for a group."""
    return group is not None and longest_interval(tables, group) is not None


def without_group(
    tables: Tables,
    earlier: Sequence[EarlierDive],
    left_surface: datetime,
    choices: SeriesChoices,
    *,
    decided: bool,
) -> Residual | None:
    """Return the refusal that a dive without a usable group asks for (18 h from memory: Rev 6/7)."""
    asks = timedelta(hours=choices.no_group_asks_h)
    dive = latest(
        [one for one in earlier if not usable(tables, one.group) and left_surface - one.surfaced < asks]
    )
    if dive is None:
        return None
    until = dive.surfaced + timedelta(hours=choices.no_group_blocked_h)
    may_decide = left_surface >= until
    if may_decide and decided:
        return None
    hours = f"{choices.no_group_blocked_h} h {MARK}"
    then = (
        f"{hours} have passed: the supervisor may decide to go on"
        if may_decide
        else f"blocked until {moment_text(until)}, {hours} after it; then the supervisor decides"
    )
    why = (
        f"group {dive.group} of {dive.source} is not in these tables"
        if dive.group
        else f"no group is printed for {dive.source}"
    )
    words = f"{why}: no repetitive dive can be computed; {then}; {ASK}"
    return Residual("blocked", None, words, old_group=dive.group, until=until, may_decide=may_decide)


def no_figure(tables: Tables, start: Start, group: str, depth: float, how: str) -> Residual:
    """Return the refusal where the table prints no residual time, with the moment from which it does.

    `how` says in words how the group at the end of the interval was found.
    """
    found = residual_at(tables, depth)
    until = None if found is None else _figure_from(tables, start, found)
    return Residual(
        "no figure",
        None,
        f"{how}; {_no_figure_words(tables, group, depth, found, until)}",
        old_group=start.group,
        interval_min=start.interval_min,
        new_group=group,
        row_depth=None if found is None else found.row.depth,
        until=until,
    )


def _no_figure_words(
    tables: Tables, group: str, depth: float, found: ResidualAt | None, until: datetime | None
) -> str:
    if found is None:
        return f"no residual nitrogen time is printed for {depth:g} {tables.unit} or deeper: {ASK}"
    row = f"{found.row.depth} {tables.unit}"
    ways = [] if until is None else [f"wait until {moment_text(until)}, when there is one"]
    deeper = _deeper_with_figure(tables, group, found.row.depth)
    if deeper is not None:
        ways.append(f"work it on paper by the {deeper} {tables.unit} row with the supervisor")
    return (
        f"no residual nitrogen time can be had for group {group} at {row} ({found.source}): "
        f"{', or '.join(ways) or ASK}"
    )


def _figure_from(tables: Tables, start: Start, found: ResidualAt) -> datetime | None:
    """Return when the group has fallen far enough for the row to print a figure."""
    table = tables.file.surface_interval
    rows = () if table is None else table.rows
    begins = [
        row.at_least
        for row in rows
        if row.group == start.group and isinstance(found.row.times.get(row.after), int)
    ]
    return start.at + timedelta(minutes=min(begins)) if begins else None


def _deeper_with_figure(tables: Tables, group: str, depth: int) -> int | None:
    depths = {row.depth for table in tables.file.residual for row in table.rows if row.depth > depth}
    for one in sorted(depths):
        found = residual_at(tables, one)
        if found is not None and isinstance(found.row.times.get(group), int):
            return one
    return None
