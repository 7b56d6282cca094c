"""What is true of a lane beside its dive: chamber, open cards, ladder, trail, waits after the dive."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache

from station.board.air import AirNow, air_now
from station.board.air_ladder import ladder_air
from station.board.earlier import earlier_dives, own_dive
from station.board.facts import chamber_marks, dive_facts
from station.board.state import Board, Lane
from station.dive.by_sum import SideBySide, side_by_side
from station.dive.cards import Begins, Card, ClockNow, clocks_now
from station.dive.chamber import ChamberLive, follow_chamber
from station.dive.flying import AltitudeWait, airliner_rise_ft, wait_before_altitude
from station.dive.follow import Live
from station.dive.ladder import Ladder
from station.dive.ladder_now import ladder_now
from station.dive.schedule import Schedule
from station.dive.times import minutes_up
from station.dive.trail import trail
from station.dive.trail_lines import Line
from station.events import CardDecided, CardOpened
from station.moments import ms_between

LOOK_BACK = timedelta(hours=48)


@dataclass(frozen=True)
class OpenCard:
    """A card that is open in a lane: since when, what was decided on it, its clocks."""

    card: Card
    opened: CardOpened
    decided: tuple[CardDecided, ...]
    clocks: tuple[ClockNow, ...]


def ladder_of_lane(board: Board, lane: Lane, now: datetime) -> Ladder | None:
    """Return the ladder of leaving times with its air, on deck and until the bottom is left; then None."""
    left = lane.mark("left_surface")
    if lane.over or lane.mark("left_bottom") is not None:
        return None
    if left is None or lane.company:
        return _ladder_at(board, lane, now)
    kept = _ladder_in(_Minute(air_now(board, now), lane, minutes_up(ms_between(left.at, now)), now))
    return None if kept is None else kept.seen_at(now)


class _Minute:
    """A minute of a lane's bottom time with the air of that minute; any moment in it stands for it."""

    __slots__ = ("air", "lane", "minute", "now")

    def __init__(self, air: AirNow, lane: Lane, minute: int, now: datetime) -> None:
        self.air = air
        self.lane = lane
        self.minute = minute
        self.now = now

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Minute) and self.air is other.air and self._own == other._own

    def __hash__(self) -> int:
        return hash((id(self.air), self._own))

    @property
    def _own(self) -> tuple[int, int]:
        return self.lane.number, self.minute


@lru_cache(maxsize=32)
def _ladder_in(asked: _Minute) -> Ladder | None:
    """Return the ladder of a minute: in it only what is left of each rung changes, and no row steps."""
    return _ladder_at(asked.air.board, asked.lane, asked.now)


def _ladder_at(board: Board, lane: Lane, now: datetime) -> Ladder | None:
    facts, choices = dive_facts(board, lane), board.setup.station.choices
    return ladder_now(board.setup.tables, facts, now, choices, ladder_air(board, lane, now))


def trail_of_lane(board: Board, lane: Lane, now: datetime) -> tuple[Line, ...]:
    """Return every rule applied to a lane's dive up to a moment; empty on deck."""
    return trail(board.setup.tables, dive_facts(board, lane), now, board.setup.station.choices)


def chamber_of(board: Board, lane: Lane, dive: Live, now: datetime) -> ChamberLive | None:
    """Return the surface decompression of a lane once chosen or marked; None where none is printed."""
    chosen = lane.gas is not None and lane.gas.gas == "surface_oxygen"
    schedule = dive.schedule if isinstance(dive.schedule, Schedule) else None
    periods = schedule.chamber_periods if schedule else None
    if not periods or not (chosen or lane.chamber):
        return None
    return follow_chamber(periods, chamber_marks(board, lane, now), now)


def open_cards(board: Board, lane: Lane, now: datetime) -> tuple[OpenCard, ...]:
    """Return the cards open in a lane with their clocks, the one opened first in front."""
    return tuple(
        OpenCard(
            card,
            opened,
            _decided(lane, opened),
            clocks_now(card, _moments(board, lane, opened, now), now),
        )
        for opened in lane.open_cards
        if (card := board.setup.cards.card(opened.card)) is not None
    )


def _decided(lane: Lane, opened: CardOpened) -> tuple[CardDecided, ...]:
    return tuple(
        one
        for one in lane.cards
        if isinstance(one, CardDecided) and one.card == opened.card and one.at >= opened.at
    )


def _moments(board: Board, lane: Lane, opened: CardOpened, now: datetime) -> Mapping[Begins, datetime | None]:
    up = lane.mark("reached_surface")
    left = [one.at for one in chamber_marks(board, lane, now) if one.name == "left_for_chamber"]
    good = [one.at for one in lane.voices if one.good]
    return {
        "card opened": opened.at,
        "reached surface": None if up is None else up.at,
        "left for the chamber": left[0] if left else None,
        "last voice check": good[-1] if good else None,
    }


def wait_before(board: Board, lane: Lane, rise_ft: float | None = None) -> AltitudeWait | None:
    """Return the wait before a rise after the dive, in feet above the site; an airliner's if none is given.

    None while the diver has not surfaced.
    """
    mine = own_dive(board, lane)
    if mine is None:
        return None
    station, tables = board.setup.station, board.setup.tables
    before = [one for one in earlier_dives(board, lane) if mine.surfaced - one.surfaced < LOOK_BACK]
    rise = airliner_rise_ft(max(0, station.altitude_ft)) if rise_ft is None else rise_ft
    return wait_before_altitude(tables, [*before, mine], rise)


def both_answers(board: Board, lane: Lane, dive: Live) -> SideBySide | None:
    """Return the table's answer and that of the sum of bottom times, for the supervisor to choose between.

    On deck for the planned time, under water for the time so far; None where the exception has no place.
    """
    facts = dive_facts(board, lane)
    left = facts.time_of("left_surface")
    return side_by_side(
        board.setup.tables,
        facts.earlier,
        left or dive.now,
        dive.site.table_depth,
        lane.plan.time_min if left is None else dive.bottom_min,
        choices=board.setup.station.choices,
        arrival=facts.arrival,
        no_group_decided=facts.no_group_decided,
        lengthen=facts.lengthened,
    )
