"""A print says when a mark was entered where it was entered at another time than it was taken."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from station.record.render_marks import AS_TAKEN, LEGEND, entered_apart
from station.record.render_page import Body, Row
from station.record.render_sections import SECTIONS

AT = datetime(2031, 5, 4, 7, 30, 0, 250_000, tzinfo=UTC)


def body(late: timedelta, *given: str) -> dict[str, Any]:
    """Return a record of one mark, with corrections that gave times."""
    amended = [{"field": "at", "is": one, "was": "-"} for one in given]
    amended += [{"field": "depth_fsw", "is": "20.0", "was": "30.0"}]
    mark = {"at": AT, "mark": "left surface", "by": "tam-belcourt", "entered": AT + late}
    return {"times": {"marks": [mark]}, "corrections": {"amended": amended}}


def told(document: dict[str, Any]) -> bool:
    found = Body(document)
    return entered_apart(found, found.rows("times", "marks")[0])


@pytest.mark.parametrize(
    ("late", "said"),
    [
        (timedelta(milliseconds=4), False),
        (AS_TAKEN, False),
        (-AS_TAKEN, False),
        (AS_TAKEN + timedelta(milliseconds=1), True),
        (-AS_TAKEN - timedelta(milliseconds=1), True),
        (timedelta(hours=1), True),
    ],
)
def test_a_mark_entered_as_it_was_taken_says_nothing_of_it(late: timedelta, said: bool) -> None:  # noqa: FBT001
    assert told(body(late)) is said


def test_a_mark_whose_time_was_amended_says_so_however_small_the_change() -> None:
    assert told(body(timedelta(seconds=1), "2031-05-04T07:30:00.250Z"))
    assert not told(body(timedelta(seconds=1), "2031-05-04T07:30:00.251Z"))


def test_a_mark_without_another_moment_was_entered_as_taken() -> None:
    document = body(timedelta(0))
    del document["times"]["marks"][0]["entered"]
    assert not told(document)


def test_what_is_no_moment_is_said_as_it_stands() -> None:
    """An altered record is told as far as it goes."""
    assert entered_apart(Body({}), Row({"at": AT, "entered": "early"}))
    assert entered_apart(Body({}), Row({"at": AT, "entered": datetime.min.replace(tzinfo=UTC)}))


def test_the_text_says_it_beside_the_mark_and_what_its_silence_means() -> None:
    times = dict(SECTIONS)["Times and depth (UTC)"]
    lines = list(times(Body(body(timedelta(seconds=75)))))
    assert lines[0] == "07:30:00  left surface (entered"
    assert lines[1].strip() == "07:31:15)"
    quiet = "\n".join(times(Body(body(timedelta(seconds=1)))))
    assert "(entered" not in quiet
    assert LEGEND.split(";")[0] in quiet.replace("\n", " ")
