"""The order of inspection and dressing, rule by rule.

Every rule here is common practice, no source, unless a test names one.
"""

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from station.outfit import open_for_dive, open_for_undress, ready

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


def test_a_whole_dressing_in_order_ends_ready_to_dive(lane: "Lane") -> None:
    """Ready comes with the release; the mark of left surface opens after the ladder."""
    lane.inspect()
    lane.dress("ready-to-dive")
    assert not ready(lane.outfit, lane.progress)
    lane.mark("ready-to-dive")
    assert ready(lane.outfit, lane.progress)
    assert open_for_dive(lane.outfit, lane.progress, lane.facts) == (
        "Air control valve set under water: not yet done",
        "No bubbles from any joint: not yet done",
        "Telephone once more: not yet done",
    )
    lane.dress()
    assert open_for_dive(lane.outfit, lane.progress, lane.facts) == ()


def test_nothing_entered_lists_everything_required(lane: "Lane") -> None:
    lines = open_for_dive(lane.outfit, lane.progress, lane.facts)
    steps = [
        step for step in lane.outfit.steps.values() if step.section != "undressing" and not step.optional
    ]
    assert len(lines) == 15 + 27 + len(steps)
    assert "nuts not yet tried: 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12" in lines
    assert "nut not yet wrenched again: 12" in lines


def test_belt_before_twelve_tried_nuts_names_the_open_ones(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("nuts-tried")
    for stud in (1, 2, 4, 5, 6, 8, 9, 10, 11):
        lane.enter(lane.nut(stud, "tried"))
    refusal = lane.refusal(lane.step("belt-on"))
    assert refusal.missing == ("nuts not yet tried: 3, 7, 12", "nut not yet taken off: 12")
    assert "waiting for nuts not yet tried: 3, 7, 12" in str(refusal)


def test_nuts_go_on_only_over_the_straps(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("straps-on")
    assert lane.refusal(lane.nut(5, "hand_tight")).missing == ("Straps: not yet done",)


def test_wrench_waits_for_all_twelve_hand_tight(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("nuts-hand-tight")
    for stud in range(1, 12):
        lane.enter(lane.nut(stud, "hand_tight"))
    assert lane.refusal(lane.nut(2, "wrenched")).missing == ("nut not yet hand tight: 12",)


@pytest.mark.parametrize(("upper", "lower"), [(3, 2), (11, 12), (5, 6), (9, 8)])
def test_plain_nuts_run_from_the_bottom_to_the_top(lane: "Lane", upper: int, lower: int) -> None:
    lane.inspect()
    lane.dress("plain-nuts-wrenched")
    assert f"nut {lower} first" in lane.refusal(lane.nut(upper, "wrenched")).missing[0]
    lane.enter(lane.nut(lower, "wrenched"))
    lane.enter(lane.nut(upper, "wrenched"))


def test_front_and_rear_tender_do_not_wait_for_one_another(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("plain-nuts-wrenched")
    for stud in (8, 12, 9, 2, 6, 11, 3, 5):
        lane.enter(lane.nut(stud, "wrenched", by="mara" if stud in {2, 3, 11, 12} else "ivo"))


def test_joint_nuts_wait_for_all_eight_plain_ones(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("plain-nuts-wrenched")
    for stud in (2, 3, 6, 5, 8, 12, 11):
        lane.enter(lane.nut(stud, "wrenched"))
    assert lane.refusal(lane.nut(1, "wrenched")).missing == ("nut not yet wrenched: 9",)


def test_bottom_joints_front_then_rear_before_the_top_ones(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("bottom-joints-wrenched")
    assert lane.refusal(lane.nut(7, "wrenched")).missing == ("nut 1 first: 1-7 in this order",)
    assert lane.refusal(lane.nut(4, "wrenched")).missing == ("nuts not yet wrenched: 1, 7",)
    lane.enter(lane.nut(1, "wrenched"))
    assert lane.refusal(lane.nut(10, "wrenched")).missing == ("nut not yet wrenched: 7",)
    lane.enter(lane.nut(7, "wrenched"))


@pytest.mark.parametrize(("first", "second"), [(4, 10), (10, 4)])
def test_top_joints_take_nothing_in_between(lane: "Lane", first: int, second: int) -> None:
    lane.inspect()
    lane.dress("top-joints-wrenched")
    lane.enter(lane.nut(first, "wrenched"))
    for other in (lane.step("wrist-straps-on"), lane.nut(1, "tried"), lane.drawn("belt", "9")):
        assert f"nut not yet wrenched: {second} (together" in lane.refusal(other).missing[0]
    lane.enter(lane.nut(second, "wrenched"))
    lane.enter(lane.step("wrist-straps-on"))


def test_a_defect_between_the_top_joints_is_taken_and_opens_both(lane: "Lane") -> None:
    """Bad news is never refused for its turn; the pair is then wrenched anew."""
    lane.inspect()
    lane.dress("top-joints-wrenched")
    lane.enter(lane.nut(10, "wrenched"))
    lane.enter(lane.item("leather-gasket", passed=False))
    lane.enter(lane.item("leather-gasket"))
    assert "nuts not yet wrenched: 4, 10" in lane.refusal(lane.nut(1, "tried")).missing


def test_one_tender_tries_all_twelve(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("nuts-tried")
    lane.enter(lane.nut(7, "tried", by="ivo"))
    assert lane.refusal(lane.nut(8, "tried", by="mara")).missing == ("ivo",)
    lane.enter(lane.nut(8, "tried", by="ivo"))


def test_trial_waits_for_all_twelve_wrenched(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("top-joints-wrenched")
    assert lane.refusal(lane.nut(2, "tried")).missing == ("nuts not yet wrenched: 4, 10",)


def test_long_stud_nut_comes_off_only_after_the_trial(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("nuts-tried")
    for stud in range(1, 12):
        lane.enter(lane.nut(stud, "tried"))
    assert lane.refusal(lane.nut(12, "off")).missing == ("nut not yet tried: 12",)
    lane.enter(lane.nut(12, "tried"))
    lane.enter(lane.nut(12, "off"))


def test_no_other_nut_comes_off(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("long-stud-nut-off")
    assert "not to be marked taken off" in str(lane.refusal(lane.nut(11, "off")))


def test_long_stud_nut_is_back_on_and_tight_before_anybody_goes(lane: "Lane") -> None:
    """Back on and wrenched are two marks, then a second person looks."""
    lane.inspect()
    lane.dress("long-stud-nut-on")
    assert "nut not yet back on: 12" in lane.refusal(lane.nut(12, "wrenched")).missing
    lane.enter(lane.nut(12, "back_on"))
    for name in ("control-valve-checked", "hose-lashed", "ready-to-dive"):
        assert "nut not yet wrenched again: 12" in lane.refusal(lane.step(name)).missing
    assert "nut not yet wrenched again: 12" in open_for_dive(lane.outfit, lane.progress, lane.facts)
    lane.enter(lane.nut(12, "wrenched"))
    lane.enter(lane.step("control-valve-checked"))


def test_a_nut_marked_twice_or_unknown_is_refused(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("nuts-hand-tight")
    lane.enter(lane.nut(4, "hand_tight"))
    assert str(lane.refusal(lane.nut(4, "hand_tight"))) == "Nut 4 is marked hand tight already."
    assert str(lane.refusal(lane.nut(13, "hand_tight"))) == "There is no stud 13 on this outfit."
    assert "marked nut by nut" in str(lane.refusal(lane.step("nuts-hand-tight")))


def test_cushion_comes_before_the_breastplate_or_not_at_all(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("breastplate-on")
    used = len(lane.events)
    lane.enter(lane.step("shoulder-cushion"))
    lane.enter(lane.step("breastplate-on"))
    lane.withdraw(lane.events[used + 1])
    lane.withdraw(lane.events[used])
    lane.enter(lane.step("breastplate-on"))
    assert "too late" in str(lane.refusal(lane.step("shoulder-cushion")))


def test_only_the_diver_of_the_lane_reports_ready(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("diver-ready")
    for by in ("mara", "sela", "oskar"):
        assert lane.refusal(lane.step("diver-ready", by=by)).missing == ("the diver's own word",)
    assert "Diver reports ready: not yet done" in lane.refusal(lane.step("faceplate-closed")).missing
    lane.enter(lane.step("diver-ready", by="joni"))


def test_the_diver_does_not_tend_himself(lane: "Lane") -> None:
    """Station choice; joni is a tender on other days."""
    lane.inspect()
    assert "does not tend himself" in str(lane.refusal(lane.step("air-hose-connected", by="joni")))


@pytest.mark.parametrize("by", ["tomma", "sela", "nobody"])
def test_a_tenders_step_is_for_a_tender(lane: "Lane", by: str) -> None:
    lane.inspect()
    assert lane.refusal(lane.step("air-hose-connected", by=by)).missing == ("the tender",)
    assert lane.refusal(lane.item("belt-sound", by=by)).missing == ("the tender",)


@pytest.mark.parametrize("by", ["mara", "tomma"])
def test_ready_to_dive_is_the_supervisors_release(lane: "Lane", by: str) -> None:
    lane.inspect()
    lane.dress("ready-to-dive")
    assert lane.refusal(lane.step("ready-to-dive", by=by)).missing == ("the supervisor",)


@pytest.mark.parametrize("name", ["belt-on", "latch", "control-valve-checked", "faceplate-closed"])
def test_a_second_person_is_another_person(lane: "Lane", name: str) -> None:
    lane.inspect()
    lane.dress(name)
    assert lane.refusal(lane.step(name, checked_by=None)).missing == ("who checked it",)
    for checker in ("mara", "joni", "tomma", "nobody"):
        assert lane.refusal(lane.step(name, checked_by=checker)).missing == ("a second person",)
    lane.enter(lane.step(name, checked_by="sela"))
    assert lane.progress.done[name].checked_by == "sela"


def test_faceplate_closes_only_with_air_on_and_its_pressure_read(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("faceplate-closed")
    lane.facts = replace(lane.facts, air_pressure_read=False)
    assert lane.refusal(lane.step("faceplate-closed")).missing == ("air on and its supply pressure read",)
    lane.facts = replace(lane.facts, air_pressure_read=True)
    lane.dress()
    lost = replace(lane.facts, air_pressure_read=False)
    assert open_for_dive(lane.outfit, lane.progress, lost) == ("air on and its supply pressure read",)


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


def test_done_and_passed_once_is_enough(lane: "Lane") -> None:
    lane.inspect()
    lane.enter(lane.step("air-hose-connected"))
    assert str(lane.refusal(lane.step("air-hose-connected"))) == "Air hose connected: done already."
    assert "passed already" in str(lane.refusal(lane.item("spitcock")))


def test_names_the_outfit_does_not_know_are_refused(lane: "Lane") -> None:
    for event in (lane.drawn("knife"), lane.item("knife"), lane.step("knife"), lane.release("knife")):
        assert "'knife' in the outfit Standard deep-sea outfit" in str(lane.refusal(event))


def test_in_the_water_nothing_of_the_dressing_is_marked(lane: "Lane") -> None:
    lane.inspect("spitcock")
    lane.facts = replace(lane.facts, where="in_water")
    for event in (
        lane.drawn("belt", "2"),
        lane.item("spitcock"),
        lane.item("belt-sound", passed=False),
        lane.step("air-hose-connected"),
        lane.nut(1, "hand_tight"),
        lane.release("belt-load-test"),
    ):
        assert "the diver has left the surface" in str(lane.refusal(event))
    assert lane.refusal(lane.step("faceplate-opened")).missing == ("the mark of reached surface",)


def test_undressing_runs_the_other_way_round_after_the_dive(lane: "Lane") -> None:
    """Faceplate first, then helmet, weights, breastplate, shoes, dress."""
    order = [
        "faceplate-opened",
        "lines-cast-off",
        "helmet-off",
        "weights-off",
        "breastplate-off",
        "shoes-off",
    ]
    lane.inspect()
    lane.dress()
    assert lane.refusal(lane.step("faceplate-opened")).missing == ("the mark of reached surface",)
    lane.facts = replace(lane.facts, where="surfaced")
    assert len(lane.refusal(lane.step("helmet-off")).missing) == 2
    for name in (*order, "dress-off"):
        assert open_for_undress(lane.outfit, lane.progress)[0].startswith(lane.outfit.steps[name].title)
        lane.enter(lane.step(name))
    assert open_for_undress(lane.outfit, lane.progress) == ()


def test_the_shipped_figures_are_the_trades(lane: "Lane") -> None:
    """84 lb belt, 160 lb load test, exhaust valve 2 1/2 turns, 12 studs with joints 1, 4, 7, 10."""
    outfit = lane.outfit
    assert outfit.file.ring is not None
    studs = outfit.file.ring.studs
    assert [stud.number for stud in studs if stud.joint] == [1, 4, 7, 10]
    assert [stud.number for stud in studs if stud.flanged] == [1, 4, 7, 10]
    assert [stud.number for stud in studs if stud.long] == [12]
    assert len(studs) == 12
    assert "84 lb" in outfit.steps["belt-on"].how
    assert "2 1/2 turns" in outfit.steps["exhaust-valve-set"].how
    assert "160 lb" in outfit.items["belt-load-test"].look
    assert [piece.id for piece in outfit.pieces.values() if piece.stamped] == list(SIX)
