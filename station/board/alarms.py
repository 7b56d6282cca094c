"""What is wrong now, by priority: each alarm with a word, and a key that stays the same while it lasts.

Three priorities in the sense of IEC 60601-1-8 and ANSI/ISA-18.2. Limits are those of the station file.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.board.state import Board, Lane
from station.dive.follow import Live
from station.dive.schedule import NoSchedule
from station.dive.text import depth_text, mark_text, mmss
from station.dive.times import MS_PER_S
from station.events import Priority
from station.moments import age_s, ms_between
from station.outfit.views import on_hose_since
from station.setup import Ages

SIGNS: dict[Priority, str] = {"high": "!!!", "medium": "!!", "low": "!"}
ORDER: tuple[Priority, ...] = ("high", "medium", "low")
OVERDUE_S = 60
"""A mark is told as overdue this long after it was due; station choice."""


@dataclass(frozen=True)
class Alarm:
    """One thing wrong: `key` names it, `lane` is None for what concerns the whole station."""

    priority: Priority
    key: str
    words: str
    lane: int | None = None

    @property
    def text(self) -> str:
        """Return sign, lane and words, as shown."""
        lane = f"lane {self.lane}: " if self.lane else ""
        return f"{SIGNS[self.priority]} {self.priority.upper()} {lane}{self.words}"


def of_lane(board: Board, lane: Lane, dive: Live, now: datetime) -> Iterator[Alarm]:
    """Yield the alarms of one lane."""
    ages = board.setup.station.ages
    if lane.in_water:
        yield from _silence(lane, ages, now)
        yield from _on_the_way(board, lane, dive)
    elif lane.mark("left_surface") is None and not lane.called_off:
        yield from _on_deck(board, lane, dive, now)
    for line in () if lane.over else dive.early:
        depth = depth_text(line.depth, board.setup.tables.unit)
        words = f"stop {depth} left early, {mmss(line.missing_s)} missing: omitted decompression"
        yield Alarm("high", f"left early {line.depth:g}", words, lane.number)


def _on_the_way(board: Board, lane: Lane, dive: Live) -> Iterator[Alarm]:
    """Yield what is wrong with the travel: too fast, or late with nobody having said where."""
    unit, fast = board.setup.tables.unit, dive.too_fast
    if fast is not None:
        priority: Priority = "medium" if fast.way == "ascent" else "low"
        words = f"{fast.way} too fast: {fast.rate:g} {unit}/min so far, limit {fast.limit:g}"
        yield Alarm(priority, f"{fast.way} too fast", words, lane.number)
    if dive.ask_where:
        words = "late to the first stop: ask where the diver is held, and mark it"
        yield Alarm("medium", "late", words, lane.number)
    yield from _overdue(lane, dive, unit)


def _overdue(lane: Lane, dive: Live, unit: str) -> Iterator[Alarm]:
    """Yield a mark that is late, unless a delay that counts tells it already, with what it costs."""
    coming = dive.next_mark
    if coming is None or coming.due is None or any(one.running and one.minutes for one in dive.deviations):
        return
    late_ms = ms_between(coming.due, dive.now)
    if late_ms > OVERDUE_S * MS_PER_S:
        words = f"{mark_text(coming.name, coming.depth, unit)} is overdue by {mmss(late_ms // MS_PER_S)}"
        yield Alarm("medium", f"overdue {coming.name.replace('_', ' ')}", words, lane.number)


def by_priority(alarms: Iterable[Alarm]) -> tuple[Alarm, ...]:
    """Return alarms with the most urgent first; equal ones keep their order."""
    return tuple(sorted(alarms, key=lambda alarm: ORDER.index(alarm.priority)))


def _silence(lane: Lane, ages: Ages, now: datetime) -> Iterator[Alarm]:
    left = lane.mark("left_surface")
    since = left.at if left else now
    for what, last, limit_s in (
        ("depth", lane.readings[-1:], ages.depth_s),
        ("voice", lane.voices[-1:], ages.voice_s),
    ):
        at = max([since, *(one.at for one in last)])
        if now - at > timedelta(seconds=limit_s):
            yield Alarm("medium", f"{what} silent", _silent(what, age_s(at, now)), lane.number)
    if lane.voices and not lane.voices[-1].good:
        words = "voice lost: end the dive if it is not quickly restored (29 CFR 1910.422(i)(3))"
        yield Alarm("high", "voice lost", words, lane.number)


def _on_deck(board: Board, lane: Lane, dive: Live, now: datetime) -> Iterator[Alarm]:
    ages = board.setup.station.ages
    if isinstance(dive.schedule, NoSchedule):
        yield Alarm("medium", "plan", f"the plan has NO SCHEDULE: {dive.schedule.reason}", lane.number)
    elif dive.exceptional:
        yield Alarm("medium", "exceptional plan", f"the plan: {dive.schedule.exposure.words}", lane.number)
    closed = on_hose_since(board.setup.outfit, lane.progress)
    if closed is not None and now - closed > timedelta(seconds=ages.closed_faceplate_s):
        words = f"faceplate closed for {mmss(age_s(closed, now))} and not in the water"
        yield Alarm("medium", "faceplate", words, lane.number)


def _silent(what: str, age_s: int | None) -> str:
    return f"{what} not read yet" if age_s is None else f"{what} not read for {mmss(age_s)}"
