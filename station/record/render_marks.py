"""When a mark was entered, said in a print where it was not entered as it was taken."""

from datetime import MAXYEAR, MINYEAR, datetime, timedelta
from typing import Final

from station.moments import iso
from station.record.render_page import Body, Row

AS_TAKEN: Final = timedelta(seconds=2)
"""From a key press to the disk: a mark that stands there so soon was entered as taken; station choice."""
LEGEND: Final = (
    f"A mark says when it was entered where that was more than {AS_TAKEN.seconds} s off its time, or its "
    "time was amended; all others were entered as they were taken."
)


def entered_apart(body: Body, row: Row) -> bool:
    """Whether a mark was entered at another time than it was taken, or its time was amended later."""
    at, entered = _moment(row, "at"), _moment(row, "entered")
    if at is None or entered is None:
        return "entered" in row
    given = {one["is"] for one in body.rows("corrections", "amended") if one["field"] == "at"}
    return abs(entered - at) > AS_TAKEN or iso(at) in given


def _moment(row: Row, key: str) -> datetime | None:
    found = row.values.get(key)
    sound = isinstance(found, datetime) and found.tzinfo is not None and MINYEAR < found.year < MAXYEAR
    return found if sound else None
