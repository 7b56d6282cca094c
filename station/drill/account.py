"""The readable account of a drill: what was entered when and by whom, and how it ended."""

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from station.board.entry_words import entry_words
from station.board.facts import live
from station.board.state import Board, Lane
from station.dive.schedule import Schedule
from station.dive.text import mmss, stops_text
from station.drill.player import Played
from station.drill.scenario import Expected, Scenario, delay
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
    head = f"{clock_time(due.moment)}  {board.name(due.line.by):<{_NAMES}}"
    yield from _filled(head, _words(board, played))


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
    found = figures_of(board, lane)
    yield f"Lane {lane.number}, {board.name(lane.plan.diver)}"
    yield from (f"  {name:<20} {value}" for name, value in found.items())


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
    }


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
    }
    return {figure: value for figure, value in values.items() if value is not None}


def _minutes(text: str | None) -> str | None:
    """Return a time of a scenario, 30:40 or 1:02:03, in minutes and seconds as the account writes it."""
    return None if text is None else mmss(int(delay(text).total_seconds()))
