"""What must hold for every dive, tried on thousands of random ones."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from station.dive.ascent import ascend, never_deeper
from station.dive.facts import DiveFacts, Mark, Reading
from station.dive.follow import Live, follow
from station.dive.marks import PLACE_MARKS
from station.dive.order import allowed_marks, check_mark
from station.dive.planning import plan
from station.dive.schedule import Schedule, Stop, select
from station.errors import Refusal
from station.events import MarkName
from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.model import Tables

PATH = shipped("configs") / "tables" / "usn-rev7-air.toml"
TABLES: Tables = load_tables(PATH.read_bytes(), PATH.name)
START = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
NAMES: tuple[MarkName, ...] = (
    "left_surface",
    "reached_bottom",
    "left_bottom",
    "reached_stop",
    "left_stop",
    "reached_surface",
)

many = settings(derandomize=True, max_examples=300, deadline=None)
depths = st.floats(min_value=1, max_value=300).map(lambda depth: round(depth, 1))
minutes = st.integers(min_value=1, max_value=750)


def found(depth: float, time: int) -> Schedule | None:
    schedule = select(TABLES, depth, time)
    return schedule if isinstance(schedule, Schedule) else None


def weight(schedule: Schedule) -> int:
    groups = TABLES.file.groups
    return len(groups) if schedule.group is None else groups.index(schedule.group)


@many
@given(depths, minutes)
def test_total_ascent_is_the_sum_of_its_parts(depth: float, time: int) -> None:
    if found(depth, time) is None:
        return
    result = plan(TABLES, depth, time)
    stops = result.schedule.stops
    last = stops[-1].depth * 2 if stops else 0
    parts = result.ascent.to_first_stop_s + 60 * sum(stop.minutes for stop in stops) + last
    assert result.ascent.total_s == parts
    assert parts <= result.schedule.total_s


def test_more_time_or_depth_never_asks_for_less() -> None:
    """Minute by minute, depth by depth; the group but for 210 fsw at 4 min or less (Rev 7 prints D)."""
    for shallow, deep in zip(TABLES.depths, [*TABLES.depths[1:], None], strict=True):
        for time in range(1, 1110):
            here = found(shallow, time)
            longer = found(shallow, time + 1)
            deeper = found(deep, time) if deep is not None else None
            for more in (longer, deeper):
                if here is not None and more is not None:
                    assert here.total_s <= more.total_s
                    assert weight(here) <= weight(more) or (deep == 210 and more is deeper and time <= 4)


@many
@given(depths, minutes)
def test_a_schedule_is_never_shallower_or_shorter_than_asked(depth: float, time: int) -> None:
    schedule = found(depth, time)
    if schedule is not None:
        assert schedule.table_depth >= depth
        assert schedule.row_time is None or schedule.row_time >= time
        assert schedule.holds_to_min == schedule.row_time
    colder = select(TABLES, depth, time, lengthen=True)
    if schedule is not None:
        assert isinstance(colder, Schedule)
        assert colder.total_s >= schedule.total_s
        assert (colder.lengthened == "yes") == (colder.name != schedule.name)


@many
@given(depths, minutes, st.floats(min_value=0, max_value=300))
def test_no_plan_asks_a_diver_to_go_down(depth: float, time: int, departure: float) -> None:
    schedule = found(depth, time)
    if schedule is None:
        return
    served = never_deeper(schedule.stops, departure)
    assert all(stop.depth <= departure for stop in served)
    assert sum(stop.minutes for stop in served) == sum(stop.minutes for stop in schedule.stops)
    assert list(served) == sorted(served, key=lambda stop: -stop.depth)
    assert ascend(TABLES, schedule.stops, departure).total_s >= 60 * sum(stop.minutes for stop in served)


def step(data: st.DataObject, facts: DiveFacts, now: datetime) -> DiveFacts:
    """Return the dive with one more mark, one of those that may come next."""
    allowed = allowed_marks(TABLES, follow(TABLES, facts, now))
    name, depth = data.draw(st.sampled_from(allowed))
    if name in PLACE_MARKS:
        known = [one.depth for one in facts.marks if one.depth is not None]
        depth = data.draw(st.floats(min_value=1, max_value=min([20.0, *known])))
    mark = Mark(name, now, depth)
    check_mark(TABLES, facts, mark)
    return replace(facts, marks=(*facts.marks, mark))


def gap(data: st.DataObject) -> timedelta:
    return timedelta(milliseconds=data.draw(st.integers(min_value=0, max_value=1_500_000)))


def latest(before: Live, after: Live) -> None:
    """Check that nothing due has moved earlier and nothing owed has vanished."""
    if isinstance(after.schedule, Schedule) and after.phase != "at the surface":
        assert before.surface_at is not None
        assert after.surface_at is not None
        assert after.surface_at >= before.surface_at
        due = [(line.depth, line.due_leave) for line in after.stops]
        for line in before.stops:
            assert any(depth <= line.depth and leave >= line.due_leave for depth, leave in due)


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.data(), st.integers(min_value=20, max_value=210))
def test_due_times_never_move_earlier_on_the_way_up(data: st.DataObject, reading: int) -> None:
    """Whatever legal marks are taken, at whatever times: due times of the ascent only ever move later."""
    now = START + timedelta(minutes=data.draw(st.integers(min_value=5, max_value=60)), seconds=3)
    facts = DiveFacts(
        60,
        30,
        (Mark("left_surface", START), Mark("left_bottom", now)),
        (Reading(START + timedelta(minutes=2), reading),),
    )
    live = follow(TABLES, facts, now)
    for _ in range(7):
        if live.phase == "at the surface":
            break
        now += gap(data)
        waited = follow(TABLES, facts, now)
        latest(live, waited)
        facts = step(data, facts, now)
        live = follow(TABLES, facts, now)
        latest(waited, live)
        assert live == follow(TABLES, facts, now)


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.data(), depths)
def test_only_marks_in_order_are_ever_taken(data: st.DataObject, depth: float) -> None:
    """Random marks at random moments: what is accepted stays in order."""
    facts, now = DiveFacts(depth, 20), START
    for _ in range(12):
        now += gap(data) - timedelta(minutes=2)
        name = data.draw(st.sampled_from(NAMES))
        mark = Mark(name, now, data.draw(st.sampled_from([None, 20.0, 30.0, 40.0])))
        try:
            check_mark(TABLES, facts, mark)
        except Refusal:
            continue
        facts = replace(facts, marks=(*facts.marks, mark))
    names = [mark.name for mark in facts.marks]
    once = [name for name in names if name not in {"reached_stop", "left_stop"}]
    assert len(once) == len(set(once))
    assert sorted(once, key=NAMES.index) == once
    assert [mark.at for mark in facts.marks] == sorted(mark.at for mark in facts.marks)
    stops = [mark.depth or 0 for mark in facts.marks if mark.name == "reached_stop"]
    assert stops == sorted(set(stops), reverse=True)


@settings(derandomize=True, max_examples=200, deadline=None)
@given(depths, minutes)
def test_a_dive_marked_when_due_misses_nothing(depth: float, time: int) -> None:
    """Following every due time to the millisecond gives the planned total and no stop left early."""
    if found(depth, time) is None:
        return
    planned = plan(TABLES, depth, time)
    left = START + timedelta(minutes=time)
    facts = DiveFacts(depth, time, (Mark("left_surface", START), Mark("left_bottom", left)))
    live = follow(TABLES, facts, left)
    while live.next_mark is not None:
        assert live.next_mark.due is not None
        mark = Mark(live.next_mark.name, live.next_mark.due, live.next_mark.depth)
        check_mark(TABLES, facts, mark)
        facts = replace(facts, marks=(*facts.marks, mark))
        live = follow(TABLES, facts, mark.at)
    assert live.early == ()
    assert live.decompression_s == live.total_ascent_s == planned.ascent.total_s
    assert [Stop(line.depth, line.minutes) for line in live.stops] == list(planned.schedule.stops)
    assert all(line.served_s == line.minutes * 60 for line in live.stops)
