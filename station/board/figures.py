"""What is true now: every live figure of the station, from the board and a moment. Screens only show it."""

from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Literal

from station.board.after import OpenCard, chamber_of, ladder_of_lane, open_cards, wait_before
from station.board.air_figures import AirFigures, air_of
from station.board.alarms import Alarm
from station.board.alarms_now import all_alarms, lane_alarms, supply_now
from station.board.facts import facts_of, live
from station.board.identity import Is
from station.board.lane_facts import chamber_left, corrected_fsw
from station.board.law import observation_of, out_of_pressure
from station.board.state import Board, Lane
from station.dive.chamber import ChamberLive
from station.dive.flying import AltitudeWait
from station.dive.follow import Live, StopLine
from station.dive.ladder import Ladder
from station.dive.schedule import NoSchedule
from station.dive.times import seconds_down, seconds_up
from station.events import MarkName
from station.law.after import ObservedNow
from station.moments import age_s, ms_between
from station.outfit import (
    Facts,
    HoldView,
    Outfit,
    Progress,
    Row,
    SectionRows,
    StudView,
    holds,
    on_hose_since,
    open_for_dive,
    open_for_undress,
    ready,
    ring,
    sections,
)
from station.supply.figures import SupplyFigures

Phase = Literal[
    "dressing",
    "ready",
    "descent",
    "bottom",
    "ascent",
    "stop",
    "undressing",
    "to close",
    "closed",
    "signed",
    "called off",
]

_UP_CLOCKS: tuple[tuple[MarkName, str], ...] = (
    ("reached_surface", "SINCE SURFACED"),
    ("left_bottom", "SINCE LEFT BOTTOM"),
    ("left_surface", "BOTTOM TIME"),
)
_UNDER_WATER: dict[str, Phase] = {
    "descending": "descent",
    "on the bottom": "bottom",
    "ascending": "ascent",
    "at a stop": "stop",
}


@dataclass(frozen=True)
class BigClock:
    """The one clock a lane shows large: what it means in words, and its seconds.

    Times that run up are rounded down, times that run down are rounded up: a stop is never shown as
    served before it is.
    """

    caption: str
    seconds: int
    down: bool


@dataclass(frozen=True)
class Aged:
    """A reading as entered, what it means, and how old it is in whole seconds, rounded up."""

    value: float
    corrected: float
    age_s: int


@dataclass(frozen=True)
class LaneFigures:
    """Everything that is true of one lane now.

    `ladder` stands until the bottom is left, `wait_before_flying` and `observation` after the dive.
    `interval_s` is the surface interval so far, rounded down; none of it runs in a chamber.
    """

    lane: Lane
    phase: Phase
    clock: BigClock
    dive: Live
    depth: Aged | None
    voice_age_s: int | None
    faceplate_closed_s: int | None
    parts: tuple[SectionRows, ...]
    next_steps: tuple[Row, ...]
    ring: tuple[StudView, ...]
    holds: tuple[HoldView, ...]
    open_for_dive: tuple[str, ...]
    ladder: Ladder | None
    interval_s: int | None
    wait_before_flying: AltitudeWait | None
    observation: ObservedNow | None
    chamber: ChamberLive | None
    cards: tuple[OpenCard, ...]
    alarms: tuple[Alarm, ...]

    @property
    def stage(self) -> str:
        """Return the phase as it is told: whoever is still decompressed in a chamber is not just up."""
        after = self.phase in ("undressing", "to close")
        if not after or self.chamber is None or self.chamber.phase in ("in the water", "surfaced"):
            return self.phase
        return "to the chamber" if self.chamber.phase == "interval" else "in the chamber"


@dataclass(frozen=True)
class Figures:
    """Everything that is true of the station now."""

    now: datetime
    lanes: tuple[LaneFigures, ...]
    supply: SupplyFigures
    air: AirFigures
    alarms: tuple[Alarm, ...]


def figures(board: Board, now: datetime) -> Figures:
    """Return every live figure at a moment."""
    lanes = tuple(lane_figures(board, lane, now) for lane in board.lanes.values())
    supply, air = supply_now(board, now), air_of(board, now)
    alarms = [alarm for lane in lanes for alarm in lane.alarms]
    observed = [(one.lane, one.observation) for one in lanes]
    return Figures(now, lanes, supply, air, all_alarms(board, alarms, observed, supply, air, now))


def lane_figures(board: Board, lane: Lane, now: datetime) -> LaneFigures:
    """Return every live figure of one lane."""
    outfit, facts = board.setup.outfit, facts_of(board, lane, now)
    dive = live(board, lane, now)
    phase = phase_of(board, lane, dive)
    order = _order(Is(outfit), Is(lane.progress), facts)
    closed = on_hose_since(outfit, lane.progress)
    chamber, cards = chamber_of(board, lane, dive, now), open_cards(board, lane, now)
    return LaneFigures(
        lane=lane,
        phase=phase,
        clock=big_clock(lane, phase, dive, now),
        dive=dive,
        depth=_depth(board, lane, now),
        voice_age_s=age_s(lane.voices[-1].at, now) if lane.voices else None,
        faceplate_closed_s=age_s(closed, now) if closed and facts.where == "before" else None,
        parts=order.parts,
        next_steps=order.next_steps,
        ring=order.ring,
        holds=order.holds,
        open_for_dive=order.open_for_dive,
        ladder=ladder_of_lane(board, lane, now),
        interval_s=_interval_s(board, lane, now),
        wait_before_flying=wait_before(board, lane),
        observation=observation_of(board, lane, dive, now),
        chamber=chamber,
        cards=cards,
        alarms=lane_alarms(board, lane, dive, chamber, cards, now),
    )


@dataclass(frozen=True)
class _Order:
    """What is true of a lane's outfit, however long it stays so."""

    parts: tuple[SectionRows, ...]
    next_steps: tuple[Row, ...]
    ring: tuple[StudView, ...]
    holds: tuple[HoldView, ...]
    open_for_dive: tuple[str, ...]


@lru_cache(maxsize=512)
def _order(of: Is[Outfit], so_far: Is[Progress], facts: Facts) -> _Order:
    """Return the order of a lane, worked out anew only when an entry or the facts have changed it.

    It is most of the work of a tick, and between two entries the same at every one of them.
    """
    outfit, progress = of.value, so_far.value
    parts = sections(outfit, progress, facts)
    return _Order(
        parts=parts,
        next_steps=tuple(row for part in parts for row in part.rows if row.markable),
        ring=ring(outfit, progress, facts),
        holds=holds(outfit, progress, facts),
        open_for_dive=open_for_dive(outfit, progress, facts) if facts.where == "before" else (),
    )


def phase_of(board: Board, lane: Lane, dive: Live) -> Phase:
    """Return where a lane is on its way from inspection to signature."""
    if lane.called_off:
        return "called off"
    if lane.closed:
        required = set(board.setup.station.signing.required)
        return "signed" if required <= {one.role for one in lane.signatures} else "closed"
    if dive.phase == "on deck":
        return "ready" if ready(board.setup.outfit, lane.progress) else "dressing"
    if dive.phase == "at the surface":
        return "undressing" if open_for_undress(board.setup.outfit, lane.progress) else "to close"
    return _UNDER_WATER[dive.phase]


def big_clock(lane: Lane, phase: Phase, dive: Live, now: datetime) -> BigClock:
    """Return what the lane's clock shows in each phase."""
    if phase == "stop" and dive.stop is not None:
        return _stop_clock(dive, dive.stop, now)
    if phase == "ascent" and dive.next_mark is not None and dive.next_mark.due is not None:
        return _due_clock(dive.next_mark.due, now)
    out = chamber_left(lane)
    if out is not None:
        return _up_clock("SINCE OUT OF THE CHAMBER", out, now)
    for name, caption in _UP_CLOCKS:
        mark = lane.mark(name)
        if mark is not None:
            return _up_clock(caption, mark.at, now)
    return _up_clock("SINCE PLANNED", lane.plan.at, now)


def _interval_s(board: Board, lane: Lane, now: datetime) -> int | None:
    since = out_of_pressure(board, lane, now)
    return None if since is None else max(0, seconds_down(ms_between(since, now)))


def _up_clock(caption: str, since: datetime, now: datetime) -> BigClock:
    return BigClock(caption, max(0, seconds_down(ms_between(since, now))), down=False)


def _stop_clock(dive: Live, here: StopLine, now: datetime) -> BigClock:
    if not here.minutes:
        why = "NO SCHEDULE" if isinstance(dive.schedule, NoSchedule) else "NONE OWED"
        return _up_clock(f"AT A STOP, {why}", here.reached or now, now)
    if here.wait_s:
        return BigClock("EARLY: STOP BEGINS IN", here.wait_s, down=True)
    if here.remaining_s:
        return BigClock("STOP TIME LEFT", here.remaining_s, down=True)
    return BigClock("STOP SERVED, OVER BY", max(0, here.served_s - here.minutes * 60), down=False)


def _due_clock(due: datetime, now: datetime) -> BigClock:
    late_ms = ms_between(due, now)
    if late_ms > 0:
        return BigClock("OVERDUE BY", seconds_down(late_ms), down=False)
    return BigClock("NEXT MARK DUE IN", seconds_up(-late_ms), down=True)


def _depth(board: Board, lane: Lane, now: datetime) -> Aged | None:
    if not lane.readings:
        return None
    last = lane.readings[-1]
    return Aged(last.reading_fsw, corrected_fsw(board.setup, last), age_s(last.at, now))
