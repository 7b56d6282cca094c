"""What is wrong now, by priority: each alarm with a word, and a key that stays the same while it lasts.

Three priorities in the sense of IEC 60601-1-8 and ANSI/ISA-18.2. Limits are those of the station file.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.board.state import Board, Lane
from station.dive.follow import Live
from station.dive.schedule import NoSchedule
from station.dive.text import depth_text, mmss
from station.dive.times import seconds_up
from station.events import Priority
from station.moments import ms_between
from station.outfit.views import on_hose_since
from station.setup import Ages

SIGNS: dict[Priority, str] = {"high": "!!!", "medium": "!!", "low": "!"}
ORDER: tuple[Priority, ...] = ("high", "medium", "low")
STEP_SOON_S = 120
"""A schedule about to change is announced this long before; station choice."""


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
        yield from _schedule(lane, dive)
        yield from _on_the_way(board, lane, dive)
    elif lane.mark("left_surface") is None and not lane.called_off:
        yield from _on_deck(board, lane, ages, now)
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


def _schedule(lane: Lane, dive: Live) -> Iterator[Alarm]:
    if isinstance(dive.schedule, NoSchedule):
        words = f"NO SCHEDULE: {dive.schedule.reason}; the supervisor decides"
        yield Alarm("high", "no schedule", words, lane.number)
        return
    if dive.ahead and dive.ahead.last_row and dive.row_left_s is not None:
        yield Alarm("high", "last row", "last schedule of the table is in force: none after it", lane.number)
    if dive.ahead and dive.ahead.exceptional_next and dive.row_left_s is not None:
        yield Alarm("high", "exceptional next", "the next schedule is exceptional exposure", lane.number)
    if dive.exceptional:
        words = f"exceptional exposure in force: {dive.schedule.exposure.words}"
        yield Alarm("high", "exceptional", words, lane.number)
    if dive.row_left_s is not None and dive.row_left_s <= STEP_SOON_S:
        words = (
            "the no-stop limit ends soon" if dive.schedule.no_stop else "the next longer schedule begins soon"
        )
        yield Alarm("medium", "row ends", words, lane.number)


def _on_deck(board: Board, lane: Lane, ages: Ages, now: datetime) -> Iterator[Alarm]:
    closed = on_hose_since(board.setup.outfit, lane.progress)
    if closed is not None and now - closed > timedelta(seconds=ages.closed_faceplate_s):
        words = f"faceplate closed for {mmss(age_s(closed, now))} and not in the water"
        yield Alarm("medium", "faceplate", words, lane.number)


def age_s(at: datetime, now: datetime) -> int:
    """Return an age in whole seconds, rounded up: what is old is never shown as younger than it is."""
    return max(0, seconds_up(ms_between(at, now)))


def _silent(what: str, age_s: int | None) -> str:
    return f"{what} not read yet" if age_s is None else f"{what} not read for {mmss(age_s)}"
