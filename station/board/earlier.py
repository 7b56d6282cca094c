"""The diver's earlier dives: those of this journal, and those stated from records or by hand.

Each lane's group rests on the dives before it, so they are gone through in order; what a finished dive came
to is kept for as long as its facts are the same.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache

from station.board.identity import Is
from station.board.lane_facts import own_facts, stated_dive, surfaced_at
from station.board.state import Board, Lane
from station.dive.facts import Company, DiveFacts
from station.dive.follow import Live, follow
from station.dive.schedule import Schedule
from station.dive.series import EarlierDive
from station.events import DiversTogether
from station.setup import Setup

LOOK_BACK = timedelta(hours=48)
"""Waits after exceptional exposures reach back so far; a longer no-group time of the station farther."""
NO_LINK = timedelta(hours=24)
"""No printed surface interval is as long: beyond it a dive adds nothing to the next."""


def earlier_dives(board: Board, lane: Lane) -> tuple[EarlierDive, ...]:
    """Return the dives of the lane's diver before it, in the order of their ends."""
    found: list[EarlierDive] = []
    for before in reversed(list(_linked(board, lane))):
        if _overlaps(before, lane):
            found.append(_worked_out(Is(board.setup), own_facts(board, before), _end(before)))
        else:
            found.append(_known(board, before, _with_stated(board, before, found)))
    return _with_stated(board, lane, found)


def own_dive(board: Board, lane: Lane) -> EarlierDive | None:
    """Return the lane's dive as it counts for the next one; None while the diver has not surfaced."""
    if surfaced_at(lane) is None:
        return None
    return _known(board, lane, earlier_dives(board, lane))


def dive_of(live: Live, lane: int, surfaced: datetime) -> EarlierDive:
    """Return a finished dive as it counts for the next: the group and the time of its schedule."""
    schedule = live.schedule if isinstance(live.schedule, Schedule) else None
    return EarlierDive(
        surfaced=surfaced,
        group=schedule.group if schedule else None,
        depth=live.table_depth,
        bottom_min=live.bottom_min,
        source=f"lane {lane} of this journal",
        added_min=live.entered_min - live.bottom_min,
        exceptional=schedule is None or schedule.exposure.exceptional,
    )


def facts_with(board: Board, lane: Lane, earlier: Sequence[EarlierDive]) -> DiveFacts:
    """Return what the dive rules need to know of a lane, its earlier dives and its company given."""
    company = tuple(_company(board, lane)) if lane.company else ()
    return replace(own_facts(board, lane), earlier=tuple(earlier), company=company)


def _linked(board: Board, lane: Lane) -> Iterator[Lane]:
    """Yield the diver's lanes before this one that may still count, the latest first."""
    begins = (lane.mark("left_surface") or lane.plan).at
    hours = timedelta(hours=board.setup.station.choices.no_group_asks_h)
    oldest, linked = begins - max(LOOK_BACK, hours), begins
    for number in range(lane.number - 1, 0, -1):
        other = board.lanes.get(number)
        if other is None or other.plan.diver != lane.plan.diver:
            if other is not None and other.plan.at < min(oldest, linked - NO_LINK) - NO_LINK:
                return
            continue
        up = surfaced_at(other)
        if up is None:
            continue
        if up < oldest and linked - up >= NO_LINK:
            return
        yield other
        linked = min(linked, (other.mark("left_surface") or other.plan).at)


def _with_stated(board: Board, lane: Lane, known: Sequence[EarlierDive]) -> tuple[EarlierDive, ...]:
    """Return the dives of the journal with those stated for the lane; one that is both stands once."""
    ends = {one.surfaced for one in known}
    stated = [stated_dive(one, board.setup.tables.unit) for one in lane.earlier if one.surfaced not in ends]
    return tuple(sorted((*known, *stated), key=lambda one: one.surfaced))


def _known(board: Board, lane: Lane, earlier: tuple[EarlierDive, ...]) -> EarlierDive:
    facts = facts_with(board, lane, earlier)
    return _worked_out(Is(board.setup), facts, _end(lane))


def _end(lane: Lane) -> datetime:
    return surfaced_at(lane) or lane.plan.at


def _overlaps(before: Lane, lane: Lane) -> bool:
    """Whether a dive did not end before the diver left the surface again: no dive is reckoned after that.

    It is told by itself, without what lies before it: times so wrong may lead round in a circle.
    """
    left, up = lane.mark("left_surface"), surfaced_at(before)
    return left is not None and up is not None and up > left.at


def _worked_out(rules: Is[Setup], facts: DiveFacts, ended: datetime) -> EarlierDive:
    return dive_of(dive_at(rules, facts, ended), facts.lane, ended)


@lru_cache(maxsize=2048)
def dive_at(rules: Is[Setup], facts: DiveFacts, moment: datetime) -> Live:
    """Return the figures of a dive at a moment that is asked about many times: a ladder's minutes, the end.

    Facts that are equal say the same, whatever else has been entered on the board since.
    """
    setup = rules.value
    return follow(setup.tables, facts, moment, setup.station.choices)


def _company(board: Board, lane: Lane) -> Iterator[Company]:
    """Yield the spells in which the diver ascends together with others."""
    for number, one in enumerate(lane.company):
        if not isinstance(one, DiversTogether):
            continue
        until = lane.company[number + 1].at if number + 1 < len(lane.company) else None
        others = [board.lanes[other] for other in one.lanes if other != lane.number and other in board.lanes]
        facts = tuple(
            replace(own_facts(board, other), earlier=earlier_dives(board, other))
            for other in others
            if _meet(lane, other)
        )
        yield Company(one.at, until, facts)


def _meet(lane: Lane, other: Lane) -> bool:
    """Whether another left the surface before this diver was up again.

    So every step back, to a dive before or to one in company with it, leads to an earlier leaving of the
    surface, and the steps come to an end whatever was entered late.
    """
    left, up = other.mark("left_surface"), lane.mark("reached_surface")
    return left is not None and (up is None or left.at < up.at)
