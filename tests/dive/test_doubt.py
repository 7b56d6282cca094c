"""Depth readings that are asked for once more. Every limit is a station choice."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.dive.doubt import doubtful_depth
from station.dive.facts import DiveFacts, Mark, Reading
from station.tables.model import Tables

START = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)


def minute(number: float) -> datetime:
    return START + timedelta(milliseconds=round(number * 60_000))


def dive(*readings: tuple[float, float], left: float | None = None) -> DiveFacts:
    marks = [Mark("left_surface", START), Mark("reached_bottom", minute(2))]
    if left is not None:
        marks.append(Mark("left_bottom", minute(left)))
    return DiveFacts(100, 30, tuple(marks), tuple(Reading(minute(at), depth) for at, depth in readings))


@pytest.mark.parametrize(
    ("facts", "depth", "at", "words"),
    [
        (dive((5, 98)), 89, 6, None),
        (dive((5, 98)), 9.8, 5.5, "88.2 fsw shallower than 0:30 ago"),
        (dive((5, 98)), 98, 5, None),
        (dive(), 150, 1.5, "150 fsw deeper than 1:30 ago"),
        (dive((5, 98)), 110, 6, None),
        (dive((5, 98)), 111, 6, "11 fsw deeper than planned"),
        (dive((5, 118)), 119, 6, None),
        (dive((30, 98), left=31), 105, 33, "7 fsw deeper than before, on the way up"),
        (dive((30, 98), left=31), 40, 33, None),
    ],
)
def test_what_is_asked_for_once_more(
    tables: Tables, facts: DiveFacts, depth: float, at: float, words: str | None
) -> None:
    found = doubtful_depth(tables, facts, depth, minute(at))
    assert (found is None) == (words is None)
    assert (found or "").startswith(words or "")


def test_a_stop_that_was_reached_is_a_depth_that_is_known(tables: Tables) -> None:
    facts = dive((30, 98), left=31)
    facts = DiveFacts(100, 30, (*facts.marks, Mark("reached_stop", minute(33.5), 30)), facts.readings)
    assert doubtful_depth(tables, facts, 32, minute(34)) is None
    assert doubtful_depth(tables, facts, 65, minute(34)) == "35 fsw deeper than before, on the way up"


def test_nothing_is_doubted_before_the_surface_is_left(tables: Tables) -> None:
    assert doubtful_depth(tables, DiveFacts(100, 30), 99, START) is None


@given(st.floats(0, 110), st.floats(-6, 6), st.floats(0.001, 60))
def test_a_gauge_that_flickers_is_never_doubted_at_a_depth_that_was_planned(
    tables: Tables, depth: float, flicker: float, later: float
) -> None:
    assert (
        doubtful_depth(tables, dive((5, depth)), min(110, max(0, depth + flicker)), minute(5 + later)) is None
    )
