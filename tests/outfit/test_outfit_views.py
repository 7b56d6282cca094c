"""What the screens show of a lane; and another outfit, one without a ring, works the same way."""

from dataclasses import replace
from typing import TYPE_CHECKING

from station.outfit import (
    Row,
    StudView,
    holds,
    next_row,
    next_steps,
    on_hose_since,
    open_for_dive,
    open_for_undress,
    ready,
    ring,
    sections,
)

if TYPE_CHECKING:
    from tests.outfit.conftest import Lane


def row(lane: "Lane", name: str, section: str = "") -> Row:
    return next(
        row
        for part in sections(lane.outfit, lane.progress, lane.facts)
        for row in part.rows
        if row.id == name and section in {"", part.id}
    )


def studs(lane: "Lane") -> dict[int, StudView]:
    return {stud.number: stud for stud in ring(lane.outfit, lane.progress, lane.facts)}


def test_sections_stand_in_order_and_count(lane: "Lane") -> None:
    parts = sections(lane.outfit, lane.progress, lane.facts)
    assert [part.id for part in parts] == [
        "pieces",
        "inspection",
        "connecting",
        "dressing",
        "ladder",
        "undressing",
    ]
    assert [(part.done, part.total) for part in parts[:3]] == [(0, 15), (0, 27), (0, 3)]
    lane.inspect("spitcock")
    parts = sections(lane.outfit, lane.progress, lane.facts)
    assert [(part.done, part.total) for part in parts[:2]] == [(15, 15), (26, 27)]


def test_the_next_row_of_a_section_is_its_first_that_can_be_marked(lane: "Lane") -> None:
    lane.enter(lane.drawn("helmet"))
    found = {}
    for part in sections(lane.outfit, lane.progress, lane.facts):
        found[part.id] = next_row(lane.outfit, lane.progress, lane.facts, part.id)
        assert found[part.id] == next((row for row in part.rows if row.markable), None)
    assert (found["pieces"] and found["pieces"].id, found["dressing"]) == ("dress", None)


def test_a_row_says_what_it_waits_for_and_who_did_it(lane: "Lane") -> None:
    assert row(lane, "spitcock").state == "waiting"
    assert row(lane, "spitcock").waits == ("Helmet: not yet drawn",)
    lane.enter(lane.drawn("helmet"))
    assert (row(lane, "spitcock").state, row(lane, "spitcock").markable) == ("open", True)
    event = lane.enter(lane.item("spitcock", by="ivo"))
    done = row(lane, "spitcock")
    assert (done.state, done.waits, done.markable) == ("done", (), False)
    assert done.mark is not None
    assert (done.mark.by, done.mark.at, done.mark.entry) == ("ivo", event.at, event.id)


def test_failed_rows(lane: "Lane") -> None:
    """A piece set aside asks for another; what can be put right can be marked again at once."""
    lane.inspect()
    lane.enter(lane.item("exhaust-valve", passed=False))
    assert (row(lane, "helmet").state, row(lane, "helmet").markable) == ("failed", True)
    assert row(lane, "helmet").waits == ("Helmet: 1 is set aside, draw another",)
    assert (row(lane, "exhaust-valve").state, row(lane, "exhaust-valve").markable) == ("failed", False)
    assert row(lane, "ports-sound").state == "waiting"
    lane.enter(lane.item("lanyards", passed=False))
    assert (row(lane, "lanyards").state, row(lane, "lanyards").markable) == ("failed", True)


def test_a_piece_that_cannot_pass_asks_for_another(lane: "Lane") -> None:
    lane.enter(lane.drawn("belt", tested=None))
    assert row(lane, "belt").state == "failed"
    assert "belt" in [one.id for one in next_steps(lane.outfit, lane.progress, lane.facts)]
    lane.enter(lane.release("belt-load-test"))
    assert row(lane, "belt").state == "done"


def test_an_optional_row_is_open_then_skipped(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("breastplate-on")
    assert (row(lane, "shoulder-cushion").state, row(lane, "shoulder-cushion").markable) == ("optional", True)
    lane.enter(lane.step("breastplate-on"))
    assert (row(lane, "shoulder-cushion").state, row(lane, "shoulder-cushion").markable) == ("skipped", False)


def test_the_ring_shows_states_and_what_each_nut_may_get_now(lane: "Lane") -> None:
    lane.inspect()
    assert {stud.next for stud in studs(lane).values()} == {None}
    lane.dress("nuts-hand-tight")
    assert {stud.next for stud in studs(lane).values()} == {"hand_tight"}
    lane.mark("nuts-hand-tight")
    allowed = {number: stud.next for number, stud in studs(lane).items() if stud.next}
    assert allowed == dict.fromkeys((2, 6, 8, 12), "wrenched")
    lane.mark("plain-nuts-wrenched")
    lane.mark("bottom-joints-wrenched")
    lane.enter(lane.nut(10, "wrenched"))
    assert {number for number, stud in studs(lane).items() if stud.next} == {4}
    assert (studs(lane)[4].state, studs(lane)[10].state) == ("hand_tight", "wrenched")


def test_the_long_stud_shows_its_own_way(lane: "Lane") -> None:
    lane.inspect()
    seen = []
    for name in (
        "nuts-tried",
        "long-stud-nut-off",
        "control-valve-on",
        "long-stud-nut-on",
        "long-stud-nut-tight",
    ):
        lane.dress(name, include=True)
        seen.append((studs(lane)[12].state, studs(lane)[12].next))
    assert seen == [
        ("tried", "off"),
        ("off", None),
        ("off", "back_on"),
        ("back_on", "wrenched"),
        ("wrenched", None),
    ]
    assert studs(lane)[12].long
    assert studs(lane)[12].half == "front"


def test_holds_say_whether_they_stand(lane: "Lane") -> None:
    lane.inspect()
    states = {hold.id: hold.state for hold in holds(lane.outfit, lane.progress, lane.facts)}
    assert states["non-return-valve"] == states["matched-numbers"] == states["belt-load-test"] == "met"
    assert states["no-weight-before-nuts"] == states["air-before-faceplate"] == "standing"
    lane.enter(lane.drawn("belt", "2", tested=None))
    lane.enter(lane.release("belt-load-test"))
    released = next(hold for hold in holds(lane.outfit, lane.progress, lane.facts) if hold.reason)
    assert (released.id, released.state, released.reason) == (
        "belt-load-test",
        "released",
        "looked at it twice",
    )


def test_the_time_on_the_hose_counts_from_the_closed_faceplate(lane: "Lane") -> None:
    lane.inspect()
    lane.dress("faceplate-closed")
    assert on_hose_since(lane.outfit, lane.progress) is None
    event = lane.enter(lane.step("faceplate-closed"))
    assert on_hose_since(lane.outfit, lane.progress) == event.at


def test_an_outfit_without_a_ring_runs_on_the_same_engine(small_lane: "Lane") -> None:
    lane = small_lane
    assert ring(lane.outfit, lane.progress, lane.facts) == ()
    lane.enter(lane.drawn("helmet"))
    lane.enter(lane.drawn("harness"))
    assert len(lane.refusal(lane.step("helmet-on")).missing) == 2
    lane.enter(lane.item("valve"))
    assert "pull test was due by 2031-05-11" in lane.refusal(lane.item("webbing")).missing[0]
    lane.enter(lane.release("pull-test"))
    lane.enter(lane.item("webbing"))
    assert [one.id for one in next_steps(lane.outfit, lane.progress, lane.facts)] == ["hood-on", "helmet-on"]
    assert "no stud 1" in str(lane.refusal(lane.nut(1, "hand_tight")))
    lane.enter(lane.step("helmet-on"))
    lane.enter(lane.step("go"))
    assert ready(lane.outfit, lane.progress)
    assert open_for_dive(lane.outfit, lane.progress, lane.facts) == ()
    lane.facts = replace(lane.facts, where="surfaced")
    lane.enter(lane.step("helmet-off"))
    assert open_for_undress(lane.outfit, lane.progress) == ()
