"""Days and times in the words of a command."""

from datetime import UTC, datetime, timedelta

from station.errors import UsageError
from station.moments import whole_ms

_DAY_LETTERS = 10


def moment(text: str, option: str, *, end: bool = False) -> datetime:
    """Return a day (its first second, its last with `end`) or a time in UTC; UsageError for other words."""
    try:
        if len(text) == _DAY_LETTERS:
            day = datetime.strptime(text, "%Y-%m-%d").replace(tzinfo=UTC)
            return day + timedelta(days=1, seconds=-1) if end else day
        return whole_ms(datetime.fromisoformat(text))
    except (ValueError, OverflowError):
        raise UsageError(
            f"{option} '{text}' is neither a day, 2031-05-04, nor a time with its zone, 2031-05-04T09:15:00Z"
        ) from None
