"""Moments: to the millisecond, in UTC, and back from their text."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.moments import clock_time, from_ms, iso, ms_between, whole_ms

MOMENTS = st.integers(0, 4_102_444_800_000).map(from_ms)


def test_a_moment_reads_as_iso_8601_in_utc() -> None:
    """RFC 3339 section 5.8, first example, from memory; the form is that of ISO 8601."""
    assert iso(from_ms(482_196_050_520)) == "1985-04-12T23:20:50.520Z"


def test_a_moment_of_another_zone_is_the_same_moment() -> None:
    """RFC 3339 section 5.8, second example, from memory: 16:39:57-08:00 is 00:39:57Z of the next day."""
    moment = datetime(1996, 12, 19, 16, 39, 57, tzinfo=timezone(timedelta(hours=-8)))
    assert iso(whole_ms(moment)) == "1996-12-20T00:39:57.000Z"
    assert clock_time(moment) == "00:39:57"


def test_what_is_below_the_millisecond_is_dropped() -> None:
    moment = datetime(2031, 5, 4, 8, 15, 30, 250_999, tzinfo=UTC)
    assert whole_ms(moment) == datetime(2031, 5, 4, 8, 15, 30, 250_000, tzinfo=UTC)
    assert iso(moment) == "2031-05-04T08:15:30.250Z"


def test_the_time_of_day_drops_the_part_of_a_second() -> None:
    assert clock_time(datetime(2031, 5, 4, 8, 15, 30, 999_000, tzinfo=UTC)) == "08:15:30"


def test_a_time_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="needs its zone"):
        whole_ms(datetime(2031, 5, 4))  # noqa: DTZ001 - what is refused


@pytest.mark.parametrize(
    "moment",
    [
        datetime.min.replace(tzinfo=timezone(timedelta(hours=1))),
        datetime.max.replace(tzinfo=timezone(timedelta(hours=-1))),
    ],
)
def test_a_time_outside_the_calendar_is_refused(moment: datetime) -> None:
    with pytest.raises(ValueError, match="years 1 to 9999"):
        whole_ms(moment)


@given(MOMENTS, MOMENTS)
@settings(derandomize=True, deadline=None)
def test_milliseconds_between_are_exact(one: datetime, other: datetime) -> None:
    assert one + timedelta(milliseconds=ms_between(one, other)) == other
    assert ms_between(one, other) == -ms_between(other, one)


@given(MOMENTS)
@settings(derandomize=True, deadline=None)
def test_the_text_reads_back_as_the_moment(moment: datetime) -> None:
    assert datetime.fromisoformat(iso(moment)) == moment
    assert whole_ms(moment) == moment


@given(MOMENTS, MOMENTS)
@settings(derandomize=True, deadline=None)
def test_texts_sort_as_their_moments(one: datetime, other: datetime) -> None:
    assert (iso(one) < iso(other)) == (one < other)
