"""Undo: an entry is taken back only when nothing stands on it. Station choice, but for the order itself."""

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import pytest

from station.errors import Refusal
from station.events import StepDone
from station.outfit import OutfitEvent, check_amendment, check_withdrawal, ready

if TYPE_CHECKING:
    from tests.outfit.conftest import Lane


def refused(lane: "Lane", target: OutfitEvent, by: str = "sela") -> Refusal:
    facts = lane.facts_for(lane.step("ready-to-dive", by=by))
    with pytest.raises(Refusal) as caught:
        check_withdrawal(lane.outfit, lane.events, target.id, facts)
    return caught.value


def undo(lane: "Lane", target: OutfitEvent, by: str = "sela") -> None:
    check_withdrawal(lane.outfit, lane.events, target.id, lane.facts_for(lane.step("ready-to-dive", by=by)))
    lane.withdraw(target)


def last(lane: "Lane", name: str) -> OutfitEvent:
    return next(
        event for event in reversed(lane.events) if isinstance(event, StepDone) and event.step == name
    )


def test_a_step_that_others_stand_on_names_them_latest_first(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("shoes-on", include=True)
    refusal = refused(lane, last(lane, "dress-on"))
    assert refusal.missing == ("Shoes on", "Leg lacings")
    assert "beginning with the latest: Shoes on" in str(refusal)
    for name in ("shoes-on", "leg-lacings", "dress-on"):
        undo(lane, last(lane, name))
    assert set(lane.progress.done) == {"air-hose-connected", "lifeline-connected", "air-heard", "underwear"}


def test_a_mistaken_nut_is_taken_back_and_marked_again(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("nuts-tried")
    slip = lane.enter(lane.nut(5, "tried"))
    undo(lane, slip)
    assert ("nuts-tried", 5) not in lane.progress.nuts
    lane.enter(lane.nut(5, "tried"))


def test_a_loose_nut_found_late_takes_back_all_that_stands_on_it(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("belt-on", include=True)
    wrenched = next(
        event for event in lane.events if event.kind == "nut.marked" and event.state == "wrenched"
    )
    missing = refused(lane, wrenched).missing
    assert missing[0] == "Weighted belt on"
    assert missing[1] == "nut 12 taken off"
    assert missing[-1] == "nut 3 wrenched"
    assert len(missing) == 1 + 1 + 12 + 4 + 1


def test_the_first_of_two_top_joints_may_be_taken_back(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("top-joints-wrenched")
    undo(lane, lane.enter(lane.nut(4, "wrenched")))
    lane.enter(lane.step("wrist-straps-on"))


def test_after_the_release_everything_stands_on_everything(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("ready-to-dive", include=True)
    for event in lane.events[:-1]:
        assert refused(lane, event).missing[0] == "Ready to dive"
    undo(lane, lane.events[-1])
    assert not ready(lane.outfit, lane.progress)


def test_in_the_water_the_dressing_stands(lane: "Lane") -> None:
    lane.inspect()
    lane.dress()
    lane.facts = replace(lane.facts, where="in_water")
    assert "left the surface" in str(refused(lane, lane.events[-1]))
    assert "left the surface" in str(refused(lane, lane.events[0]))


def test_undressing_is_taken_back_after_the_dive(lane: "Lane") -> None:
    lane.inspect()
    lane.dress()
    lane.facts = replace(lane.facts, where="surfaced")
    lane.enter(lane.step("faceplate-opened"))
    lane.enter(lane.step("lines-cast-off"))
    assert refused(lane, lane.events[-2]).missing == ("Hose and lifeline cast off",)
    undo(lane, lane.events[-1])
    assert "left the surface" in str(refused(lane, last(lane, "ladder-telephone")))


def test_only_the_supervisor_takes_back_a_failed_inspection(lane: "Lane") -> None:
    lane.inspect()
    failed = lane.enter(lane.item("dress-collar", passed=False))
    assert refused(lane, failed, by="mara").missing == ("the supervisor",)
    undo(lane, failed)
    assert lane.progress.drawn["dress"].number == "1"
    assert not lane.progress.set_aside


def test_an_unknown_entry_is_refused(lane: "Lane") -> None:
    assert "No such entry" in str(refused(lane, lane.step("underwear")))


def test_a_release_that_an_item_was_passed_on_stays(lane: "Lane") -> None:
    lane.enter(lane.drawn("belt", tested=None))
    release = lane.enter(lane.release("belt-load-test"))
    lane.enter(lane.item("belt-load-test"))
    assert "(passed)" in refused(lane, release).missing[0]


def test_an_amendment_is_taken_when_the_order_still_holds(lane: "Lane") -> None:
    lane.inspect()
    helmet = next(event for event in lane.events if event.kind == "piece.drawn" and event.piece == "helmet")
    check_amendment(lane.outfit, lane.events, helmet.model_copy(update={"number": "11"}))
    with pytest.raises(Refusal) as caught:
        check_amendment(lane.outfit, lane.events, helmet.model_copy(update={"stamped": "72"}))
    assert caught.value.missing == ("Helmet, breastplate, 4 straps: number stamped on each (passed)",)


def test_an_amended_test_date_counts(lane: "Lane") -> None:
    lane.inspect()
    belt = next(event for event in lane.events if event.kind == "piece.drawn" and event.piece == "belt")
    check_amendment(lane.outfit, lane.events, belt.model_copy(update={"tested": date(2031, 4, 30)}))
    with pytest.raises(Refusal):
        check_amendment(lane.outfit, lane.events, belt.model_copy(update={"tested": date(2030, 1, 1)}))


def test_a_result_is_not_amended(lane: "Lane") -> None:
    lane.inspect()
    item = lane.events[-1]
    with pytest.raises(Refusal, match="a result is not amended"):
        check_amendment(lane.outfit, lane.events, item.model_copy(update={"passed": False}))
