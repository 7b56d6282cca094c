"""Inspection: pieces drawn, set aside and exchanged, stamps, test dates, holds.

Every rule here is common practice, no source, unless a test names one.
"""

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from station.outfit import apply, open_for_dive, ready

if TYPE_CHECKING:
    from tests.outfit.conftest import Lane

SIX = (
    "helmet",
    "breastplate",
    "strap-front-right",
    "strap-rear-right",
    "strap-rear-left",
    "strap-front-left",
)


def test_connecting_and_dressing_wait_for_the_inspection(lane: "Lane") -> None:
    lane.inspect("spitcock")
    lane.dress("underwear")
    assert lane.refusal(lane.step("underwear")).missing == ("Spitcock not yet inspected: lever moved",)


def test_an_item_waits_for_its_piece(lane: "Lane") -> None:
    assert lane.refusal(lane.item("spitcock")).missing == ("Helmet: not yet drawn",)
    assert lane.refusal(lane.item("spitcock", passed=False)).missing == ("Helmet: not yet drawn",)


def test_non_return_valve_test_can_never_be_left_out(lane: "Lane") -> None:
    """The valve: 29 CFR 1910.430(h)(1), from memory, and 46 CFR 197.322(a)(1); its test is practice."""
    lane.inspect("non-return-valve-test", "non-return-valve-refitted")
    assert lane.outfit.items["non-return-valve-test"].always
    line = lane.refusal(lane.item("non-return-valve-refitted")).missing[0]
    assert line.startswith("Non-return valve not yet inspected: taken off")
    for name in ("air-hose-connected", "ready-to-dive"):
        assert line in lane.refusal(lane.step(name)).missing
    assert line in open_for_dive(lane.outfit, lane.progress, lane.facts)
    assert "nobody can release" in str(lane.refusal(lane.release("non-return-valve")))


def test_a_failed_piece_stays_aside_until_another_passed_the_same_items(lane: "Lane") -> None:
    lane.inspect()
    lane.enter(lane.item("dress-collar", passed=False))
    assert lane.refusal(lane.item("dress-collar")).missing == ("Dress: 1 is set aside, draw another",)
    assert "was set aside" in str(lane.refusal(lane.drawn("dress", "1")))
    lane.enter(lane.drawn("dress", "2"))
    lane.dress("underwear")
    missing = lane.refusal(lane.step("underwear")).missing
    assert [line.split(":")[0] for line in missing] == ["Dress not yet inspected"] * 3
    for item in ("dress-fabric", "dress-collar", "dress-lacings"):
        lane.enter(lane.item(item))
    lane.enter(lane.step("underwear"))
    assert [(aside.piece, aside.number) for aside in lane.progress.set_aside] == [("dress", "1")]


def test_a_discarded_valve_does_not_come_back_by_another_spelling(lane: "Lane") -> None:
    lane.enter(lane.drawn("non-return-valve", "v-7"))
    lane.enter(lane.item("non-return-valve-test", passed=False))
    assert "was set aside" in str(lane.refusal(lane.drawn("non-return-valve", "V-7")))


def test_what_can_be_put_right_is_looked_at_again_on_the_same_piece(lane: "Lane") -> None:
    lane.inspect()
    lane.enter(lane.item("ports-clean", passed=False))
    lane.dress("underwear")
    assert (
        lane.refusal(lane.step("underwear")).missing[0].startswith("Helmet failed (sight through every port)")
    )
    lane.enter(lane.item("ports-clean"))
    lane.enter(lane.step("underwear"))
    assert not lane.progress.set_aside


def test_a_belt_that_fails_on_the_diver_opens_what_stands_on_it(lane: "Lane") -> None:
    """The next belt is inspected and put on; the nuts beneath it stay as they are."""
    lane.inspect()
    lane.dress("helmet-on", include=True)
    lane.enter(lane.item("belt-sound", passed=False))
    assert not {"belt-on", "belt-fastened", "jocking-strap", "helmet-on"} & set(lane.progress.done)
    assert len([key for key in lane.progress.nuts if key[0] == "nuts-tried"]) == 12
    lane.enter(lane.drawn("belt", "2"))
    assert len(lane.refusal(lane.step("belt-on")).missing) == 2
    lane.enter(lane.item("belt-sound"))
    lane.enter(lane.item("belt-load-test"))
    lane.dress()
    assert ready(lane.outfit, lane.progress)


def test_a_defect_after_the_release_takes_the_release_back(lane: "Lane") -> None:
    """Even when it can be put right in place, the supervisor says ready to dive anew."""
    lane.inspect()
    lane.dress("ladder-valve", include=True)
    lane.enter(lane.item("faceplate", passed=False))
    assert not ready(lane.outfit, lane.progress)
    lane.enter(lane.item("faceplate"))
    assert not ready(lane.outfit, lane.progress)
    lane.enter(lane.step("ready-to-dive"))
    assert ready(lane.outfit, lane.progress)


@pytest.mark.parametrize("piece", SIX)
def test_one_odd_stamp_among_six_is_named(lane: "Lane", piece: str) -> None:
    for one in SIX:
        lane.enter(lane.drawn(one, stamped="28" if one == piece else "27"))
    title = lane.outfit.pieces[piece].title
    refusal = lane.refusal(lane.item("matched-numbers"))
    assert refusal.missing == (f"{title}: stamped 28, the others 27",)
    lane.enter(lane.drawn(piece, "2"))
    lane.enter(lane.item("matched-numbers"))


def test_an_unknown_stamp_does_not_match(lane: "Lane") -> None:
    for one in SIX:
        lane.enter(lane.drawn(one, stamped=None if one == "helmet" else "27"))
    assert lane.refusal(lane.item("matched-numbers")).missing == ("Helmet 1: stamped number not entered",)


def test_stamps_of_pieces_not_drawn_are_not_taken_for_equal(lane: "Lane") -> None:
    lane.enter(lane.drawn("helmet"))
    assert len(lane.refusal(lane.item("matched-numbers")).missing) == 5


@pytest.mark.parametrize(
    "hold",
    [
        "matched-numbers",
        "no-weight-before-nuts",
        "long-stud-nut-stays",
        "long-stud-nut-back",
        "divers-own-word",
        "air-before-faceplate",
    ],
)
@pytest.mark.parametrize("by", ["sela", "mara"])
def test_nobody_releases_an_absolute_hold(lane: "Lane", hold: str, by: str) -> None:
    assert "nobody can release" in str(lane.refusal(lane.release(hold, by=by)))


def test_a_release_written_into_the_journal_does_not_pass_an_absolute_hold(lane: "Lane") -> None:
    """Folding checks nothing, so the rules must not lean on what was folded."""
    lane.inspect()
    lane.dress("faceplate-closed")
    lane.facts = replace(lane.facts, air_pressure_read=False)
    lane.progress = apply(lane.outfit, lane.progress, lane.release("air-before-faceplate"))
    assert lane.refusal(lane.step("faceplate-closed")).missing == ("air on and its supply pressure read",)


LAST_DAY = date(2031, 6, 3)


@pytest.mark.parametrize(
    ("tested", "reason"),
    [
        (LAST_DAY - timedelta(days=183), "load test at 160 lb was due by 2031-06-02"),
        (None, "no date of its load test at 160 lb"),
    ],
)
def test_an_overdue_load_test_bars_the_belt_until_the_supervisor_releases_it(
    lane: "Lane", tested: date | None, reason: str
) -> None:
    """Interval of 182 days and the release: station choice."""
    lane.enter(lane.drawn("belt", tested=tested))
    assert reason in lane.refusal(lane.item("belt-load-test")).missing[0]
    assert lane.refusal(lane.release("belt-load-test", by="mara")).missing == ("the supervisor",)
    lane.enter(lane.release("belt-load-test"))
    lane.enter(lane.item("belt-load-test"))


def test_the_last_day_of_the_interval_still_counts(lane: "Lane") -> None:
    lane.enter(lane.drawn("belt", tested=LAST_DAY - timedelta(days=182)))
    lane.enter(lane.item("belt-load-test"))


def test_a_release_is_for_the_belt_in_hand_only(lane: "Lane") -> None:
    assert lane.refusal(lane.release("belt-load-test")).missing == ("Weighted belt: not yet drawn",)
    lane.enter(lane.drawn("belt", tested=None))
    lane.enter(lane.release("belt-load-test"))
    assert "released already" in str(lane.refusal(lane.release("belt-load-test")))
    lane.enter(lane.drawn("belt", "2", tested=None))
    assert "no date" in lane.refusal(lane.item("belt-load-test")).missing[0]


def test_a_hold_that_is_met_needs_no_release(lane: "Lane") -> None:
    lane.enter(lane.drawn("belt"))
    assert "nothing to release" in str(lane.refusal(lane.release("belt-load-test")))


def test_a_test_date_to_come_is_refused(lane: "Lane") -> None:
    tomorrow = LAST_DAY + timedelta(days=1)
    assert "still to come" in str(lane.refusal(lane.drawn("belt", tested=tomorrow)))


def test_the_same_piece_is_not_drawn_twice(lane: "Lane") -> None:
    lane.enter(lane.drawn("shoes", "4"))
    assert "drawn already" in str(lane.refusal(lane.drawn("shoes", "4")))
