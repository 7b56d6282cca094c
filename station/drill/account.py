"""The readable account of a drill: what was entered when and by whom, and how it ended."""

import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from station.board.after import chamber_of, trail_of_lane
from station.board.entry_words import entry_words
from station.board.facts import live
from station.board.lane_facts import held_at
from station.board.state import Board, Lane
from station.dive.follow import Live
from station.dive.schedule import Schedule, Stop
from station.dive.text import depth_text, mmss, stops_text, stops_words
from station.dive.times import seconds_up
from station.drill.player import Played
from station.drill.scenario import Expected, Scenario, delay
from station.journal.interface import Entry
from station.moments import clock_time

WIDTH: Final = 100
_NAMES: Final = 16
_INDENT: Final = " " * (11 + _NAMES)


@dataclass(frozen=True)
class Difference:
    """A figure that is not what the scenario says it must be."""

    lane: int
    figure: str
    expected: str
    found: str
    why: str

    @property
    def text(self) -> str:
        """Return one line: which figure, what was expected and why, what was found."""
        return (
            f"lane {self.lane}: {self.figure}: expected {self.expected}, found {self.found} "
            f"(worked out by hand: {self.why})"
        )


def opening_lines(scenario: Scenario) -> list[str]:
    """Return the head of the account."""
    file = scenario.file
    return [
        f"DRILL: {file.title}",
        *textwrap.wrap(" ".join(file.story.split()), WIDTH),
        f"It begins on {file.start:%Y-%m-%d} at {clock_time(file.start)} UTC.",
    ]


def played_lines(board: Board, played: Played, *, first: bool) -> Iterator[str]:
    """Yield the lines of one entry; with the first entry of a scenario's line, what that line is about."""
    due = played.due
    if first and due.line.say:
        yield ""
        yield from textwrap.wrap(due.line.say, WIDTH)
    yield from _noted(board, played.before)
    head = f"{clock_time(due.moment)}  {board.name(due.line.by):<{_NAMES}}"
    yield from _filled(head, _words(board, played))
    yield from _noted(board, played.after)


def _noted(board: Board, entries: Iterable[Entry]) -> Iterator[str]:
    for entry in entries:
        head = f"{clock_time(entry.event.at)}  {board.name(entry.event.by):<{_NAMES}}"
        yield from _filled(head, entry_words(board, entry.event))


def _words(board: Board, played: Played) -> str:
    if played.entry is not None:
        return entry_words(board, played.entry.event)
    refusal = played.refusal
    if refusal is None:
        return "nothing was entered"
    further = [line for line in refusal.missing if line not in refusal.message]
    return f"refused: {'; '.join((refusal.message, *further))}"


def _filled(head: str, words: str) -> list[str]:
    return textwrap.wrap(f"{head} {words}", WIDTH, subsequent_indent=_INDENT)


def ending_lines(board: Board) -> list[str]:
    """Return what each dive came to."""
    return [line for lane in board.lanes.values() for line in _lane_lines(board, lane)]


def _lane_lines(board: Board, lane: Lane) -> Iterator[str]:
    found = figures_of(board, lane) | _stops_told(board, lane)
    yield f"Lane {lane.number}, {board.name(lane.plan.diver)}"
    for name, value in found.items():
        if value != "none":
            yield from textwrap.wrap(f"  {name:<20} {value}", WIDTH, subsequent_indent=" " * 23)


def _stops_told(board: Board, lane: Lane) -> dict[str, str]:
    """Return the stops for people: minutes after a colon look like a time of day, and depths want a name."""
    dive, unit = live(board, lane, board.log[-1].at), board.setup.tables.unit
    owed = [line for line in dive.stops if line.minutes]
    if not isinstance(dive.schedule, Schedule) or not owed:
        return {}
    due = (
        f"{depth_text(line.depth, unit)} {clock_time(line.starts)} to {clock_time(line.due_leave)}"
        for line in owed
    )
    found = (held_at(board, dive, line.depth) for line in owed)
    here = [one.words(unit) for one in found if one is not None]
    return {
        "stops": f"{stops_words(dive.schedule.stops, unit)}, as the table prints them",
        "owed": "; ".join([stops_words([Stop(line.depth, line.minutes) for line in owed], unit), *here]),
        "due": "; ".join(due),
        "changes": _changes(board, lane, partial(stops_words, unit=unit)),
    }


def figures_of(board: Board, lane: Lane) -> dict[str, str]:
    """Return the figures a scenario may expect, as text; "none" for what there is not."""
    dive = live(board, lane, board.log[-1].at)
    schedule = dive.schedule
    return {
        "bottom time": f"{dive.bottom_min} min",
        "schedule": schedule.name if isinstance(schedule, Schedule) else "none",
        "stops": stops_text(schedule.stops) if isinstance(schedule, Schedule) else "none",
        "group": (isinstance(schedule, Schedule) and schedule.group) or "none",
        "total decompression": "none" if dive.decompression_s is None else mmss(dive.decompression_s),
        "deviations": str(len(dive.early)),
        **_way_up(board, lane, dive),
    }


def _way_up(board: Board, lane: Lane, dive: Live) -> dict[str, str]:
    """Return the figures of the way up: what was owed and when, delays, changes of the plan, oxygen."""
    owed = [line for line in dive.stops if line.minutes]
    oxygen = dive.oxygen
    return {
        "residual time": f"{dive.residual_min} min",
        "owed": stops_text([Stop(line.depth, line.minutes) for line in owed]),
        "due": "; ".join(
            f"{line.depth:g} {clock_time(line.starts)} {clock_time(line.due_leave)}" for line in owed
        )
        or "none",
        "delays": "; ".join(
            f"{one.to_depth:g}: {mmss(seconds_up(one.delay_ms))} counts {one.minutes}"
            for one in dive.deviations
            if one.minutes
        )
        or "none",
        "changes": _changes(board, lane, stops_text),
        "oxygen": "none" if oxygen is None else f"{mmss(oxygen.served_s)}, breaks: {oxygen.breaks_taken}",
        "chamber": _chamber(board, lane, dive),
    }


def _changes(board: Board, lane: Lane, words: Callable[[Sequence[Stop]], str]) -> str:
    """Return when the plan of the way up changed, and to what; "none" when it did not."""
    left = lane.mark("left_bottom")
    changes = (
        f"{clock_time(line.at)} {line.after.schedule} {words(line.after.stops)}"
        for line in trail_of_lane(board, lane, board.log[-1].at)
        if left is not None and line.at > left.at and line.before.plan != line.after.plan
    )
    return "; ".join(changes) or "none"


def _chamber(board: Board, lane: Lane, dive: Live) -> str:
    found = chamber_of(board, lane, dive, board.log[-1].at)
    if found is None or found.interval is None:
        return "none"
    missing = "".join(f", {one}" for one in found.missing)
    return f"interval {mmss(found.interval.elapsed_s)}, oxygen {mmss(found.served_s)}{missing}"


def differences(board: Board, expected: Sequence[Expected]) -> list[Difference]:
    """Return every figure that differs from what a scenario expects; only the keys given are compared."""
    return [one for wanted in expected for one in _differences(board, wanted)]


def _differences(board: Board, wanted: Expected) -> Iterator[Difference]:
    lane = board.lanes.get(wanted.lane)
    found = figures_of(board, lane) if lane else {}
    for figure, value in _wanted(wanted).items():
        if found.get(figure) != value:
            yield Difference(wanted.lane, figure, value, found.get(figure, "no such dive"), wanted.why)


def _wanted(expected: Expected) -> dict[str, str]:
    values = {
        "bottom time": None if expected.bottom_time_min is None else f"{expected.bottom_time_min} min",
        "schedule": expected.schedule,
        "stops": expected.stops,
        "group": expected.group,
        "total decompression": _minutes(expected.total_decompression),
        "deviations": None if expected.deviations is None else str(expected.deviations),
        "residual time": None if expected.residual_min is None else f"{expected.residual_min} min",
        "owed": expected.owed,
        "due": _listed(expected.due),
        "delays": _listed(expected.delays),
        "changes": _listed(expected.changes),
        "oxygen": expected.oxygen,
        "chamber": expected.chamber,
    }
    return {figure: value for figure, value in values.items() if value is not None}


def _listed(values: Sequence[str] | None) -> str | None:
    return None if values is None else "; ".join(values) or "none"


def _minutes(text: str | None) -> str | None:
    """Return a time of a scenario, 30:40 or 1:02:03, in minutes and seconds as the account writes it."""
    return None if text is None else mmss(int(delay(text).total_seconds()))
