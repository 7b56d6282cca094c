"""The nuts on their studs, rule by rule. Common practice, no source."""

from typing import TYPE_CHECKING

import pytest

from station.outfit import open_for_dive

if TYPE_CHECKING:
    from tests.outfit.conftest import Lane


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
