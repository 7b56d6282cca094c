"""Ages: never younger than they are, at most a second older, all of one moment turning over together."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from station.moments import age_s

DAY = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
MS = st.integers(0, 10_000_000)


def after(milliseconds: int) -> datetime:
    return DAY + timedelta(milliseconds=milliseconds)


@given(MS, MS)
def test_never_younger_and_at_most_a_second_older(then: int, later: int) -> None:
    told = age_s(after(then), after(then + later))
    assert later / 1000 <= told < later / 1000 + 2


@given(MS, MS, MS)
def test_ages_turn_over_with_the_second_of_the_clock(first: int, second: int, now: int) -> None:
    base = 10_000_000 + now // 1000 * 1000
    for at in (first, second):
        told = {age_s(after(at), after(base + ms)) for ms in (1, 500, 1000)}
        assert len(told) == 1


def test_what_is_still_to_come_has_no_age() -> None:
    assert age_s(after(5000), DAY) == 0
