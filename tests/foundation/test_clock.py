"""The station's clock: what it does when the machine's clock does not keep time."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import pytest
from freezegun import freeze_time
from hypothesis import given, settings
from hypothesis import strategies as st

from station.clock import (
    Anchor,
    AnchoredClock,
    DrillClock,
    HandClock,
    JumpWatch,
    Source,
    SystemSource,
    boot_id,
)
from station.moments import from_ms

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
NOON_NS = int(NOON.timestamp()) * 10**9
SECOND = 10**9


@dataclass
class HandSource:
    """Both clocks of a machine, set by hand."""

    wall: int = NOON_NS
    counter: int = 5_000 * SECOND

    def wall_ns(self) -> int:
        return self.wall

    def counter_ns(self) -> int:
        return self.counter

    def run(self, seconds: float) -> None:
        """Let both go on."""
        self.wall += int(seconds * SECOND)
        self.counter += int(seconds * SECOND)

    def set_wall(self, seconds: float) -> None:
        """Let somebody set the wall clock forward or back."""
        self.wall += int(seconds * SECOND)


@dataclass
class FrozenWall:
    """The machine's real wall clock, as a test may freeze it, and a counter set by hand."""

    counter: int = 0

    def wall_ns(self) -> int:
        return SystemSource().wall_ns()

    def counter_ns(self) -> int:
        return self.counter


def test_the_clock_starts_at_the_wall_clock_and_counts() -> None:
    source = HandSource()
    clock = AnchoredClock.started(source)
    assert clock.now() == NOON
    source.run(59.9999)
    assert clock.now() == NOON + timedelta(milliseconds=59_999)
    assert clock.drift() == timedelta(0)


@pytest.mark.parametrize("seconds", [3600, -3600, 86_400 * 365, -86_400 * 365, 1, -1, 0.001, -0.001])
def test_setting_the_wall_clock_leaves_the_station_time(seconds: float) -> None:
    source = HandSource()
    clock = AnchoredClock.started(source)
    source.run(600)
    source.set_wall(seconds)
    assert clock.now() == NOON + timedelta(seconds=600)
    source.run(10)
    assert clock.now() == NOON + timedelta(seconds=610)
    assert clock.drift() == timedelta(seconds=seconds)


@pytest.mark.parametrize("seconds", [3600.0, -3600.0, 1.0, -1.0])
def test_a_jump_is_noticed_once(seconds: float) -> None:
    source = HandSource()
    watch = JumpWatch(AnchoredClock.started(source))
    assert watch.jumped() is None
    source.run(60)
    assert watch.jumped() is None
    source.set_wall(seconds)
    source.run(5)
    assert watch.jumped() == timedelta(seconds=seconds)
    source.run(5)
    assert watch.jumped() is None


def test_a_jump_and_its_undoing_are_two() -> None:
    source = HandSource()
    watch = JumpWatch(AnchoredClock.started(source))
    source.set_wall(90)
    assert watch.jumped() == timedelta(seconds=90)
    source.set_wall(-90)
    assert watch.jumped() == timedelta(seconds=-90)
    assert watch.jumped() is None


@pytest.mark.parametrize("seconds", [0.999, -0.999])
def test_less_than_a_second_is_no_jump(seconds: float) -> None:
    source = HandSource()
    watch = JumpWatch(AnchoredClock.started(source))
    source.set_wall(seconds)
    assert watch.jumped() is None


def test_small_steps_the_same_way_are_told_when_they_come_to_a_second() -> None:
    source = HandSource()
    watch = JumpWatch(AnchoredClock.started(source))
    told = []
    for _ in range(5):
        source.set_wall(0.4)
        told.append(watch.jumped())
    assert told == [None, None, timedelta(seconds=1.2), None, None]


def test_seats_on_one_anchor_show_the_same_time() -> None:
    """A second process reads the first one's anchor off the journal, after the wall clock was set."""
    source = HandSource()
    first = AnchoredClock.started(source)
    source.run(100)
    source.set_wall(-7200)
    second = AnchoredClock(first.anchor, source)
    for _ in range(5):
        source.run(0.333)
        assert first.now() == second.now()
    assert second.anchor == Anchor(boot_id(), NOON_NS // 10**6, 5_000 * SECOND)


def test_a_new_anchor_is_never_before_what_is_on_the_journal() -> None:
    """After a restart with the wall clock an hour slow the station goes on where it was."""
    source = HandSource()
    source.set_wall(-3600)
    assert AnchoredClock.started(source, not_before=NOON).now() == NOON
    source.set_wall(7200)
    assert AnchoredClock.started(source, not_before=NOON).now() == NOON + timedelta(hours=1)


@given(st.lists(st.tuples(st.integers(0, 10**12), st.integers(-(10**16), 10**16)), max_size=30))
@settings(derandomize=True, deadline=None)
def test_station_time_never_goes_back(steps: list[tuple[int, int]]) -> None:
    source = HandSource()
    clock = AnchoredClock.started(source)
    shown = [clock.now()]
    for counted, wall in steps:
        source.counter += counted
        source.wall += wall
        shown.append(clock.now())
    assert shown == sorted(shown)
    assert shown[-1] == NOON + sum(counted for counted, _ in steps) // 10**6 * timedelta(milliseconds=1)


def test_a_wall_clock_that_stands_still_does_not_stop_the_station() -> None:
    source = FrozenWall()
    with freeze_time("2031-05-04 12:00:00"):
        clock = AnchoredClock.started(source)
        watch = JumpWatch(clock)
        source.counter += 1800 * SECOND
        assert clock.now() == NOON + timedelta(minutes=30)
        assert watch.jumped() == timedelta(minutes=-30)


def test_a_wall_clock_moved_under_the_program_is_a_jump() -> None:
    source = FrozenWall()
    with freeze_time("2031-05-04 12:00:00") as frozen:
        clock = AnchoredClock.started(source)
        watch = JumpWatch(clock)
        frozen.move_to("2031-05-04 11:00:00")
        assert watch.jumped() == timedelta(hours=-1)
        assert clock.now() == NOON


def test_the_counter_of_the_machine_is_not_reached_by_its_wall_clock() -> None:
    """The real counter under a wall clock that was set to another century."""
    with freeze_time("1903-05-04 12:00:00"):
        clock = AnchoredClock.started()
        first = clock.now()
    with freeze_time("2103-05-04 12:00:00"):
        passed = clock.now() - first
    assert timedelta(0) <= passed < timedelta(minutes=2)


def test_the_machines_counter_never_goes_back() -> None:
    source = SystemSource()
    readings = [source.counter_ns() for _ in range(1000)]
    assert readings == sorted(readings)


def test_all_processes_of_one_run_share_its_name() -> None:
    assert boot_id() == boot_id() != ""


def test_a_machine_without_a_name_for_its_run_gets_a_fresh_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that no anchor of another run is ever taken for this one's."""

    def unreadable(*_: object, **__: object) -> str:
        raise FileNotFoundError

    monkeypatch.setattr("station.clock.Path.read_text", unreadable)
    assert boot_id() != boot_id()


def test_a_drill_runs_at_its_rate() -> None:
    source = HandSource()
    clock = DrillClock(NOON, 10.0, source)
    source.run(6)
    assert clock.now() == NOON + timedelta(minutes=1)
    clock.set_rate(1)
    source.run(6)
    assert clock.now() == NOON + timedelta(seconds=66)
    assert (clock.rate, clock.drift()) == (1, timedelta(0))


def test_a_drill_can_stand_still_and_go_on() -> None:
    source = HandSource()
    clock = DrillClock(NOON, 60.0, source)
    source.run(1)
    clock.set_rate(0)
    source.run(1000)
    assert clock.now() == NOON + timedelta(minutes=1)
    clock.set_rate(1)
    source.run(1)
    assert clock.now() == NOON + timedelta(seconds=61)


def test_a_drill_skips_forward_only() -> None:
    source = HandSource()
    clock = DrillClock(NOON, 2.0, source)
    source.run(30)
    clock.jump_to(NOON)
    assert clock.now() == NOON + timedelta(minutes=1)
    clock.jump_to(NOON + timedelta(hours=1))
    source.run(1)
    assert clock.now() == NOON + timedelta(hours=1, seconds=2)


@pytest.mark.parametrize("rate", [-1.0, float("nan"), float("inf")])
def test_a_drill_never_runs_backward(rate: float) -> None:
    source = HandSource()
    with pytest.raises(ValueError, match="0 or more"):
        DrillClock(NOON, rate, source)
    clock = DrillClock(NOON, 1.0, source)
    with pytest.raises(ValueError, match="0 or more"):
        clock.set_rate(rate)
    assert clock.rate == 1.0


@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("run"), st.floats(0, 1000)),
            st.tuples(st.just("rate"), st.floats(0, 100)),
            st.tuples(st.just("jump"), st.floats(-1000, 1000)),
        ),
        max_size=30,
    )
)
@settings(derandomize=True, deadline=None)
def test_drill_time_never_goes_back(steps: list[tuple[str, float]]) -> None:
    source = HandSource()
    clock = DrillClock(NOON, 1.0, source)
    shown = [clock.now()]
    for step, value in steps:
        if step == "run":
            source.run(value)
        elif step == "rate":
            clock.set_rate(value)
        else:
            clock.jump_to(from_ms(int(clock.now().timestamp() * 1000) + int(value * 1000)))
        shown.append(clock.now())
    assert shown == sorted(shown)


def test_what_was_pressed_a_moment_ago_was_pressed_in_the_time_of_its_clock() -> None:
    hand = HandSource()
    started, drill = AnchoredClock.started(hand), DrillClock(NOON, 60, hand)
    for clock in (started, drill):
        assert clock.ago(0) == clock.now()
    hand.run(10)
    assert started.now() - started.ago(0.25) == timedelta(seconds=0.25)
    assert drill.now() - drill.ago(0.25) == timedelta(seconds=15)
    drill.set_rate(0)
    stood = drill.now()
    hand.run(3)
    assert drill.ago(0.25) == stood
    drill.set_rate(60)
    assert drill.ago(0.25) == stood
    drill.jump_to(stood + timedelta(hours=1))
    assert drill.ago(0.25) == stood + timedelta(hours=1)
    by_hand = HandClock(NOON)
    assert by_hand.ago(0.25) == NOON - timedelta(seconds=0.25)


def test_a_clock_set_by_hand_goes_where_it_is_told() -> None:
    clock = HandClock(NOON)
    clock.advance(1.5)
    assert clock.now() == NOON + timedelta(milliseconds=1500)
    clock.jump_to(NOON)
    assert clock.now() == NOON + timedelta(milliseconds=1500)
    clock.jump_to(NOON + timedelta(hours=1))
    assert clock.now() == NOON + timedelta(hours=1)
    assert clock.drift() == timedelta(0)
    clock.wall_offset = timedelta(seconds=-90)
    assert JumpWatch(clock).jumped() is None
    assert clock.drift() == timedelta(seconds=-90)


def test_every_source_will_do() -> None:
    sources: list[Source] = [HandSource(), FrozenWall(), SystemSource()]
    for source in sources:
        assert AnchoredClock.started(source).drift() < timedelta(minutes=2)
