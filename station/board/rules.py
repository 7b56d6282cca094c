"""What may be entered: one rule per kind of event; each refusal says what is missing, in the trade's words.

A rule judges an event on a board at a moment. Judged `afterwards`, when a correction is weighed, it looks at
order and people only, with everything else taken to be as it was then: a reading corrected later on does not
undo what was rightly done on it, and a stop once made stands even if it turns out not to have been owed.
"""

from collections.abc import Callable, Sequence
from datetime import timedelta
from typing import Any

from station.board.case import Case, check_time, need_role
from station.board.facts import dive_facts, lane_of
from station.board.fold import OUTFIT_EVENTS
from station.board.lane_facts import corrected_fsw, dive_mark
from station.board.rules_air import AIR_RULES
from station.board.rules_alarms import ALARM_RULES
from station.board.rules_ascent import ASCENT_RULES
from station.board.rules_law import LAW_RULES, gap_lines
from station.board.state import Board, Lane
from station.dive.facts import DiveFacts
from station.dive.follow import follow
from station.dive.order import check_declared_depth, check_gas, check_mark
from station.errors import LookUpError, Refusal
from station.events import (
    AlarmCleared,
    AlarmRaised,
    ClockAnchored,
    ClockJumped,
    CrewJoined,
    DepthDeclared,
    DepthRead,
    DiveClosed,
    DivePlanned,
    Event,
    GasChosen,
    IncidentNoted,
    LaneEntry,
    MarkTaken,
    NoteMade,
    OperationOpened,
    RecordSigned,
    Role,
    ScheduleLengthened,
    VoiceChecked,
)
from station.moments import clock_time
from station.outfit.rules import check as check_outfit
from station.outfit.waiting import open_for_dive, open_for_undress
from station.supply.need import OnHose, need_of
from station.units import from_fsw

SAME_JUMP = timedelta(seconds=10)
"""Every process sees a jump of the wall clock; within this time of one another, equal ones are one."""
TENDED = "46 CFR 197.432; from memory, 29 CFR 1910.425(c)(1)"
BY_NOBODY = (OperationOpened, ClockAnchored, ClockJumped, CrewJoined, AlarmRaised, AlarmCleared)


def check(case: Case, event: Event) -> None:
    """Return when the event, which corrects none, may be entered; raise Refusal when not."""
    check_time(case.board, event, case.now)
    _check_person(case.board, event)
    if isinstance(event, LaneEntry) and not isinstance(event, DivePlanned):
        _check_lane(case, event)
    rule = _RULES.get(type(event))
    if rule:
        rule(case, event)


def _check_person(board: Board, event: Event) -> None:
    if not isinstance(event, BY_NOBODY) and event.by not in board.crew:
        raise Refusal(f"nobody with the id '{event.by}' has joined the crew; enter the crew first")


def _check_lane(case: Case, event: LaneEntry) -> None:
    lane = lane_of(case.board, event)
    if lane is None:
        raise Refusal(f"there is no lane {event.lane}; plan the dive first")
    if lane.called_off:
        raise Refusal(f"lane {lane.number} was called off; plan the dive again in a lane of its own")
    if lane.closed and not isinstance(event, RecordSigned):
        raise Refusal(f"lane {lane.number} is closed; what comes after goes on its record as an addendum")
    if isinstance(event, OUTFIT_EVENTS):
        check_outfit(case.board.setup.outfit, lane.progress, event, case.facts(lane, event))
        up = lane.mark("reached_surface")
        if up is not None and event.at < up.at:
            raise Refusal(
                f"{clock_time(event.at)} is before the diver reached the surface at {clock_time(up.at)}"
            )


def _opening(case: Case, event: OperationOpened) -> None:
    opened = case.board.opened
    if opened is not None:
        raise Refusal(f"the operation '{opened.title}' is already open; {event.title} needs a new journal")


def _jumped(case: Case, event: ClockJumped) -> None:
    for known in case.board.jumps:
        if abs(known.at - event.at) <= SAME_JUMP and abs(known.by_s - event.by_s) < 1:
            raise Refusal(f"the jump of the wall clock at {clock_time(known.at)} is on the journal already")


def _joined(case: Case, event: CrewJoined) -> None:
    known = case.board.crew.get(event.person)
    if known is not None and known.name.casefold() != event.name.casefold():
        raise Refusal(
            f"the id '{event.person}' is that of {known.name}",
            ["a name that tells the two apart, such as with a further first name or a number"],
        )


def _planned(case: Case, event: DivePlanned) -> None:
    board = case.board
    expected = len(board.lanes) + 1
    if event.lane != expected:
        raise Refusal(f"the next lane is {expected}, not {event.lane}")
    _has_joined(board, event.diver, ("diver", "standby"))
    for tender in event.tenders:
        _has_joined(board, tender, ("tender",))
    if event.diver in event.tenders:
        raise Refusal(f"{board.name(event.diver)} cannot dive and tend that same dive")
    if not event.tenders:
        raise Refusal(f"no tender is named; a diver is tended all the time ({TENDED})")
    for lane in board.lanes.values():
        if lane.plan.diver == event.diver and not lane.over and not lane.mark("reached_surface"):
            raise Refusal(f"{board.name(event.diver)} is still in lane {lane.number}")
    need = need_of(board.setup.supply, OnHose(event.lane, event.depth_fsw))
    if need.psig is None:
        raise Refusal(f"no dive is planned so deep: {need.pressure_words}")


def _has_joined(board: Board, person: str, roles: Sequence[Role]) -> None:
    if not any(board.has_role(person, role) for role in roles):
        raise Refusal(f"{board.name(person)} has not joined the crew as {' or '.join(roles)}")


def _mark(case: Case, event: MarkTaken) -> None:
    lane, setup = case.board.lanes[event.lane], case.board.setup
    facts = dive_facts(case.board, lane)
    if not (case.afterwards and _stop_in_order(case.board, facts, event)):
        check_mark(setup.tables, facts, dive_mark(event, setup.tables.unit), setup.station.choices)
    if event.mark == "left_surface":
        _leaving(case, lane, event)


def _stop_in_order(board: Board, facts: DiveFacts, event: MarkTaken) -> bool:
    """Say whether a stop was reached in its turn, owed or not: on the way up, above every stop before."""
    mark = dive_mark(event, board.setup.tables.unit)
    if mark.name != "reached_stop" or mark.depth is None or mark.at < facts.marks[-1].at:
        return False
    before = [one.depth for one in facts.marks if one.name == "reached_stop" and one.depth is not None]
    ascending = follow(board.setup.tables, facts, mark.at, board.setup.station.choices).phase == "ascending"
    return ascending and all(mark.depth < depth for depth in before)


def _leaving(case: Case, lane: Lane, event: MarkTaken) -> None:
    outfit = case.board.setup.outfit
    missing = open_for_dive(outfit, lane.progress, case.facts(lane, event))
    if not case.afterwards:
        missing = (*missing, *_blocked(case, lane, event))
    if missing:
        raise Refusal(f"lane {lane.number}: the dive cannot begin; still open:", missing)
    release = lane.progress.done[outfit.release.id]
    if event.at < release.at:
        raise Refusal(
            f"{clock_time(event.at)} is before '{outfit.release.title}' was given at {clock_time(release.at)}"
        )


def _blocked(case: Case, lane: Lane, event: MarkTaken) -> tuple[str, ...]:
    """Return why earlier dives let no dive be computed now, if they do."""
    setup = case.board.setup
    left = follow(setup.tables, dive_facts(case.board, lane), event.at, setup.station.choices).residual
    return () if left.minutes is not None else (left.words,)


def _depth(case: Case, event: DepthRead) -> None:
    lane = case.board.lanes[event.lane]
    left, up = lane.mark("left_surface"), lane.mark("reached_surface")
    if left is None or (up is not None and event.at > up.at):
        raise Refusal(f"lane {lane.number}: the diver is not in the water")
    if event.at < left.at:
        raise Refusal(f"{clock_time(event.at)} is before the diver left the surface at {clock_time(left.at)}")
    try:
        corrected_fsw(case.board.setup, event)
    except LookUpError as error:
        raise Refusal(error.message) from None


def _in_the_water(case: Case, event: LaneEntry) -> None:
    if not case.board.lanes[event.lane].in_water:
        raise Refusal(f"lane {event.lane}: the diver is not in the water")


def _declared(case: Case, event: DepthDeclared) -> None:
    _in_the_water(case, event)
    need_role(case.board, event, "supervisor", "declaring a depth of dive")
    if case.afterwards:
        return
    setup, lane = case.board.setup, case.board.lanes[event.lane]
    declared = from_fsw(event.depth_fsw, setup.tables.unit)
    check_declared_depth(setup.tables, dive_facts(case.board, lane), declared, setup.station.choices)


def _lengthened(case: Case, event: ScheduleLengthened) -> None:
    _in_the_water(case, event)
    need_role(case.board, event, "supervisor", "taking the next longer schedule")
    if case.board.lanes[event.lane].lengthened:
        raise Refusal(f"lane {event.lane}: the next longer schedule is already taken")


def _gas(case: Case, event: GasChosen) -> None:
    need_role(case.board, event, "supervisor", "choosing the gas of the ascent")
    if case.afterwards:
        return
    setup, lane = case.board.setup, case.board.lanes[event.lane]
    facts = dive_facts(case.board, lane)
    check_gas(setup.tables, facts, event.gas, event.at, setup.station.choices)


def _voice(case: Case, event: VoiceChecked) -> None:
    up = case.board.lanes[event.lane].mark("reached_surface")
    if up is not None and event.at > up.at:
        raise Refusal(f"lane {event.lane}: the diver has reached the surface")


def _remark(case: Case, event: NoteMade | IncidentNoted) -> None:
    if event.lane is None:
        return
    lane = case.board.lanes.get(event.lane)
    if lane is None:
        raise Refusal(f"there is no lane {event.lane}; plan the dive first")
    if lane.closed:
        raise Refusal(f"lane {event.lane} is closed; what comes after goes on its record as an addendum")


def _closed(case: Case, event: DiveClosed) -> None:
    need_role(case.board, event, "supervisor", "closing a dive")
    lane = case.board.lanes[event.lane]
    missing = [] if lane.mark("reached_surface") else ["the mark of reached surface"]
    missing += open_for_undress(case.board.setup.outfit, lane.progress)
    missing += gap_lines(case, lane, event.at)
    if missing:
        raise Refusal(f"lane {lane.number}: the dive cannot be closed; still open:", missing)


def _signed(case: Case, event: RecordSigned) -> None:
    lane = case.board.lanes[event.lane]
    if not lane.closed:
        raise Refusal(f"lane {lane.number} is not closed yet; a record is signed after that")
    if not case.board.has_role(event.person, event.role):
        raise Refusal(f"{case.board.name(event.person)} is not {event.role} at this station")
    if any(one.sha256 == event.sha256 for one in lane.signatures):
        raise Refusal(f"that signature under the record of lane {lane.number} is on the journal already")
    since = max((at for at, one in enumerate(lane.signatures) if one.addenda), default=0)
    again = any((one.person, one.role) == (event.person, event.role) for one in lane.signatures[since:])
    if again and not event.addenda:
        raise Refusal(
            f"{case.board.name(event.person)} has signed lane {lane.number} as {event.role} already"
        )


_RULES: dict[type, Callable[[Case, Any], None]] = {
    OperationOpened: _opening,
    ClockJumped: _jumped,
    CrewJoined: _joined,
    DivePlanned: _planned,
    MarkTaken: _mark,
    DepthRead: _depth,
    DepthDeclared: _declared,
    ScheduleLengthened: _lengthened,
    GasChosen: _gas,
    VoiceChecked: _voice,
    NoteMade: _remark,
    IncidentNoted: _remark,
    DiveClosed: _closed,
    RecordSigned: _signed,
    **ASCENT_RULES,
    **AIR_RULES,
    **LAW_RULES,
    **ALARM_RULES,
}
