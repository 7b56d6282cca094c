"""What is heard of alarms: three patterns, until somebody takes notice; the figures are station choice."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from station.board.alarm_sound import PATTERNS, Heard, bells_due, states_now
from station.board.alarm_states import Acknowledged, AlarmState
from station.board.alarms import Alarm
from station.events import Priority

START = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)


def at(seconds: float) -> datetime:
    return START + timedelta(seconds=seconds)


def raised(priority: Priority, seconds: float = 0, key: str = "") -> AlarmState:
    return AlarmState(1, key or priority, priority, "words", at(seconds), 1)


def acknowledged(state: AlarmState, seconds: float) -> AlarmState:
    return replace(state, acknowledged=Acknowledged("ines", at(seconds)))


def rung(states: list[AlarmState], until: int) -> list[tuple[int, int]]:
    """Return when something sounded in so many seconds, looked at every second, and how many bells it was."""
    heard, found = Heard(), []
    for second in range(until + 1):
        bells, heard = bells_due([one for one in states if one.raised_at <= at(second)], heard, at(second))
        if bells:
            found.append((second, bells))
    return found


def test_each_priority_has_its_own_number_of_bells_and_its_own_pause() -> None:
    assert rung([raised("high")], 25) == [(0, 3), (10, 3), (20, 3)]
    assert rung([raised("medium")], 65) == [(0, 2), (30, 2), (60, 2)]
    assert rung([raised("low")], 120) == [(0, 1)]
    assert len({pattern.bells for pattern in PATTERNS.values()}) == len(PATTERNS)


def test_a_new_alarm_of_the_same_priority_is_heard_at_once() -> None:
    assert rung([raised("high"), raised("high", 4, "second")], 15) == [(0, 3), (4, 3), (14, 3)]
    assert rung([raised("low"), raised("low", 4, "second")], 60) == [(0, 1), (4, 1)]


def test_a_less_urgent_one_waits_until_the_more_urgent_is_acknowledged() -> None:
    high, low = raised("high"), raised("low", 2)
    bells, heard = bells_due([high], Heard(), at(0))
    assert bells == 3
    bells, heard = bells_due([high, low], heard, at(3))
    assert bells == 0
    bells, heard = bells_due([acknowledged(high, 4), low], heard, at(4))
    assert bells == 1
    assert bells_due([acknowledged(high, 4), low], heard, at(90))[0] == 0


def test_what_is_acknowledged_is_silent_and_sounds_again_when_it_returns() -> None:
    first = raised("low")
    _, heard = bells_due([first], Heard(), at(0))
    bells, heard = bells_due([acknowledged(first, 1)], heard, at(1))
    assert bells == 0
    bells, heard = bells_due([replace(first, cleared_at=at(2))], heard, at(2))
    assert bells == 0
    assert bells_due([raised("low", 3)], heard, at(3))[0] == 1


def test_a_raise_told_late_by_another_seat_is_still_heard() -> None:
    """Its moment may lie before the last bell of this screen; what counts is whether it was heard here."""
    _, heard = bells_due([raised("low", 5)], Heard(), at(5))
    assert bells_due([raised("low", 5), raised("low", 4, "late")], heard, at(6))[0] == 1


def test_an_alarm_that_the_journal_could_not_take_counts_as_raised_and_sounds() -> None:
    known = acknowledged(raised("high", 0, "manifold low"), 1)
    stand = [
        Alarm("high", "manifold low", "words", 1),
        Alarm("high", "journal not writable", "no room"),
    ]
    states = states_now({known.id: known}, stand, at(7))
    assert states == (known, AlarmState(None, "journal not writable", "high", "no room", at(7), 1))
    assert bells_due(states, Heard(), at(8))[0] == 3


def test_one_that_stands_anew_or_at_another_priority_is_not_taken_for_the_one_acknowledged() -> None:
    old = acknowledged(raised("medium", 0, "late"), 1)
    worse = states_now({old.id: old}, [Alarm("high", "late", "words", 1)], at(9))
    assert [(one.priority, one.acknowledged, one.times) for one in worse] == [("high", None, 2)]
    gone = replace(old, cleared_at=at(5))
    back = states_now({old.id: gone}, [Alarm("medium", "late", "words", 1)], at(9))
    assert [(one.standing, one.acknowledged, one.raised_at) for one in back] == [(True, None, at(9))]


alarms = st.builds(
    raised, st.sampled_from(["high", "medium", "low"]), st.integers(0, 60), st.sampled_from(["a", "b", "c"])
)


@given(st.lists(alarms, max_size=5, unique_by=lambda one: one.id))
def test_every_high_alarm_is_heard_as_it_comes_and_none_waits_longer_than_its_pause(
    states: list[AlarmState],
) -> None:
    found = rung(states, 120)
    highs = [one for one in states if one.priority == "high"]
    for one in highs:
        assert (int((one.raised_at - START).total_seconds()), 3) in found
    if highs:
        threes = [second for second, bells in found if bells == 3]
        assert all(b - a <= 10 for a, b in zip(threes, [*threes[1:], 120], strict=True))
        assert all(bells == 3 for second, bells in found if second >= threes[0])
    assert bool(found) == bool(states)
