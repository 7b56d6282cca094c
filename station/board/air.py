"""The air as it stands: sums for everyone's way home, how long it lasts, until when to leave the bottom.

All of it is reckoned as of the end of the running minute, once for each entry and each minute: what is drawn
until then is taken off, so nothing shown is ever more than there is. Pure, from the board and a moment.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property, lru_cache

from station.board.air_ways import (
    MINUTE,
    breathing,
    deepest_since_fsw,
    hose,
    on_bottom,
    planned_leaving,
    spell_on_hose,
    to_come,
    ways_of,
)
from station.board.facts import live
from station.board.sources import Sources, history, sources_at
from station.board.state import Board, Lane
from station.dive.follow import Live
from station.dive.schedule import Schedule
from station.outfit.views import on_hose_since
from station.supply.cover import Coverage, Station, cover, stores
from station.supply.cover import without_primary as all_but_primary
from station.supply.facts import Sums
from station.supply.need import OnHose, need_of_all
from station.supply.outlook import Outlook, Watched, outlook
from station.supply.readings import Reading
from station.supply.turn import Turn, turn
from station.supply.way import Way, demand
from station.units import down_to, up_to

NO_SCHEDULE = "the tables print no schedule, so no way up can be reckoned with"


@dataclass(frozen=True)
class LaneTurn:
    """The turn time of one lane, in minutes of its bottom time, and as the moment to leave the bottom by."""

    turn: Turn
    leave_by: datetime | None


@dataclass(frozen=True)
class AirNow:
    """What the air comes to as of a moment, for the board it was reckoned from.

    `drawn_scfm` is what is taken off since the last reading of the source on line: by the deepest that every
    diver was since, and by the readings where they show more than was planned. `changed` says from when on
    the readings of a source make a trend.
    """

    board: Board
    as_of: datetime
    sources: Sources
    history: Mapping[str, tuple[Reading, ...]]
    changed: Mapping[str, datetime]
    look: Outlook
    drawn_scfm: float
    drawn_before_scf: float

    @property
    def station(self) -> Station:
        """Return the sources for the sums."""
        last = {source: readings[-1] for source, readings in self.history.items()}
        since, before = _drawn_since(self.board, self.sources), self.drawn_before_scf
        return Station(last, self.as_of, self.sources.on_line, self.sources.lost, since, before)

    @cached_property
    def in_water(self) -> tuple[Lane, ...]:
        """The lanes whose divers are in the water."""
        return tuple(lane for lane in self.board.lanes.values() if lane.in_water)

    @cached_property
    def sums(self) -> Sums:
        """The demands set against the supply: leaving now, as planned, and now without the primary."""
        now, second = self._leave_now(), None
        lost = all_but_primary(self.board.setup.supply, self.station)
        if self.in_water and lost != self.sources.lost:
            without = replace(self.station, lost=lost)
            if self.sources.feeding in lost:
                # The secondary would begin to be drawn only now.
                without = replace(without, on_line=None, drawn_since=self.as_of, drawn_before_scf=0.0)
            second = self.coverage(self._ways(self.as_of), without)
        return Sums(now, self._planned(), second)

    @cached_property
    def turns(self) -> Mapping[int, LaneTurn]:
        """The turn time of each lane whose diver is on the bottom."""
        return {lane.number: self._turn(lane) for lane in self.in_water if on_bottom(lane)}

    def coverage(self, ways: list[Way] | None, station: Station | None = None) -> Coverage:
        """Return how the sources carry these ways; not known where one has no schedule."""
        if ways is None:
            return Coverage(0, 0, 0, 0, 0, known=False, words=NO_SCHEDULE)
        supply = self.board.setup.supply
        found = demand(supply, ways, faster=self.look.faster)
        if found.psig is None:
            return cover((), found)
        return cover(stores(supply, station or self.station, found.psig, self.drawn_scfm), found)

    def _ways(self, leave: datetime) -> list[Way] | None:
        return ways_of(self.board, self.in_water, self.as_of, leave)

    def _leave_now(self) -> Coverage | None:
        return self.coverage(self._ways(self.as_of)) if self.in_water else None

    def _planned(self) -> Coverage | None:
        lanes = self.in_water or tuple(one for one in breathing(self.board) if one in to_come(self.board))
        lanes = lanes or to_come(self.board)
        ways: list[Way] = []
        for lane in lanes:
            leave = planned_leaving(lane, self.as_of)
            found = ways_of(self.board, (lane,), self.as_of, leave, as_planned=True)
            if found is None:
                return self.coverage(None)
            ways += found
        return self.coverage(ways) if ways else None

    def _turn(self, lane: Lane) -> LaneTurn:
        left = lane.mark("left_surface")
        begins = self.as_of if left is None else left.at
        dive = live(self.board, lane, self.as_of)

        def coverage_at(minute: int) -> Coverage | None:
            ways = self._ways(max(self.as_of, begins + minute * MINUTE))
            return None if ways is None else self.coverage(ways)

        found = turn(coverage_at, dive.bottom_min, _schedule_ends(lane, dive))
        return LaneTurn(found, None if found.minute is None else begins + found.minute * MINUTE)


def air_now(board: Board, now: datetime) -> AirNow:
    """Return the air as of the end of the running minute, worked out once for each board and minute."""
    return _air_at(_Same(board), minute_end(now))


def _schedule_ends(lane: Lane, dive: Live) -> int | None:
    """Return the bottom time that the plan, or after it the schedule in force, holds to; None for no end."""
    if dive.bottom_min <= lane.plan.time_min:
        return lane.plan.time_min
    holds = dive.schedule.holds_to_min if isinstance(dive.schedule, Schedule) else None
    return None if holds is None else holds - (dive.entered_min - dive.bottom_min)


def minute_end(now: datetime) -> datetime:
    """Return the end of the running minute; a whole minute is its own end."""
    whole = now.replace(second=0, microsecond=0)
    return whole if whole == now else whole + MINUTE


class _Same:
    """What of a board the air hangs on, equal to another only if all of it is the very same.

    None of it is ever changed, only replaced; an alarm or a note replaces none of it.
    """

    __slots__ = ("board",)

    def __init__(self, board: Board) -> None:
        self.board = board

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self._own == other._own

    def __hash__(self) -> int:
        return hash(self._own)

    @property
    def _own(self) -> tuple[int, ...]:
        board, first = self.board, next(iter(self.board.log), None)
        return tuple(
            map(id, (first, board.setup, board.crew, board.lanes, board.supply, board.sources, board.tests))
        )


@lru_cache(maxsize=8)
def _air_at(same: _Same, as_of: datetime) -> AirNow:
    board = same.board
    supply = board.setup.supply
    found = sources_at(supply, board.sources, as_of)
    readings = history(board, found)
    since = _drawn_since(board, found)
    changed = dict(found.changed)
    if found.feeding and since:
        changed[found.feeding] = max(since, changed.get(found.feeding, since))
    before = _drawn_before_scf(board, found, readings)
    watched = Watched(readings, as_of, found.on_line, found.lost, since, before, changed)
    lanes = breathing(board)
    look = _fair(board, outlook(supply, watched, [hose(board, lane) for lane in lanes]))
    drawn = _drawn_scfm(board, found, readings, look)
    return AirNow(board, as_of, found, readings, changed, look, drawn, before)


def _fair(board: Board, look: Outlook) -> Outlook:
    """Return the outlook with the draw held against the plan for where the divers were while it was read.

    Readings from the bottom say nothing against the lesser flow planned at a stop.
    """
    since = min((one.trend.since for one in look.banks if one.trend), default=None)
    if since is None or look.drawn_scfm is None:
        return look
    planned = _planned_scfm(board, since)
    if planned > look.planned_scfm:
        drawn = f"{up_to(look.drawn_scfm, 0.1):.1f} scfm by the readings"
        how = "MORE than" if look.drawn_scfm > planned else "against"
        words = f"{drawn}, {how} {up_to(planned, 0.1):.1f} scfm planned at the deepest since they began"
        look = replace(look, faster=max(1.0, look.drawn_scfm / planned), words=words)
    return _without_standby(board, look, since)


def _without_standby(board: Board, look: Outlook, since: datetime) -> Outlook:
    """Return the outlook with the draw held against the plan for those alone who drew since a moment.

    The standby is charged and draws nothing: what is surely drawn beyond the divers' own plan would else be
    taken out of the standby's in silence (station choice).
    """
    supply, off = board.setup.supply, []
    for lane in board.lanes.values():
        spell = spell_on_hose(board, lane)
        if spell is not None and spell[1] > since:
            off.append(OnHose(lane.number, deepest_since_fsw(board, lane, since)))
    planned = need_of_all(supply, [*_at_deepest(board, since), *off]).divers_scfm
    if look.surely_scfm <= planned * look.faster or not planned:
        return look
    surely = f"{down_to(look.surely_scfm, 0.1):.1f} scfm by the readings at the least"
    words = f"{surely}, MORE than {up_to(planned, 0.1):.1f} scfm planned for the divers without the standby"
    return replace(look, faster=look.surely_scfm / planned, words=words)


def _planned_scfm(board: Board, since: datetime) -> float:
    """Return the flow planned for everyone at the deepest of each since a moment, or now if that is more."""
    return need_of_all(board.setup.supply, _at_deepest(board, since)).scfm


def _at_deepest(board: Board, since: datetime) -> list[OnHose]:
    return [
        OnHose(lane.number, max(hose(board, lane).depth_fsw, deepest_since_fsw(board, lane, since)))
        for lane in breathing(board)
    ]


def _drawn_since(board: Board, found: Sources) -> datetime | None:
    """Return since when the source on line is drawn: the first diver on the hose, or its change-over."""
    outfit = board.setup.outfit
    begun = [on_hose_since(outfit, lane.progress) for lane in breathing(board)]
    moments = [one for one in begun if one is not None]
    first = min(moments, default=None)
    if first is None or found.since is None:
        return first
    return max(first, found.since)


def _drawn_scfm(
    board: Board, found: Sources, readings: Mapping[str, tuple[Reading, ...]], look: Outlook
) -> float:
    last = readings.get(found.feeding or "", ())
    since = last[-1].at if last else board.log[0].at if board.log else None
    if since is None:
        return 0.0
    return _planned_scfm(board, since) * look.faster


def _drawn_before_scf(board: Board, found: Sources, readings: Mapping[str, tuple[Reading, ...]]) -> float:
    """Return what was drawn since the last reading of the source on line by divers off the hose by now.

    At the flow that was planned while each was on it: that of the deepest since, the standby charged with it.
    """
    last = readings.get(found.feeding or "", ())
    if not last:
        return 0.0
    since = last[-1].at if found.since is None else max(last[-1].at, found.since)
    drawn = 0.0
    for lane in board.lanes.values():
        spell = spell_on_hose(board, lane)
        if spell is not None and spell[1] > since:
            begun = max(since, spell[0])
            diver = OnHose(lane.number, deepest_since_fsw(board, lane, begun))
            drawn += need_of_all(board.setup.supply, [diver]).scfm * ((spell[1] - begun) / MINUTE)
    return drawn
