"""The order of connecting, dressing and undressing, and who enters what.

Every rule here is common practice, no source, unless a test names one.
"""

from dataclasses import replace
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
