"""Alarms in words: what nobody has taken notice of first, then who took notice of what, then what is over."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from textual.content import Content

from station.board.alarm_sound import states_now
from station.board.alarm_states import AlarmState
from station.board.alarms import ORDER, Alarm
from station.board.figures import Figures
from station.board.state import Board
from station.moments import clock_time

STYLES: Final = {"high": "bold reverse", "medium": "bold", "low": ""}
TOLD_OVER: Final = timedelta(minutes=10)
"""For how long an alarm is listed once it is over; station choice."""


def standing_lines(board: Board, alarms: Sequence[Alarm], now: datetime) -> list[Content]:
    """Return the alarms that stand, unacknowledged in front; the others begin with ACK, by whom and when."""
    states = states_now(board.alarms, alarms, now)
    both = sorted(zip(alarms, states, strict=True), key=lambda one: _place(one[1]))
    return [_standing(board, alarm, state) for alarm, state in both]


def alarm_lines(board: Board, now: Figures, width: int) -> list[Content]:
    """Return the alarms that stand, with since when and how often, and those that ended a short time ago.

    Where a line has no room its words are cut, never the time.
    """
    states = states_now(board.alarms, now.alarms, now.now)
    both = sorted(zip(now.alarms, states, strict=True), key=lambda one: _place(one[1]))
    lines = [_ended(_standing(board, alarm, state), _since(state), width) for alarm, state in both]
    return [Content.styled("ALARMS", "bold underline"), *(lines or [Content("no alarm")]), *_over(board, now)]


def state_line(board: Board, state: AlarmState) -> str:
    """Return one alarm as the journal knows it, on one line."""
    alarm = Alarm(state.priority, state.key, state.words, state.lane)
    return f"{_standing(board, alarm, state).plain.strip()}, since {clock_time(state.raised_at)}"


def _place(state: AlarmState) -> tuple[bool, int]:
    return state.acknowledged is not None, ORDER.index(state.priority)


def _standing(board: Board, alarm: Alarm, state: AlarmState) -> Content:
    noticed = state.acknowledged
    if noticed is None:
        return Content.styled(f" {alarm.text} ", STYLES[alarm.priority])
    who = "".join(word[0] for word in board.name(noticed.by).split())
    return Content(f" (ACK {who} {clock_time(noticed.at)}) {alarm.text} ")


def _ended(words: Content, end: str, width: int) -> Content:
    if len(words) + len(end) > width:
        words = Content.assemble(words.truncate(max(1, width - len(end) - 1), ellipsis=True), " ")
    return Content.assemble(words, end)


def _since(state: AlarmState) -> str:
    again = f", raised {state.times} times" if state.times > 1 else ""
    return f"since {clock_time(state.raised_at)}{again}"


def _over(board: Board, now: Figures) -> Iterator[Content]:
    ended = [
        (one.cleared_at, one)
        for one in board.alarms.values()
        if one.cleared_at is not None and now.now - one.cleared_at <= TOLD_OVER
    ]
    for at, one in sorted(ended, key=lambda pair: pair[0], reverse=True):
        lane = f"lane {one.lane}: " if one.lane is not None else ""
        seen = "" if one.acknowledged else ", nobody had acknowledged it"
        yield Content(f" over {clock_time(at)} {lane}{one.words}{seen}")
