"""Alarms in words: unacknowledged first, acknowledged ones say who and when, ended ones for a while."""

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from station.board.alarms import Alarm
from station.board.figures import Figures, figures
from station.console.words_alarms import alarm_lines, standing_lines
from station.events import AlarmAcknowledged

if TYPE_CHECKING:
    from station.watch import Watch
    from tests.console.conftest import Make, Station

HIGH = Alarm("high", "bank-1 lost", "Bank 1 LOST")
LONG = Alarm("high", "bank-1 lost", "Bank 1 LOST: change over to the next source, then mark it " * 3)
LOW = Alarm("low", "test due", "a test is out of date")


@pytest.fixture
def station(make: "Make") -> "Station":
    return make("bottom", notes_alarms=True)


def acknowledge(watch: "Watch", alarm: Alarm) -> None:
    by = watch.board.people("timekeeper")[0].person
    watch.enter(AlarmAcknowledged(lane=alarm.lane, key=alarm.key, **watch.stamp(by, "timekeeper")))


def now(station: "Station", *alarms: Alarm) -> Figures:
    return replace(figures(station.watch.board, station.clock.now()), alarms=alarms)


def shown(station: "Station", *alarms: Alarm) -> list[str]:
    lines = standing_lines(station.watch.board, alarms, station.clock.now())
    return [line.plain.strip() for line in lines]


def listed(station: "Station", *alarms: Alarm) -> list[str]:
    return [line.plain.strip() for line in alarm_lines(station.watch.board, now(station, *alarms), 300)]


def test_an_acknowledged_one_comes_behind_every_other_and_says_who_and_when(station: "Station") -> None:
    watch = station.watch
    watch.notice_alarms([HIGH, LOW], station.clock.now())
    assert shown(station, HIGH, LOW) == [HIGH.text, LOW.text]
    acknowledge(watch, HIGH)
    who = "".join(word[0] for word in watch.board.people("timekeeper")[0].name.split())
    at = f"{station.clock.now():%H:%M:%S}"
    assert shown(station, HIGH, LOW) == [LOW.text, f"(ACK {who} {at}) {HIGH.text}"]


def test_one_that_returns_is_unacknowledged_and_counted(station: "Station") -> None:
    watch = station.watch
    for stand in ([HIGH], [], [HIGH]):
        watch.notice_alarms(stand, station.clock.now())
        if stand and watch.board.alarms[None, HIGH.key].times == 1:
            acknowledge(watch, HIGH)
        station.clock.advance(5)
    assert shown(station, HIGH) == [HIGH.text]
    assert listed(station, HIGH)[1].endswith(", raised 2 times")


def test_one_that_ended_is_listed_for_ten_minutes_and_says_when_nobody_took_notice(
    station: "Station",
) -> None:
    watch = station.watch
    watch.notice_alarms([HIGH], station.clock.now())
    watch.notice_alarms([], station.clock.now())
    over = f"over {station.clock.now():%H:%M:%S} Bank 1 LOST, nobody had acknowledged it"
    assert listed(station) == ["ALARMS", "no alarm", over]
    station.clock.advance(timedelta(minutes=10).total_seconds())
    assert over in listed(station)
    station.clock.advance(1)
    assert over not in listed(station)


def test_the_time_of_an_alarm_stands_whole_where_its_words_do_not(station: "Station") -> None:
    station.watch.notice_alarms([LONG], station.clock.now())
    since = f"since {station.clock.now():%H:%M:%S}"
    for width in (58, 78):
        line = alarm_lines(station.watch.board, now(station, LONG), width)[1].plain
        assert len(line) <= width
        assert line.startswith(" !!! HIGH Bank 1 LOST")
        assert line.endswith(f"\N{HORIZONTAL ELLIPSIS} {since}")
