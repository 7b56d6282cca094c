"""What may be entered around the ascent: earlier dives, altitude, divers together, the chamber, cards.

As in `rules`, an event judged `afterwards` is held to order and people only.
"""

from collections.abc import Callable
from typing import Any

from station.board.case import Case, need_role
from station.board.facts import chamber_marks, dive_facts
from station.board.lane_facts import arrival_of, chamber_mark
from station.board.state import Lane
from station.dive.chamber_marks import check_chamber_mark
from station.dive.follow import follow
from station.errors import LookUpError, Refusal
from station.events import (
    ArrivalStated,
    CardClosed,
    CardDecided,
    CardOpened,
    ChamberMarkTaken,
    DiveCalledOff,
    DiversApart,
    DiversTogether,
    EarlierStated,
    LaneEntry,
    NoGroupDecided,
    ResidualChosen,
)
from station.moments import clock_time


def _called_off(case: Case, event: DiveCalledOff) -> None:
    need_role(case.board, event, "supervisor", "calling a dive off")
    left = case.board.lanes[event.lane].mark("left_surface")
    if left is not None:
        raise Refusal(
            f"lane {event.lane}: the diver left the surface at {clock_time(left.at)}; such a dive is closed"
        )


def _before_surfacing(case: Case, event: LaneEntry) -> Lane:
    """Return the lane; Refusal when the diver has reached the surface: what was reckoned by then stands."""
    lane = case.board.lanes[event.lane]
    up = lane.mark("reached_surface")
    if up is not None and event.at > up.at:
        raise Refusal(f"lane {event.lane}: the diver has reached the surface")
    return lane


def _earlier(case: Case, event: EarlierStated) -> None:
    lane = _before_surfacing(case, event)
    if event.record is None:
        need_role(case.board, event, "supervisor", "stating an earlier dive by hand")
    left = lane.mark("left_surface")
    before = event.at if left is None else left.at
    if event.surfaced > before:
        raise Refusal(f"{clock_time(event.surfaced)} is not before this dive: an earlier dive ended earlier")
    if any(one.surfaced == event.surfaced for one in lane.earlier):
        raise Refusal(f"an earlier dive that ended at {clock_time(event.surfaced)} is stated already")


def _residual(case: Case, event: ResidualChosen) -> None:
    lane = _before_surfacing(case, event)
    need_role(case.board, event, "supervisor", "choosing how an earlier dive counts")
    if event.method == (lane.residual.method if lane.residual else "table"):
        raise Refusal(f"earlier dives are reckoned by the {event.method} already")


def _no_group(case: Case, event: NoGroupDecided) -> None:
    lane = _before_surfacing(case, event)
    need_role(case.board, event, "supervisor", "letting a dive go ahead after one without a group")
    if case.afterwards:
        return
    setup = case.board.setup
    left = follow(setup.tables, dive_facts(case.board, lane), event.at, setup.station.choices).residual
    if left.minutes is not None:
        raise Refusal(f"lane {event.lane}: there is nothing to decide: {left.words}")
    if not left.may_decide:
        raise Refusal(f"lane {event.lane}: {left.words}")


def _arrival(case: Case, event: ArrivalStated) -> None:
    lane = _before_surfacing(case, event)
    left = lane.mark("left_surface")
    if event.arrived > (event.at if left is None else left.at):
        raise Refusal(f"{clock_time(event.arrived)} is not before this dive: the arrival comes first")
    try:
        arrival_of(case.board.setup, event)
    except LookUpError as error:
        raise Refusal(error.message) from None


def _together(case: Case, event: DiversTogether) -> None:
    need_role(case.board, event, "supervisor", "having divers ascend together")
    _company(case, event)
    if len(set(event.lanes)) < len(event.lanes):
        raise Refusal("a lane is named twice")
    if not case.board.setup.station.choices.together_follow_deeper:
        raise Refusal("by the station file each diver follows their own figures (together_follow_deeper)")


def _apart(case: Case, event: DiversApart) -> None:
    need_role(case.board, event, "supervisor", "parting divers")
    _company(case, event)
    for number in event.lanes:
        last = case.board.lanes[number].company[-1:]
        if not (last and isinstance(last[0], DiversTogether)):
            raise Refusal(f"lane {number} does not ascend together with another")


def _company(case: Case, event: DiversTogether | DiversApart) -> None:
    for number in event.lanes:
        lane = case.board.lanes.get(number)
        if lane is None:
            raise Refusal(f"there is no lane {number}; plan the dive first")
        up = lane.mark("reached_surface")
        if lane.over or (up is not None and event.at > up.at):
            raise Refusal(f"lane {number}: the diver has reached the surface, or the dive was called off")


def _chamber(case: Case, event: ChamberMarkTaken) -> None:
    lane = case.board.lanes[event.lane]
    if lane.mark("left_bottom") is None:
        raise Refusal(f"lane {event.lane}: the diver has not left the bottom")
    chosen = lane.gas is not None and lane.gas.gas == "surface_oxygen"
    if not chosen and "omitted-decompression" not in {one.card for one in lane.open_cards}:
        raise Refusal(
            f"lane {event.lane}: surface decompression on oxygen was not chosen, "
            "nor is the card of omitted decompression open"
        )
    check_chamber_mark(chamber_marks(case.board, lane, event.at), chamber_mark(event))


def _card_opened(case: Case, event: CardOpened) -> None:
    known = case.board.setup.cards
    if known.card(event.card) is None:
        raise Refusal(f"there is no card '{event.card}': {', '.join(one.id for one in known.cards)}")
    if any(one.card == event.card for one in case.board.lanes[event.lane].open_cards):
        raise Refusal(f"lane {event.lane}: the card '{event.card}' is open already")


def _card_open(case: Case, event: CardDecided | CardClosed) -> None:
    if not any(one.card == event.card for one in case.board.lanes[event.lane].open_cards):
        raise Refusal(f"lane {event.lane}: the card '{event.card}' is not open")


def _card_closed(case: Case, event: CardClosed) -> None:
    need_role(case.board, event, "supervisor", "closing an emergency card")
    _card_open(case, event)


ASCENT_RULES: dict[type, Callable[[Case, Any], None]] = {
    DiveCalledOff: _called_off,
    EarlierStated: _earlier,
    ResidualChosen: _residual,
    NoGroupDecided: _no_group,
    ArrivalStated: _arrival,
    DiversTogether: _together,
    DiversApart: _apart,
    ChamberMarkTaken: _chamber,
    CardOpened: _card_opened,
    CardDecided: _card_open,
    CardClosed: _card_closed,
}
