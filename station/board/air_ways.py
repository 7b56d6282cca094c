"""Everyone's way home for the sums of the air: who breathes from a hose, where, how long, by which stops."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from station.board.facts import live_then, on_hose
from station.board.lane_facts import corrected_fsw
from station.board.state import Board, Lane
from station.dive.follow import Live, StopLine
from station.dive.schedule import NoSchedule
from station.events import LaneNumber
from station.outfit.views import on_hose_since
from station.supply.need import OnHose, deepest
from station.supply.way import Way
from station.units import to_fsw

MINUTE = timedelta(minutes=1)
S_PER_MIN = 60


def breathing(board: Board) -> tuple[Lane, ...]:
    """Return the lanes whose divers breathe from a hose."""
    return tuple(lane for lane in board.lanes.values() if on_hose(board, lane))


def spell_on_hose(board: Board, lane: Lane) -> tuple[datetime, datetime] | None:
    """Return from when to when a diver breathed from a hose who no longer does; None for any other."""
    outfit = board.setup.outfit
    on = on_hose_since(outfit, lane.progress)
    ends = [
        mark.at for step, mark in lane.progress.done.items() if outfit.steps[step].section == "undressing"
    ]
    ends += [lane.called_off.at] if lane.called_off else []
    return None if on is None or not ends else (on, min(ends))


def to_come(board: Board) -> tuple[Lane, ...]:
    """Return the lanes whose divers are on deck for a dive, whether on a hose yet or not."""
    return tuple(lane for lane in board.lanes.values() if not lane.over and lane.mark("left_surface") is None)


def present_depth_fsw(board: Board, lane: Lane) -> float:
    """Return where the diver was last known to be: the corrected last reading, or a later mark with a depth.

    Before there is one it is the planned depth, so that air is not short.
    """
    if lane.mark("reached_surface"):
        return 0.0
    return max(_known(board, lane), default=(datetime.min, lane.plan.depth_fsw))[1]  # noqa: DTZ901 - none is read


def deepest_since_fsw(board: Board, lane: Lane, since: datetime) -> float:
    """Return the deepest that the diver is known to have been from a moment on, the depth at it included."""
    known = sorted(_known(board, lane))
    before = [depth for at, depth in known if at <= since][-1:] or [lane.plan.depth_fsw]
    return max([*before, *(depth for at, depth in known if at > since)])


def _known(board: Board, lane: Lane) -> Iterator[tuple[datetime, float]]:
    yield from ((one.at, corrected_fsw(board.setup, one)) for one in lane.readings)
    yield from ((one.at, one.depth_fsw) for one in lane.marks if one.depth_fsw is not None)


def on_bottom(lane: Lane) -> bool:
    """Whether the diver has left the surface and not yet the bottom."""
    return lane.in_water and lane.mark("left_bottom") is None


def hose(board: Board, lane: Lane) -> OnHose:
    """Return the diver at the present depth; until that was read on the bottom, at the planned if deeper."""
    diver = OnHose(lane.number, present_depth_fsw(board, lane), planned_fsw=lane.plan.depth_fsw)
    return deepest(diver) if _going_down(lane) else diver


def _going_down(lane: Lane) -> bool:
    """Whether the depth has not been read on the bottom yet."""
    reached = lane.mark("reached_bottom")
    read = reached is not None and any(one.at >= reached.at for one in lane.readings)
    return on_bottom(lane) and not read


def _as_planned(board: Board, lane: Lane) -> Lane:
    """Return a lane on its way down as if nothing had been read yet, where the plan goes deeper than that."""
    if _going_down(lane) and max((d for _, d in _known(board, lane)), default=0.0) < lane.plan.depth_fsw:
        return replace(lane, readings=())
    return lane


def planned_leaving(lane: Lane, now: datetime) -> datetime:
    """Return when the bottom is left by the plan, or now where that has passed."""
    left = lane.mark("left_surface")
    begins = now if left is None else left.at
    return max(now, begins + lane.plan.time_min * MINUTE)


def way_of(
    board: Board, lane: Lane, now: datetime, leave: datetime, *, as_planned: bool = False
) -> Way | None:
    """Return a diver's way home if the bottom is left then; None where the tables print no schedule.

    On deck it is the dive as planned. On the way up it is what is left of it. `as_planned` charges the stay
    at the planned depth where that is deeper.
    """
    left = lane.mark("left_surface")
    stays = left is None or on_bottom(lane)
    dive = live_then(board, _as_planned(board, lane), leave if left is not None and stays else now)
    if isinstance(dive.schedule, NoSchedule):
        return None
    diver = hose(board, lane)
    if as_planned and stays:
        diver = deepest(diver)
    stay = max(timedelta(0), leave - now) / MINUTE if stays else 0.0
    return Way(diver, _stops(board, dive), stay)


def ways_of(  # noqa: PLR0913 - whose ways, when, and how they are reckoned
    board: Board,
    lanes: Sequence[Lane],
    now: datetime,
    leave: datetime,
    *,
    as_planned: bool = False,
    instead: tuple[LaneNumber, Way] | None = None,
) -> list[Way] | None:
    """Return the ways of lanes which leave the bottom together, each as far as it has one to leave.

    `instead` is the way of one lane reckoned by somebody else. None where a lane has no schedule.
    """
    found = []
    for lane in lanes:
        given = instead is not None and instead[0] == lane.number
        way = instead[1] if given and instead else way_of(board, lane, now, leave, as_planned=as_planned)
        if way is None:
            return None
        found.append(way)
    return found


def _stops(board: Board, dive: Live) -> tuple[tuple[float, float], ...]:
    """Return the stops still to be served, deepest first, in fsw and minutes."""
    unit = board.setup.tables.unit
    left = ((to_fsw(float(line.depth), unit), _left_min(line)) for line in dive.stops)
    return tuple((depth, minutes) for depth, minutes in left if minutes > 0)


def _left_min(line: StopLine) -> float:
    """Return what of a stop is still to be served; what was omitted may have to be made up for."""
    if line.state == "to come":
        return line.minutes
    if line.state == "here":
        return (line.wait_s + line.remaining_s) / S_PER_MIN
    return line.missing_s / S_PER_MIN
