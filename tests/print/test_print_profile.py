"""The dive drawn: which points of a record make the line, in which unit, and what is left out."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from station.record.pdf.profile import Profile, profile
from station.record.render_page import Body

START = datetime(2031, 5, 4, 7, 30, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def document(**own: Any) -> dict[str, Any]:
    """A dive to 60 fsw for 60 min with a stop at 20 fsw, in the keys of a record."""
    return {
        "times": {
            "marks": [
                {"at": at(0), "mark": "left surface"},
                {"at": at(1), "mark": "reached bottom"},
                {"at": at(60), "mark": "left bottom"},
                {"at": at(62), "mark": "reached stop", "depth_fsw": 20.0},
                {"at": at(71), "mark": "left stop", "depth_fsw": 20.0},
                {"at": at(72), "mark": "reached surface"},
            ]
        },
        "depth": {
            "readings": [{"at": at(5), "reading_fsw": 59.0, "corrected_fsw": 60.0}],
            "left_bottom_from_fsw": 60.0,
        },
        "ascent": {
            "unit": "fsw",
            "stops": [
                {
                    "depth": 20.0,
                    "minutes": 8,
                    "due_arrive": at(61.5),
                    "reached": at(62),
                    "due_leave": at(70),
                    "left": at(71),
                    "served_s": 540,
                }
            ],
        },
        **own,
    }


def drawn(found: dict[str, Any]) -> Profile:
    made = profile(Body(found))
    assert made is not None
    return made


def line(found: Profile) -> list[tuple[float, float]]:
    return [((point.at - START) / timedelta(minutes=1), round(point.depth, 2)) for point in found.dive]


def test_the_line_goes_through_marks_and_corrected_readings() -> None:
    assert line(drawn(document())) == [(0, 0), (1, 60), (5, 60), (60, 60), (62, 20), (71, 20), (72, 0)]


def test_the_way_up_as_due_goes_through_the_stops() -> None:
    due = drawn(document()).way_up
    assert [(point.at, point.depth) for point in due] == [(at(60), 60), (at(61.5), 20), (at(70), 20)]


def test_planned_and_served_stand_beside_each_other() -> None:
    (stop,) = drawn(document()).stops
    assert stop.words == "20 fsw: 8 min, 9:00"
    assert (stop.due, stop.taken) == ((at(61.5), at(70)), (at(62), at(71)))


def test_without_stops_the_way_up_ends_at_the_surface_when_it_was_due() -> None:
    found = document(ascent={"unit": "fsw", "stops": [], "due_at_first_stop_s": 120})
    assert [(point.at, point.depth) for point in drawn(found).way_up] == [(at(60), 60), (at(62), 0)]


def test_a_table_in_metres_is_drawn_in_metres() -> None:
    """1 fsw is an atmosphere / 33, 1 msw 10 kPa: 60 fsw are 18.42 msw (BIPM: 101.325 kPa the atmosphere)."""
    found = document()
    found["ascent"] = {"unit": "msw", "stops": []}
    assert drawn(found).unit == "msw"
    assert drawn(found).deepest == pytest.approx(60 * 101.325 / 33 / 10, abs=1e-6)


def test_the_chamber_is_held_at_a_depth_until_the_next() -> None:
    found = document(
        chamber={
            "marks": [
                {"at": at(72), "mark": "left for the chamber"},
                {"at": at(75), "mark": "entered the chamber"},
                {"at": at(76), "mark": "reached chamber depth", "depth_fsw": 50},
                {"at": at(91), "mark": "reached chamber depth", "depth_fsw": 40},
                {"at": at(120), "mark": "left chamber depth for the surface"},
                {"at": at(122), "mark": "surfaced in the chamber"},
            ]
        }
    )
    points = [(point.at, point.depth) for point in drawn(found).chamber]
    assert points == [(at(75), 0), (at(76), 50), (at(91), 50), (at(91), 40), (at(120), 40), (at(122), 0)]


def test_a_reading_outside_the_dive_is_no_part_of_its_line() -> None:
    found = document()
    found["depth"]["readings"].append({"at": at(-5), "corrected_fsw": 3.0})
    assert line(drawn(found))[0] == (0, 0)


@pytest.mark.parametrize(
    "spoilt",
    [
        {},
        {"ascent": {"unit": "fathoms"}},
        document(ascent={"unit": "fathoms"}),
        document(times={"marks": []}, depth={"readings": []}),
        document(times={"marks": [{"at": at(0), "mark": "left surface"}]}, depth={"readings": []}),
        document(
            times={"marks": [{"at": at(n * 6000), "mark": "left stop", "depth_fsw": 9} for n in (0, 1)]}
        ),
    ],
)
def test_a_record_that_tells_too_little_is_not_drawn(spoilt: dict[str, Any]) -> None:
    assert profile(Body(spoilt)) is None


@pytest.mark.parametrize("depth", [float("nan"), float("inf"), -1.0, 10_000.0, True, "60", None, []])
def test_a_depth_that_cannot_be_is_left_out(depth: object) -> None:
    found = document()
    found["depth"]["readings"].append({"at": at(30), "corrected_fsw": depth})
    assert line(drawn(found)) == line(drawn(document()))


@pytest.mark.parametrize("moment", [datetime(2031, 5, 4, 8), datetime(1, 1, 1, tzinfo=UTC), "08:00", 8, None])  # noqa: DTZ001 - no zone is what is tried
def test_a_moment_that_cannot_be_placed_is_left_out(moment: object) -> None:
    found = document()
    found["depth"]["readings"].append({"at": moment, "corrected_fsw": 60.0})
    assert line(drawn(found)) == line(drawn(document()))
