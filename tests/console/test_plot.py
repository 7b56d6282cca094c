"""The plot of characters: it stays in its box, and what it draws is in the order of what it was given."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.console.plot import SEVERAL, Axes, Marker, Series, plot

BEGIN = datetime(2030, 5, 1, 7, 20, tzinfo=UTC)
Cells = dict[int, list[int]]
minutes = st.integers(0, 3000)
values = st.floats(-20, 6000, allow_nan=False)
runs = st.lists(st.tuples(minutes, values), min_size=1, max_size=12)


def series(sign: str, points: list[tuple[int, float]]) -> Series:
    return Series(sign, [(BEGIN + timedelta(minutes=at), value) for at, value in points])


def cells(lines: list[str]) -> Cells:
    """Return for each column of the plot the rows that something is drawn in, the axis left out."""
    edge = lines[-2].index("└")
    found: Cells = {}
    for row, line in enumerate(lines[:-2]):
        for column, character in enumerate(line[edge + 1 :]):
            if character != " ":
                found.setdefault(column, []).append(row)
    return found


def test_a_falling_bank_is_drawn_as_it_fell() -> None:
    bank = series("1", [(0, 3000), (10, 2400), (20, 1800)])
    assert plot([bank], 30, 9, Axes(include=[0], markers=[Marker(0, "least")])) == [
        "3000┤1'---...",
        "    │        '''-1-...",
        "2000┤                 '''---.1",
        "    │",
        "1000┤",
        "    │",
        "   0┤ least ─ ─ ─ ─ ─ ─ ─ ─ ─",
        "    └┴───────────┴───────────┴",
        "    07:20      07:30     07:40",
    ]


def test_depth_grows_downwards_from_the_surface() -> None:
    lines = plot([series("d", [(0, 0), (2, 100), (20, 100)])], 40, 9, Axes(downwards=True))
    assert lines[0].startswith("  0┤d")
    assert lines[6].rstrip().endswith("d")
    assert lines[6].startswith("100┤")


@given(
    many=st.lists(runs, max_size=4),
    width=st.integers(0, 90),
    height=st.integers(0, 20),
    downwards=st.booleans(),
)
def test_nothing_is_ever_drawn_outside_the_box(
    many: list[list[tuple[int, float]]], width: int, height: int, *, downwards: bool
) -> None:
    axes = Axes(downwards=downwards, markers=[Marker(297, "minimum of bank 1")], include=[0])
    lines = plot([series(str(at), points) for at, points in enumerate(many)], width, height, axes)
    assert len(lines) in (0, height)
    assert all(len(line) <= width for line in lines)
    assert bool(lines) == (bool(many) and height >= 5 and width >= 18) or 13 <= width < 18


@given(st.lists(runs, min_size=1, max_size=4))
def test_every_series_is_seen_by_its_sign(many: list[list[tuple[int, float]]]) -> None:
    lines = plot([series(sign, run) for sign, run in zip("abcd", many, strict=False)], 64, 10)
    assert lines
    drawn = {character for line in lines[:-2] for character in line}
    missing = set("abcd"[: len(many)]) - drawn
    assert not missing or SEVERAL in drawn


@given(st.lists(minutes, min_size=2, max_size=12, unique=True), st.lists(values, min_size=12, max_size=12))
def test_what_never_falls_is_never_drawn_falling(times: list[int], heights: list[float]) -> None:
    run = list(zip(sorted(times), sorted(heights), strict=False))
    for downwards in (False, True):
        found = cells(plot([series("1", run)], 64, 10, Axes(downwards=downwards)))
        columns = sorted(found)
        assert columns == list(range(columns[0], columns[-1] + 1)), "a hole in the line"
        for here, after in pairwise(columns):
            step = (min(found[after]) - min(found[here]), max(found[after]) - max(found[here]))
            assert all(one >= 0 for one in step) if downwards else all(one <= 0 for one in step)


@pytest.mark.parametrize("downwards", [False, True])
def test_a_single_point_has_its_sign_its_value_and_its_time(*, downwards: bool) -> None:
    lines = plot([series("3", [(7, 2850)])], 40, 8, Axes(downwards=downwards))
    found = [line for line in lines if line.endswith("3")]
    assert found[0].startswith("2850┤3")
    assert len(found) == 1
    assert lines[-1].strip().startswith("07:27")


def test_two_readings_in_one_place_are_told_to_be_several() -> None:
    assert plot([series("1", [(0, 5)]), series("2", [(0, 5)])], 40, 8)[-3].endswith(f"5┤{SEVERAL}")


def test_without_readings_or_without_room_nothing_is_drawn() -> None:
    assert plot([], 64, 10) == []
    assert plot([Series("1", [])], 64, 10) == []
    assert plot([series("1", [(0, 5)])], 12, 10) == []
    assert plot([series("1", [(0, 5)])], 64, 4) == []


def test_the_times_beneath_do_not_run_into_one_another() -> None:
    for length in (1, 9, 47, 200, 3000, 50000):
        foot = plot([series("1", [(0, 5), (length, 5)])], 50, 8)[-1]
        assert all(len(word) == 5 and word[2] == ":" for word in foot.split())
        assert foot.split()
