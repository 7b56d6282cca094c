"""Moments: points of UTC time to the millisecond, as every event, rule and record carries them."""

from datetime import UTC, datetime, timedelta
from typing import Annotated

from pydantic import AfterValidator, PlainSerializer

MILLISECOND = timedelta(milliseconds=1)


def whole_ms(moment: datetime) -> datetime:
    """Return the moment in UTC with everything below the millisecond dropped.

    Raises:
        ValueError: it has no zone, or lies outside the years 1 to 9999 in UTC.
    """
    if moment.tzinfo is None:
        raise ValueError("a time needs its zone; write it in UTC with a Z at the end")
    try:
        utc = moment.astimezone(UTC)
    except OverflowError:
        raise ValueError("a time lies outside the years 1 to 9999") from None
    return utc.replace(microsecond=utc.microsecond // 1000 * 1000)


def from_ms(milliseconds: int) -> datetime:
    """Return the moment that many milliseconds after 1970-01-01 UTC."""
    return datetime(1970, 1, 1, tzinfo=UTC) + milliseconds * MILLISECOND


def ms_between(earlier: datetime, later: datetime) -> int:
    """Return whole milliseconds from one moment to another; negative when `later` is earlier."""
    return (later - earlier) // MILLISECOND


def age_s(at: datetime, now: datetime) -> int:
    """Return an age in whole seconds, 0 for what is still to come.

    It counts from the second in which the moment lies and is rounded up: what is old is never told as younger
    than it is, and every age on a screen turns over with the second of the clock.
    """
    return max(0, -(-ms_between(at.replace(microsecond=0), now) // 1000))


def iso(moment: datetime) -> str:
    """Return the moment as 2026-05-04T08:15:30.250Z, the form in journals and records."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def clock_time(moment: datetime) -> str:
    """Return the time of day as people at the station read it: 08:15:30 (UTC, seconds dropped to whole)."""
    return moment.astimezone(UTC).strftime("%H:%M:%S")


def nearest_time_of_day(moment: datetime, text: str) -> datetime:
    """Return the moment with a time of day, HH:MM or HH:MM:SS in UTC, that lies nearest to another moment.

    A dive may run past midnight: 23:58 given for 00:05 is that of the day before.

    Raises:
        ValueError: the text is no time of day.
    """
    of_day = datetime.strptime(text.strip() if text.count(":") > 1 else f"{text.strip()}:00", "%H:%M:%S")  # noqa: DTZ007 - only the time of day is taken from it
    same_day = moment.astimezone(UTC).replace(
        hour=of_day.hour, minute=of_day.minute, second=of_day.second, microsecond=0
    )
    days = (same_day + timedelta(days=shift) for shift in (-1, 0, 1))
    return min(days, key=lambda found: abs(found - moment))


Moment = Annotated[datetime, AfterValidator(whole_ms), PlainSerializer(iso)]
