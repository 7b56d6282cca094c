"""What may be entered that the law asks for: planning, briefing, words to the diver, sickness, gaps.

None of these bars a dive. Only the closing waits: for every field that a rule file in use asks for on the
record, or for words on why it is missing.
"""

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from station.board.case import Case, need_role
from station.board.facts import live
from station.board.law import DUTY_KINDS, all_gaps, open_gaps
from station.board.state import Lane
from station.errors import Refusal
from station.events import (
    BriefingDone,
    CasualtyNoted,
    DiverTold,
    GapExplained,
    ObservationEnded,
    PlanningChecked,
    SicknessSuspected,
)
from station.law.asked import Gap, duties
from station.moments import clock_time


def gap_lines(case: Case, lane: Lane, at: datetime) -> Iterator[str]:
    """Yield every gap that bars closing: what is asked for, by which paragraph, what to do about it."""
    found: dict[str, list[Gap]] = {}
    for gap in open_gaps(case.board, lane, at):
        found.setdefault(f"{gap.what} ({gap.paragraphs})", []).append(gap)
    for words, several in found.items():
        keys = ", ".join(gap.key for gap in several)
        yield f"{words}: enter it, or say in words why it is missing: {keys}"


def _items(case: Case, event: PlanningChecked | BriefingDone | DiverTold) -> None:
    part = next(part for part, kind in DUTY_KINDS.items() if isinstance(event, kind))
    known = [one.id for one in duties(case.board.setup.authorities, part)]
    for item in event.items:
        if item not in known:
            listed = ", ".join(known) or "none"
            raise Refusal(f"the rule files in use have no item '{item}' for this ({listed})")


def _planning(case: Case, event: PlanningChecked) -> None:
    need_role(case.board, event, "supervisor", "noting the planning of a dive")
    _items(case, event)


def _briefing(case: Case, event: BriefingDone) -> None:
    need_role(case.board, event, "supervisor", "noting a briefing")
    _items(case, event)
    for person in event.people:
        if person not in case.board.crew:
            raise Refusal(f"nobody with the id '{person}' has joined the crew; enter the crew first")


def _surfaced(case: Case, event: DiverTold | ObservationEnded) -> None:
    up = case.board.lanes[event.lane].mark("reached_surface")
    if up is None or event.at < up.at:
        raise Refusal(f"lane {event.lane}: the diver has not reached the surface by {clock_time(event.at)}")


def _told(case: Case, event: DiverTold) -> None:
    _surfaced(case, event)
    _items(case, event)


def _suspected(case: Case, event: SicknessSuspected) -> None:
    left = case.board.lanes[event.lane].mark("left_surface")
    if left is None or event.onset < left.at:
        raise Refusal(
            f"lane {event.lane}: symptoms of this dive cannot begin before the diver left the surface"
        )
    if event.onset > event.at:
        raise Refusal(f"symptoms that began at {clock_time(event.onset)} are entered after that")


def _casualty(case: Case, event: CasualtyNoted) -> None:
    need_role(case.board, event, "supervisor", "noting a death or an injury")


def _explained(case: Case, event: GapExplained) -> None:
    need_role(case.board, event, "supervisor", "explaining what is missing on a record")
    if case.afterwards:
        return
    lane = case.board.lanes[event.lane]
    missing = [gap.key for gap in all_gaps(case.board, lane, live(case.board, lane, event.at))]
    if event.key not in missing:
        listed = ", ".join(missing) or "nothing"
        raise Refusal(
            f"lane {event.lane}: {event.key} is not missing; what is asked for and missing: {listed}"
        )


LAW_RULES: dict[type, Callable[[Case, Any], None]] = {
    PlanningChecked: _planning,
    BriefingDone: _briefing,
    DiverTold: _told,
    ObservationEnded: _surfaced,
    SicknessSuspected: _suspected,
    CasualtyNoted: _casualty,
    GapExplained: _explained,
}
