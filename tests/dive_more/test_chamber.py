"""A diver through the chamber, mark by mark: interval, oxygen, breaks, moves, and what was cut short."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.dive.chamber import ChamberLive, follow_chamber
from station.dive.chamber_marks import (
    ChamberMark,
    allowed_chamber_marks,
    check_chamber_mark,
    seen_of,
)
from station.errors import Refusal
from station.events import ChamberMarkName

LEFT = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
TRIES = settings(derandomize=True, max_examples=200, deadline=None)
SECOND = timedelta(seconds=1)


def at(minutes: float, seconds: int = 0) -> datetime:
    return LEFT + timedelta(minutes=minutes, seconds=seconds)


def mark(name: ChamberMarkName, minutes: float, depth: int | None = None) -> ChamberMark:
    return ChamberMark(name, at(minutes), depth)


def in_chamber(reached: float = 4, on: float = 5) -> list[ChamberMark]:
    """Return the marks of an interval and of going on oxygen."""
    return [
        mark("left_for_chamber", 0),
        mark("entered_chamber", 3),
        mark("reached_chamber_depth", reached, 50),
        mark("on_chamber_oxygen", on),
    ]


def coming(live: ChamberLive) -> list[tuple[str, int, float]]:
    return [(step.what, step.depth, (step.due - LEFT).total_seconds() / 60) for step in live.to_come]


def test_the_interval_counts_from_the_water_to_50_fsw() -> None:
    live = follow_chamber(2, [mark("left_for_chamber", 0)], at(2, 30) + timedelta(milliseconds=1))
    assert live.phase == "interval"
    assert live.interval is not None
    assert (live.interval.elapsed_s, live.interval.left_of_5_s, live.interval.left_of_7_s) == (151, 149, 269)
    assert not live.interval.over
    assert live.next is not None
    assert (live.next.what, live.next.depth, live.next.due) == ("reach", 50, at(5))


def test_before_the_water_is_left_there_is_a_plan() -> None:
    live = follow_chamber(1, [], LEFT)
    assert (live.phase, live.interval, live.left_s) == ("in the water", None, 1800)
    assert [part.depth for part in live.parts] == [50, 40]


def test_the_plan_of_two_periods_from_going_on_oxygen() -> None:
    """15 at 50, 45 at 40, a break after the first 30 min on oxygen, then 40 fsw up at 30 fsw/min."""
    live = follow_chamber(2, in_chamber(), at(5))
    assert (live.phase, live.depth, live.served_s, live.left_s) == ("on oxygen", 50, 0, 3600)
    assert coming(live) == [
        ("move", 40, 20),
        ("air break", 40, 35),
        ("leave", 40, 5 + 60 + 5),
        ("surface", 0, pytest.approx(70 + 80 / 60)),
    ]
    assert live.surface_at == at(71, 20)


def test_the_plan_of_five_periods_ends_at_30_fsw() -> None:
    live = follow_chamber(5, in_chamber(), at(5))
    assert [step.what for step in live.to_come].count("air break") == 4
    # the fourth break falls due as 40 fsw is done: it is taken there, before the move
    assert coming(live)[-4:] == [
        ("air break", 40, 5 + 120 + 15),
        ("move", 30, 5 + 120 + 15),
        ("leave", 30, 5 + 150 + 20),
        ("surface", 0, 5 + 150 + 20 + 1),
    ]


def test_a_penalty_adds_fifteen_minutes_at_50_fsw() -> None:
    live = follow_chamber(1, in_chamber(reached=6, on=6.5), at(7))
    assert [(part.depth, part.minutes) for part in live.parts] == [(50, 30), (40, 15)]
    assert coming(live)[:3] == [("air break", 50, 36.5), ("move", 40, 36.5), ("leave", 40, 6.5 + 45 + 5)]


def test_beyond_seven_minutes_the_plan_is_given_up() -> None:
    live = follow_chamber(1, in_chamber(reached=7.5, on=8), at(10))
    assert (live.parts, live.to_come, live.surface_at) == ((), (), None)
    assert live.interval is not None
    assert live.interval.penalty.kind == "treatment table 5"


def test_a_break_is_dead_time_and_runs_down() -> None:
    marks = [*in_chamber(), mark("reached_chamber_depth", 20, 40), mark("off_chamber_oxygen", 35)]
    live = follow_chamber(2, marks, at(37))
    assert (live.phase, live.served_s, live.left_s, live.break_left_s) == ("air break", 1800, 1800, 180)
    assert coming(live)[:2] == [("on oxygen", 40, 40), ("leave", 40, 70)]


def test_once_all_the_oxygen_is_breathed_none_is_due_any_more() -> None:
    """One period, 15 min at 50 fsw and 15 at 40 (USN Rev 7, Table 9-9): taken off when it is full."""
    marks = [*in_chamber(), mark("reached_chamber_depth", 20, 40), mark("off_chamber_oxygen", 35)]
    live = follow_chamber(1, marks, at(36))
    assert (live.served_s, live.left_s) == (1800, 0)
    assert coming(live)[0] == ("leave", 40, 35)
    short = follow_chamber(1, [*marks[:-1], mark("off_chamber_oxygen", 34)], at(36))
    assert coming(short)[0][:2] == ("on oxygen", 40)


def test_a_late_return_to_oxygen_moves_everything_after_it() -> None:
    marks = [*in_chamber(), mark("reached_chamber_depth", 20, 40), mark("off_chamber_oxygen", 35)]
    assert coming(follow_chamber(2, marks, at(42)))[:2] == [("on oxygen", 40, 40), ("leave", 40, 72)]
    live = follow_chamber(2, [*marks, mark("on_chamber_oxygen", 43)], at(43))
    assert coming(live)[0] == ("leave", 40, 73)


def test_an_overdue_break_stays_due_when_it_was() -> None:
    """Oxygen beyond 30 min without a break does not count (station choice)."""
    marks = [*in_chamber(), mark("reached_chamber_depth", 20, 40)]
    live = follow_chamber(2, marks, at(38))
    assert coming(live)[0] == ("air break", 40, 35)
    assert live.served_s == 1800


def test_an_interruption_is_not_a_break() -> None:
    marks = [*in_chamber(), mark("off_chamber_oxygen", 15)]
    live = follow_chamber(2, marks, at(18))
    assert (live.phase, live.served_s, live.break_left_s) == ("off oxygen", 600, None)
    assert coming(live)[:2] == [("on oxygen", 50, 18), ("move", 40, 23)]


def test_a_move_made_early_is_told() -> None:
    marks = [*in_chamber(), mark("reached_chamber_depth", 18, 40)]
    assert follow_chamber(2, marks, at(19)).missing == ("left 50 fsw 2:00 of oxygen short",)


def test_a_whole_run_through_the_chamber() -> None:
    marks = [
        *in_chamber(),
        mark("reached_chamber_depth", 20, 40),
        mark("off_chamber_oxygen", 35),
        mark("on_chamber_oxygen", 40),
        mark("off_chamber_oxygen", 70),
        mark("left_chamber_depth", 70),
    ]
    up = follow_chamber(2, marks, at(70, 30))
    assert (up.phase, up.left_s, up.missing) == ("coming up", 0, ())
    assert up.surface_at == at(71, 20)
    done = follow_chamber(2, [*marks, mark("surfaced_in_chamber", 72)], at(200))
    assert (done.phase, done.to_come, done.surface_at) == ("surfaced", (), at(72))


def test_leaving_the_chamber_early_is_told() -> None:
    marks = [*in_chamber(), mark("reached_chamber_depth", 20, 40), mark("left_chamber_depth", 30)]
    assert follow_chamber(1, marks, at(40)).missing == ("left 40 fsw 5:00 of oxygen short",)


def test_50_fsw_not_reached_is_told_and_the_interval_runs_on() -> None:
    """A shallower way out exists; it is the supervisor's procedure (second-hand: notes on Rev 6)."""
    marks = [mark("left_for_chamber", 0), mark("reached_chamber_depth", 4, 30)]
    live = follow_chamber(1, marks, at(6))
    assert live.missing == ("30 fsw was reached, not 50: the supervisor decides",)
    assert live.interval is not None
    assert (live.interval.over, live.interval.elapsed_s) == (False, 360)


def test_the_order_of_the_marks() -> None:
    taken: list[ChamberMark] = []
    for one in (
        *in_chamber(),
        mark("reached_chamber_depth", 20, 40),
        mark("off_chamber_oxygen", 35),
        mark("left_chamber_depth", 36),
        mark("surfaced_in_chamber", 38),
    ):
        check_chamber_mark(taken, one)
        taken.append(one)
    assert allowed_chamber_marks(seen_of(taken, at(40))) == ()


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (mark("left_for_chamber", 6), "'left for the chamber' cannot be taken now"),
        (
            mark("on_chamber_oxygen", 6),
            "next: off chamber oxygen, reached chamber depth 40 fsw",
        ),
        (mark("reached_chamber_depth", 6, 50), "'reached chamber depth 50 fsw' cannot be taken now"),
        (mark("off_chamber_oxygen", 4), "10:04:00 is before the last mark, on chamber oxygen at 10:05:00"),
    ],
)
def test_a_mark_out_of_order_is_refused(one: ChamberMark, words: str) -> None:
    with pytest.raises(Refusal) as caught:
        check_chamber_mark(in_chamber(), one)
    assert words in str(caught.value)


def test_two_marks_may_fall_on_one_moment() -> None:
    check_chamber_mark(in_chamber(), mark("off_chamber_oxygen", 5))


def test_50_fsw_may_still_be_reached_after_a_shallower_depth() -> None:
    marks = [mark("left_for_chamber", 0), mark("reached_chamber_depth", 4, 40)]
    depths = [depth for _, depth in allowed_chamber_marks(seen_of(marks, at(5))) if depth]
    assert depths == [50, 30]


def test_nobody_is_asked_to_go_back_down_in_the_chamber() -> None:
    marks = [*in_chamber(), mark("reached_chamber_depth", 20, 40)]
    depths = [depth for name, depth in allowed_chamber_marks(seen_of(marks, at(21))) if depth]
    assert depths == [30]


@TRIES
@given(
    st.sampled_from([0.5, 1, 1.5, 2, 3, 4.5, 6]),
    st.lists(st.integers(1, 2400), max_size=9),
    st.integers(0, 3600),
    st.integers(0, 3600),
)
def test_time_alone_never_brings_the_surface_nearer(
    periods: float, turns_s: list[int], first_s: int, more_s: int
) -> None:
    """Whatever was marked: due times move later or stay; nothing served is ever lost."""
    marks = in_chamber()[:3]
    moment = marks[-1].at
    for number, gap in enumerate(turns_s):
        moment += timedelta(seconds=gap)
        name: ChamberMarkName = "off_chamber_oxygen" if number % 2 else "on_chamber_oxygen"
        marks.append(ChamberMark(name, moment))
    here = follow_chamber(periods, marks, moment + first_s * SECOND)
    later = follow_chamber(periods, marks, moment + (first_s + more_s) * SECOND)
    assert here.surface_at is not None
    assert later.surface_at is not None
    assert here.surface_at <= later.surface_at
    assert here.served_s <= later.served_s
    assert here.served_s + here.left_s == periods * 1800
    assert [step.what for step in here.to_come][-2:] == ["leave", "surface"]
